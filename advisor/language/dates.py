"""Days, months and separators of numbers as the reader writes them, by Babel (CLDR).

A reader's locale is the language that is spoken, and for English also the units of the site: who
reads miles and pounds writes the month first and begins the week on Sunday.
"""

from __future__ import annotations

from datetime import date
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Literal

from advisor.language.speaking import SOURCE, spoken

if TYPE_CHECKING:
    from babel import Locale

_LOCALES = {("en", "us"): "en_US", ("en", "metric"): "en_GB"}

_DAY = {"en_US": "ccc LLL d", "en_GB": "ccc d LLL", "de_DE": "ccc, d. LLL"}
"""A day in short. The stand-alone forms carry no stop, which would end a sentence twice."""

_DATE = {"en_US": "LLL d", "en_GB": "d LLL", "de_DE": "d. LLL"}

_FULL_DAY = {"en_US": "cccc, LLLL d", "en_GB": "cccc d LLLL", "de_DE": "cccc, d. MMMM"}

_FORMS = {"short": _DAY, "date": _DATE, "full": _FULL_DAY}


def locale_name(units: str) -> str:
    """`en_US`, `en_GB`, `de_DE`: the locale of whoever reads now. `units` is us or metric."""
    language = spoken()
    return _LOCALES.get((language, units)) or f"{language}_{language.upper()}"


def language_tag(units: str) -> str:
    """The same as HTML names it: `en-US`."""
    return locale_name(units).replace("_", "-")


def day_text(day: date, units: str, today: date | None = None) -> str:
    """`Thu Apr 9`, `Thu 9 Apr`, `Do, 9. Apr`; with its year if that is not the one of `today`."""
    year = f" {day.year}" if today is not None and day.year != today.year else ""
    return _formatted(day, locale_name(units), "short") + year


def date_text(day: date, units: str, beside: date | None = None) -> str:
    """A date without its weekday, which means nothing a season ahead: `Apr 9`, `9 Apr`, `9. Apr`;
    with its year where that is not the year of `beside`."""
    year = f" {day.year}" if beside is not None and day.year != beside.year else ""
    return _formatted(day, locale_name(units), "date") + year


def full_day_text(day: date, units: str) -> str:
    """`Thursday, April 9`, `Thursday 9 April`, `Donnerstag, 9. April`."""
    return _formatted(day, locale_name(units), "full")


def month_text(month: int, units: str, width: Literal["abbreviated", "wide"] = "wide") -> str:
    """The name of a month (1 to 12) that stands alone."""
    return str(_locale(locale_name(units)).months["stand-alone"][width][month])


def weekday_text(
    weekday: int, units: str, width: Literal["abbreviated", "wide"] = "abbreviated"
) -> str:
    """The name of a weekday that stands alone; Monday is 0."""
    return str(_locale(locale_name(units)).days["stand-alone"][width][weekday])


def first_weekday(units: str) -> int:
    """The weekday on which a week begins for the reader; Monday is 0."""
    return int(_locale(locale_name(units)).first_week_day)


def separated(number: str) -> str:
    """A number that was written with a point for decimals and commas between thousands, with the
    reader's separators."""
    if spoken() == SOURCE:
        return number
    symbols = _locale(locale_name("metric")).number_symbols["latn"]
    return number.translate({ord(","): symbols["group"], ord("."): symbols["decimal"]})


@lru_cache(maxsize=4096)
def _formatted(day: date, locale: str, form: str) -> str:
    from babel.dates import format_date  # slow to load, and not needed by all that starts

    return format_date(day, _FORMS[form][locale], locale=locale)


@cache
def _locale(name: str) -> Locale:
    from babel import Locale

    return Locale.parse(name)

"""The reader's language: what is told, what is spoken, and dates and numbers by CLDR."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from datetime import date, timedelta
from gettext import NullTranslations

import pytest
from babel import Locale
from babel.dates import format_skeleton, get_day_names, get_month_names
from babel.numbers import format_decimal, parse_decimal
from hypothesis import given
from hypothesis import strategies as st

from advisor.language import words
from advisor.language.dates import (
    date_text,
    day_text,
    first_weekday,
    full_day_text,
    language_tag,
    locale_name,
    month_text,
    separated,
    weekday_text,
)
from advisor.language.speaking import LANGUAGES, Language, speaking, spoken
from advisor.language.words import later, tell, tell_as, tell_many

READERS: list[tuple[Language, str, str]] = [
    ("en", "us", "en_US"),
    ("en", "metric", "en_GB"),
    ("de", "metric", "de_DE"),
    ("de", "us", "de_DE"),
]
each_reader = pytest.mark.parametrize(("language", "units", "locale"), READERS)

DAYS = st.dates(date(1900, 1, 1), date(2200, 12, 31))


class Few(NullTranslations):
    """A catalogue of three messages."""

    def gettext(self, message: str) -> str:
        return {"{lawn} is dry.": "Trocken ist {lawn}."}.get(message, message)

    def pgettext(self, context: str, message: str) -> str:
        return {("verb", "water"): "wässern"}.get((context, message), message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        found = {"{count} day": ("{count} Tag", "{count} Tage")}.get(msgid1, (msgid1, msgid2))
        return found[n != 1]


@pytest.fixture
def few(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(
        words, "_catalogue", lambda language: NullTranslations() if language == "en" else Few()
    )
    with speaking("de"):
        yield


@pytest.mark.usefixtures("few")
def test_a_message_is_told_in_the_language_that_is_spoken() -> None:
    assert tell("{lawn} is dry.", lawn="Front") == "Trocken ist Front."
    assert tell_as("verb", "water") == "wässern"
    assert [tell_many("{count} day", "{count} days", n) for n in (0, 1, 2)] == [
        "0 Tage", "1 Tag", "2 Tage",
    ]  # fmt: skip
    with speaking("en"):
        assert tell("{lawn} is dry.", lawn="Front") == "Front is dry."
        assert tell_as("verb", "water") == "water"
        assert [tell_many("{count} day", "{count} days", n) for n in (0, 1, 2)] == [
            "0 days", "1 day", "2 days",
        ]  # fmt: skip


@pytest.mark.usefixtures("few")
def test_what_the_catalogue_lacks_is_told_in_english() -> None:
    assert tell("{lawn} is wet.", lawn="Front") == "Front is wet."
    assert tell_as("noun", "water") == "water"
    assert tell_many("{count} mile", "{count} miles", 2) == "2 miles"


def test_each_language_has_a_catalogue_that_falls_back_to_english() -> None:
    """As installed, and not only as this test makes one."""
    for language in LANGUAGES:
        with speaking(language):
            assert tell("Nobody ever says this {word}.", word="x") == "Nobody ever says this x."
            assert tell_many("{count} gnu", "{count} gnus", 3) == "3 gnus"
            assert tell_as("animals", "gnu") == "gnu"


def test_the_empty_text_is_not_the_head_of_the_catalogue() -> None:
    """gettext keeps its head under the empty message."""
    with speaking("de"):
        assert tell("") == ""


@given(st.text())
def test_what_is_filled_in_may_hold_braces(value: str) -> None:
    for language in LANGUAGES:
        with speaking(language):
            assert tell("A {thing} here.", thing=value) == f"A {value} here."


def test_a_name_that_is_not_given_is_an_error() -> None:
    with pytest.raises(KeyError):
        tell("{lawn} is {state}.", lawn="Front")


def test_later_changes_nothing() -> None:
    assert later("{lawn} is dry.") == "{lawn} is dry."


def test_english_is_spoken_unless_somebody_speaks_otherwise() -> None:
    assert spoken() == "en"


@given(st.lists(st.sampled_from(LANGUAGES), max_size=6), st.booleans())
def test_speaking_nests_and_is_restored(languages: list[Language], fails: bool) -> None:
    def speak(rest: list[Language]) -> None:
        if not rest:
            if fails:
                raise LookupError
            return
        before = spoken()
        try:
            with speaking(rest[0]):
                assert spoken() == rest[0]
                speak(rest[1:])
                assert spoken() == rest[0]
        finally:
            assert spoken() == before

    with suppress(LookupError):
        speak(languages)
    assert spoken() == "en"


@each_reader
def test_the_locale_is_of_the_language_and_for_english_of_the_units(
    language: Language, units: str, locale: str
) -> None:
    with speaking(language):
        assert locale_name(units) == locale
        assert language_tag(units) == locale.replace("_", "-")


SAMPLES = {
    "en_US": ("Thu Apr 9", "Apr 9", "Thursday, April 9"),
    "en_GB": ("Thu 9 Apr", "9 Apr", "Thursday 9 April"),
    "de_DE": ("Do, 9. Apr", "9. Apr", "Donnerstag, 9. April"),
}


@each_reader
def test_a_day_as_each_reader_writes_it(language: Language, units: str, locale: str) -> None:
    day = date(2026, 4, 9)
    with speaking(language):
        found = (day_text(day, units), date_text(day, units), full_day_text(day, units))
    assert found == SAMPLES[locale]


@given(day=DAYS)
@each_reader
def test_days_are_in_the_order_and_with_the_names_of_cldr(
    language: Language, units: str, locale: str, day: date
) -> None:
    """CLDR's own pattern for weekday, day and month, by Babel, with stand-alone names and without
    its commas and its stops after what is cut short; German keeps the stop after its day."""
    with speaking(language):
        found = day_text(day, units)
    weekday = get_day_names("abbreviated", "stand-alone", locale)[day.weekday()]
    month = get_month_names("abbreviated", "stand-alone", locale)[day.month]
    places = {
        word: format_skeleton("MMMEd", day, locale=locale).find(part)
        for word, part in (
            ("day", str(day.day)),
            ("month", get_month_names("abbreviated", "format", locale)[day.month][:3]),
            ("weekday", get_day_names("abbreviated", "format", locale)[day.weekday()][:2]),
        )
    }
    assert -1 not in places.values()
    parts = {"day": str(day.day), "month": month, "weekday": weekday}
    inorder = [parts[word] for word in sorted(places, key=places.__getitem__)]
    assert [part.rstrip(",.") for part in found.split()] == [p.rstrip(".") for p in inorder]
    assert not found.endswith(".")


@each_reader
def test_a_year_is_told_where_it_is_another(language: Language, units: str, locale: str) -> None:
    day = date(2026, 4, 9)
    with speaking(language):
        assert day_text(day, units, date(2026, 1, 1)) == SAMPLES[locale][0]
        assert day_text(day, units, date(2025, 12, 31)) == f"{SAMPLES[locale][0]} 2026"
        assert date_text(day, units, date(2025, 12, 31)) == f"{SAMPLES[locale][1]} 2026"


@each_reader
def test_names_of_months_and_weekdays_are_those_of_cldr(
    language: Language, units: str, locale: str
) -> None:
    with speaking(language):
        months = [month_text(month, units) for month in range(1, 13)]
        short = [weekday_text(weekday, units) for weekday in range(7)]
    assert dict(enumerate(months, 1)) == dict(get_month_names("wide", "stand-alone", locale))
    assert dict(enumerate(short)) == dict(get_day_names("abbreviated", "stand-alone", locale))


@each_reader
def test_the_week_begins_on_sunday_in_the_united_states_alone(
    language: Language, units: str, locale: str
) -> None:
    """CLDR supplemental weekData, firstDay: US sun; 001 and with it GB and DE mon."""
    with speaking(language):
        assert first_weekday(units) == (6 if locale == "en_US" else 0)
        assert first_weekday(units) == Locale.parse(locale).first_week_day


@given(st.integers(-(10**12), 10**12), st.integers(0, 6))
def test_separators_are_those_of_cldr_and_read_back(number: int, digits: int) -> None:
    """Against Babel's own number format, and read back by Babel's parser."""
    value = number / 10**digits
    written = f"{value:,.{digits}f}"
    pattern = "#,##0." + "0" * digits if digits else "#,##0"
    for language, locale in (("en", "en_US"), ("de", "de_DE")):
        with speaking(language):  # type: ignore[arg-type]
            shown = separated(written)
        assert shown == _formatted(written, pattern, locale)
        assert str(parse_decimal(shown, locale)) == written.replace(",", "")


def _formatted(written: str, pattern: str, locale: str) -> str:
    from decimal import Decimal

    exact = Decimal(written.replace(",", ""))
    sign = "-" if written.startswith("-") else ""
    return sign + format_decimal(abs(exact), pattern, locale=locale)


def test_a_day_keeps_its_order_over_a_year() -> None:
    """No two days of a year read the same."""
    for language, units, _ in READERS:
        with speaking(language):
            days = {day_text(date(2026, 1, 1) + timedelta(n), units) for n in range(365)}
        assert len(days) == 365

"""The kinds of text that the owner's tables hold: names, words, dates, hours, addresses.

Each message says what was expected and gives a right example.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import date, datetime
from typing import Annotated

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict

from advisor.site.problem import nearest
from advisor.site.words import COOL, GRASSES, PUT_DOWN, SOILS, WARM

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
"""The days of the week, in the order of `date.weekday`."""

NAME = re.compile(r"[a-z0-9-]+")
LONGEST_LINE = 200


class Table(BaseModel):
    """A table of an owner's file: no key that is not known, no value of another type."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


class WrongTextError(ValueError):
    """A text that cannot stand where it stands. `column` counts from 0 within the text."""

    def __init__(self, message: str, column: int = 0, hint: str = "") -> None:
        super().__init__(message)
        self.column = column
        self.hint = hint


def as_text(value: object, right: str) -> str:
    """The value if it is text; else WrongTextError with the right example in quotes."""
    if isinstance(value, str):
        return value
    raise WrongTextError(f"text in quotes was expected, such as {right}")


def one_line(text: str) -> str:
    """A text of one line that can be shown and mailed; WrongTextError otherwise."""
    if not text.strip():
        raise WrongTextError("the text is empty")
    if len(text) > LONGEST_LINE:
        raise WrongTextError(f"the text is longer than {LONGEST_LINE} characters")
    for column, sign in enumerate(text):
        if not sign.isprintable():
            raise WrongTextError("the text has a line break or a control character in it", column)
    return text.strip()


def _name(text: str) -> str:
    if not NAME.fullmatch(text) or len(text) > 60:
        raise WrongTextError(
            "a name has only small letters, digits and hyphens, such as front-lawn"
        )
    return text


def one_of(known: tuple[str, ...], what: str) -> Callable[[str], str]:
    """A check that a text is one of the words in `known`; `what` says what they are."""

    def check(text: str) -> str:
        if text in known:
            return text
        raise WrongTextError(f"“{text}” is no {what} that is known", hint=word_hint(text, known))

    return check


def word_hint(word: str, known: Iterable[str]) -> str:
    """The nearest of the known words, or all of them."""
    words = tuple(known)
    return nearest(word, words) or f"Known: {', '.join(words)}."


def clock(text: str) -> int:
    """Minutes after midnight of a text HH:MM; WrongTextError otherwise."""
    match = re.fullmatch(r"([01][0-9]|2[0-3]):([0-5][0-9])", text)
    if match is None:
        midnight = "; the end of a day is 00:00" if text == "24:00" else ""
        raise WrongTextError(f"a time of day was expected, such as 06:00{midnight}")
    return int(match[1]) * 60 + int(match[2])


def month_day(value: object) -> tuple[int, int]:
    """(month, day) of a text MM-DD that exists in every year; WrongTextError otherwise."""
    if isinstance(value, tuple):
        return value
    match = re.fullmatch(r"([0-9]{2})-([0-9]{2})", as_text(value, '"06-01"'))
    if match is None:
        raise WrongTextError("a month and day were expected, such as 06-01")
    month, day = int(match[1]), int(match[2])
    try:
        date(2001, month, day)
    except ValueError:
        raise WrongTextError(
            f"{match.group()} is not in every year's calendar; write it like 06-01"
        ) from None
    return month, day


def calendar_day(text: str) -> date:
    """The date of a text YYYY-MM-DD from 1950 to 2199; WrongTextError otherwise."""
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        raise WrongTextError(f"“{text}” is no date; write it like 2026-04-09")
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise WrongTextError(f"{text} is not in the calendar; write it like 2026-04-09") from None
    if not 1950 <= day.year <= 2199:
        raise WrongTextError(f"the year {day.year} cannot be right; write it like 2026-04-09")
    return day


def _day(value: object) -> date:
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    return calendar_day(as_text(value, '"2025-09-11"'))


def _address(text: str) -> str:
    """A mail address with one @ and nothing that could end a header line."""
    local, _, host = text.partition("@")
    if (
        not re.fullmatch(r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}", local)
        or not re.fullmatch(r"[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)*", host)
        or len(text) > 254
    ):
        raise WrongTextError("a mail address was expected, such as someone@example.org")
    return text


def _span(value: object) -> tuple[int, int]:
    if isinstance(value, tuple):
        return value
    text = as_text(value, '"04:00-09:00"')
    first, dash, last = text.partition("-")
    if not dash:
        raise WrongTextError("hours were expected from-to, such as 04:00-09:00")
    span = clock(first.strip()), clock(last.strip())
    if span[0] == span[1]:
        raise WrongTextError("the hours begin and end at the same minute; write 04:00-09:00")
    return span


Name = Annotated[str, AfterValidator(_name)]
Line = Annotated[str, AfterValidator(one_line)]
Address = Annotated[str, AfterValidator(_address)]
Day = Annotated[date, BeforeValidator(_day)]
MonthDay = Annotated[tuple[int, int], BeforeValidator(month_day)]
Span = Annotated[tuple[int, int], BeforeValidator(_span)]
Weekday = Annotated[str, AfterValidator(one_of(WEEKDAYS, "day of the week"))]
Grass = Annotated[str, AfterValidator(one_of(tuple(GRASSES), "grass"))]
GrassOrClass = Annotated[
    str, AfterValidator(one_of((COOL, WARM, *GRASSES), "grass or class of grasses"))
]
Soil = Annotated[str, AfterValidator(one_of(SOILS, "soil"))]
Task = Annotated[str, AfterValidator(one_of(PUT_DOWN, "task for a product"))]

"""When the owner can work: weekdays, hours and days away, as site.toml states them in [free].

It is about the work of people, what is put down. Sprinklers that a clock starts need nobody.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime
from typing import Annotated

from pydantic import AfterValidator, BeforeValidator, Field

from advisor.site.fields import (
    WEEKDAYS,
    Span,
    Table,
    Weekday,
    WrongTextError,
    as_text,
    calendar_day,
)

FIRST_HOUR = 7
LAST_HOUR = 19
"""Work is planned between these hours by the wall clock [judgement: daylight, and neighbours]."""

SHORTEST = 2
"""Hours that a job needs at the least."""

EXAMPLE = ["09:00-12:00"]

AWAY_EXAMPLE = '"2026-07-04 to 2026-07-12"'

Days = tuple[date, date]


def _days_away(value: object) -> Days:
    """A day, or the first and the last of several; WrongTextError otherwise."""
    if isinstance(value, tuple):
        return value
    if isinstance(value, date) and not isinstance(value, datetime):
        return value, value
    text = as_text(value, AWAY_EXAMPLE)
    parts = re.split(r"\s+to\s+", text.strip())
    if len(parts) > 2:
        raise WrongTextError(f"a day or days from-to were expected, such as {AWAY_EXAMPLE}")
    first, last = calendar_day(parts[0]), calendar_day(parts[-1])
    if last < first:
        raise WrongTextError(f"{last} comes before {first}; write the first day first")
    return first, last


def _forward(span: tuple[int, int]) -> tuple[int, int]:
    if span[1] < span[0]:
        raise WrongTextError("work does not run over midnight; write the earlier hour first")
    return span


def _enough(spans: tuple[tuple[int, int], ...]) -> tuple[tuple[int, int], ...]:
    if spans and not long_enough(whole_hours(spans)):
        raise WrongTextError(
            f"no {SHORTEST} whole hours of it lie between {FIRST_HOUR:02}:00 and {LAST_HOUR}:00,"
            " when work is planned"
        )
    return spans


def whole_hours(spans: Iterable[tuple[int, int]]) -> frozenset[int]:
    """Clock hours that lie wholly within stretches of minutes after midnight; two that touch count
    as one."""
    minutes = {minute for first, last in spans for minute in range(first, last)}
    return frozenset(
        hour for hour in range(24) if minutes.issuperset(range(60 * hour, 60 * hour + 60))
    )


def long_enough(hours: frozenset[int]) -> bool:
    """Whether clock hours hold a stretch within the working day that a job fits in."""
    starts = range(FIRST_HOUR, LAST_HOUR - SHORTEST + 1)
    return any(hours.issuperset(range(start, start + SHORTEST)) for start in starts)


Away = Annotated[Days, BeforeValidator(_days_away)]
WorkSpan = Annotated[Span, AfterValidator(_forward)]
WorkSpans = Annotated[tuple[WorkSpan, ...], AfterValidator(_enough)]


def _of_weekday(name: str) -> WorkSpans:
    found: WorkSpans = Field(
        default=(), strict=False, examples=[EXAMPLE], description=f"hours of a {name}, if others"
    )
    return found


class FreeTime(Table):
    """The days and hours in which the owner can work; none given allows all."""

    weekdays: tuple[Weekday, ...] = Field(
        default=(),
        strict=False,
        examples=[["saturday", "sunday"]],
        description="days on which you can work; all if empty",
    )
    hours: WorkSpans = Field(
        default=(),
        strict=False,
        examples=[EXAMPLE],
        description="hours in which you can work; all of the day if empty",
    )
    monday: WorkSpans = _of_weekday("Monday")
    tuesday: WorkSpans = _of_weekday("Tuesday")
    wednesday: WorkSpans = _of_weekday("Wednesday")
    thursday: WorkSpans = _of_weekday("Thursday")
    friday: WorkSpans = _of_weekday("Friday")
    saturday: WorkSpans = _of_weekday("Saturday")
    sunday: WorkSpans = _of_weekday("Sunday")
    away: tuple[Away, ...] = Field(
        default=(),
        strict=False,
        examples=[["2026-07-04 to 2026-07-12"]],
        description="days on which you are not there, the first and the last among them",
    )

    def hours_on(self, day: date) -> frozenset[int] | None:
        """Clock hours of a day in which the owner can work: none of them, or None where nothing is
        said against any."""
        name = WEEKDAYS[day.weekday()]
        if (self.weekdays and name not in self.weekdays) or self.is_away(day):
            return frozenset()
        spans: tuple[tuple[int, int], ...] = getattr(self, name) or self.hours
        return whole_hours(spans) if spans else None

    def is_away(self, day: date) -> bool:
        """Whether it is one of the days away."""
        return any(first <= day <= last for first, last in self.away)

    def allows(self, day: date) -> bool:
        """Whether the owner can do a job on that day."""
        hours = self.hours_on(day)
        return hours is None or long_enough(hours)

    def own_hours(self) -> tuple[str, ...]:
        """The weekdays that have hours of their own."""
        return tuple(name for name in WEEKDAYS if getattr(self, name))

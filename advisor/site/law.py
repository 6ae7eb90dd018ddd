"""The local law that a site is under, as its owner states it in site.toml."""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import Field

from advisor.site.fields import WEEKDAYS, Line, MonthDay, Name, Span, Table, Weekday


class Ban(Table):
    """A season in which local law forbids nutrients; both its days are in it."""

    title: Line = Field(examples=["Summer fertilizer ban"], description="what people call it")
    nutrients: tuple[Literal["nitrogen", "phosphorus"], ...] = Field(
        strict=False,
        min_length=1,
        examples=[["nitrogen", "phosphorus"]],
        description="what may not be put down",
    )
    first: MonthDay = Field(
        alias="from", strict=False, examples=["06-01"], description="first day, month-day"
    )
    last: MonthDay = Field(
        alias="to", strict=False, examples=["09-30"], description="last day, month-day"
    )
    lawns: tuple[Name, ...] = Field(
        default=(),
        strict=False,
        examples=[["front"]],
        description="lawns that it covers; all if not given",
    )
    source: Line | None = Field(
        default=None, examples=["county code, chapter 12"], description="where the law stands"
    )

    def covers(self, lawn: str, day: date) -> bool:
        """Whether the ban is in force on that lawn on that day; it may run over new year."""
        if self.lawns and lawn not in self.lawns:
            return False
        here = (day.month, day.day)
        if self.first <= self.last:
            return self.first <= here <= self.last
        return here >= self.first or here <= self.last


class WateringTimes(Table):
    """The days and hours in which watering is allowed; none given allows all."""

    weekdays: tuple[Weekday, ...] = Field(
        default=(),
        strict=False,
        examples=[["tuesday", "saturday"]],
        description="days allowed; all if empty",
    )
    hours: tuple[Span, ...] = Field(
        default=(),
        strict=False,
        examples=[["04:00-09:00"]],
        description="hours allowed, as minutes after midnight; may run over midnight; all if empty",
    )
    source: Line | None = Field(
        default=None, examples=["water company's notice"], description="where the rule stands"
    )

    def allows(self, day: date) -> bool:
        """Whether sprinklers may run on that day."""
        return not self.weekdays or WEEKDAYS[day.weekday()] in self.weekdays

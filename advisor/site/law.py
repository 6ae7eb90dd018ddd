"""The local law that a site is under, as its owner states it in site.toml.

Nothing here knows what the law of a place is: it is copied from the local code by the owner, and
that code stands above it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Annotated, Literal

from pydantic import Field

from advisor.language.words import tell
from advisor.site.amounts import DistanceM, IntervalDays, NutrientGM2, Share, WaterMm
from advisor.site.fields import WEEKDAYS, Line, MonthDay, Name, Span, Table, Task, Weekday

Nutrient = Literal["nitrogen", "phosphorus", "potassium", "iron"]

DayOfMonth = Annotated[int, Field(ge=1, le=31)]

MIDNIGHT = 24 * 60
"""The end of a day, in minutes after its beginning."""


def in_season(first: MonthDay | None, last: MonthDay | None, day: date) -> bool:
    """Whether a day lies from `first` through `last`, which may run over new year; all days do
    where neither is given. What ends with 28 February ends with the month in a leap year too."""
    if first is None or last is None:
        return True
    here = (day.month, min(day.day, 28) if day.month == 2 else day.day)
    if first <= last:
        return first <= here <= last
    return here >= first or here <= last


class Ban(Table):
    """A season, or the whole year, in which local law forbids nutrients, tasks or active
    ingredients; both its days are in it."""

    title: Line = Field(examples=["Summer fertilizer ban"], description="what people call it")
    nutrients: tuple[Nutrient, ...] = Field(
        default=(),
        strict=False,
        min_length=1,
        examples=[["nitrogen", "phosphorus"]],
        description="nutrients that may not be put down",
    )
    tasks: tuple[Task, ...] = Field(
        default=(),
        strict=False,
        min_length=1,
        examples=[["pre-emergent"]],
        description="tasks that may not be done",
    )
    actives: tuple[Name, ...] = Field(
        default=(),
        strict=False,
        min_length=1,
        examples=[["prodiamine"]],
        description="active ingredients that may not be put down",
    )
    first: MonthDay | None = Field(
        default=None,
        alias="from",
        strict=False,
        examples=["06-01"],
        description="first day, month-day; all year without the two",
    )
    last: MonthDay | None = Field(
        default=None, alias="to", strict=False, examples=["09-30"], description="last day"
    )
    unless: tuple[Literal["soil-test", "new-turf"], ...] = Field(
        default=(),
        strict=False,
        examples=[["soil-test", "new-turf"]],
        description="what frees phosphorus from it: a soil test that says low, a lawn's first"
        " season",
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
        return _speaks_of(self.lawns, lawn) and in_season(self.first, self.last, day)


class Ordinance(Table):
    """What local law asks of whoever puts nutrients down, on any day of the year."""

    title: Line = Field(examples=["County fertilizer ordinance"], description="what it is called")
    source: Line | None = Field(
        default=None, examples=["county code, chapter 12"], description="where the law stands"
    )
    nutrients: tuple[Nutrient, ...] = Field(
        default=("nitrogen", "phosphorus"),
        strict=False,
        min_length=1,
        examples=[["nitrogen", "phosphorus"]],
        description="nutrients that it speaks of",
    )
    lawns: tuple[Name, ...] = Field(
        default=(),
        strict=False,
        examples=[["front"]],
        description="lawns that it covers; all if not given",
    )
    slow_release: Share | None = Field(
        default=None,
        examples=["50%"],
        description="least share of the nitrogen that has to be slow-release",
    )
    nitrogen_once_g_m2: NutrientGM2 | None = Field(
        default=None,
        alias="nitrogen_once",
        examples=["0.9 lb/1000 ft2"],
        description="most nitrogen in one application",
    )
    soluble_once_g_m2: NutrientGM2 | None = Field(
        default=None,
        alias="soluble_once",
        examples=["0.7 lb/1000 ft2"],
        description="most water-soluble nitrogen in one application",
    )
    nitrogen_year_g_m2: NutrientGM2 | None = Field(
        default=None,
        alias="nitrogen_year",
        examples=["3.2 lb/1000 ft2"],
        description="most nitrogen in a calendar year",
    )
    phosphate_once_g_m2: NutrientGM2 | None = Field(
        default=None,
        alias="phosphate_once",
        examples=["0.25 lb/1000 ft2"],
        description="most phosphate, as P2O5, in one application",
    )
    phosphate_year_g_m2: NutrientGM2 | None = Field(
        default=None,
        alias="phosphate_year",
        examples=["0.5 lb/1000 ft2"],
        description="most phosphate, as P2O5, in a calendar year",
    )
    after_seeding_days: IntervalDays | None = Field(
        default=None,
        alias="after_seeding",
        examples=["30 days"],
        description="time after seeding or sodding without its nutrients",
    )
    heavy_rain_mm: WaterMm | None = Field(
        default=None,
        alias="heavy_rain",
        examples=["2 in"],
        description="rain within 24 hours before which none is put down",
    )
    storms: bool = Field(
        default=False,
        examples=[True],
        description="none while a storm, flood or tropical watch or warning is in force",
    )
    from_water_m: DistanceM | None = Field(
        default=None,
        alias="from_water",
        examples=["10 ft"],
        description="distance from water that is left free",
    )
    from_water_guarded_m: DistanceM | None = Field(
        default=None,
        alias="from_water_guarded",
        examples=["3 ft"],
        description="the lesser distance with a deflector, a drop spreader or an aimed spray",
    )

    def covers(self, lawn: str) -> bool:
        return _speaks_of(self.lawns, lawn)

    def distance_m(self, deflector: bool) -> float:
        """How far from water nothing is put down; the lesser distance only where the law has one
        and a deflector is used."""
        full = self.from_water_m or 0.0
        guarded = self.from_water_guarded_m
        return guarded if deflector and guarded is not None else full

    @property
    def stands_in(self) -> str:
        """Where it stands, as a source."""
        return self.source or tell("local code, as the site file states it")


class WateringTimes(Table):
    """The days and hours in which watering is allowed; none given allows all."""

    title: Line | None = Field(
        default=None, examples=["Water district's summer days"], description="what it is called"
    )
    weekdays: tuple[Weekday, ...] = Field(
        default=(),
        strict=False,
        examples=[["tuesday", "saturday"]],
        description="days allowed; all if empty",
    )
    dates: Literal["odd", "even"] | None = Field(
        default=None, examples=["odd"], description="whether only odd or even dates are allowed"
    )
    not_on: tuple[DayOfMonth, ...] = Field(
        default=(),
        strict=False,
        examples=[[31]],
        description="days of the month on which none is allowed",
    )
    hours: tuple[Span, ...] = Field(
        default=(),
        strict=False,
        examples=[["04:00-09:00"]],
        description="hours allowed, as minutes after midnight; may run over midnight; all if empty",
    )
    forbidden: bool = Field(
        default=False, examples=[True], description="whether none is allowed while it is in force"
    )
    houses: Literal["odd", "even"] | None = Field(
        default=None, examples=["odd"], description="only for houses with such numbers"
    )
    first: MonthDay | None = Field(
        default=None,
        alias="from",
        strict=False,
        examples=["03-01"],
        description="first day on which it is in force, month-day; all year without the two",
    )
    last: MonthDay | None = Field(
        default=None, alias="to", strict=False, examples=["10-31"], description="last day"
    )
    lawns: tuple[Name, ...] = Field(
        default=(),
        strict=False,
        examples=[["front"]],
        description="lawns that it covers; all if not given",
    )
    source: Line | None = Field(
        default=None, examples=["water company's notice"], description="where the rule stands"
    )

    def covers(self, lawn: str | None, day: date, house: int | None) -> bool:
        """Whether it is in force there on that day. A house whose number nobody stated is under
        the rules for both, and no lawn named means that any of them counts."""
        theirs = self.houses is None or house is None or self.houses == parity(house)
        return (
            theirs
            and (lawn is None or _speaks_of(self.lawns, lawn))
            and in_season(self.first, self.last, day)
        )

    def allows(self, day: date) -> bool:
        """Whether sprinklers may run on that day, as far as this rule goes."""
        return (
            not self.forbidden
            and (not self.weekdays or WEEKDAYS[day.weekday()] in self.weekdays)
            and (self.dates is None or self.dates == parity(day.day))
            and day.day not in self.not_on
        )

    def hours_on(self, day: date, in_force_before: bool) -> list[Span]:
        """Its hours on a day, in minutes after midnight. One over midnight ends with its day; what
        is left of it in the morning counts where it may have begun on the day before."""
        found: list[Span] = []
        for first, last in self.hours:
            if first < last:
                found.append((first, last))
                continue
            if last and in_force_before and self.allows(day - timedelta(1)):
                found.append((0, last))
            found.append((first, MIDNIGHT))
        return found


@dataclass(frozen=True)
class WateringLaw:
    """All rules on watering of a site; the strictest holds: what one of them bars is barred."""

    rules: tuple[WateringTimes, ...] = ()
    house: int | None = None

    def in_force(self, day: date, lawn: str | None = None) -> tuple[WateringTimes, ...]:
        """The rules for a lawn on a day; for any lawn where none is named."""
        return tuple(rule for rule in self.rules if rule.covers(lawn, day, self.house))

    def allows(self, day: date, lawn: str | None = None) -> bool:
        """Whether sprinklers may run on that day, in some hour."""
        return self.barring(day, lawn) is None

    def barring(self, day: date, lawn: str | None = None) -> tuple[WateringTimes, ...] | None:
        """The rules that bar a day: one, or all that speak of hours where they leave no common
        hour; None where the day is allowed."""
        rules = self.in_force(day, lawn)
        for rule in rules:
            if not rule.allows(day):
                return (rule,)
        return tuple(rule for rule in rules if rule.hours) if self.spans(day, lawn) == () else None

    def spans(self, day: date, lawn: str | None = None) -> tuple[Span, ...] | None:
        """The stretches of a day that all rules allow, in minutes after midnight, each with its end
        after its beginning; None where no rule speaks of hours."""
        found: list[Span] | None = None
        for rule in self.in_force(day, lawn):
            if not rule.hours:
                continue
            own = rule.hours_on(day, rule.covers(lawn, day - timedelta(1), self.house))
            if found is None:
                found = own
                continue
            found = [
                (max(first, begin), min(last, end))
                for first, last in found
                for begin, end in own
                if max(first, begin) < min(last, end)
            ]
        return None if found is None else tuple(found)

    @property
    def source(self) -> str | None:
        """Where the rules stand; None where no rule says."""
        named = dict.fromkeys(rule.source for rule in self.rules if rule.source)
        return "; ".join(named) or None


def parity(number: int) -> Literal["odd", "even"]:
    return "odd" if number % 2 else "even"


def _speaks_of(lawns: tuple[str, ...], lawn: str) -> bool:
    return not lawns or lawn in lawns

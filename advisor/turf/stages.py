"""How far a weed or an insect has come, told from warmth: signals as data, and stages as bounds.

A signal is a quantity that only grows within a season (degree-days, the warmest running mean so
far) and the totals at which its source sees the next stage. A stage is an interval like any other
number here: where the quantity or the source leaves it open, `low` and `high` differ.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import NamedTuple

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import ArrayLike, NDArray

from advisor.turf.degree_days import (
    degree_days_modified,
    degree_days_simple,
    degree_days_single_sine,
    sum_since,
)
from advisor.turf.ranges import AIR, Floats, within

Dates = NDArray[np.datetime64]
Codes = NDArray[np.int64]


HOTTEST_C = 45.0
"""Mean of a day that no air and no soil under grass exceeds, for the bound of an unknown day [C;
judgement]."""


class Stage(IntEnum):
    """Where in its season a weed or an insect is."""

    UNKNOWN = -1
    BEFORE = 0
    MAY_BEGIN = 1
    MAJOR = 2
    OVER = 3


class Trust(StrEnum):
    """How a number came to us. What is not `READ` may hold an action back, and never open one."""

    READ = "read in the source"
    SECOND_HAND = "at second hand"
    MEMORY = "from memory"
    JUDGEMENT = "judgement"


class Mark(NamedTuple):
    """The total at which a stage begins, and how far that number can be trusted."""

    total: float
    trust: Trust


class Stages(NamedTuple):
    """Bounds of the stage on each day, as numbers of `Stage`."""

    low: Codes
    high: Codes

    @property
    def known(self) -> Codes:
        """The stage where both bounds agree, and `Stage.UNKNOWN` elsewhere."""
        return np.where(self.low == self.high, self.low, Stage.UNKNOWN)


@dataclass(frozen=True)
class Timetable:
    """Totals of one signal at which its source sees the stages begin.

    `told_to` is the largest total that the source speaks of: above it nothing is said that its
    marks do not say. Without any total every stage is unknown.
    """

    source: str
    may_begin: Mark | None = None
    major: Mark | None = None
    over: Mark | None = None
    told_to: float | None = None

    def stages(self, low: Floats, high: Floats) -> Stages:
        """Stage on each day from bounds of the signal's quantity; NaN is unknown."""
        marks = (self.may_begin, self.major, self.over)
        if self.told_to is None:
            return Stages(
                np.full(low.shape, int(Stage.BEFORE)), np.full(high.shape, int(Stage.OVER))
            )
        least, most = np.zeros(low.shape, np.int64), np.zeros(high.shape, np.int64)
        for stage, mark in enumerate(marks, start=1):
            if mark is not None:
                least = np.where(low >= mark.total, stage, least)
                most = np.where(high >= mark.total, stage, most)
        beyond = ~(high <= self.told_to)
        return Stages(least, np.where(beyond, int(Stage.OVER), most))


@dataclass(frozen=True)
class AirHeat:
    """Degree-days of air since a biofix, and what they tell.

    `method` is "simple", "modified" or "sine"; `biofix` the month and day of the north.
    """

    name: str
    base_c: float
    upper_c: float | None
    method: str
    biofix: tuple[int, int]
    table: Timetable

    def gains(self, tmax: ArrayLike, tmin: ArrayLike) -> Floats:
        """Degree-days of each day [C d], by the method of the source."""
        if self.method == "simple":
            return degree_days_simple(tmax, tmin, self.base_c)
        if self.method == "modified":
            upper = AIR[1] if self.upper_c is None else self.upper_c
            return degree_days_modified(tmax, tmin, self.base_c, upper)
        return degree_days_single_sine(tmax, tmin, self.base_c, self.upper_c)

    def stages(
        self, days: ArrayLike, tmax: ArrayLike, tmin: ArrayLike, *, southern: bool = False
    ) -> Stages:
        """Stage on each day; an unknown day may have brought anything up to the upper limit.

        Parameters
        ----------
        days : array_like of datetime64[D] or date, shape (n,)
            Dates that follow one another.
        tmax, tmin : array_like, shape (n,)
            Highest and lowest air temperature of each [C], -90 to 60; NaN is unknown.
        southern : bool
            Whether the biofix comes half a year later.
        """
        most = (HOTTEST_C if self.upper_c is None else self.upper_c) - self.base_c
        starts = starts_on(days, self.biofix, southern=southern)
        return self.table.stages(*sum_since(self.gains(tmax, tmin), starts, most))


@dataclass(frozen=True)
class SoilHeat:
    """Degree-days of daily mean soil temperature at a depth since a start."""

    name: str
    depth_m: float
    base_c: float
    biofix: tuple[int, int]
    table: Timetable

    def stages(self, days: ArrayLike, soil_c: ArrayLike, *, southern: bool = False) -> Stages:
        """Stage on each day from the soil's daily mean at `depth_m` [C], -90 to 60."""
        soil = within("soil_c", soil_c, AIR)
        starts = starts_on(days, self.biofix, southern=southern)
        most = HOTTEST_C - self.base_c
        return self.table.stages(*sum_since(np.maximum(soil - self.base_c, 0.0), starts, most))


@dataclass(frozen=True)
class SoilTurn:
    """Soil that has been as warm as a total (or, `falling`, as cool) for some days on end.

    Once that was so it stays so for the season: a cold week calls no seedling back. The totals of
    a falling signal are the temperatures with their sign turned, so that they grow.
    """

    name: str
    depth_m: float
    mean_of_days: int
    biofix: tuple[int, int]
    table: Timetable
    falling: bool = False

    def stages(self, days: ArrayLike, soil_c: ArrayLike, *, southern: bool = False) -> Stages:
        """Stage on each day from the soil's daily mean at `depth_m` [C], -90 to 60."""
        soil = within("soil_c", soil_c, AIR)
        starts = starts_on(days, self.biofix, southern=southern)
        mean = np.full(soil.shape, np.nan)
        if soil.size >= self.mean_of_days:
            mean[self.mean_of_days - 1 :] = sliding_window_view(soil, self.mean_of_days).mean(-1)
        # A mean that reaches back over the start belongs to the season before, and decides nothing.
        season = np.cumsum(starts)
        young = _days_since(starts) < self.mean_of_days - 1
        young &= season > 0
        signal = np.where(young, -np.inf, -mean if self.falling else mean)
        unknown = np.isnan(signal)
        low = _highest_so_far(np.where(unknown, -np.inf, signal), starts)
        high = _highest_so_far(np.where(unknown, np.inf, signal), starts)
        return self.table.stages(low, np.where(season > 0, high, np.inf))


def starts_on(
    days: ArrayLike, biofix: tuple[int, int], *, southern: bool = False
) -> NDArray[np.bool_]:
    """Whether each date is the month and day of a start; half a year later in the south.

    Raises
    ------
    ValueError
        The dates do not follow one another.
    """
    dates = np.asarray(days, dtype="datetime64[D]")
    if dates.ndim != 1 or (np.diff(dates) != np.timedelta64(1, "D")).any():
        raise ValueError("days must be dates that follow one another")
    month, day = biofix
    months = dates.astype("datetime64[M]")
    in_month = (months.astype(np.int64) - 6 * southern) % 12 == month - 1
    days_into_it = (dates - months.astype("datetime64[D]")).astype(np.int64)
    begins: NDArray[np.bool_] = in_month & (days_into_it == day - 1)
    return begins


def calendar_stages(
    days: ArrayLike, begins: tuple[int, int], season: tuple[int, int], *, southern: bool = False
) -> Stages:
    """Stage by the date alone: may begin from a month and day on, before that from the season's.

    For signals of which the source gives a date. How far it has come after it is not said.
    """
    begun = starts_on(days, begins, southern=southern)
    turned = starts_on(days, season, southern=southern)
    event = np.where(begun, 1, np.where(turned, 0, -1))
    last = np.maximum.accumulate(np.where(event >= 0, np.arange(event.size), -1))
    now = np.where(last < 0, -1, event[last])
    return Stages(
        np.where(now == 1, int(Stage.MAY_BEGIN), int(Stage.BEFORE)),
        np.where(now == 0, int(Stage.BEFORE), int(Stage.OVER)),
    )


def delayed(stages: Stages, soonest: int, latest: int, starts: ArrayLike) -> Stages:
    """The stages of another weed, `soonest` to `latest` days later within the same season."""
    young = _days_since(np.asarray(starts, dtype=np.bool_))
    index = np.arange(stages.low.size)
    then = index - latest
    low = np.where((young >= latest) & (then >= 0), stages.low[then], int(Stage.BEFORE))
    then = index - soonest
    high = np.where(then >= 0, stages.high[then], int(Stage.OVER))
    in_season = np.cumsum(np.asarray(starts, dtype=np.bool_)) > 0
    high = np.where(in_season & (young < soonest), int(Stage.BEFORE), high)
    return Stages(low, high)


def disagree(one: Stages, other: Stages) -> NDArray[np.bool_]:
    """Whether no stage is left that both signals allow."""
    return (one.low > other.high) | (other.low > one.high)


def _days_since(starts: NDArray[np.bool_]) -> Codes:
    """Days since the last start; before the first one, since the record's first day."""
    index = np.arange(starts.size)
    since: Codes = index - np.maximum.accumulate(np.where(starts, index, 0))
    return since


def _highest_so_far(signal: Floats, starts: NDArray[np.bool_]) -> Floats:
    out = signal.copy()
    edges = np.flatnonzero(starts)
    for begin, end in zip(np.append(0, edges), np.append(edges, out.size), strict=True):
        out[begin:end] = np.maximum.accumulate(out[begin:end])
    return out

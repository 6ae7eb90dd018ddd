"""Frost as a chance and as days ahead, from past years."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.table import Column
from advisor.language.words import tell
from advisor.series.years import PastYears
from advisor.turf.frost import (
    AUTUMN,
    FREEZE_C,
    SPRING,
    FrostRecord,
    autumn_day,
    day_in_half,
    frost_chance,
    frost_day,
    frost_record,
)

Floats = NDArray[np.float64]
Dates = NDArray[np.datetime64]

NEVER = 400.0
"""Days to a frost that few years see, or none."""

EARLY, LATE = 0.1, 0.9
"""Chances of an early and of a late first frost."""


def frost_numbers(days: Dates, past: PastYears | None, southern: bool) -> dict[str, Column]:
    """Chances that frost has come, and that it comes again; days until it comes.

    Frost is a night with 32 °F (0 °C) or less at 2 m, counted over past years. Without past years
    each is unknown.
    """
    if past is None:
        nothing = Column.of(np.full(len(days), np.nan), lambda _: tell("no past years are known"))
        return {"autumn_frost": nothing, "spring_frost": nothing, "days_to_frost": nothing}
    autumn, spring = (_record(past, season, southern) for season in (AUTUMN, SPRING))
    soonest, latest = _days_to(autumn, days, southern)
    return {
        "autumn_frost": _chance(autumn, days, southern),
        "spring_frost": _chance(spring, days, southern),
        "days_to_frost": Column(soonest, latest, _origin(autumn)),
    }


def median_frost(past: PastYears | None, southern: bool) -> tuple[float, float]:
    """Bounds of the day of autumn's first frost in half of the years, as `turf.frost.frost_day`
    counts it; NaN where the past does not tell."""
    if past is None:
        return np.nan, np.nan
    low, high = frost_day(_record(past, AUTUMN, southern), 0.5)
    return float(low), float(high)


def _record(past: PastYears, season: str, southern: bool) -> FrostRecord:
    axis = np.datetime64(past.first, "D") + np.arange(len(past.air_min))
    return frost_record(axis, past.air_min, FREEZE_C, season, southern)


def _chance(record: FrostRecord, days: Dates, southern: bool) -> Column:
    """Unknown in the other half of the year: it is neither over nor to come."""
    low, high = frost_chance(record, day_in_half(days, record.season, southern))
    outside = np.isnan(low)
    return Column(np.where(outside, -np.inf, low), np.where(outside, np.inf, high), _origin(record))


def _days_to(record: FrostRecord, days: Dates, southern: bool) -> tuple[Floats, Floats]:
    """From each day until the first frost of autumn: in one year of ten it comes sooner than the
    one, in one of ten later than the other. In the spring half it is the autumn to come."""
    early, late = frost_day(record, EARLY)[0], frost_day(record, LATE)[1]
    if np.isnan(early):
        return np.full(len(days), -np.inf), np.full(len(days), np.inf)
    from_here = autumn_day(days, southern)
    low, high = (np.clip(day - from_here, 0.0, NEVER) for day in (early, late))
    return low, high


def _origin(record: FrostRecord) -> Callable[[int], str]:
    seasons = len(record.years)
    return lambda _day: tell("nights of frost in {count} past years", count=seasons)

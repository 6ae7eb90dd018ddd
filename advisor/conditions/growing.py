"""What growth makes of a lawn: its height since it was mown, and the year's nitrogen by now."""

from __future__ import annotations

from calendar import isleap
from collections.abc import Mapping, Sequence
from datetime import date

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.table import Column
from advisor.language.words import tell
from advisor.series.years import PastYears
from advisor.site.words import COOL, WARM
from advisor.turf.growth import growth_year, height_since_mowing

Floats = NDArray[np.float64]

TALLEST = 0.5
"""Height that no lawn exceeds, for a bound [m]."""


def height_of(
    mowings: Sequence[tuple[date, float | None]], potential: Floats, days: Sequence[date]
) -> Column:
    """Height of the grass on each day [m], from (day, height in m) of each mowing.

    The day of a mowing has the mown height; before the first one, and after one whose height is not
    told, nothing is known.
    """
    low, high = np.full(len(days), -np.inf), np.full(len(days), np.inf)
    for day, height_m in mowings:
        first = (day - days[0]).days
        if not 0 <= first < len(days):
            continue
        if height_m is None:
            low[first:], high[first:] = -np.inf, np.inf
            continue
        _, fast = height_since_mowing(height_m * 1000, potential[first + 1 :])
        # Thirst and hunger hold growth back: what is sure is that it does not shrink.
        low[first:], high[first] = height_m, height_m
        high[first + 1 :] = np.minimum(fast / 1000, TALLEST)
    return Column(
        low, high, lambda _: tell("your last mowing and growth by the air's warmth since")
    )


def growth_years(past: PastYears | None) -> Mapping[str, Floats]:
    """Share of a year's growth that is done by each of 365 days, by class of grass."""
    if past is None or not past.years:
        return {}
    air = np.stack([_without_leap_day(past.year(year)) for year in past.years])
    return {grass_class: growth_year(air, grass_class) for grass_class in (COOL, WARM)}


def nitrogen_pace(share: Floats | None, limit_g_m2: float, days: Sequence[date]) -> Column:
    """Nitrogen that usual growth has used of a year's limit by the end of each day [g/m2]."""
    if share is None:
        return Column.of(np.full(len(days), np.nan), lambda _: tell("no past years are known"))
    # From 29 February on, a leap year is a day ahead of the 365.
    index = np.array([d.timetuple().tm_yday - 1 - (isleap(d.year) and d >= date(d.year, 2, 29))
                      for d in days])  # fmt: skip
    return Column.of(
        limit_g_m2 * share[index], lambda _: tell("growth of past years by their warmth")
    )


def _without_leap_day(year: PastYears) -> Floats:
    mean = (year.air_max + year.air_min) / 2
    return np.delete(mean, 59) if len(mean) == 366 else mean

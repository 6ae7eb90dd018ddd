"""Rain: a chain of wet and dry days, broad storms in the cold half, thunderstorms in the warm."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from making.fields import Floats, chance
from making.year import NO_OTHER_RAIN, STORMS

STANDARD = 5
"""Hours from standard time to GMT."""

AFTER_DRY = 0.2
AFTER_WET = 0.47
"""Chance of a wet day after a dry and after a wet one (from memory: about 30 % of days)."""

MEAN_AMOUNT = 10.0
"""mm on a wet day."""

MORE_OFTEN, MORE = 1.25, 1.15
"""The year's own long dry spells take rain away; outside them it rains oftener and more."""


def warm_half(day: date) -> float:
    """0 in mid-winter, 1 in mid-summer."""
    return float(0.5 - 0.5 * np.cos(2 * np.pi * (day.timetuple().tm_yday - 20) / 365.25))


def _pour(rain: Floats, begin: float, hours: float, mm: float, skew: float) -> None:
    """Adds a storm that begins at hour `begin` of the array: a hump, early when `skew` is high."""
    first = int(np.floor(begin))
    edges = np.clip((np.arange(first, first + int(hours) + 3) - begin) / hours, 0.0, 1.0)
    poured = (1 - np.cos(np.pi * edges**skew)) / 2
    amounts = mm * np.diff(poured)
    # What falls between labels k and k + 1 belongs to the hour that ends at k + 1.
    rain[first + 1 : first + 1 + len(amounts)] += amounts


def fall(begin: date, days: int, seed: int, *, scripted: bool) -> Floats:
    """Rain in mm of each hour from 00:00 GMT of `begin`, shape (24 * days,).

    `scripted` lays the year's own storms in and keeps its dry days dry; without it the rain is
    that of another year of the same climate.
    """
    rng = chance(1, seed)
    rain = np.zeros(24 * days + 72)
    wet = False
    often, more = (MORE_OFTEN, MORE) if scripted else (1.0, 1.0)
    draws = rng.random((days, 6))
    sizes = np.minimum(rng.gamma(0.85, 1 / 0.85, days), 4.0)
    jitter = rng.random(len(rain))
    for n in range(days):
        day = begin + timedelta(n)
        wet = bool(draws[n, 0] < (AFTER_WET if wet else AFTER_DRY * often))
        closed = scripted and any(a <= day <= b for a, b in NO_OTHER_RAIN)
        if not wet or closed:
            continue
        mm = MEAN_AMOUNT * more * sizes[n] + 0.4
        warm = warm_half(day)
        at = 24 * n + STANDARD
        if draws[n, 1] < 0.75 * warm**1.5:
            _pour(rain, at + 13.0 + 6.0 * draws[n, 2], 1.3 + 2.5 * draws[n, 3], mm, 0.8)
        else:
            hours = 4.0 + 9.0 * draws[n, 3] * (1.2 - 0.4 * warm)
            latest = 23.5 - hours if closed_tomorrow(day, scripted) else 20.0
            _pour(rain, at + max(0.3, latest * draws[n, 2]), hours, mm, 1.0)
    rain *= 0.6 + 0.8 * jitter
    if scripted:
        for storm in STORMS:
            hour = 24 * (storm.day - begin).days + STANDARD + storm.hour
            _pour(rain, hour, storm.hours, storm.mm, 0.85)
    rain = rain[: 24 * days]
    return np.where(rain < 0.05, 0.0, rain)


def closed_tomorrow(day: date, scripted: bool) -> bool:
    """Whether the next day must stay dry, so that no storm may run into it."""
    return scripted and any(a <= day + timedelta(1) <= b for a, b in NO_OTHER_RAIN)

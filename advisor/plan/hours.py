"""The hours of a day in which something can be put down, or water be given."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from advisor.plan.label import DRY
from advisor.series.hourly import HOUR, Series
from advisor.site.free_time import FIRST_HOUR, LAST_HOUR, SHORTEST
from advisor.site.place import Site

LONGEST = 5

RAIN_AT_MOST = 0.1
"""Rain of an hour that still counts as dry [mm]."""

CHANCE_AT_MOST = 0.30
"""Chance of rain in an hour that still counts as dry [judgement]."""


@dataclass(frozen=True)
class Stretch:
    """Hours of a day, by the wall clock: from `start` until `end`."""

    start: time
    end: time

    def text(self) -> tuple[str, str]:
        return self.start.strftime("%H:%M"), self.end.strftime("%H:%M")


def within(one: Stretch | None, other: Stretch | None) -> bool:
    """Whether a stretch lies in another; no stretch lies in none."""
    return (
        one is not None
        and other is not None
        and (other.start <= one.start and one.end <= other.end)
    )


def best_hours(
    series: Series,
    zone: ZoneInfo,
    day: date,
    now: datetime,
    *,
    wind_max: float | None,
    air_max: float | None,
    free: frozenset[int] | None = None,
    announced: Stretch | None = None,
    dry_hours: float | None = None,
) -> Stretch | None:
    """The best stretch of dry hours of a day that is still to come; None where there is none.

    `wind_max` [m/s at 10 m] and `air_max` [°C] are the label's limits, where it has any. Unknown
    wind or temperature fails a limit, unknown rain fails always: what is not known opens nothing.
    An unknown chance of rain is left to the amount. For `dry_hours` after its end no rain to speak
    of may fall. `free` are the clock hours that the rules and
    the owner's own time leave free, where they say anything. Hours that were `announced` are kept
    as far as they are still good. Else the calmest of the longest stretches, of at most five hours,
    wins; the earlier one of two that are equally calm.
    """
    good = []
    rain, chance = series.column("rain"), series.column("rain_chance")
    wind, air = series.column("wind"), series.column("air_temp")
    base = int(series.start.timestamp())
    for hour in range(FIRST_HOUR, LAST_HOUR):
        start = datetime.combine(day, time(hour), zone).astimezone(UTC)
        # In a zone of half hours an hour by the wall clock lies in two of the series.
        from_base = int(start.timestamp()) - base
        rows = slice(from_base // HOUR, -(-(from_base + HOUR) // HOUR))
        late = start < now - timedelta(minutes=30)
        held = free is not None and hour not in free
        if held or late or rows.start < 1 or rows.stop > series.hours:
            good.append(False)
            continue
        # Wind and air are told at the end of a row: an hour has both its ends.
        ends = slice(rows.start - 1, rows.stop)
        ok = bool(np.all(rain[rows] <= RAIN_AT_MOST)) and not bool(
            np.any(chance[rows] > CHANCE_AT_MOST)
        )
        if wind_max is not None:
            ok = ok and bool(np.all(wind[ends] <= wind_max))
        if air_max is not None:
            ok = ok and bool(np.all(air[ends] <= air_max))
        good.append(ok)

    def stays_dry(end: int) -> bool:
        if dry_hours is None:
            return True
        over = int(datetime.combine(day, time(end), zone).timestamp()) - base
        rows = slice(over // HOUR, -(-(over + math.ceil(dry_hours * HOUR)) // HOUR))
        return rows.stop <= series.hours and bool(np.sum(rain[rows]) <= DRY)

    if announced is not None:
        kept = _still_good(good, announced)
        if kept is not None and stays_dry(kept.end.hour):
            return kept
    best: tuple[float, int, int] | None = None
    for length in range(LONGEST, SHORTEST - 1, -1):
        for first in range(len(good) - length + 1):
            if not all(good[first : first + length]) or not stays_dry(FIRST_HOUR + first + length):
                continue
            start = datetime.combine(day, time(FIRST_HOUR + first), zone).astimezone(UTC)
            row = (int(start.timestamp()) - base) // HOUR
            blow = wind[row - 1 : row + length]
            calm = float(np.mean(blow)) if not np.isnan(blow).any() else 99.0
            if best is None or calm < best[0] - 1e-9:
                best = (calm, first, length)
        if best is not None:
            _, first, length = best
            return Stretch(time(FIRST_HOUR + first), time(FIRST_HOUR + first + length))
    return None


def _still_good(good: list[bool], announced: Stretch) -> Stretch | None:
    """The longest run of good hours within those that were announced, if it is long enough."""
    longest: tuple[int, int] | None = None
    first: int | None = None
    last = announced.end.hour + (announced.end.minute > 0)
    for hour in range(announced.start.hour, last + 1):
        fits = FIRST_HOUR <= hour < min(LAST_HOUR, last) and good[hour - FIRST_HOUR]
        if fits and first is None:
            first = hour
        elif not fits and first is not None:
            if longest is None or hour - first > longest[1] - longest[0]:
                longest = (first, hour)
            first = None
    if longest is None or longest[1] - longest[0] < SHORTEST:
        return None
    return Stretch(time(longest[0]), time(longest[1]))


BEFORE_DAWN = (4 * 60, 8 * 60)
"""Minutes after midnight between which to water where no rule says otherwise: least wind and
evaporation, and the leaves are wet anyway (extension advice, 4 to 8 in the morning)."""

MIDDAY = (11 * 60, 15 * 60)
"""Where rules hold the morning, as in frost: water at midday (Colorado State, in a dry winter)."""

RUN_MINUTES = 90
"""Time that must be left in a permitted stretch for a watering to be begun [judgement]."""


def watering_hours(
    site: Site,
    day: date,
    now: datetime,
    free: frozenset[int] | None = None,
    lawn: str | None = None,
) -> Stretch | None:
    """The first permitted stretch of a day that is still to come, or what is left of one; None
    where too little of it is left. `free` are the clock hours that the rules leave free."""
    local = now.astimezone(site.place.zone_info)
    usual = BEFORE_DAWN
    if free is not None and free.isdisjoint(range(BEFORE_DAWN[0] // 60, BEFORE_DAWN[1] // 60)):
        usual = MIDDAY
    spans = site.watering.spans(day, lawn)
    for first, last in (usual,) if spans is None else spans:
        whole = min(last, 24 * 60 - 1)
        for start, end in _runs(first, whole, free):
            begun = start
            if day == local.date():
                begun = max(start, -(-(local.hour * 60 + local.minute) // 15) * 15)
            if end - begun >= min(RUN_MINUTES, whole - first):
                return Stretch(time(begun // 60, begun % 60), time(end // 60, end % 60))
    return None


def _runs(first: int, last: int, free: frozenset[int] | None) -> list[tuple[int, int]]:
    """The parts of a stretch of minutes whose clock hours are free, in order."""
    if free is None:
        return [(first, last)]
    runs: list[tuple[int, int]] = []
    for hour in range(first // 60, -(-last // 60)):
        start, end = max(first, 60 * hour), min(last, 60 * hour + 60)
        if hour not in free:
            continue
        if runs and runs[-1][1] == start:
            runs[-1] = (runs[-1][0], end)
        else:
            runs.append((start, end))
    return runs

"""The hours of local days as the clock shows them: the facts that hour rules read.

A series counts whole hours of UTC. Where the clock differs from it by half an hour or so, an hour
lies in two rows of the series: means are shared by the minutes in each, rain lies between the two,
and of chance, wind, gust and heat the worse counts.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.daily import weather_origin
from advisor.conditions.table import UNKNOWN_WORD, Column, Words
from advisor.conditions.weather_days import WeatherDays
from advisor.language.words import later, tell
from advisor.series.hourly import HOUR, Series
from advisor.series.quantity import Kind, read_quantity
from advisor.site.place import Place
from advisor.turf.heat import heat_index
from advisor.turf.hourly_sun import sun_height
from advisor.turf.leaf_wetness import is_wet
from advisor.turf.spells import at_least, every, some

Floats = NDArray[np.float64]
Index = NDArray[np.intp]

CALM = read_quantity("3 mph", Kind.SPEED)
"""Wind at 10 m below which an inversion can form [m/s] (university pesticide-stewardship pages)."""

BEFORE_SUNSET, AFTER_SUNRISE = 2 * HOUR, HOUR
"""From when to when cool air may lie still [s]: the times that some labels forbid."""

STEP = HOUR // 6
"""Seconds between two looks at the sun's height; a shorter night inside an hour is not seen."""

CHANCE_OF = 0.1
"""Rain of an hour that the chance of rain speaks of [mm]."""


@dataclass(frozen=True)
class HourFacts:
    """What hour rules read; every array has the shape (hours,).

    `starts` are the instants (UTC) at which the hours begin, `day_of` the index of each one's local
    day on the axis of days, `clock` its hour by the wall clock, 0 to 23. A day on which clocks
    change has 23 or 25 hours, and the hour that comes twice is there twice. `numbers` and `words`
    are keyed by fact; their origin takes the index of an hour.
    """

    starts: list[datetime]
    day_of: NDArray[np.int64]
    clock: NDArray[np.int64]
    numbers: Mapping[str, Column]
    words: Mapping[str, Words]


def hour_facts(weather: WeatherDays, place: Place, first: int, last: int) -> HourFacts:
    """The hours of the local days `first` up to and without `last` of `weather.daily.days`.

    Hours that the series does not reach are unknown. Of temperature and humidity the mean of both
    ends of an hour counts; of wind and the heat index the higher end, which is what limits whoever
    sprays or works. A chance of rain that the source does not give is known once the hour is over.

    Raises
    ------
    ValueError
        There are no such days.
    """
    if not 0 <= first <= last <= len(weather.daily.days):
        raise ValueError(f"days must be 0 to {len(weather.daily.days)}, not {first} to {last}")
    hours = [
        (start, end, day, clock)
        for day in range(first, last)
        for start, end, clock in clock_hours(weather.daily.days[day], weather.zone)
    ]
    starts, ends, day_of, clock = np.array(hours, dtype=np.int64).reshape(-1, 4).T
    rows = _Rows(weather.series, starts, ends)
    air, humidity = rows.ends("air_temp"), rows.ends("humidity")
    wind, rain = rows.ends("wind"), rows.column("rain")
    heat = (heat_index(air[0], humidity[0]), heat_index(air[1], humidity[1]))
    wet = some(is_wet(humidity[0], rain), is_wet(humidity[1], rain))
    calm = 1.0 - every(at_least(wind[0], CALM), at_least(wind[1], CALM))
    dark = _sun_down(place, starts, ends)
    night = _sun_down(place, starts - AFTER_SUNRISE, ends + BEFORE_SUNSET)
    by_wind = later("wind and the sun's height, the sky taken as clear")
    return HourFacts(
        [datetime.fromtimestamp(int(start), UTC) for start in starts],
        day_of,
        clock,
        {
            "air_temp": rows.mean(air),
            "humidity": rows.mean(humidity),
            "rain": rows.rain(rain),
            "rain_chance": rows.highest(_chance(rows)),
            "wind": rows.highest(*wind),
            "gust": rows.highest(rows.column("gust")),
            "heat_index": rows.highest(*heat, what=later("NWS heat index")),
        },
        {
            "leaf": _words(
                rows.agreed(wet),
                rows.origin(later("rain, and humidity from 90 % by a limit from memory")),
            ),
            "sun": _words(1.0 - dark, lambda _hour: tell("sun's geometry")),
            "inversion": _words(every(rows.any(calm), night), rows.origin(by_wind)),
        },
    )


def clock_hours(day: date, zone: ZoneInfo) -> list[tuple[int, int, int]]:
    """The hours of a local day: (first second, last second, hour by the clock), in Unix time.

    An hour ends where the clock begins another, or is put back. Where a clock is changed by less
    than an hour, one of the hours is shorter. Clocks change on a quarter of an hour.
    """

    def midnight(of: date) -> int:
        return int(datetime(of.year, of.month, of.day, tzinfo=zone).timestamp())

    begin, end = midnight(day), midnight(day + timedelta(1))
    found: list[tuple[int, int]] = []
    known = None
    for second in range(begin, end, HOUR if end - begin == 24 * HOUR else HOUR // 4):
        local = datetime.fromtimestamp(second, zone)
        if known != (known := (local.hour, local.utcoffset())):
            found.append((second, local.hour))
    ends = [*(second for second, _ in found[1:]), end]
    # A day that a place left out altogether has no hours.
    return [(second, stop, hour) for (second, hour), stop in zip(found, ends, strict=False)]


class _Rows:
    """The rows of a series in which hours lie: one each, or two where the clock is between.

    Arrays by row have the shape (rows + 2,): an unknown row stands before the first and after the
    last one, so that every hour has its rows.
    """

    def __init__(self, series: Series, starts: NDArray[np.int64], ends: NDArray[np.int64]) -> None:
        self._series = series
        base = int(series.start.timestamp())
        self._first: Index = np.clip((starts - base) // HOUR, -1, series.hours).astype(np.intp) + 1
        self._last: Index = np.clip((ends - 1 - base) // HOUR, -1, series.hours).astype(np.intp) + 1
        cut = np.minimum(ends, base + (starts - base) // HOUR * HOUR + HOUR)
        self._share = (cut - starts) / (ends - starts)
        self._ended = ends <= int(series.ahead_from.timestamp())
        self._provider = series.source.provider

    @property
    def past(self) -> NDArray[np.bool_]:
        """By row, whether it was over when the series was given."""
        over = self._series.ends() <= self._series.ahead_from.timestamp()
        return np.concatenate([[True], over, [False]])

    def column(self, name: str) -> Floats:
        return np.concatenate([[np.nan], self._series.column(name), [np.nan]])

    def ends(self, name: str) -> tuple[Floats, Floats]:
        """The instants at both ends of each row."""
        at_end = self.column(name)
        at_start = np.concatenate([[np.nan], at_end[:-1]])
        at_start[-1] = np.nan  # the row after the last stands for any later one
        return at_start, at_end

    def origin(self, what: str = "") -> Callable[[int], str]:
        """`what` is a message."""

        def phrase(hour: int) -> str:
            found = weather_origin(self._provider, tell(what), past=bool(self._ended[hour]))
            if self._first[hour] == self._last[hour]:
                return found
            return tell("{origin}, two hours of it", origin=found)

        return phrase

    def mean(self, ends: tuple[Floats, Floats]) -> Column:
        middle = (ends[0] + ends[1]) / 2
        one, other = middle[self._first], middle[self._last]
        return Column.of(self._share * one + (1 - self._share) * other, self.origin())

    def highest(self, *by_row: Floats, what: str = "") -> Column:
        """The highest of all that touches each hour; a known one is a lower bound of unknown."""
        of_rows = [row[index] for row in by_row for index in (self._first, self._last)]
        every_known = np.max(of_rows, axis=0)
        low = np.max(np.where(np.isnan(of_rows), -np.inf, of_rows), axis=0)
        high = np.where(np.isnan(every_known), np.inf, every_known)
        return Column(low, high, self.origin(what))

    def rain(self, by_row: Floats) -> Column:
        one, other = by_row[self._first], by_row[self._last]
        low = np.where(np.isnan(one + other), 0.0, np.minimum(one, other))
        high = np.where(np.isnan(one + other), np.inf, np.maximum(one, other))
        return Column(low, high, self.origin())

    def any(self, flag: Floats) -> Floats:
        return some(flag[self._first], flag[self._last])

    def agreed(self, flag: Floats) -> Floats:
        """The flag of both rows of an hour; NaN where they differ."""
        one, other = flag[self._first], flag[self._last]
        return np.where(one == other, one, np.nan)


def _chance(rows: _Rows) -> Floats:
    chance, rain = rows.column("rain_chance"), rows.column("rain")
    fell = np.where(np.isnan(rain), np.nan, rain > CHANCE_OF)
    return np.where(np.isnan(chance) & rows.past, fell, chance)


def _sun_down(place: Place, starts: NDArray[np.int64], ends: NDArray[np.int64]) -> Floats:
    """1 where the sun is not above the horizon at some time from `starts` to `ends`, else 0.

    By the sun's centre and without refraction, which puts sunrise some minutes late and sunset
    some minutes early.
    """
    looks = -(-int(np.max(ends - starts, initial=0)) // STEP) + 1
    times = np.minimum(starts[:, None] + STEP * np.arange(looks), ends[:, None])
    height = sun_height(np.deg2rad(place.latitude), times.astype("datetime64[s]"), place.longitude)
    return np.where(np.any(height <= 0, axis=1), 1.0, 0.0)


def _words(flag: Floats, origin: Callable[[int], str]) -> Words:
    """A fact of two words: the first where the flag is 1, the second where it is 0."""
    codes = np.where(np.isnan(flag), UNKNOWN_WORD, np.where(flag == 1, 0, 1)).astype(np.int8)
    return Words(codes, origin)

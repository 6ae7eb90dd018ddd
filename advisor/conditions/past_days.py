"""This year's weather carried on by that of a past year, as if the coming months went like it.

What is known of this year and what its forecast tells stay as they are; behind them each past year
gives one possible future. So the sums, the soil and the grass go on from where they stand today.
Of a past day only temperatures, rain and sunlight are known: wind, humidity, snow and the soil's
own layers are unknown there, and the soil is worked out from air and sun.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from advisor.conditions import place
from advisor.conditions.daily import RAIN_MOST, Daily
from advisor.conditions.frost import frost_numbers, median_frost
from advisor.conditions.growing import growth_years
from advisor.conditions.site_weather import SiteWeather
from advisor.conditions.soil import Surface
from advisor.conditions.stages import insect_words
from advisor.conditions.table import Column, Words
from advisor.conditions.weather_days import WeatherDays
from advisor.conditions.weather_numbers import weather_numbers
from advisor.series.hourly import SOIL_DEPTHS, Series
from advisor.series.years import PastYears
from advisor.site.place import Site

Floats = NDArray[np.float64]

RUN_UP = 120
"""Days before today that a past year gives where nothing is known of this one: longer than soil
and grass remember [judgement]."""

FORESEEN = 7
"""Days of a forecast, today included, that every future shares. What it says of the week behind
them is hardly better than the calendar's; taken as sure, it would make dates seem surer than they
are [judgement]."""

RAIN_LIKELY = 0.1
"""Rain of a day from which on a chance is told by hindsight [mm]."""

_FROM_PAST = ("air_max", "air_min", "radiation")
_NOT_OF_PAST = (
    "vapour_pressure", "humidity", "wind", "gust", "rain_peak", "snow_depth", "heat_load",
    "heat_index",
)  # fmt: skip


@dataclass(frozen=True)
class Futures:
    """What is needed to make the possible futures of a site; `known` is None without a series."""

    site: Site
    past: PastYears
    today: date
    known: WeatherDays | None
    ahead: int
    """Days from today on that a future has."""

    @property
    def years(self) -> tuple[int, ...]:
        """The past years of which each makes one future."""
        return tuple(self.past.years)

    def weather(self, branch: int) -> SiteWeather:
        """The shared facts if the coming days are those of `years[branch]`, and after new year
        those of the year behind it; behind the last one comes the first."""
        daily = self._daily(branch)
        latitude, elevation = self.site.place.latitude, self.site.place.elevation_m
        southern = latitude < 0
        days = WeatherDays(
            daily,
            Surface.under(daily, latitude, elevation),
            place.sun(daily.days, latitude),
            place.reference_et(daily, latitude, elevation),
            self.known.series if self.known is not None else self._nothing(),
            ZoneInfo(self.site.place.zone),
            southern,
        )
        return SiteWeather(
            **vars(days),
            numbers={**weather_numbers(days), **self._frost},
            words={
                "daylight": Words(np.where(days.sun.lengthening, 0, 1).astype(np.int8)),
                **insect_words(days),
            },
            growth_years=self._growth_years,
            median_frost=self._median_frost,
        )

    # What only dates and all past years make is the same in every future.

    @cached_property
    def _frost(self) -> Mapping[str, Column]:
        axis = place.calendar(self._dates)
        return frost_numbers(axis, self.past, self.site.place.latitude < 0)

    @cached_property
    def _growth_years(self) -> Mapping[str, Floats]:
        return growth_years(self.past)

    @cached_property
    def _median_frost(self) -> tuple[float, float]:
        return median_frost(self.past, self.site.place.latitude < 0)

    def _nothing(self) -> Series:
        start = datetime.combine(self.today, time(), UTC)
        return Series(start, {}, self.past.source)

    @cached_property
    def _dates(self) -> list[date]:
        """The days of every future: the known ones, then those up to its end."""
        dates = self._known_days
        begins = dates[-1] + timedelta(1) if dates else self.today - timedelta(RUN_UP)
        stop = self.today + timedelta(self.ahead)
        return dates + [begins + timedelta(n) for n in range((stop - begins).days)]

    @property
    def known_end(self) -> int:
        """Index of the first day that comes from past years."""
        known = self.known.daily if self.known is not None else None
        return 0 if known is None else min(known.forecast_end, known.today + FORESEEN)

    @property
    def _known_days(self) -> list[date]:
        return [] if self.known is None else self.known.daily.days[: self.known_end]

    def _daily(self, branch: int) -> Daily:
        known = self.known.daily if self.known is not None else None
        end = len(self._known_days)
        dates = self._dates[end:]
        rows = self._rows(dates, branch)
        lowest, highest = self.past.air_min[rows], self.past.air_max[rows]
        rain = self.past.rain[rows]
        unknown = np.full(len(dates), np.nan)
        columns: dict[str, Floats] = {
            **{name: getattr(self.past, name)[rows] for name in _FROM_PAST},
            **dict.fromkeys(_NOT_OF_PAST, unknown),
            "air_mean": (highest + lowest) / 2,
            "rain_low": np.nan_to_num(rain),
            "rain_high": np.where(np.isnan(rain), RAIN_MOST, rain),
            "rain_chance": np.where(np.isnan(rain), np.nan, 1.0 * (rain > RAIN_LIKELY)),
        }
        soil = np.full((len(SOIL_DEPTHS), len(dates)), np.nan)
        if known is not None:
            columns = {
                name: np.concatenate([getattr(known, name)[:end], values])
                for name, values in columns.items()
            }
            soil = np.concatenate([known.soil[:, :end], soil], axis=1)
        return Daily(
            days=self._dates,
            today=(self.today - self._dates[0]).days,
            soil=soil,
            soil_depths=tuple(SOIL_DEPTHS.values()),
            chance_by_hindsight=np.arange(len(self._dates)) >= end,
            provider=self.past.source.provider,
            **columns,
        )

    def _rows(self, dates: list[date], branch: int) -> NDArray[np.int64]:
        """Rows of the past that stand for dates; a leap day that a year lacks is its 28 February's
        double."""
        years = self.years
        first = self.past.first

        def row(day: date) -> int:
            year = years[(branch + day.year - self.today.year) % len(years)]
            try:
                return (date(year, day.month, day.day) - first).days
            except ValueError:
                return (date(year, 2, 28) - first).days

        return np.array([row(day) for day in dates], dtype=np.int64)

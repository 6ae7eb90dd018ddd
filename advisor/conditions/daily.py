"""Local days from an hourly series: the weather facts that all lawns of a site share.

A mean, a highest or a lowest of a day needs 20 of its 24 hours; a total with missing hours is a
lower bound. Days are local days by the wall clock, so two of a year have 23 and 25 hours.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from advisor.language.words import tell
from advisor.series.hourly import HOUR, SOIL_DEPTHS, Series
from advisor.turf.air import saturation_vapour_pressure
from advisor.turf.heat import heat_index

Floats = NDArray[np.float64]

HOURS_NEEDED = 20
"""Known hours that a day's mean, highest or lowest needs."""

RAIN_MOST = 600.0
"""Upper bound of a day's rain where an hour is missing [mm]."""

HEAT_FROM = 29.44
"""Air temperature above which heat load counts: 85 °F [°C]."""


@dataclass(frozen=True)
class Daily:
    """Daily weather; every array has the shape (days,), NaN is unknown.

    Temperatures in °C, rain in mm (`rain_low` what is known, `rain_high` a bound), radiation in
    MJ/m2, wind in m/s at 10 m, vapour pressure in kPa, fractions 0 to 1. `soil` has a row for
    each depth of `soil_depths` (m). `today` is the index of the day being decided.
    """

    days: list[date]
    today: int
    air_mean: Floats
    air_max: Floats
    air_min: Floats
    vapour_pressure: Floats
    humidity: Floats
    radiation: Floats
    wind: Floats
    gust: Floats
    rain_low: Floats
    rain_high: Floats
    rain_peak: Floats
    rain_chance: Floats
    chance_by_hindsight: NDArray[np.bool_]
    snow_depth: Floats
    heat_load: Floats
    heat_index: Floats
    soil: Floats
    soil_depths: tuple[float, ...]
    provider: str

    @property
    def forecast_end(self) -> int:
        """Index of the first day after today that the forecast does not reach."""
        unknown = np.flatnonzero(np.isnan(self.air_mean[self.today :]))
        return self.today + int(unknown[0]) if len(unknown) else len(self.days)

    def origin(self, day: int, what: str = "") -> str:
        """Where the weather of a day came from, as a phrase."""
        return weather_origin(self.provider, what, past=day < self.today)


def weather_origin(provider: str, what: str, *, past: bool) -> str:
    """Where weather came from, and `what` was made of it (may be empty), as a phrase."""
    provider = tell(provider)  # a recording has a name in words; a service's stays as it is
    if past:
        when = tell("past weather of {provider}", provider=provider)
    else:
        when = tell("forecast of {provider}", provider=provider)
    return tell("{what}, {origin}", what=what, origin=when) if what else when


def daily(series: Series, zone: ZoneInfo, now: datetime) -> Daily | None:
    """The days of a series as seen at `now`; None where the series does not reach today.

    The first day is dropped when it is not whole: it could only mislead.
    """
    days, day_of = series.local_days(zone)
    today = now.astimezone(zone).date()
    due = hours_of(days, zone)
    if days and int(np.count_nonzero(day_of == 0)) < due[0]:
        keep = day_of > 0
        days, due, day_of = days[1:], due[1:], day_of[keep] - 1
        offset = int(np.count_nonzero(~keep))
    else:
        offset = 0
    if today not in days:
        return None
    sheet = _Sheet(series, day_of, offset, due)
    air = sheet.column("air_temp")
    dew = sheet.column("dew_point")
    humidity = sheet.column("humidity")
    rain = sheet.column("rain")
    chance = sheet.column("rain_chance")
    known_rain = np.nansum(rain, axis=1)
    rain_complete = sheet.count(rain) == sheet.hours
    no_chance = sheet.count(chance) < HOURS_NEEDED
    by_hindsight = no_chance & rain_complete
    warm = np.where(np.isnan(air), np.nan, np.maximum(0.0, air - HEAT_FROM))
    return Daily(
        days=days,
        today=days.index(today),
        air_mean=sheet.mean(air),
        air_max=sheet.highest(air),
        air_min=sheet.lowest(air),
        vapour_pressure=sheet.mean(saturation_vapour_pressure(dew)),
        humidity=sheet.mean(humidity),
        radiation=sheet.mean(sheet.column("radiation")) * 0.0864,
        wind=sheet.mean(sheet.column("wind")),
        gust=sheet.highest(sheet.column("gust")),
        rain_low=known_rain,
        rain_high=np.where(rain_complete, known_rain, RAIN_MOST),
        rain_peak=sheet.highest(rain),
        # A chance that the source does not give is known all the same once the amount is.
        rain_chance=np.where(
            by_hindsight, np.where(known_rain > 0.1, 1.0, 0.0), sheet.highest(chance)
        ),
        chance_by_hindsight=by_hindsight,
        snow_depth=sheet.highest(sheet.column("snow_depth")),
        heat_load=sheet.mean(warm),
        heat_index=sheet.highest(heat_index(air, humidity)),
        soil=np.stack([sheet.mean(sheet.column(name)) for name in SOIL_DEPTHS]),
        soil_depths=tuple(SOIL_DEPTHS.values()),
        provider=series.source.provider,
    )


def hours_of(days: list[date], zone: ZoneInfo) -> NDArray[np.intp]:
    """How many hours each local day has: 24, or 23 and 25 where clocks change."""

    def midnight(day: date) -> float:
        return datetime(day.year, day.month, day.day, tzinfo=zone).timestamp()

    lengths = [midnight(day + timedelta(1)) - midnight(day) for day in days]
    return np.array([round(length / HOUR) for length in lengths], dtype=np.intp)


class _Sheet:
    """Hours laid out as (days, 25): a row a local day, NaN where there is no such hour."""

    def __init__(
        self, series: Series, day_of: NDArray[np.intp], offset: int, due: NDArray[np.intp]
    ) -> None:
        self._series = series
        self._offset = offset
        days = len(due)
        first_of_day = np.searchsorted(day_of, np.arange(days))
        self._slot = np.arange(len(day_of)) - first_of_day[day_of]
        self._day_of = day_of
        self._days = days
        self.hours = due

    def column(self, name: str) -> Floats:
        sheet = np.full((self._days, 25), np.nan)
        sheet[self._day_of, self._slot] = self._series.column(name)[self._offset :]
        return sheet

    def count(self, sheet: Floats) -> NDArray[np.intp]:
        known: NDArray[np.intp] = np.sum(~np.isnan(sheet), axis=1, dtype=np.intp)
        return known

    def _where_enough(self, sheet: Floats, values: Floats) -> Floats:
        return np.where(self.count(sheet) >= HOURS_NEEDED, values, np.nan)

    def mean(self, sheet: Floats) -> Floats:
        total = np.nansum(sheet, axis=1)
        return self._where_enough(sheet, total / np.maximum(1, self.count(sheet)))

    def highest(self, sheet: Floats) -> Floats:
        return self._where_enough(sheet, np.max(np.where(np.isnan(sheet), -np.inf, sheet), axis=1))

    def lowest(self, sheet: Floats) -> Floats:
        return self._where_enough(sheet, np.min(np.where(np.isnan(sheet), np.inf, sheet), axis=1))

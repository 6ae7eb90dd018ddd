"""Ten years of daily past before the recorded year: what the archive service would answer.

The place and its climate are those of the recorded year; the chance is another, so that nothing
here stirs the recorded weather or its forecasts. Hourly weather is made first and summed up as the
service does it. From `FIRST` of the recorded weather on, the days are those of that weather: the
two never speak of one day in two ways.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np

from making import soil
from making.fields import (
    Floats,
    chance,
    cloud_cover,
    damp,
    grass_drive,
    lying_snow,
    near_rain,
    rain_chill,
    unix,
    vapour,
    wave,
)
from making.rain import STANDARD, fall, warm_half
from making.sun import SUBSTEPS, clear_sky, sine_of_height, under_cloud
from making.weather import BEGIN as RECORD_BEGIN
from making.weather import Weather, _air, _climate
from making.year import ELEVATION, FIRST, LATITUDE, LONGITUDE

FIRST_DAY = date(2015, 1, 1)
LAST_DAY = date(2024, 12, 31)
SPIN_UP = 92
"""Days before the first in which the soil finds its temperature."""

PAST = 2014
"""Marks the generators of these years."""
PICK = 33
"""Of many decades of chance, one whose springs and frosts lie as they should."""

NO_AIR = date(2019, 8, 14)
"""A day without air and soil temperatures, as archives have them."""
NO_RAIN = date(2022, 6, 8)
"""A day without rain and sunlight."""

UNITS = {
    "time": "unixtime",
    "temperature_2m_max": "°C",
    "temperature_2m_min": "°C",
    "temperature_2m_mean": "°C",
    "precipitation_sum": "mm",
    "shortwave_radiation_sum": "MJ/m²",
    "et0_fao_evapotranspiration": "mm",
    "soil_temperature_0_to_7cm_mean": "°C",
}
HOLES = {
    NO_AIR: ("temperature_2m", "soil", "et0"),
    NO_RAIN: ("precipitation", "shortwave", "et0"),
}
"""How the names of the columns begin that are null on a day."""


def _dice(what: int) -> np.random.Generator:
    return chance(PAST, PICK, what)


def highs_and_lows(days: list[date], wet: Floats) -> tuple[Floats, Floats]:
    """Daily highs and lows of the air in C; `wet` (0 to 1) is how much it rains on the day.

    As in the recorded year, and two things that its courses bring about there: spells of some
    weeks that are warmer or colder than the climate, so that springs come early or late, and the
    wide swing of dry days in spring and autumn, with cold nights, which brings the frosts of both.
    """
    count = len(days)
    warm = np.array([warm_half(d) for d in days])
    day_of_year = np.array([d.timetuple().tm_yday for d in days], dtype=float)
    mean = _climate(day_of_year)
    between = np.sin(np.pi * warm) ** 2
    spring = np.exp(-(((day_of_year - 108.0) / 22.0) ** 2))
    autumn = np.exp(-(((day_of_year - 292.0) / 32.0) ** 2))
    spell = wave(_dice(1), count, 25.0) * (0.9 + 0.6 * between)
    drift = wave(_dice(2), count, 2.6) * (3.2 - 1.5 * warm)
    of_high = _dice(3).standard_normal(count) * 0.9
    of_low = _dice(4).standard_normal(count) * 1.1
    half = 5.9 + 0.5 * np.sin(np.pi * warm) - 1.7 * wet
    half = half + 1.6 * between * (1.0 - wet)
    fine_night = (3.8 * spring + 5.0 * autumn) * (1.0 - wet)
    high = mean + half + spell + drift + of_high - 1.4 * wet * warm
    low = mean - half + spell + drift + of_low + 0.6 * wet - fine_night
    return np.maximum(high, low + 1.5), low


def evaporation(
    temperature: Floats, pressure_hpa: Floats, wind: Floats, light: Floats, share: Floats
) -> Floats:
    """Reference evapotranspiration of each hour in mm, never below 0.

    FAO-56 equation 53, as the service has it: `temperature` in C, `pressure_hpa` of vapour in hPa,
    `wind` at 10 m in m/s, `light` in W/m2, `share` of the clear sky's light (0 to 1; at night
    what the sky is taken for). All of one shape.
    """
    kelvin = temperature + 273.16
    saturated = 0.6108 * np.exp(17.27 * temperature / (temperature + 237.3))  # kPa
    actual = np.minimum(pressure_hpa / 10.0, saturated)
    slope = 4098.0 * saturated / (temperature + 237.3) ** 2
    gamma = 0.665e-3 * 101.3 * ((293.0 - 0.0065 * ELEVATION) / 293.0) ** 5.26
    sun = light * 3600e-6  # MJ/m2
    lost = 4.903e-9 / 24 * kelvin**4 * (0.34 - 0.14 * np.sqrt(actual)) * (1.35 * share - 0.35)
    net = 0.77 * sun - lost
    ground = np.where(light > 0, 0.1, 0.5) * net
    low_wind = 0.748 * wind
    drying = gamma * 37.0 / (temperature + 273.0) * low_wind * (saturated - actual)
    et: Floats = (0.408 * slope * (net - ground) + drying) / (
        slope + gamma * (1.0 + 0.34 * low_wind)
    )
    return np.maximum(et, 0.0)


def clear_share(labels: Floats, light: Floats, humidity: Floats) -> Floats:
    """Share of the clear sky's light (FAO-56 equations 28 and 37), at night told from humidity.

    `labels` are the hours' ends, `humidity` is in %.
    """
    day_of_year = (labels / 86400.0 - 20089.0) % 365.25
    before = (np.arange(SUBSTEPS) + 0.5) / SUBSTEPS * 3600.0
    sine = np.maximum(sine_of_height(labels[:, None] - before), 0.0).mean(axis=1)
    above = 1367.0 * (1.0 + 0.033 * np.cos(2 * np.pi * day_of_year / 365.25)) * sine
    clear = (0.75 + 2e-5 * ELEVATION) * above
    at_night = 0.8 - 0.4 * humidity / 100.0
    lit = clear > 25.0  # the ratio of two small figures near the horizon says nothing
    share: Floats = np.where(lit, np.minimum(light / np.where(lit, clear, 1.0), 1.0), at_night)
    return share


def _by_day(
    labels: Floats, temperature: Floats, dew: Floats, wind: Floats, light: Floats, rain: Floats,
    ground: Floats,
) -> dict[str, Floats]:  # fmt: skip
    """Daily columns of whole GMT days: labels 00:00 to 23:00, as the service sums them up."""
    pressure = vapour(dew)
    humidity = 100.0 * np.minimum(pressure / vapour(temperature), 1.0)
    et = evaporation(temperature, pressure, wind, light, clear_share(labels, light, humidity))
    air = temperature.reshape(-1, 24)
    # The mean of the layer is that at its middle, 3.5 cm; between 0 and 6 cm it is nearly straight.
    layer = ground[0] + 3.5 / 6.0 * (ground[1] - ground[0])
    columns = (
        air.max(axis=1), air.min(axis=1), air.mean(axis=1),
        np.round(rain, 1).reshape(-1, 24).sum(axis=1),
        light.reshape(-1, 24).sum(axis=1) * 3600e-6, et.reshape(-1, 24).sum(axis=1),
        layer.reshape(-1, 24).mean(axis=1),
    )  # fmt: skip
    return dict(zip(list(UNITS)[1:], columns, strict=True))


def _free_years() -> dict[str, Floats]:
    """Daily columns from FIRST_DAY to LAST_DAY, by chance alone."""
    begin = FIRST_DAY - timedelta(SPIN_UP)
    total = (LAST_DAY - begin).days + 1
    count = 24 * total
    hours = np.arange(count, dtype=float)
    labels = unix(begin) + 3600.0 * hours
    days = [begin + timedelta(n) for n in range(-2, total + 3)]
    day_of_year = np.array([d.timetuple().tm_yday for d in days], dtype=float)
    noon = np.array([(d - begin).days * 24 + 12 + 5.36 for d in days])
    half_day = 6.05 + 1.25 * np.sin(2 * np.pi * (day_of_year - 80) / 365.25)
    of_days = np.array([warm_half(d) for d in days])
    warm = np.interp(hours, noon, of_days)

    rain = fall(begin, total, PAST + PICK, scripted=False)
    near = near_rain(rain)
    wet = np.zeros(len(days))
    local = np.roll(rain, -STANDARD - 1).reshape(-1, 24)
    wet[2:-3] = np.minimum(1.0, (local > 0).sum(axis=1) / 6.0)
    high, low = highs_and_lows(days, wet)

    mood = 0.8 * wave(_dice(5), count, 30.0) + 0.6 * wave(_dice(6), count, 4.0) + 0.1
    cloud = cloud_cover(mood, near)
    clear = clear_sky(labels) * (0.97 - 0.06 * warm)
    light = under_cloud(clear, cloud)

    temperature = _air(count, high, low, noon, half_day) + 0.22 * wave(_dice(7), count, 3.0)
    temperature = temperature - rain_chill(rain, temperature)
    morning = low - 0.8 * (1.0 - of_days) - 0.75 * np.abs(wave(_dice(8), len(low), 2.0))
    midday = np.maximum(np.cos(2 * np.pi * (hours - noon[0]) / 24), 0)
    dew = damp(np.interp(hours, noon, morning) + 0.6 - midday, near, temperature)

    season = 1 + 0.22 * np.cos(2 * np.pi * (day_of_year - 75) / 365.25)
    level = 2.5 * np.exp(0.33 * wave(_dice(9), len(days), 1.5)) * season
    wind = np.interp(hours, noon, level) * (0.68 + 0.95 * np.roll(clear, 2) / 1000.0)
    wind = wind + 0.9 * near * (1 - 0.5 * warm)

    start = soil.settled(15.2, 11.0, 202.0, float(begin.timetuple().tm_yday))
    snow = lying_snow(rain, temperature, np.zeros(()))
    ground = soil.conduct(grass_drive(temperature, light, cloud), start, snow)
    kept = slice(24 * SPIN_UP, None)
    return _by_day(
        labels[kept], temperature[kept], dew[kept], wind[kept], light[kept], rain[kept],
        ground[:, kept],
    )  # fmt: skip


def _recorded(weather: Weather) -> dict[str, Floats]:
    """Daily columns of the recorded weather from its FIRST to LAST_DAY."""
    rows = slice(24 * (FIRST - RECORD_BEGIN).days, 24 * ((LAST_DAY - RECORD_BEGIN).days + 1))
    return _by_day(
        weather.labels[rows], weather.temperature[rows], weather.dew_point[rows],
        weather.wind[rows], weather.light[rows], weather.rain[rows], weather.soil[:, rows],
    )  # fmt: skip


def past_years(weather: Weather) -> dict[str, Any]:
    """The archive's answer for FIRST_DAY to LAST_DAY; `weather` is the recorded weather."""
    columns = _free_years()
    for name, column in _recorded(weather).items():
        columns[name][-len(column) :] = column
    days = [FIRST_DAY + timedelta(n) for n in range((LAST_DAY - FIRST_DAY).days + 1)]
    daily: dict[str, list[Any]] = {"time": [unix(day) for day in days]}
    for name, column in columns.items():
        digits = 1 if UNITS[name] == "°C" else 2
        daily[name] = (np.round(column, digits) + 0.0).tolist()  # + 0.0: no minus zero
    for day, starts in HOLES.items():
        for name in columns:
            if name.startswith(starts):
                daily[name][days.index(day)] = None
    return {
        "latitude": LATITUDE,
        "longitude": LONGITUDE,
        "generationtime_ms": 0.0,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        "timezone_abbreviation": "GMT",
        "elevation": ELEVATION,
        "daily_units": UNITS,
        "daily": daily,
    }

"""How far the weather favours leaf diseases: pressure, never a diagnosis.

A day's pressure is that of the night that ends on it, from noon to noon, and of the days before.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.daily import HOURS_NEEDED
from advisor.conditions.nights import Nights
from advisor.conditions.table import Column, Words
from advisor.conditions.weather_days import WeatherDays
from advisor.language.words import later, tell
from advisor.turf.disease import (
    brown_patch_index,
    brown_patch_pressure,
    dollar_spot,
    pythium_pressure,
)
from advisor.turf.leaf_wetness import is_wet, wetness
from advisor.turf.spells import above, total, trailing_mean

Floats = NDArray[np.float64]

HUMID = 0.90
"""Humidity above which Pythium grows (Nutter, Cole and Schein 1983) [fraction]."""

SPOT_DAYS = 5
"""Days whose means the model of dollar spot reads (Smith et al. 2018)."""

SPOT_FROM = 10.0
"""Five days' mean temperature below which that model was not made [°C; from memory]."""


def pressure_numbers(weather: WeatherDays) -> dict[str, Column]:
    """Hours of wet leaves of the night that ends on each day, and dollar spot's probability."""
    nights = Nights(weather.series, weather.daily.days, weather.zone)
    wet = is_wet(weather.series.column("humidity"), weather.series.column("rain"))
    hours = wetness(nights.flags(wet)).total
    return {
        "leaf_wetness": Column(
            hours.low / 24,
            hours.high / 24,
            _origin(weather, later("humidity and rain from noon to noon")),
        ),
        "dollar_spot": _dollar_spot(weather),
    }


def _dollar_spot(weather: WeatherDays) -> Column:
    """In the cold, where the model ends, it lies between none and the model's least warm day."""
    air = trailing_mean(weather.daily.air_mean, SPOT_DAYS)
    humidity = trailing_mean(weather.daily.humidity, SPOT_DAYS)
    known = dollar_spot(air, humidity)
    at_its_coolest = dollar_spot(np.where(np.isnan(air), np.nan, SPOT_FROM), humidity)
    cold = air < SPOT_FROM
    return Column(
        np.where(cold | np.isnan(known), 0.0, known),
        np.where(cold, np.nan_to_num(at_its_coolest, nan=1.0), np.nan_to_num(known, nan=1.0)),
        _origin(weather, later("five days' mean temperature and humidity (Smith et al. 2018)")),
    )


def pressure_words(weather: WeatherDays) -> dict[str, Words]:
    """Pressure of brown patch and of Pythium blight, coded as `vocabulary.PRESSURE`."""
    days = weather.daily
    nights = Nights(weather.series, days.days, weather.zone)
    patch = brown_patch_pressure(brown_patch_index(days.humidity, days.air_min))
    air = nights.column("air_temp")
    humid = total(nights.flags(above(weather.series.column("humidity"), HUMID)))
    least, most = (
        pythium_pressure(_end(air, np.fmax), _end(air, np.fmin), hours)
        for hours in (humid.low, humid.high)
    )
    return {
        "brown_patch": Words(
            _codes(patch),
            _origin(weather, later("humidity and lowest temperature (Fidanza et al. 1996)")),
        ),
        "pythium": Words(
            _codes(np.where(least == most, least, np.nan)),
            _origin(weather, later("warm humid hours from noon to noon (Nutter et al. 1983)")),
        ),
    }


def _end(sheet: Floats, pick: np.ufunc) -> Floats:
    """Highest or lowest of each night; unknown where too few of its hours are known."""
    enough = np.count_nonzero(~np.isnan(sheet), axis=1) >= HOURS_NEEDED
    ends: Floats = pick.reduce(sheet, axis=1)
    return np.where(enough, ends, np.nan)


def _codes(pressure: Floats) -> NDArray[np.int8]:
    return np.where(np.isnan(pressure), -1, pressure).astype(np.int8)


def _origin(weather: WeatherDays, what: str) -> Callable[[int], str]:
    """`what` is a message."""
    return lambda day: weather.daily.origin(day, tell(what))

"""What follows from where a site lies and what day it is: daylight, and reference ET of a day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.daily import Daily
from advisor.turf.air import wind_at_2m
from advisor.turf.evapotranspiration import hargreaves_samani, penman_monteith_daily
from advisor.turf.sun import (
    daylight_hours,
    daylight_lengthening,
    extraterrestrial_radiation,
)

Floats = NDArray[np.float64]

WIND_HEIGHT = 10.0
"""Height at which the services give wind [m]."""

PENMAN_MONTEITH = "FAO-56 Penman-Monteith from forecast temperature, dew point, wind and radiation"
HARGREAVES = "Hargreaves-Samani from the day's highest and lowest temperature, other inputs missing"


@dataclass(frozen=True)
class Sun:
    """Shape (days,): day length in hours and whether days grow longer."""

    hours: Floats
    lengthening: NDArray[np.bool_]


def day_of_year(days: Sequence[date]) -> NDArray[np.int64]:
    return np.array([d.timetuple().tm_yday for d in days], dtype=np.int64)


def sun(days: Sequence[date], latitude_deg: float) -> Sun:
    """Daylight on each day at a latitude in degrees, north positive."""
    doy = day_of_year(days)
    latitude = np.deg2rad(latitude_deg)
    return Sun(daylight_hours(latitude, doy), daylight_lengthening(latitude, doy))


def reference_et(
    daily: Daily, latitude_deg: float, elevation_m: float
) -> tuple[Floats, NDArray[np.bool_]]:
    """Reference evapotranspiration [mm/d] of each day, and where the full equation was used.

    FAO-56 Penman-Monteith (eq. 6) where all its inputs are known; Hargreaves-Samani (eq. 52)
    where only the temperatures are; NaN where not even those.
    """
    doy = day_of_year(daily.days)
    latitude = np.deg2rad(latitude_deg)
    full = penman_monteith_daily(
        air_max=daily.air_max,
        air_min=daily.air_min,
        vapour_pressure=daily.vapour_pressure,
        radiation=daily.radiation,
        wind_2m=wind_at_2m(daily.wind, WIND_HEIGHT),
        elevation_m=elevation_m,
        latitude_rad=latitude,
        day_of_year=doy,
    )
    by_full = ~np.isnan(full)
    simple = hargreaves_samani(
        daily.air_max, daily.air_min, extraterrestrial_radiation(latitude, doy)
    )
    return np.where(by_full, full, np.maximum(0.0, simple)), by_full

"""What follows from where a site lies and what day it is: daylight, and reference ET of a day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.daily import Daily
from advisor.language.words import later, tell
from advisor.turf.air import (
    vapour_pressure_from_dew_point,
    vapour_pressure_from_mean,
    wind_at_2m,
)
from advisor.turf.evapotranspiration import hargreaves_samani, penman_monteith_daily
from advisor.turf.sun import (
    clear_sky_radiation,
    daylight_hours,
    daylight_lengthening,
    extraterrestrial_radiation,
    radiation_from_temperature,
)

Floats = NDArray[np.float64]

WIND_HEIGHT = 10.0
"""Height at which the services give wind [m]."""

USUAL_WIND = 2.0
"""Wind at 2 m where none is given: the mean of over 2000 stations (FAO-56, chapter 3) [m/s]."""

PENMAN_MONTEITH = later(
    "FAO-56 Penman-Monteith from forecast temperature, dew point, wind and radiation"
)
HARGREAVES = later(
    "Hargreaves-Samani from the day's highest and lowest temperature, other inputs missing"
)


@dataclass(frozen=True)
class ReferenceET:
    """Reference evapotranspiration of each day, and what stood in for inputs that were missing.

    Shape (days,). `values` in mm/d, NaN where even the temperatures are unknown. The others say
    for each day whether only temperatures were used, whether humidity came from the day's mean or
    from its coldest hour, and whether radiation and wind were estimated.
    """

    values: Floats
    temperature_only: NDArray[np.bool_]
    humidity_of_mean: NDArray[np.bool_]
    humidity_of_coldest: NDArray[np.bool_]
    radiation_estimated: NDArray[np.bool_]
    wind_assumed: NDArray[np.bool_]

    def method(self, day: int) -> str:
        """The equation that was used on a day, by name."""
        return "Hargreaves-Samani" if self.temperature_only[day] else "Penman-Monteith"

    def origin(self, day: int) -> str:
        """How the value of a day came about, as a phrase."""
        if self.temperature_only[day]:
            return tell(HARGREAVES)
        how = {
            tell("dew point taken from the day's mean humidity"): self.humidity_of_mean,
            tell("dew point taken as the day's lowest temperature"): self.humidity_of_coldest,
            tell(
                "sunlight estimated from the day's range of temperature"
            ): self.radiation_estimated,
            tell("wind assumed {speed} m/s", speed=f"{USUAL_WIND:g}"): self.wind_assumed,
        }
        made_up = [phrase for phrase, where in how.items() if where[day]]
        if not made_up:
            return tell(PENMAN_MONTEITH)
        return tell(
            "Penman-Monteith; {made_up}, not given by the service",
            made_up=reduce(
                lambda some, last: tell("{some} and {last}", some=some, last=last), made_up
            ),
        )


_EPOCH = date(1970, 1, 1).toordinal()


@dataclass(frozen=True)
class Sun:
    """Shape (days,): day length in hours and whether days grow longer."""

    hours: Floats
    lengthening: NDArray[np.bool_]


def calendar(days: Sequence[date]) -> NDArray[np.datetime64]:
    """The days as an array; by their numbers, which is faster than date by date."""
    numbers = np.fromiter(map(date.toordinal, days), dtype=np.int64, count=len(days))
    return (numbers - _EPOCH).astype("datetime64[D]")


def day_of_year(days: Sequence[date]) -> NDArray[np.int64]:
    """From 1 on 1 January."""
    dates = calendar(days)
    since_new_year: NDArray[np.int64] = (dates - dates.astype("datetime64[Y]")).astype(np.int64)
    return since_new_year + 1


def sun(days: Sequence[date], latitude_deg: float) -> Sun:
    """Daylight on each day at a latitude in degrees, north positive."""
    doy = day_of_year(days)
    latitude = np.deg2rad(latitude_deg)
    return Sun(daylight_hours(latitude, doy), daylight_lengthening(latitude, doy))


def reference_et(
    daily: Daily, latitude_deg: float, elevation_m: float, shade: float = 0.0
) -> ReferenceET:
    """Reference evapotranspiration of each day, by FAO-56 and its ways for missing inputs.

    Penman-Monteith (eq. 6). A missing dew point is made good by the mean humidity (eq. 19), or
    else by the lowest temperature (eq. 48); missing radiation by the range of temperature (eq. 50,
    inland factor 0.16, so by the sea it comes out low); missing wind is 2 m/s. Where all three are
    missing Hargreaves-Samani (eq. 52) is used instead. FAO-56 Example 20 shows both ways; this one
    was fitted to temperatures alone, where three estimates in a row add up their errors. NaN where
    the highest or lowest temperature is unknown.

    `shade` is the share of sunlight that does not reach the grass, 0 to 1. The equation is given
    the rest of it; with Hargreaves-Samani, which knows no sunlight, the answer is cut by that share
    (judgement). That shaded air is also stiller and moister is left out, so it comes out high.

    Limits: in a dry climate the night does not cool to the dew point, which lies 2 or 3 °C lower
    (from memory); taken as the lowest temperature, it makes ET0 come out low there.
    """
    doy = day_of_year(daily.days)
    latitude = np.deg2rad(latitude_deg)
    high, low = daily.air_max, daily.air_min
    ra = extraterrestrial_radiation(latitude, doy)
    no_dew, no_humidity = np.isnan(daily.vapour_pressure), np.isnan(daily.humidity)
    no_sun, no_wind = np.isnan(daily.radiation), np.isnan(daily.wind)
    at_lowest = vapour_pressure_from_dew_point(low)
    at_mean = vapour_pressure_from_mean(high, low, daily.humidity)
    full = penman_monteith_daily(
        air_max=high,
        air_min=low,
        vapour_pressure=np.where(
            no_dew, np.where(no_humidity, at_lowest, at_mean), daily.vapour_pressure
        ),
        radiation=(1.0 - shade)
        * np.where(
            no_sun,
            radiation_from_temperature(high, low, ra, elevation_m=elevation_m),
            daily.radiation,
        ),
        # Cut alike, so that shade does not pass for cloud and lessen the heat lost to the sky.
        clear_sky=(1.0 - shade) * clear_sky_radiation(ra, elevation_m),
        wind_2m=np.where(no_wind, USUAL_WIND, wind_at_2m(daily.wind, WIND_HEIGHT)),
        elevation_m=elevation_m,
        latitude_rad=latitude,
        day_of_year=doy,
    )
    bare = no_dew & no_humidity & no_sun & no_wind
    return ReferenceET(
        values=np.where(bare, (1.0 - shade) * hargreaves_samani(high, low, ra), full),
        temperature_only=bare,
        humidity_of_mean=no_dew & ~no_humidity,
        humidity_of_coldest=no_dew & no_humidity,
        radiation_estimated=no_sun,
        wind_assumed=no_wind,
    )

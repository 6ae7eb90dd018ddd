"""Reference evapotranspiration of well-watered grass, a day at a time, after FAO-56.

Element by element on arrays that broadcast together; NaN in gives NaN out; a number that cannot
be is refused with a ValueError that names it and the range. Numbers in brackets are equations of
Allen, Pereira, Raes and Smith (1998), FAO Irrigation and Drainage Paper 56. The components can be
had from here too.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.turf import formulas
from advisor.turf.air import (
    mean_saturation,
    pressure_at,
    psychrometric_constant,
    saturation_vapour_pressure,
    slope_of_saturation,
    vapour_pressure_from_dew_point,
    vapour_pressure_from_extremes,
    vapour_pressure_from_highest,
    vapour_pressure_from_mean,
    vapour_pressure_from_wet_bulb,
    wind_at_2m,
)
from advisor.turf.ranges import (
    AIR,
    DAY_OF_YEAR,
    ELEVATION,
    LATITUDE,
    RADIATION,
    VAPOUR,
    WIND,
    Floats,
    in_order,
    within,
)
from advisor.turf.reference import FAO56, Reference
from advisor.turf.sun import (
    CLOUD_FLOOR,
    clear_sky_radiation,
    daylight_hours,
    daylight_lengthening,
    extraterrestrial_radiation,
    net_longwave,
    net_shortwave,
    radiation_from_sunshine,
    radiation_from_temperature,
)

__all__ = [
    "clear_sky_radiation",
    "daylight_hours",
    "daylight_lengthening",
    "extraterrestrial_radiation",
    "ground_heat_of_month",
    "hargreaves_samani",
    "mean_saturation",
    "net_longwave",
    "net_shortwave",
    "penman_monteith_daily",
    "pressure_at",
    "psychrometric_constant",
    "radiation_from_sunshine",
    "radiation_from_temperature",
    "saturation_vapour_pressure",
    "slope_of_saturation",
    "vapour_pressure_from_dew_point",
    "vapour_pressure_from_extremes",
    "vapour_pressure_from_highest",
    "vapour_pressure_from_mean",
    "vapour_pressure_from_wet_bulb",
    "wind_at_2m",
]

MM_PER_MJ = formulas.MM_PER_MJ
"""Depth of water that a MJ/m2 evaporates [20], mm."""


def penman_monteith_daily(
    *,
    air_max: ArrayLike,
    air_min: ArrayLike,
    vapour_pressure: ArrayLike,
    radiation: ArrayLike,
    wind_2m: ArrayLike,
    elevation_m: ArrayLike,
    latitude_rad: ArrayLike,
    day_of_year: ArrayLike,
    ground_heat: ArrayLike = 0.0,
    clear_sky: ArrayLike | None = None,
    cloud_floor: float = CLOUD_FLOOR,
    reference: Reference = FAO56,
) -> Floats:
    """Reference evapotranspiration of a day by Penman and Monteith [6].

    With another `reference` it is the ASCE-EWRI (2005) standardized equation. The vapour deficit
    and the answer are not let below 0: dew is not counted.

    Parameters
    ----------
    air_max, air_min : array_like
        Highest and lowest air temperature of the day at 2 m [C], -90 to 60.
    vapour_pressure : array_like
        Actual vapour pressure at 2 m [kPa], 0 to 10.
    radiation : array_like
        Sunlight on the ground [MJ/m2/d], 0 to 50.
    wind_2m : array_like
        Mean wind at 2 m [m/s], 0 to 120.
    elevation_m : array_like
        Height above sea level [m], -450 to 9000.
    latitude_rad : array_like
        Latitude, south negative [rad], -pi/2 to pi/2.
    day_of_year : array_like
        1 to 366.
    ground_heat : array_like
        Heat into the soil [MJ/m2/d], -20 to 20; next to nothing over a day [42].
    clear_sky : array_like, optional
        Sunlight on a clear day [MJ/m2/d], 0 to 50, as from `clear_sky.clear_sky_full`; by default
        the simple one [37].
    cloud_floor : float
        Least share of clear-sky radiation in the long-wave term: 0.3 as ASCE-EWRI (2005), 0 for
        FAO-56 to the letter (see `sun.CLOUD_FLOOR`); 0 to 1.
    reference : Reference
        The crop: `FAO56`, `ASCE_SHORT` or `ASCE_TALL` of `reference`.

    Returns
    -------
    ndarray
        ET0 [mm/d], at least 0.

    Raises
    ------
    ValueError
        A number lies outside its range, or the least temperature exceeds the greatest.
    """
    high, low = within("air_max", air_max, AIR), within("air_min", air_min, AIR)
    in_order("air_min", low, "air_max", high)
    ea = within("vapour_pressure", vapour_pressure, VAPOUR)
    rs = within("radiation", radiation, RADIATION)
    wind = within("wind_2m", wind_2m, WIND)
    elevation = within("elevation_m", elevation_m, ELEVATION)
    latitude = within("latitude_rad", latitude_rad, LATITUDE)
    day = within("day_of_year", day_of_year, DAY_OF_YEAR)
    into_soil = within("ground_heat", ground_heat, (-20.0, 20.0, "MJ/m2/d"))
    floor = float(within("cloud_floor", cloud_floor, (0.0, 1.0, "")))

    if clear_sky is None:
        rso = formulas.clear_sky(formulas.extraterrestrial(latitude, day), elevation)
    else:
        rso = within("clear_sky", clear_sky, RADIATION)
    emitted = reference.radiates_day / 2 * (formulas.fourth(high) + formulas.fourth(low))
    rnl = formulas.net_long(emitted, ea, formulas.share_of_clear(rs, rso, floor))
    mean = (high + low) / 2
    return formulas.combined(
        mean,
        formulas.slope(mean, reference.slope),
        formulas.psychrometric(formulas.pressure(elevation)),
        (1.0 - formulas.ALBEDO) * rs - rnl - into_soil,
        wind,
        (formulas.saturation(high) + formulas.saturation(low)) / 2 - ea,
        reference.numerator_day,
        reference.wind_day,
    )


def hargreaves_samani(air_max: ArrayLike, air_min: ArrayLike, ra: ArrayLike) -> Floats:
    """Reference evapotranspiration from temperature alone [52], for want of better data.

    It comes out low in wind above 3 m/s and high in humid air; trust means of a week rather than
    single days (the week is from memory).

    Parameters
    ----------
    air_max, air_min : array_like
        Highest and lowest air temperature of the day at 2 m [C], -90 to 60.
    ra : array_like
        Extraterrestrial radiation [MJ/m2/d], 0 to 50; it is turned into mm here.

    Returns
    -------
    ndarray
        ET0 [mm/d], at least 0 (the formula itself turns negative below a mean of -17.8 C).

    Raises
    ------
    ValueError
        A number lies outside its range, or the least temperature exceeds the greatest.
    """
    high, low = within("air_max", air_max, AIR), within("air_min", air_min, AIR)
    in_order("air_min", low, "air_max", high)
    depth = MM_PER_MJ * within("ra", ra, RADIATION)
    return np.maximum(0.0023 * ((high + low) / 2 + 17.8) * np.sqrt(high - low) * depth, 0.0)


def ground_heat_of_month(before: ArrayLike, after: ArrayLike, months_apart: int = 2) -> Floats:
    """Heat into the soil over a month, from mean air temperatures [43, 44].

    Parameters
    ----------
    before, after : array_like
        Mean air temperature of an earlier and of a later month [C], -90 to 60.
    months_apart : {2, 1}
        2: the months on both sides of the one that is asked for [43]; 1: the month before it and
        itself, when the next is not known [44].

    Returns
    -------
    ndarray
        G [MJ/m2/d].

    Raises
    ------
    ValueError
        A temperature lies outside the range, or `months_apart` is neither 1 nor 2.
    """
    if months_apart not in (1, 2):
        raise ValueError(f"months_apart must be 1 or 2, not {months_apart}")
    change = within("after", after, AIR) - within("before", before, AIR)
    return 0.14 / months_apart * change

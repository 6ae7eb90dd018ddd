"""Sunlight: what arrives above the air, on the ground and into the grass; the length of the day.

Element by element on arrays that broadcast together; NaN in gives NaN out; a number that cannot
be is refused with a ValueError that names it and the range. Radiation is a day's sum, MJ/m2/d.
Numbers in brackets are equations of FAO-56 (see `air`).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from advisor.turf import formulas
from advisor.turf.ranges import (
    AIR,
    DAY_OF_YEAR,
    ELEVATION,
    LATITUDE,
    RADIATION,
    VAPOUR,
    Floats,
    in_order,
    within,
)
from advisor.turf.reference import FAO56

CLOUD_FLOOR = 0.3
"""Least share of clear-sky radiation that [39] is given, as ASCE-EWRI (2005) holds it.

FAO-56 itself only caps the share at 1. Below a share of 0.26 its cloud term turns negative, and the
grass would then gain long-wave heat from the sky of a dark day; the floor prevents that.
"""


def extraterrestrial_radiation(latitude_rad: ArrayLike, day_of_year: ArrayLike) -> Floats:
    """Sunlight above the atmosphere [21].

    Parameters
    ----------
    latitude_rad : array_like
        Latitude, south negative [rad], -pi/2 to pi/2.
    day_of_year : array_like
        1 January is 1; 1 to 366.

    Returns
    -------
    ndarray
        Ra [MJ/m2/d]; 0 in polar night.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    return formulas.extraterrestrial(*_where_and_when(latitude_rad, day_of_year))


def daylight_hours(latitude_rad: ArrayLike, day_of_year: ArrayLike) -> Floats:
    """Hours from sunrise to sunset, by the sun's centre and without refraction [34].

    Parameters
    ----------
    latitude_rad : array_like
        Latitude, south negative [rad], -pi/2 to pi/2.
    day_of_year : array_like
        1 to 366.

    Returns
    -------
    ndarray
        N [h], 0 to 24.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    latitude, day = _where_and_when(latitude_rad, day_of_year)
    return 24.0 / np.pi * formulas.sunset_angle(latitude, formulas.declination(day))


def daylight_lengthening(latitude_rad: ArrayLike, day_of_year: ArrayLike) -> NDArray[np.bool_]:
    """Whether days are growing longer: whether the sun is moving towards this hemisphere [24].

    At the equator, where the length does not change, the answer is no. In polar day and night it is
    about the height of the sun.

    Parameters
    ----------
    latitude_rad : array_like
        Latitude, south negative [rad], -pi/2 to pi/2; must be known.
    day_of_year : array_like
        1 to 366; must be known.

    Returns
    -------
    ndarray of bool

    Raises
    ------
    ValueError
        A number lies outside its range or is NaN, for which a yes or no has no place.
    """
    latitude, day = _where_and_when(latitude_rad, day_of_year)
    for name, array in (("latitude_rad", latitude), ("day_of_year", day)):
        if np.isnan(array).any():
            raise ValueError(f"{name} must be known, not NaN")
    return np.asarray(latitude * formulas.declination_rises(day) > 0)


def clear_sky_radiation(ra: ArrayLike, elevation_m: ArrayLike) -> Floats:
    """Sunlight on the ground on a clear day [37].

    Parameters
    ----------
    ra : array_like
        Extraterrestrial radiation [MJ/m2/d], 0 to 50.
    elevation_m : array_like
        Height above sea level [m], -450 to 9000.

    Returns
    -------
    ndarray
        Rso [MJ/m2/d].

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    return formulas.clear_sky(
        within("ra", ra, RADIATION), within("elevation_m", elevation_m, ELEVATION)
    )


def radiation_from_sunshine(n: ArrayLike, N: ArrayLike, ra: ArrayLike) -> Floats:
    """Sunlight on the ground from hours of bright sunshine [35], with 0.25 and 0.50.

    Parameters
    ----------
    n : array_like
        Hours of bright sunshine [h], 0 to 24.
    N : array_like
        Hours from sunrise to sunset [h], 0 to 24. A recorder may show a little more than the
        formula's N; the share is held at 1. Without daylight the answer is 0.
    ra : array_like
        Extraterrestrial radiation [MJ/m2/d], 0 to 50.

    Returns
    -------
    ndarray
        Rs [MJ/m2/d].

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    hours = (0.0, 24.0, "h")
    bright, light = within("n", n, hours), within("N", N, hours)
    share = np.minimum(bright / np.where(light <= 0, 1.0, light), 1.0)
    return np.where(light <= 0, 0.0, 0.25 + 0.50 * share) * within("ra", ra, RADIATION)


def radiation_from_temperature(
    tmax: ArrayLike,
    tmin: ArrayLike,
    ra: ArrayLike,
    k_rs: float = 0.16,
    elevation_m: ArrayLike = 0.0,
) -> Floats:
    """Sunlight on the ground from the day's range of temperature [50], at most that of a clear sky.

    Parameters
    ----------
    tmax, tmin : array_like
        Highest and lowest air temperature of the day [C], -90 to 60.
    ra : array_like
        Extraterrestrial radiation [MJ/m2/d], 0 to 50.
    k_rs : float
        0.16 inland, 0.19 by the sea [C**-0.5]; 0.10 to 0.25.
    elevation_m : array_like
        Height above sea level, for the cap at Rso [37] [m], -450 to 9000.

    Returns
    -------
    ndarray
        Rs [MJ/m2/d].

    Raises
    ------
    ValueError
        A number lies outside its range, or the least temperature exceeds the greatest.
    """
    high, low = within("tmax", tmax, AIR), within("tmin", tmin, AIR)
    in_order("tmin", low, "tmax", high)
    factor = within("k_rs", k_rs, (0.10, 0.25, "C**-0.5"))
    above = within("ra", ra, RADIATION)
    clear = formulas.clear_sky(above, within("elevation_m", elevation_m, ELEVATION))
    return np.minimum(factor * np.sqrt(high - low) * above, clear)


def net_shortwave(rs: ArrayLike) -> Floats:
    """Sunlight that the reference grass keeps [38]: all but 23 %.

    Parameters
    ----------
    rs : array_like
        Sunlight on the ground [MJ/m2/d], 0 to 50.

    Returns
    -------
    ndarray
        Rns [MJ/m2/d].

    Raises
    ------
    ValueError
        A number lies outside the range.
    """
    return (1.0 - formulas.ALBEDO) * within("rs", rs, RADIATION)


def clear_sky_share(rs: ArrayLike, rso: ArrayLike, cloud_floor: float = CLOUD_FLOOR) -> Floats:
    """How much of a clear sky's sunlight arrives, within the bounds that [39] is given.

    Parameters
    ----------
    rs, rso : array_like
        Sunlight on the ground, and on a clear day [MJ/m2/d], 0 to 50. Where rso is 0 (polar
        night) their ratio tells nothing of cloud and is taken as 1, which loses the most heat and
        so gives the least evapotranspiration.
    cloud_floor : float
        Least share: 0.3 as ASCE-EWRI (2005); 0 for FAO-56 to the letter; 0 to 1.

    Returns
    -------
    ndarray
        Rs/Rso [fraction], `cloud_floor` to 1.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    floor = float(within("cloud_floor", cloud_floor, (0.0, 1.0, "")))
    return formulas.share_of_clear(
        within("rs", rs, RADIATION), within("rso", rso, RADIATION), floor
    )


def net_longwave(
    tmax: ArrayLike,
    tmin: ArrayLike,
    ea: ArrayLike,
    rs: ArrayLike,
    rso: ArrayLike,
    cloud_floor: float = CLOUD_FLOOR,
) -> Floats:
    """Heat that the grass radiates to the sky, less what comes back [39].

    Parameters
    ----------
    tmax, tmin : array_like
        Highest and lowest air temperature of the day [C], -90 to 60.
    ea : array_like
        Actual vapour pressure [kPa], 0 to 10.
    rs, rso : array_like
        Sunlight on the ground, and on a clear day [MJ/m2/d], 0 to 50.
    cloud_floor : float
        Least share of the two (see `clear_sky_share`), 0 to 1.

    Returns
    -------
    ndarray
        Rnl [MJ/m2/d], positive when the grass loses.

    Raises
    ------
    ValueError
        A number lies outside its range, or the least temperature exceeds the greatest.
    """
    high, low = within("tmax", tmax, AIR), within("tmin", tmin, AIR)
    in_order("tmin", low, "tmax", high)
    actual, share = within("ea", ea, VAPOUR), clear_sky_share(rs, rso, cloud_floor)
    emitted = FAO56.radiates_day / 2 * (formulas.fourth(high) + formulas.fourth(low))
    return formulas.net_long(emitted, actual, share)


def _where_and_when(latitude_rad: ArrayLike, day_of_year: ArrayLike) -> tuple[Floats, Floats]:
    return (
        within("latitude_rad", latitude_rad, LATITUDE),
        within("day_of_year", day_of_year, DAY_OF_YEAR),
    )

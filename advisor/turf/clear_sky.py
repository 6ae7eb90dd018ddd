"""Sunlight on a clear day through air of known pressure and moisture, after ASCE-EWRI (2005).

The full form of appendix D, beside the simple one [37] of `sun`. Element by element on arrays that
broadcast together; NaN in gives NaN out; a number that cannot be is refused with a ValueError that
names it and the range.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.turf import formulas
from advisor.turf.ranges import DAY_OF_YEAR, LATITUDE, RADIATION, VAPOUR, Floats, within

_PRESSURE = (25.0, 110.0, "kPa")


def mean_sun_height(latitude_rad: ArrayLike, day_of_year: ArrayLike) -> Floats:
    """Height of the sun over the daylight of a day, weighted by its strength (D.5).

    Parameters
    ----------
    latitude_rad : array_like
        Latitude, south negative [rad], -pi/2 to pi/2. The fit is made for the lawns' latitudes;
        beyond the polar circles it tells little, and `clear_sky_full` holds it above 0.1.
    day_of_year : array_like
        1 to 366.

    Returns
    -------
    ndarray
        Height [rad].

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    latitude = within("latitude_rad", latitude_rad, LATITUDE)
    day = within("day_of_year", day_of_year, DAY_OF_YEAR)
    # The declination of FAO-56 [24] swings by 0.409 around the same angle.
    swing = formulas.declination(day) / 0.409
    return 0.85 + 0.3 * latitude * swing - 0.42 * latitude * latitude


def beam_share(
    pressure_kpa: ArrayLike, vapour_pressure: ArrayLike, height_rad: ArrayLike, lowest: float
) -> Floats:
    """Share of the sunlight above the air that comes straight through clear air, KB (D.2, D.3).

    Parameters
    ----------
    pressure_kpa : array_like
        Air pressure [kPa], 25 to 110.
    vapour_pressure : array_like
        Actual vapour pressure [kPa], 0 to 10.
    height_rad : array_like
        Height of the sun [rad], -pi/2 to pi/2.
    lowest : float
        Least sine of the height, which the formula needs above 0; 0.01 to 1. The report's own
        software takes 0.1 for a day and 0.01 for an hour.

    Returns
    -------
    ndarray
        Fraction, 0 to 0.98.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    pressure = within("pressure_kpa", pressure_kpa, _PRESSURE)
    ea = within("vapour_pressure", vapour_pressure, VAPOUR)
    least = float(within("lowest", lowest, (0.01, 1.0, "")))
    sine = np.maximum(np.sin(within("height_rad", height_rad, LATITUDE)), least)
    water = 0.14 * ea * pressure + 2.1
    beam: Floats = np.exp(-0.00146 * pressure / sine - 0.075 * (water / sine) ** 0.4)
    return 0.98 * beam


def diffuse_share(beam: ArrayLike) -> Floats:
    """Share of the sunlight above the air that comes scattered from a clear sky, KD (D.4).

    Parameters
    ----------
    beam : array_like
        KB [fraction], 0 to 1.

    Returns
    -------
    ndarray
        Fraction.

    Raises
    ------
    ValueError
        A number lies outside the range.
    """
    kb = within("beam", beam, (0.0, 1.0, ""))
    return np.minimum(0.35 - 0.36 * kb, 0.18 + 0.82 * kb)


def clear_sky_full(
    ra: ArrayLike,
    pressure_kpa: ArrayLike,
    vapour_pressure: ArrayLike,
    height_rad: ArrayLike,
    *,
    lowest: float,
) -> Floats:
    """Sunlight on the ground under a clear sky: KB + KD of what is above the air (D.1).

    Parameters
    ----------
    ra : array_like
        Extraterrestrial radiation of a day or an hour [MJ/m2], 0 to 50.
    pressure_kpa : array_like
        Air pressure [kPa], 25 to 110.
    vapour_pressure : array_like
        Actual vapour pressure [kPa], 0 to 10.
    height_rad : array_like
        Height of the sun [rad]: `mean_sun_height` for a day, `hourly_sun.sun_height` for an hour.
    lowest : float
        Least sine of the height: 0.1 for a day, 0.01 for an hour (see `beam_share`).

    Returns
    -------
    ndarray
        Rso [MJ/m2] of the same day or hour.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    beam = beam_share(pressure_kpa, vapour_pressure, height_rad, lowest)
    return (beam + diffuse_share(beam)) * within("ra", ra, RADIATION)

"""Moisture, pressure and wind of the air near the ground, after FAO-56.

Every function works element by element on arrays that broadcast together. NaN (unknown) comes out
as NaN; a number that cannot be is refused with a ValueError that names it and the range. A scalar
in gives a scalar of numpy out. Numbers in brackets are equations of Allen, Pereira, Raes and Smith
(1998), *Crop evapotranspiration*, FAO Irrigation and Drainage Paper 56.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.turf import formulas
from advisor.turf.ranges import AIR, ELEVATION, FRACTION, VAPOUR, WIND, Floats, in_order, within

ASPIRATED = 0.000662
"""Psychrometer coefficient of a wet bulb ventilated at about 5 m/s, 1/C [15]."""


def saturation_vapour_pressure(t_c: ArrayLike) -> Floats:
    """Vapour pressure of saturated air [11].

    Parameters
    ----------
    t_c : array_like
        Temperature [C], -90 to 60.

    Returns
    -------
    ndarray
        Saturation vapour pressure [kPa].

    Raises
    ------
    ValueError
        A temperature lies outside the range.
    """
    return formulas.saturation(within("t_c", t_c, AIR))


def mean_saturation(air_max: ArrayLike, air_min: ArrayLike) -> Floats:
    """Mean saturation vapour pressure of a day [12].

    The mean of both ends: taking it at the mean temperature comes out too low.

    Parameters
    ----------
    air_max, air_min : array_like
        Highest and lowest air temperature of the day [C], -90 to 60.

    Returns
    -------
    ndarray
        Vapour pressure [kPa].

    Raises
    ------
    ValueError
        A temperature lies outside the range, or the least exceeds the greatest.
    """
    high, low = _day(air_max, air_min)
    return (formulas.saturation(high) + formulas.saturation(low)) / 2


def slope_of_saturation(t_c: ArrayLike) -> Floats:
    """Slope of the saturation vapour pressure curve [13].

    Parameters
    ----------
    t_c : array_like
        Temperature [C], -90 to 60.

    Returns
    -------
    ndarray
        Slope [kPa/C].

    Raises
    ------
    ValueError
        A temperature lies outside the range.
    """
    return formulas.slope(within("t_c", t_c, AIR))


def pressure_at(elevation_m: ArrayLike) -> Floats:
    """Mean air pressure at a height above the sea [7].

    Parameters
    ----------
    elevation_m : array_like
        Height above sea level [m], -450 to 9000.

    Returns
    -------
    ndarray
        Pressure [kPa].

    Raises
    ------
    ValueError
        A height lies outside the range.
    """
    return formulas.pressure(within("elevation_m", elevation_m, ELEVATION))


def psychrometric_constant(pressure_kpa: ArrayLike) -> Floats:
    """Psychrometric constant [8].

    Parameters
    ----------
    pressure_kpa : array_like
        Air pressure [kPa], 25 to 110.

    Returns
    -------
    ndarray
        Psychrometric constant [kPa/C].

    Raises
    ------
    ValueError
        A pressure lies outside the range.
    """
    return formulas.psychrometric(within("pressure_kpa", pressure_kpa, (25.0, 110.0, "kPa")))


def wind_at_2m(speed_m_s: ArrayLike, height_m: ArrayLike) -> Floats:
    """Wind at 2 m from wind measured at another height over grass [47].

    Parameters
    ----------
    speed_m_s : array_like
        Wind speed [m/s], 0 to 120.
    height_m : array_like
        Height of the measurement above the ground [m], 0.5 to 200; the logarithmic profile means
        nothing closer to the grass.

    Returns
    -------
    ndarray
        Wind speed at 2 m [m/s].

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    speed = within("speed_m_s", speed_m_s, WIND)
    height = within("height_m", height_m, (0.5, 200.0, "m"))
    return speed * 4.87 / np.log(67.8 * height - 5.42)


def vapour_pressure_from_dew_point(dew_point: ArrayLike) -> Floats:
    """Actual vapour pressure from the dew point [14].

    Parameters
    ----------
    dew_point : array_like
        Dew point [C], -90 to 60.

    Returns
    -------
    ndarray
        Actual vapour pressure [kPa].

    Raises
    ------
    ValueError
        A temperature lies outside the range.
    """
    return formulas.saturation(within("dew_point", dew_point, AIR))


def dew_point(vapour_pressure: ArrayLike) -> Floats:
    """Dew point from the actual vapour pressure: [11] solved for the temperature.

    Parameters
    ----------
    vapour_pressure : array_like
        Actual vapour pressure [kPa], 0.00002 to 10 (about -89 to 46 C); air without any vapour has
        no dew point.

    Returns
    -------
    ndarray
        Dew point [C].

    Raises
    ------
    ValueError
        A pressure lies outside the range.
    """
    actual = within("vapour_pressure", vapour_pressure, (2e-5, 10.0, "kPa"))
    return formulas.dew_point(np.log(actual / 0.6108))


def vapour_pressure_from_wet_bulb(
    dry_bulb: ArrayLike,
    wet_bulb: ArrayLike,
    pressure_kpa: ArrayLike,
    coefficient: float = ASPIRATED,
) -> Floats:
    """Actual vapour pressure from a psychrometer [15].

    Parameters
    ----------
    dry_bulb, wet_bulb : array_like
        Temperature of the dry and of the wet bulb [C], -90 to 60.
    pressure_kpa : array_like
        Air pressure [kPa], 25 to 110.
    coefficient : float
        Of the instrument [1/C]: 0.000662 ventilated, 0.0008 with natural ventilation, 0.0012
        indoors.

    Returns
    -------
    ndarray
        Actual vapour pressure [kPa], not below 0.

    Raises
    ------
    ValueError
        A number lies outside its range, or the wet bulb is the warmer one.
    """
    dry = within("dry_bulb", dry_bulb, AIR)
    wet = within("wet_bulb", wet_bulb, AIR)
    in_order("wet_bulb", wet, "dry_bulb", dry)
    pressure = within("pressure_kpa", pressure_kpa, (25.0, 110.0, "kPa"))
    return np.maximum(formulas.saturation(wet) - coefficient * pressure * (dry - wet), 0.0)


def vapour_pressure_from_extremes(
    air_max: ArrayLike, air_min: ArrayLike, humidity_max: ArrayLike, humidity_min: ArrayLike
) -> Floats:
    """Actual vapour pressure from the day's highest and lowest relative humidity [17].

    Parameters
    ----------
    air_max, air_min : array_like
        Highest and lowest air temperature of the day [C], -90 to 60.
    humidity_max, humidity_min : array_like
        Highest and lowest relative humidity of the day [fraction], 0 to 1.

    Returns
    -------
    ndarray
        Actual vapour pressure [kPa].

    Raises
    ------
    ValueError
        A number lies outside its range, or a least value exceeds the greatest.
    """
    high, low = _day(air_max, air_min)
    most = within("humidity_max", humidity_max, FRACTION)
    least = within("humidity_min", humidity_min, FRACTION)
    in_order("humidity_min", least, "humidity_max", most)
    return (formulas.saturation(low) * most + formulas.saturation(high) * least) / 2


def vapour_pressure_from_highest(air_min: ArrayLike, humidity_max: ArrayLike) -> Floats:
    """Actual vapour pressure from the day's highest relative humidity alone [18].

    Parameters
    ----------
    air_min : array_like
        Lowest air temperature of the day [C], -90 to 60.
    humidity_max : array_like
        Highest relative humidity of the day [fraction], 0 to 1.

    Returns
    -------
    ndarray
        Actual vapour pressure [kPa].

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    low = within("air_min", air_min, AIR)
    return formulas.saturation(low) * within("humidity_max", humidity_max, FRACTION)


def vapour_pressure_from_mean(
    air_max: ArrayLike, air_min: ArrayLike, humidity_mean: ArrayLike
) -> Floats:
    """Actual vapour pressure from the day's mean relative humidity [19].

    The least exact of the four; it comes out high.

    Parameters
    ----------
    air_max, air_min : array_like
        Highest and lowest air temperature of the day [C], -90 to 60.
    humidity_mean : array_like
        Mean relative humidity of the day [fraction], 0 to 1.

    Returns
    -------
    ndarray
        Actual vapour pressure [kPa].

    Raises
    ------
    ValueError
        A number lies outside its range, or the least temperature exceeds the greatest.
    """
    mean = within("humidity_mean", humidity_mean, FRACTION)
    return mean * mean_saturation(air_max, air_min)


def vapour_deficit(air_max: ArrayLike, air_min: ArrayLike, vapour_pressure: ArrayLike) -> Floats:
    """Vapour pressure deficit of a day: [12] less the actual vapour pressure, not below 0.

    With one temperature for both ends it is the deficit of an hour or a moment.

    Parameters
    ----------
    air_max, air_min : array_like
        Highest and lowest air temperature of the day [C], -90 to 60.
    vapour_pressure : array_like
        Actual vapour pressure [kPa], 0 to 10.

    Returns
    -------
    ndarray
        Deficit [kPa].

    Raises
    ------
    ValueError
        A number lies outside its range, or the least temperature exceeds the greatest.
    """
    actual = within("vapour_pressure", vapour_pressure, VAPOUR)
    return np.maximum(mean_saturation(air_max, air_min) - actual, 0.0)


def _day(air_max: ArrayLike, air_min: ArrayLike) -> tuple[Floats, Floats]:
    high, low = within("air_max", air_max, AIR), within("air_min", air_min, AIR)
    in_order("air_min", low, "air_max", high)
    return high, low

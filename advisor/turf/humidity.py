"""Humidity in the measures that people and diseases answer to: wet bulb, dew point, deficit.

Element by element on arrays that broadcast together; NaN in gives NaN out; a number that cannot
be is refused with a ValueError that names it and the range. Saturation over water is that of
FAO-56 (Allen et al. 1998, eq 11), below freezing as well.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.turf import formulas
from advisor.turf.ranges import AIR, FRACTION, Floats, in_order, within

DRIEST = 0.01
"""Humidity below which no drier air is told apart [fraction]: stations report whole percents."""


def wet_bulb(t_c: ArrayLike, humidity_fraction: ArrayLike) -> Floats:
    """Temperature of a wet, ventilated thermometer at the pressure of sea level.

    The fit of Stull (2011), J. Appl. Meteor. Climatol. 50:2267-2269, with T in C, R in % and the
    arc tangent in radians:

    Tw = T atan(0.151977 sqrt(R + 8.313659)) + atan(T + R) - atan(R - 1.676331)
    + 0.00391838 R^1.5 atan(0.023101 R) - 4.686035

    Stull states errors of -1 to +0.65 C, mostly below 0.3. Beside a full psychrometric solution it
    strays by up to 1.2 C, most in air both hot and dry. Near saturation it may lie up to 0.2 C
    outside the dew point and the dry bulb.

    The fit holds for -20 to 50 C and 5 to 99 %, and not in air both cold and dry, where it leaves
    the truth by up to 4 C; where that begins is our judgement: below 5 C together with less than
    40 %. Outside all this the answer is unknown: such weather is possible, so it is no mistake of
    the caller's, but the formula says nothing about it.

    It rises with temperature, and from -7 C up with humidity; in colder air at 40 to 67 % the fit
    turns round, which the truth does not.

    Parameters
    ----------
    t_c : array_like
        Air temperature [C], -90 to 60.
    humidity_fraction : array_like
        Relative humidity [fraction], 0 to 1.

    Returns
    -------
    ndarray
        Wet bulb [C]; NaN outside the fit.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    t = within("t_c", t_c, AIR)
    r = within("humidity_fraction", humidity_fraction, FRACTION) * 100.0
    wet = (
        t * np.arctan(0.151977 * np.sqrt(r + 8.313659))
        + np.arctan(t + r)
        - np.arctan(r - 1.676331)
        + 0.00391838 * r**1.5 * np.arctan(0.023101 * r)
        - 4.686035
    )
    fits = (t >= -20) & (t <= 50) & (r >= 5) & (r <= 99) & ((t >= 5) | (r >= 40))
    return np.where(fits, wet, np.nan)


def dew_point(t_c: ArrayLike, humidity_fraction: ArrayLike) -> Floats:
    """Temperature at which this air would be saturated.

    FAO-56 eq 11 turned round, with the vapour pressure ea = RH * e(T) in kPa:
    Td = 237.3 L / (17.27 - L), L = ln(ea / 0.6108). It rises with temperature and humidity. Below
    freezing it is the dew point over water, not the frost point.

    Parameters
    ----------
    t_c : array_like
        Air temperature [C], -90 to 60.
    humidity_fraction : array_like
        Relative humidity [fraction], 0 to 1; below 0.01 it is taken as 0.01, since air without
        any vapour has no dew point.

    Returns
    -------
    ndarray
        Dew point [C], not above `t_c`.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    t = within("t_c", t_c, AIR)
    r = np.maximum(within("humidity_fraction", humidity_fraction, FRACTION), DRIEST)
    log = 17.27 * t / (t + 237.3) + np.log(r)
    return np.minimum(formulas.dew_point(log), t)


def relative_humidity(t_c: ArrayLike, dew_point: ArrayLike) -> Floats:
    """Relative humidity of air with this dew point: RH = e(Td) / e(T), by FAO-56 eq 10 and 11.

    Parameters
    ----------
    t_c, dew_point : array_like
        Air temperature and dew point [C], -90 to 60; the dew point is not the higher one.

    Returns
    -------
    ndarray
        Relative humidity [fraction], 0 to 1.

    Raises
    ------
    ValueError
        A temperature lies outside the range, or the dew point exceeds the temperature.
    """
    t, dew = within("t_c", t_c, AIR), within("dew_point", dew_point, AIR)
    in_order("dew_point", dew, "t_c", t)
    return formulas.saturation(dew) / formulas.saturation(t)


def deficit(t_c: ArrayLike, humidity_fraction: ArrayLike) -> Floats:
    """Vapour pressure deficit of air at one moment: VPD = (1 - RH) e(T), e by FAO-56 eq 11.

    For a whole day take `air.vapour_deficit`, which knows both ends of its temperature. One
    published pair, 1.080 kPa of vapour and a deficit of 3.42 at 31 C and 24 %, is 0.24 and 0.76 of
    4.5 kPa: its saturation pressure has two digits where eq 11 gives 4.493.

    Parameters
    ----------
    t_c : array_like
        Air temperature [C], -90 to 60.
    humidity_fraction : array_like
        Relative humidity [fraction], 0 to 1.

    Returns
    -------
    ndarray
        Deficit [kPa], at least 0.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    saturated = formulas.saturation(within("t_c", t_c, AIR))
    return (1.0 - within("humidity_fraction", humidity_fraction, FRACTION)) * saturated

"""Warmth and growth: growth potential and degree-days.

Element by element on arrays that broadcast together; NaN in gives NaN out; a number that cannot
be is refused with a ValueError that names it and the range.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.site.words import COOL, WARM
from advisor.turf.ranges import AIR, Floats, in_order, within

_OPTIMUM: dict[str, tuple[float, float]] = {COOL: (20.0, 5.5), WARM: (31.0, 7.0)}


def growth_potential(mean_air_c: ArrayLike, grass_class: str) -> Floats:
    """Growth that the warmth allows, as a share of the most.

    A bell curve about the optimum (Gelernter and Stowell 2005, Golf Course Management 73(3)) with
    the Celsius sets of Woods (2014): 20 and 5.5 C for cool-season, 31 and 7 C for warm-season
    grass, which is held at 1 above its optimum. Over a half is good growth, under a tenth very
    little. Meant for means of a week to a month.

    Parameters
    ----------
    mean_air_c : array_like
        Mean air temperature [C], -90 to 60.
    grass_class : str
        "cool-season" or "warm-season".

    Returns
    -------
    ndarray
        Growth potential [fraction], 0 to 1.

    Raises
    ------
    ValueError
        A temperature lies outside the range, or there is no such class.
    """
    if grass_class not in _OPTIMUM:
        raise ValueError(f"grass_class must be {COOL} or {WARM}, not {grass_class}")
    mean = within("mean_air_c", mean_air_c, AIR)
    best, spread = _OPTIMUM[grass_class]
    off = (mean - best) / spread
    if grass_class == WARM:
        off = np.minimum(off, 0.0)
    return np.exp(-0.5 * off * off)


def degree_days_simple(tmax: ArrayLike, tmin: ArrayLike, base: ArrayLike) -> Floats:
    """Degree-days of a day by its mean (the first method of McMaster and Wilhelm 1997).

    Parameters
    ----------
    tmax, tmin : array_like
        Highest and lowest temperature of the day [C], -90 to 60.
    base : array_like
        Temperature above which warmth counts [C], -90 to 60.

    Returns
    -------
    ndarray
        Degree-days [C d], at least 0.

    Raises
    ------
    ValueError
        A number lies outside its range, or the least temperature exceeds the greatest.
    """
    high, low = _day(tmax, tmin)
    return np.maximum((high + low) / 2 - within("base", base, AIR), 0.0)


def degree_days_modified(
    tmax: ArrayLike, tmin: ArrayLike, base: ArrayLike, upper: ArrayLike
) -> Floats:
    """Degree-days of a day with both of its ends held between the limits before the mean is taken.

    The second method of McMaster and Wilhelm (1997, Agricultural and Forest Meteorology 87:291),
    with the upper limit that is usual for maize.

    Parameters
    ----------
    tmax, tmin : array_like
        Highest and lowest temperature of the day [C], -90 to 60.
    base, upper : array_like
        Temperatures between which warmth counts [C], -90 to 60.

    Returns
    -------
    ndarray
        Degree-days [C d], 0 to upper - base.

    Raises
    ------
    ValueError
        A number lies outside its range, or a lower one exceeds its upper one.
    """
    high, low = _day(tmax, tmin)
    bottom, top = _limits("base", base, "upper", upper)
    held_high = np.minimum(np.maximum(high, bottom), top)
    held_low = np.minimum(np.maximum(low, bottom), top)
    return (held_high + held_low) / 2 - bottom


def degree_days_single_sine(
    tmax: ArrayLike, tmin: ArrayLike, lower: ArrayLike, upper: ArrayLike
) -> Floats:
    """Degree-days of a day that swings as a sine between its ends, with a horizontal cut-off.

    Baskerville and Emin (1969), Ecology 50:514-517: the area under the sine and above `lower`, less
    that above `upper`.

    Parameters
    ----------
    tmax, tmin : array_like
        Highest and lowest temperature of the day [C], -90 to 60.
    lower, upper : array_like
        Temperatures between which warmth counts [C], -90 to 60.

    Returns
    -------
    ndarray
        Degree-days [C d], 0 to upper - lower.

    Raises
    ------
    ValueError
        A number lies outside its range, or a lower one exceeds its upper one.
    """
    high, low = _day(tmax, tmin)
    bottom, top = _limits("lower", lower, "upper", upper)
    return np.maximum(_above(bottom, high, low) - _above(top, high, low), 0.0)


def _above(threshold: Floats, high: Floats, low: Floats) -> Floats:
    """Area of the day's sine above a threshold; held at its ends, so it needs no cases."""
    mean, half = (high + low) / 2, (high - low) / 2
    # A day without a swing: any tiny one gives the same area, and no division by zero.
    crossing = (threshold - mean) / np.maximum(half, 1e-9)
    crossing = np.minimum(np.maximum(crossing, -1.0), 1.0)
    angle = np.arcsin(crossing)
    return ((mean - threshold) * (np.pi / 2 - angle) + half * np.cos(angle)) / np.pi


def _day(tmax: ArrayLike, tmin: ArrayLike) -> tuple[Floats, Floats]:
    high, low = within("tmax", tmax, AIR), within("tmin", tmin, AIR)
    in_order("tmin", low, "tmax", high)
    return high, low


def _limits(
    low_name: str, low: ArrayLike, high_name: str, high: ArrayLike
) -> tuple[Floats, Floats]:
    bottom, top = within(low_name, low, AIR), within(high_name, high, AIR)
    in_order(low_name, bottom, high_name, top)
    return bottom, top

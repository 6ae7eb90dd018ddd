"""Degree-days: the warmth of a day above a base, and its sum since a start.

Element by element on arrays that broadcast together; NaN in gives NaN out; a number that cannot
be is refused with a ValueError that names it and the range. Totals in Fahrenheit are turned by
1.8, without the 32.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.turf.ranges import AIR, Floats, in_order, within

HORIZONTAL = "horizontal"
INTERMEDIATE = "intermediate"
VERTICAL = "vertical"

GAIN = (0.0, 150.0, "C d")


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
    tmax: ArrayLike,
    tmin: ArrayLike,
    lower: ArrayLike,
    upper: ArrayLike | None = None,
    cutoff: str = HORIZONTAL,
) -> Floats:
    """Degree-days of a day that swings as a sine between its ends.

    Baskerville and Emin (1969), Ecology 50:514-517: the area under the sine and above `lower`.
    Above `upper` warmth counts as the cut-off says (Zalom et al. 1983, leaflet 21373):
    "horizontal", as much as at `upper`; "vertical", not at all; "intermediate", ever less (the
    area above `upper` is taken off twice; from memory, as is that of "vertical"). The sum of a day
    is held at 0, which only the intermediate cut-off needs.

    Parameters
    ----------
    tmax, tmin : array_like
        Highest and lowest temperature of the day [C], -90 to 60.
    lower, upper : array_like
        Temperatures between which warmth counts [C], -90 to 60; without `upper` there is no limit.
    cutoff : str
        "horizontal", "intermediate" or "vertical".

    Returns
    -------
    ndarray
        Degree-days [C d], at least 0, and with `upper` at most upper - lower.

    Raises
    ------
    ValueError
        A number lies outside its range, a lower one exceeds its upper one, or there is no such
        cut-off.
    """
    if cutoff not in (HORIZONTAL, INTERMEDIATE, VERTICAL):
        raise ValueError(f"cutoff must be {HORIZONTAL}, {INTERMEDIATE} or {VERTICAL}, not {cutoff}")
    high, low = _day(tmax, tmin)
    if upper is None:
        return _above(within("lower", lower, AIR), high, low)
    bottom, top = _limits("lower", lower, "upper", upper)
    over = _above(top, high, low)
    if cutoff == VERTICAL:
        over = over + (top - bottom) * _share_above(top, high, low)
    elif cutoff == INTERMEDIATE:
        over = 2 * over
    return np.maximum(_above(bottom, high, low) - over, 0.0)


def sum_since(
    gains: ArrayLike, starts: ArrayLike, most: ArrayLike = np.inf
) -> tuple[Floats, Floats]:
    """Sum of the days since the last start, as bounds that hold the true sum.

    An unknown day brought between 0 and `most`. Before the first start nobody knows what came
    before the record: the lower bound is the sum since its first day, the upper one is infinite.

    Parameters
    ----------
    gains : array_like, shape (..., days)
        Degree-days of each day [C d], 0 to 150; NaN is unknown.
    starts : array_like of bool, shape (days,)
        Days on which the sum begins anew (biofix); the day itself counts.
    most : array_like, shape (...)
        The most that one day can bring [C d], at least 0; infinite when nothing bounds it.

    Returns
    -------
    low, high : ndarray, shape (..., days)
        Bounds of the sum to the end of each day [C d].

    Raises
    ------
    ValueError
        A number lies outside its range, or gains and starts do not have the same days.
    """
    gain = within("gains", gains, GAIN)
    cap = within("most", most, (0.0, np.inf, "C d"))
    first = np.asarray(starts, dtype=np.bool_)
    if not gain.ndim or first.shape != gain.shape[-1:]:
        raise ValueError("gains must have an axis of days, and starts the same days")
    unknown = np.isnan(gain)
    low, high = np.where(unknown, 0.0, gain), np.where(unknown, cap[..., None], gain)
    edges = np.flatnonzero(first)
    for begin, end in zip(np.append(0, edges), np.append(edges, gain.shape[-1]), strict=True):
        low[..., begin:end] = np.cumsum(low[..., begin:end], axis=-1)
        high[..., begin:end] = np.cumsum(high[..., begin:end], axis=-1)
    high[..., : edges[0] if edges.size else None] = np.inf
    return low, high


def _above(threshold: Floats, high: Floats, low: Floats) -> Floats:
    """Area of the day's sine above a threshold; held at its ends, so it needs no cases."""
    mean, half = (high + low) / 2, (high - low) / 2
    angle = _crossing(threshold, high, low)
    return np.maximum(
        ((mean - threshold) * (np.pi / 2 - angle) + half * np.cos(angle)) / np.pi, 0.0
    )


def _share_above(threshold: Floats, high: Floats, low: Floats) -> Floats:
    """Share of the day that its sine is above a threshold."""
    share = (np.pi / 2 - _crossing(threshold, high, low)) / np.pi
    # A day that stands still on the threshold is not above it.
    return np.where(high > threshold, share, 0.0)


def _crossing(threshold: Floats, high: Floats, low: Floats) -> Floats:
    """Angle at which the sine crosses a threshold; at its ends when it does not."""
    # A day without a swing: any tiny one gives the same area, and no division by zero.
    off = (threshold - (high + low) / 2) / np.maximum((high - low) / 2, 1e-300)
    return np.arcsin(np.minimum(np.maximum(off, -1.0), 1.0))


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

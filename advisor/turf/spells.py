"""Hours and days that fulfil a condition: how many, how long on end, and what unknown ones leave.

A *flag* is 1 (yes), 0 (no) or NaN (unknown). What is counted comes as bounds: the low one takes
every unknown as no, the high one as yes, so the truth lies between them. Conditions follow the
logic of three values: where a known part settles the whole, an unknown one changes nothing.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from advisor.turf.ranges import Floats


class Bounds(NamedTuple):
    """Least and greatest value that the known part allows; equal where nothing is unknown."""

    low: Floats
    high: Floats


def above(values: ArrayLike, limit: float) -> Floats:
    """Flag of the values that lie above a limit, in the unit of both; NaN stays NaN."""
    array = np.asarray(values, dtype=np.float64)
    return np.where(np.isnan(array), np.nan, array > limit)


def at_least(values: ArrayLike, limit: float) -> Floats:
    """Flag of the values that reach a limit, in the unit of both; NaN stays NaN."""
    array = np.asarray(values, dtype=np.float64)
    return np.where(np.isnan(array), np.nan, array >= limit)


def every(*flags: ArrayLike) -> Floats:
    """Flag of all conditions at once: one known no settles it, else one unknown leaves it open.

    Parameters
    ----------
    *flags : array_like
        At least one, each 1, 0 or NaN; they broadcast.

    Returns
    -------
    ndarray
        1, 0 or NaN.

    Raises
    ------
    ValueError
        Something else than 1, 0 or NaN.
    """
    ends = [_ends(flag) for flag in flags]
    low, high = ends[0]
    for other in ends[1:]:
        low, high = np.minimum(low, other.low), np.minimum(high, other.high)
    return np.where(low == high, low, np.nan)


def some(*flags: ArrayLike) -> Floats:
    """Flag of any of the conditions: one known yes settles it, else one unknown leaves it open.

    Parameters
    ----------
    *flags : array_like
        At least one, each 1, 0 or NaN; they broadcast.

    Returns
    -------
    ndarray
        1, 0 or NaN.

    Raises
    ------
    ValueError
        Something else than 1, 0 or NaN.
    """
    return 1.0 - every(*(1.0 - np.asarray(flag, dtype=np.float64) for flag in flags))


def total(flags: ArrayLike) -> Bounds:
    """How many of the last axis are yes.

    Parameters
    ----------
    flags : array_like, shape (..., hours)
        1, 0 or NaN.

    Returns
    -------
    Bounds
        Counts of shape (...).

    Raises
    ------
    ValueError
        Something else than 1, 0 or NaN, or no axis.
    """
    ends = _ends(flags, axes=1)
    return Bounds(ends.low.sum(axis=-1), ends.high.sum(axis=-1))


def longest(flags: ArrayLike) -> Bounds:
    """The longest unbroken run of yes along the last axis.

    Parameters
    ----------
    flags : array_like, shape (..., hours)
        1, 0 or NaN.

    Returns
    -------
    Bounds
        Lengths of shape (...), in steps of the axis.

    Raises
    ------
    ValueError
        Something else than 1, 0 or NaN, or no axis.
    """

    def run(flag: Floats) -> Floats:
        place = np.arange(1.0, flag.shape[-1] + 1)
        last_no = np.maximum.accumulate(np.where(flag == 0, place, 0.0), axis=-1)
        length: Floats = (place - last_no).max(axis=-1, initial=0.0)
        return length

    ends = _ends(flags, axes=1)
    return Bounds(run(ends.low), run(ends.high))


def trailing_total(flags: ArrayLike, days: int) -> Bounds:
    """On each day, how many of it and the days before it are yes.

    Days before the first are unknown like any other: the first counts are wide.

    Parameters
    ----------
    flags : array_like, shape (..., days)
        1, 0 or NaN.
    days : int
        Length of the window, the day itself included; at least 1.

    Returns
    -------
    Bounds
        Counts of the shape of `flags`.

    Raises
    ------
    ValueError
        Something else than 1, 0 or NaN, no axis, or no window.
    """
    return total(_trailing(flags, days))


def trailing_mean(values: ArrayLike, days: int) -> Floats:
    """On each day, the mean of it and the days before it.

    Parameters
    ----------
    values : array_like, shape (..., days)
        Of each day, in any unit.
    days : int
        Length of the window, the day itself included; at least 1.

    Returns
    -------
    ndarray, shape (..., days)
        In the same unit; NaN where a day of the window is unknown or lies before the first.

    Raises
    ------
    ValueError
        No axis, or no window.
    """
    mean: Floats = _trailing(values, days).mean(axis=-1)
    return mean


def _ends(flags: ArrayLike, axes: int = 0) -> Bounds:
    """Flags with every unknown taken as no, and as yes."""
    array = np.asarray(flags, dtype=np.float64)
    unknown = np.isnan(array)
    wrong = array[~((array == 0) | (array == 1) | unknown)]
    if wrong.size:
        raise ValueError(f"a flag must be 0, 1 or unknown, not {float(wrong.flat[0]):g}")
    if array.ndim < axes:
        raise ValueError("flags must have an axis of hours or days")
    return Bounds(np.where(unknown, 0.0, array), np.where(unknown, 1.0, array))


def _trailing(values: ArrayLike, days: int) -> Floats:
    """The window of each day as a last axis; NaN before the first day."""
    array = np.asarray(values, dtype=np.float64)
    if array.ndim < 1:
        raise ValueError("values must have an axis of days")
    if days < 1:
        raise ValueError(f"days must be at least 1, not {days}")
    before = np.full((*array.shape[:-1], days - 1), np.nan)
    padded = np.concatenate([before, array], axis=-1)
    return np.lib.stride_tricks.sliding_window_view(padded, days, axis=-1)

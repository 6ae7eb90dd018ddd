"""Arithmetic on intervals, and three-valued truth as a pair of arrays.

A comparison settles what the bounds settle; where neither side is sure, nothing is set: so unknown
needs no code of its own, and `not` is a swap.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from advisor.rulebook.spans import TOLERANCE
from advisor.rulebook.tree import More, Said, Window
from advisor.rulebook.windows import at, fold

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


class Interval(NamedTuple):
    """Bounds of a value, both included; shape (..., days) or a single number."""

    low: Floats
    high: Floats


class Truth(NamedTuple):
    """Where something is known to hold, and where it is known not to; shape (..., days)."""

    yes: Bools
    no: Bools


def exactly(value: float) -> Interval:
    end = np.asarray(value, dtype=np.float64)
    return Interval(end, end)


def mean(raw: Interval, window: Window) -> Interval:
    """The mean of the known days where four of five are known; days with bounds only are not."""
    known = np.equal(raw.low, raw.high)
    number = fold(known.astype(np.int64), window, 0, np.add)
    total = fold(np.where(known, raw.low, 0.0), window, 0.0, np.add)
    enough = 5 * number >= 4 * window.days
    middle = total / np.maximum(number, 1)
    return Interval(np.where(enough, middle, -np.inf), np.where(enough, middle, np.inf))


def bounded(low: Floats, high: Floats) -> Interval:
    """An interval in which NaN is no bound."""
    return Interval(np.where(np.isnan(low), -np.inf, low), np.where(np.isnan(high), np.inf, high))


def in_range(raw: Interval, least: Floats | float, most: Floats | float) -> Interval:
    """An interval that lies between the least and the greatest value that its fact can have."""
    low = np.where(raw.low == -np.inf, np.minimum(least, raw.high), raw.low)
    high = np.where(raw.high == np.inf, np.maximum(most, raw.low), raw.high)
    return Interval(low, high)


def rise(raw: Interval, window: Window) -> Interval:
    """The last day of a window less its first."""
    low = at(raw.low, window.last, -np.inf) - at(raw.high, window.first, np.inf)
    high = at(raw.high, window.last, np.inf) - at(raw.low, window.first, -np.inf)
    return Interval(low, high)


def added(left: Interval, right: Interval, minus: bool) -> Interval:
    if minus:
        right = Interval(-right.high, -right.low)
    with np.errstate(invalid="ignore"):  # no bound minus no bound: no bound
        return bounded(left.low + right.low, left.high + right.high)


def scaled(left: Interval, right: Interval, divided: bool) -> Interval:
    if right.low.ndim == 0 and right.low == right.high != 0:
        factor = 1 / right.low if divided else right.low
        low, high = left.low * factor, left.high * factor
        return Interval(high, low) if factor < 0 else Interval(low, high)
    with np.errstate(invalid="ignore", divide="ignore"):
        ends = [a / b if divided else a * b for a in left for b in right]
    ends = [np.where(np.isnan(end), 0.0, end) for end in ends]  # zero times no bound is zero
    low, high = (
        np.minimum.reduce(np.broadcast_arrays(*ends)),
        np.maximum.reduce(np.broadcast_arrays(*ends)),
    )
    if divided:
        through_zero = (right.low <= 0) & (right.high >= 0)
        low, high = np.where(through_zero, -np.inf, low), np.where(through_zero, np.inf, high)
    return Interval(low, high)


def compared(left: Interval, more: More, right: Interval) -> Truth:
    """`less than` is what is not `at least`, and `at most` is `at least` from the other side."""
    match more:
        case More.AT_LEAST:
            return Truth(left.low >= right.high - TOLERANCE, left.high < right.low - TOLERANCE)
        case More.AT_MOST:
            return compared(right, More.AT_LEAST, left)
        case More.LESS_THAN:
            return opposite(compared(left, More.AT_LEAST, right))
        case More.MORE_THAN:
            return opposite(compared(right, More.AT_LEAST, left))


def opposite(truth: Truth) -> Truth:
    return Truth(truth.no, truth.yes)


def both(one: Truth, other: Truth) -> Truth:
    return Truth(one.yes & other.yes, one.no | other.no)


def said(truth: Truth, day: int) -> Said:
    """One day of a truth without leading axes; None: unknown."""
    return True if truth.yes[day] else False if truth.no[day] else None

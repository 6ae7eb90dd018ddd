"""Sums, extremes and counts over days beside each day, for a whole axis at once.

Windows are put together from blocks of 1, 2, 4, … days: cheap, and safe with infinities, which
running sums are not. Days run along the last axis.
"""

from __future__ import annotations

from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from advisor.rulebook.tree import Window

Scalar = TypeVar("Scalar", bound=np.generic)


def beside(values: NDArray[Scalar], window: Window, outside: float) -> NDArray[Scalar]:
    """Values from the first day of the first window to the last of the last.

    Shape (..., days) in, (..., days + window.days - 1) out; `outside` stands where the axis ends.
    """
    days = values.shape[-1]
    shape = (*values.shape[:-1], days + window.days - 1)
    found = np.full(shape, outside, dtype=values.dtype)
    # Place k of the result is the day `window.first + k` of the axis.
    start, stop = max(0, window.first), min(days, days + window.last)
    if start < stop:
        found[..., start - window.first : stop - window.first] = values[..., start:stop]
    return found


def fold(
    values: NDArray[Scalar], window: Window, outside: float, combine: np.ufunc
) -> NDArray[Scalar]:
    """`combine` (add, minimum, maximum) over the window of each day; shape (..., days)."""
    length = window.days
    days = values.shape[-1]
    block: Any = beside(values, window, outside)
    result: Any = None
    done, size = 0, 1
    while done < length:
        if length & size:
            part = block[..., done : done + days]
            result = part if result is None else combine(result, part)
            done += size
        if done < length:
            block = combine(block[..., :-size], block[..., size:])
            size *= 2
    return result  # type: ignore[no-any-return]


def at(values: NDArray[Scalar], offset: int, outside: float) -> NDArray[Scalar]:
    """The value `offset` days beside each day; shape (..., days)."""
    return beside(values, Window(offset, offset), outside)

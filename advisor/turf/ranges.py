"""Checks of what goes into a formula: impossible numbers are refused, unknown ones pass.

NaN is *unknown* and is never an error; it comes out of every formula as NaN.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

AIR = (-90.0, 60.0, "C")
"""Air temperature near the ground: the coldest and hottest ever measured lie inside."""
VAPOUR = (0.0, 10.0, "kPa")
RADIATION = (0.0, 50.0, "MJ/m2/d")
"""Daily short-wave radiation; even outside the atmosphere it stays below 49."""
RADIATION_HOUR = (0.0, 5.5, "MJ/m2/h")
"""Short-wave radiation of an hour; even outside the atmosphere it stays below 5.1."""
WIND = (0.0, 120.0, "m/s")
ELEVATION = (-450.0, 9000.0, "m")
LATITUDE = (-np.pi / 2, np.pi / 2, "rad")
LONGITUDE = (-180.0, 180.0, "degrees east")
DAY_OF_YEAR = (1.0, 366.0, "")
FRACTION = (0.0, 1.0, "")
WATER = (0.0, 2000.0, "mm")


def within(name: str, value: ArrayLike, limits: tuple[float, float, str]) -> Floats:
    """`value` as an array of floats, when every known number in it lies within `limits`.

    Parameters
    ----------
    name
        What the caller calls it, for the message.
    value
        Numbers of any shape; NaN is allowed.
    limits
        Least and greatest allowed value, and their unit.

    Raises
    ------
    ValueError
        Naming the first number outside and the range.
    """
    array = np.asarray(value, dtype=np.float64)
    low, high, unit = limits
    # One pass for each bound; only when that fails (a NaN fails it too) is the culprit looked for.
    if array.size and not (array.min() >= low and array.max() <= high):
        outside = array[(array < low) | (array > high)]
        if outside.size:
            span = f"{low:g} and {high:g} {unit}".rstrip()
            raise ValueError(f"{name} must lie between {span}, not {float(outside.flat[0]):g}")
    return array


def in_order(low_name: str, low: Floats, high_name: str, high: Floats) -> None:
    """Raise ValueError where `low` exceeds `high`; unknown values pass."""
    wrong = low > high
    if np.any(wrong):
        lower, upper = np.broadcast_arrays(low, high)
        first = tuple(np.argwhere(wrong)[0])
        raise ValueError(
            f"{low_name} must not exceed {high_name}, as {lower[first]:g} does {upper[first]:g}"
        )

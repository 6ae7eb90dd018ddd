"""Heat as the person behind the spreader feels it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.turf.ranges import AIR, FRACTION, Floats, within


def heat_index(t_c: ArrayLike, humidity_fraction: ArrayLike) -> Floats:
    """Heat index in the shade and a light wind; full sun may add up to 8 C.

    The regression of Rothfusz (1990), US National Weather Service SR 90-23, with its adjustments
    for dry and for very humid air, and the simple first try that holds where it stays below 80 F.
    The regression was fitted to the table of what people feel from 80 to about 112 F; in hotter
    air that is humid too it runs away upwards.

    Parameters
    ----------
    t_c : array_like
        Air temperature [C], -90 to 60.
    humidity_fraction : array_like
        Relative humidity [fraction], 0 to 1.

    Returns
    -------
    ndarray
        Heat index [C].

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    t = within("t_c", t_c, AIR) * 1.8 + 32.0
    r = within("humidity_fraction", humidity_fraction, FRACTION) * 100.0
    first = (0.5 * (t + 61.0 + (t - 68.0) * 1.2 + 0.094 * r) + t) / 2
    full = (
        -42.379
        + 2.04901523 * t
        + 10.14333127 * r
        - 0.22475541 * t * r
        - 6.83783e-3 * t**2
        - 5.481717e-2 * r**2
        + 1.22874e-3 * t**2 * r
        + 8.5282e-4 * t * r**2
        - 1.99e-6 * t**2 * r**2
    )
    dry = (13.0 - r) / 4 * np.sqrt(np.maximum(17.0 - np.abs(t - 95.0), 0.0) / 17)
    humid = (r - 85.0) / 10 * (87.0 - t) / 5
    full = full - np.where((r < 13) & (t >= 80) & (t <= 112), dry, 0.0)
    full = full + np.where((r > 85) & (t >= 80) & (t <= 87), humid, 0.0)
    return (np.where(first < 80.0, first, full) - 32.0) / 1.8

"""Heat as the person behind the spreader feels it, and hot days and warm nights of the grass."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.turf.ranges import AIR, FRACTION, Floats, within
from advisor.turf.spells import Bounds, above, trailing_total

CAUTION = ("no caution", "caution", "extreme caution", "danger", "extreme danger")
"""What the codes of `heat_caution` mean, after the chart of the US National Weather Service."""
_CAUTION_FROM_F = (80.0, 90.0, 103.0, 125.0)

HOT_DAY = (85.0 - 32.0) / 1.8
"""Air above which cool-season grass uses more than it makes [C]: 85 F, the upper end of the
80 to 85 F that Nebraska extension gives."""
VERY_HOT_DAY = (90.0 - 32.0) / 1.8
"""90 F [C]; common practice, no source for air (in NC State's list it is a soil temperature)."""
WARM_NIGHT = (70.0 - 32.0) / 1.8
"""Night too warm for cool-season grass to recover [C]: 70 F. That warm nights worsen the deficit
is Nebraska extension's; the number is from memory, so it may hold and never open."""


def heat_index(t_c: ArrayLike, humidity_fraction: ArrayLike) -> Floats:
    """Heat index in the shade and a light wind; full sun may add up to 8 C.

    The regression of Rothfusz (1990), US National Weather Service SR 90-23, with its adjustments
    for dry and for very humid air, and the simple first try that holds where it stays below 80 F.
    The regression was fitted to the table of what people feel from 80 to about 112 F; in hotter
    air that is humid too it runs away upwards. It is no steady function: it steps where the first
    try reaches 80 F and at the edges of the adjustments. With T in F and R in %:

    first = (0.5 (T + 61 + 1.2 (T - 68) + 0.094 R) + T) / 2, the answer below 80 F; else
    HI = -42.379 + 2.04901523 T + 10.14333127 R - 0.22475541 T R - 6.83783e-3 T^2
    - 5.481717e-2 R^2 + 1.22874e-3 T^2 R + 8.5282e-4 T R^2 - 1.99e-6 T^2 R^2,
    less (13 - R)/4 sqrt((17 - |T - 95|)/17) where R < 13 and T is 80 to 112,
    plus (R - 85)/10 (87 - T)/5 where R > 85 and T is 80 to 87.

    The service's chart is drawn without the adjustments: at 80 F and 100 % it shows 87, where its
    own equation gives 89.3 with the humid term and 87.2 without.

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


def heat_caution(heat_index_c: ArrayLike) -> Floats:
    """Class of caution for a person who works in this heat.

    The older chart of the US National Weather Service has danger from 105 and extreme danger from
    130 F; the newer one (read at second hand) caution from 80, extreme caution from 90, danger from
    103 and extreme danger from 125 F. The stricter limit is used for each. Both assume shade: in
    full sun the index may be 8 C higher.

    Parameters
    ----------
    heat_index_c : array_like
        Heat index [C], as from `heat_index`; any number.

    Returns
    -------
    ndarray
        0 to 4, the place of its word in `CAUTION`.
    """
    index = np.asarray(heat_index_c, dtype=np.float64)
    limits = (np.array(_CAUTION_FROM_F) - 32.0) / 1.8
    return np.where(np.isnan(index), np.nan, np.searchsorted(limits, index, side="right"))


def hot_days(air_max: ArrayLike, limit_c: float, days: int) -> Bounds:
    """On each day, how many of it and the days before it were hotter than a limit.

    Parameters
    ----------
    air_max : array_like, shape (..., days)
        Highest air temperature of each day [C], -90 to 60.
    limit_c : float
        What a hot day exceeds [C], as `HOT_DAY` or `VERY_HOT_DAY`; -90 to 60.
    days : int
        Length of the window, the day itself included; at least 1.

    Returns
    -------
    Bounds
        Days, of the shape of `air_max`: `low` takes unknown days as cool, `high` as hot. Days
        before the first are unknown.

    Raises
    ------
    ValueError
        A number lies outside its range, or there is no axis of days.
    """
    limit = float(within("limit_c", limit_c, AIR))
    return trailing_total(above(within("air_max", air_max, AIR), limit), days)


def warm_nights(air_min: ArrayLike, days: int) -> Bounds:
    """On each day, how many of it and the days before it stayed above 70 F (21.1 C).

    Parameters
    ----------
    air_min : array_like, shape (..., days)
        Lowest air temperature of each day [C], -90 to 60.
    days : int
        Length of the window, the day itself included; at least 1.

    Returns
    -------
    Bounds
        Nights, of the shape of `air_min`: `low` takes unknown nights as cool, `high` as warm.
        Nights before the first are unknown.

    Raises
    ------
    ValueError
        A number lies outside its range, or there is no axis of days.
    """
    return trailing_total(above(within("air_min", air_min, AIR), WARM_NIGHT), days)

"""Hours in which leaves are wet, told from humidity and rain where no sensor lies in the grass.

The limit of 90 % is from memory: it may hold an action, never open one. Irrigation wets leaves as
well and does not show here. Beside a dew point take `humidity.relative_humidity` first: the other
usual sign, a dew point less than 2 C below the air (from memory too), is about 88 %.
"""

from __future__ import annotations

from typing import NamedTuple

from numpy.typing import ArrayLike

from advisor.turf.ranges import FRACTION, WATER, Floats, within
from advisor.turf.spells import Bounds, above, at_least, longest, some, total

DEW_FROM = 0.90
"""Relative humidity from which leaves are taken as wet [fraction]; from memory."""


class Wetness(NamedTuple):
    """Wet hours of a window, as bounds [h]: all of them, and the longest unbroken spell."""

    total: Bounds
    longest: Bounds


def is_wet(humidity_fraction: ArrayLike, rain_mm: ArrayLike) -> Floats:
    """Whether leaves are wet in an hour: its humidity reaches 90 %, or rain fell in it.

    One known sign of wetness settles an hour; it is dry only where both are known.

    Parameters
    ----------
    humidity_fraction : array_like
        Relative humidity of the hour [fraction], 0 to 1.
    rain_mm : array_like
        Rain of the hour [mm], 0 to 2000.

    Returns
    -------
    ndarray
        1 wet, 0 dry, NaN unknown.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    dew = at_least(within("humidity_fraction", humidity_fraction, FRACTION), DEW_FROM)
    return some(dew, above(within("rain_mm", rain_mm, WATER), 0.0))


def wetness(wet: ArrayLike) -> Wetness:
    """Wet hours of each window: their number and the longest spell of them.

    Unknown hours make bounds: the low ones take them as dry, the high ones as wet. A window
    from noon to noon keeps a night whole; a spell that crosses the edge of a window is cut there.

    Parameters
    ----------
    wet : array_like, shape (..., hours)
        Of each hour, 1, 0 or NaN, as from `is_wet`.

    Returns
    -------
    Wetness
        Hours, as bounds of shape (...).

    Raises
    ------
    ValueError
        Something else than 1, 0 or NaN, or no axis of hours.
    """
    return Wetness(total(wet), longest(wet))

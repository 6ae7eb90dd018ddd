"""Growth that the warmth allows.

Element by element on arrays that broadcast together; NaN in gives NaN out; a number that cannot
be is refused with a ValueError that names it and the range.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.site.words import COOL, WARM
from advisor.turf.ranges import AIR, Floats, within

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

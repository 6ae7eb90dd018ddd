"""Daily soil temperature between the layers of a service."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from advisor.turf.ranges import Floats, within


def interpolate_depth(depths_m: Sequence[float], temps: ArrayLike, depth_m: float) -> Floats:
    """Temperature at a depth, linear between the nearest known layer above and below it.

    For daily means, whose swing with depth is small; not for hours. Nothing is extrapolated: above
    the top layer, below the deepest, and where no layer on one side is known, it is NaN.

    Parameters
    ----------
    depths_m : sequence of float
        Depths of the layers, growing [m], 0 to 20.
    temps : array_like, shape (..., layers)
        Temperature of each [C], -90 to 100 (bare ground in the sun exceeds any air).
    depth_m : float
        The asked depth [m], 0 to 20.

    Returns
    -------
    ndarray, shape (...)
        Temperature [C].

    Raises
    ------
    ValueError
        A number lies outside its range, the depths do not grow, or do not match the layers.
    """
    span = (0.0, 20.0, "m")
    depths = within("depths_m", np.asarray(depths_m, dtype=np.float64), span)
    wanted = float(within("depth_m", depth_m, span))
    layers = within("temps", temps, (-90.0, 100.0, "C"))
    if np.isnan(depths).any() or np.isnan(wanted) or np.any(np.diff(depths) <= 0):
        raise ValueError("depths_m must be known and grow from layer to layer, depth_m be known")
    if not layers.ndim or layers.shape[-1] != len(depths):
        raise ValueError(f"temps must have {len(depths)} layers on its last axis, as depths_m has")

    shape = layers.shape[:-1]
    above, above_at = np.full(shape, np.nan), np.full(shape, np.nan)
    below, below_at = np.full(shape, np.nan), np.full(shape, np.nan)
    for layer, at in enumerate(depths):
        value = layers[..., layer]
        if at <= wanted:
            # A later layer lies nearer, so it takes the place of the one before.
            take = ~np.isnan(value)
            above, above_at = np.where(take, value, above), np.where(take, at, above_at)
        if at >= wanted:
            take = ~np.isnan(value) & np.isnan(below)
            below, below_at = np.where(take, value, below), np.where(take, at, below_at)
    apart = below_at - above_at
    share = (wanted - above_at) / np.where(apart == 0, 1.0, apart)
    between: Floats = above + share * (below - above)
    return between

"""Daily soil temperature: estimated from air, or between the layers of a service."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import ArrayLike

from advisor.turf.ranges import AIR, Floats, within

ESTIMATE_DEPTH_M = 0.10
"""Depth that the estimate speaks of [m]."""

RATE = 0.25
EXTINCTION = 0.5
LEAF_AREA = 2.0
"""Leaf area of a lawn above its ground [m2/m2]; a choice, no source."""

CARRIED_DAYS = 3
SETTLING_DAYS = 11
KNOWN_DAYS = 9


def estimate_under_turf(
    mean_air_c: ArrayLike, start: ArrayLike | None = None, *, leaf_area: float = LEAF_AREA
) -> Floats:
    """Daily soil temperature at 10 cm under grass, from daily air temperature.

    The step under vegetation of Zheng, Hunt and Running (1993), Climate Research 2:183-191: the
    soil moves a quarter of the way to the day's air temperature, and less where leaves shade it:
    T += (A - T) * 0.25 * exp(-0.5 * leaf area). That the leaves slow only the warming is from
    memory, and so is the step itself but for a program that quotes it. The paper states standard
    errors of 1.5 to 2.9 C for its method; take no decision on a degree. With the leaves it warms
    late: beside open, dry ground in Utah (which no leaves shade) it was 1.3 C too cold, March to
    September and reached a five-day mean of 10 C five weeks after the thermometer.

    A day without air temperature keeps the last estimate, for up to three days on end; after
    that the estimate is NaN. Without a `start`, and after such a gap, it begins on the first day
    whose eleven days to it have nine known ones, with their mean (the running mean of the paper):
    the ten days before are NaN.

    Parameters
    ----------
    mean_air_c : array_like, shape (..., days)
        Mean air temperature of each day [C], -90 to 60; NaN is unknown.
    start : array_like, shape (...), optional
        Soil temperature on the day before the first [C], -90 to 60; NaN is the same as none.
    leaf_area : float
        Leaf area over the ground [m2/m2], 0 to 10.

    Returns
    -------
    ndarray, shape (..., days)
        Soil temperature at 10 cm [C].

    Raises
    ------
    ValueError
        A number lies outside its range, or there is no axis of days.
    """
    air = within("mean_air_c", mean_air_c, AIR)
    if not air.ndim:
        raise ValueError("mean_air_c must have an axis of days")
    shade = np.exp(-EXTINCTION * within("leaf_area", leaf_area, (0.0, 10.0, "m2/m2")))
    first = np.full(air.shape[:-1], np.nan) if start is None else within("start", start, AIR)
    soil: Floats = np.broadcast_to(first, air.shape[:-1]).astype(np.float64)
    settled = _running_mean(air)
    gap = np.zeros(air.shape[:-1], dtype=np.intp)
    out = np.empty(air.shape)
    for day in range(air.shape[-1]):
        today = air[..., day]
        missing = np.isnan(today)
        gap = np.where(missing, gap + 1, 0)
        soil = np.where(gap > CARRIED_DAYS, np.nan, soil)
        off = today - soil
        step = np.where(off > 0, RATE * shade, RATE) * off
        soil = np.where(np.isnan(soil), settled[..., day], np.where(missing, soil, soil + step))
        out[..., day] = soil
    return out


def _running_mean(air: Floats) -> Floats:
    """Mean of the eleven days to each; NaN where fewer than nine are known, or the day is not."""
    mean = np.full(air.shape, np.nan)
    if air.shape[-1] < SETTLING_DAYS:
        return mean
    known = ~np.isnan(air)
    windows = sliding_window_view(np.where(known, air, 0.0), SETTLING_DAYS, axis=-1)
    count = sliding_window_view(known, SETTLING_DAYS, axis=-1).sum(axis=-1)
    last = known[..., SETTLING_DAYS - 1 :]
    mean[..., SETTLING_DAYS - 1 :] = np.where(
        (count >= KNOWN_DAYS) & last, windows.sum(axis=-1) / np.maximum(count, 1), np.nan
    )
    return mean


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

"""Heat conducted into the ground: from the surface's days, or its wave, to any depth.

The ground is one half-space of one diffusivity, and heat moves by conduction alone: no rain that
seeps, no drying, and no latent heat of freezing, which holds real soil near 0 C for days.
"""

from __future__ import annotations

from functools import lru_cache
from math import erfc, exp, pi, sqrt

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import ArrayLike

from advisor.turf.ranges import Floats, within

SECONDS_A_DAY = 86_400.0
YEAR = 365
"""Days that the surface is remembered; what is older is told by their mean."""

SETTLING_DAYS = 11
"""Known days that an estimate needs behind it: the running mean of Zheng, Hunt and Running (1993),
the plainest published estimator, has as many."""

MOST_MISSING = 0.25
"""Weight of unknown days that the known ones may stand in for. Judgement: where days differ by
4 C from their neighbours' mean this costs 1 C."""

SURFACE = (-120.0, 120.0, "C")
DEPTH = (0.0, 20.0, "m")
DIFFUSIVITY = (0.05e-6, 2e-6, "m2/s")
"""From dry peat (0.1e-6) to wet sand (1e-6), with room on both sides."""


def soil_from_surface(surface_c: ArrayLike, depth_m: float, diffusivity_m2_s: float) -> Floats:
    """Daily mean temperature at a depth, from the daily mean temperature of the surface.

    Duhamel's superposition for a half-space (Carslaw and Jaeger 1959, Conduction of Heat in
    Solids): a surface that steps up by 1 warms the depth z, after the time t, by
    erfc(z / (2 sqrt(D t))). Each day is a step up at its beginning and down at its end, and the
    answer is the mean over the asked day; so it is a weighted sum of that day and those before.
    The swing within each day is left out: its mean is 0.

    The weight that is older than the first day, or than a year, is given to the mean of the known
    days of the year that ends with the asked day. At 0.1 m in loam (0.5e-6 m2/s) that is 8 % after
    eleven days and 1 % after a year. An unknown day's weight is shared by the others while such
    days hold no more than a quarter of it; beyond that, and on the first ten known days, the
    answer is NaN. Nothing of later days is used.

    Parameters
    ----------
    surface_c : array_like, shape (..., days)
        Mean temperature of the surface of each day [C], -120 to 120; NaN is unknown.
    depth_m : float
        Depth [m], 0 to 20.
    diffusivity_m2_s : float
        Thermal diffusivity of the ground [m2/s], 0.05e-6 to 2e-6.

    Returns
    -------
    ndarray, shape (..., days)
        Temperature [C], never outside those of the surface up to the day.

    Raises
    ------
    ValueError
        A number lies outside its range or is not known, or there is no axis of days.
    """
    surface = within("surface_c", surface_c, SURFACE)
    if not surface.ndim:
        raise ValueError("surface_c must have an axis of days")
    depth = _one("depth_m", depth_m, DEPTH)
    diffusivity = _one("diffusivity_m2_s", diffusivity_m2_s, DIFFUSIVITY)
    weights = _weights(depth, diffusivity)
    days = surface.shape[-1]
    known = ~np.isnan(surface)
    values = _looking_back(np.where(known, surface, 0.0))
    counted = _looking_back(known.astype(np.float64))
    on_axis = np.cumsum(weights)[np.minimum(np.arange(days), YEAR - 1)]
    number, held = counted.sum(axis=-1), counted @ weights[::-1]
    mean = values.sum(axis=-1) / np.maximum(number, 1.0)
    enough = (number >= SETTLING_DAYS) & (on_axis - held <= MOST_MISSING)
    older = 1.0 - on_axis
    total = values @ weights[::-1] + older * mean
    return np.where(enough, total / np.where(enough, held + older, 1.0), np.nan)


def damping_depth(diffusivity_m2_s: ArrayLike, period_days: ArrayLike) -> Floats:
    """Depth at which a wave of the surface has shrunk to 1/e: sqrt(D period / pi).

    Parameters
    ----------
    diffusivity_m2_s : array_like
        Thermal diffusivity [m2/s], 0.05e-6 to 2e-6.
    period_days : array_like
        1 for the daily wave, 365 for that of the year [d]; above 0, at most 1000.

    Returns
    -------
    ndarray
        Damping depth [m].

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    diffusivity = within("diffusivity_m2_s", diffusivity_m2_s, DIFFUSIVITY)
    period = within("period_days", period_days, (1e-3, 1000.0, "d"))
    return np.sqrt(diffusivity * period * SECONDS_A_DAY / np.pi)


def periodic_temperature(
    time_days: ArrayLike,
    depth_m: ArrayLike,
    mean_c: ArrayLike,
    amplitude_c: ArrayLike,
    coldest_days: ArrayLike,
    diffusivity_m2_s: ArrayLike,
    period_days: ArrayLike = 365.0,
) -> Floats:
    """Temperature at a depth and time under a surface that swings as a sine for ever.

    T = mean - amplitude exp(-z/d) cos(2 pi (t - coldest) / period - z/d), with the damping depth d
    (Kusuda and Achenbach 1965; Hillel 1982 writes the same with a sine).

    Parameters
    ----------
    time_days, coldest_days : array_like
        The asked time, and when the surface is coldest [d], -1e6 to 1e6.
    depth_m : array_like
        Depth [m], 0 to 20.
    mean_c : array_like
        Mean of the surface [C], -120 to 120.
    amplitude_c : array_like
        Half of the surface's range [C], 0 to 120.
    diffusivity_m2_s, period_days : array_like
        As in `damping_depth`.

    Returns
    -------
    ndarray
        Temperature [C].

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    span = (-1e6, 1e6, "d")
    since = within("time_days", time_days, span) - within("coldest_days", coldest_days, span)
    deep = within("depth_m", depth_m, DEPTH) / damping_depth(diffusivity_m2_s, period_days)
    swing = within("amplitude_c", amplitude_c, (0.0, 120.0, "C")) * np.exp(-deep)
    angle = 2 * np.pi * since / np.asarray(period_days, dtype=np.float64) - deep
    return within("mean_c", mean_c, SURFACE) - swing * np.cos(angle)


@lru_cache(maxsize=64)
def _weights(depth: float, diffusivity: float) -> Floats:
    """Weight of the asked day and of each day before it, newest first, shape (YEAR,).

    The step's response, integrated over time, is 4 t i2erfc(z / (2 sqrt(D t))) in closed form; its
    second differences are the means over a day of what a day's pulse leaves.
    """
    near = depth / (2.0 * sqrt(diffusivity * SECONDS_A_DAY))

    def integral(t: int) -> float:
        x = near / sqrt(t)
        return t * ((1 + 2 * x * x) * erfc(x) - 2 * x * exp(-x * x) / sqrt(pi))

    grown = np.array([0.0, 0.0, *(integral(t) for t in range(1, YEAR + 1))])
    # Convex, so never negative but for rounding.
    weights = np.maximum(np.diff(grown, 2), 0.0)
    weights.flags.writeable = False
    return weights


def _looking_back(values: Floats) -> Floats:
    """A year of days to each day, oldest first, shape (..., days, YEAR); 0 before the first."""
    before = np.zeros((*values.shape[:-1], YEAR - 1))
    windows: Floats = sliding_window_view(
        np.concatenate([before, values], axis=-1),
        YEAR,
        axis=-1,
    )
    return windows


def _one(name: str, value: float, limits: tuple[float, float, str]) -> float:
    number = float(within(name, value, limits))
    if number != number:
        raise ValueError(f"{name} must be known, not NaN")
    return number

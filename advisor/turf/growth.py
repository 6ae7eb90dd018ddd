"""Growth that the warmth allows: its share of the most, the leaf's height, the year's nitrogen.

NaN is unknown. A number that cannot be is refused with a ValueError that names it and the range.
"""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import ArrayLike

from advisor.site.words import COOL, WARM
from advisor.turf.grasses import CLASSES
from advisor.turf.ranges import AIR, FRACTION, Floats, within

PEAK_MM_D = (25.4 * 0.5 / 7, 25.4 / 7)
"""Height that a lawn gains on the best day: half an inch to an inch a week, at second hand."""
MOW_AT = 1.5
"""Height to mowing height at which a mowing takes a third of the leaf."""
HEIGHT = (0.0, 500.0, "mm")

YEARS_AT_LEAST = 5
"""Fewer make no climate; judgement."""
SMOOTHED_DAYS = 31
"""Growth potential is meant for means of up to a month."""


def growth_potential(
    mean_air_c: ArrayLike,
    grass_class: str,
    *,
    held: bool | None = None,
    optimum_c: float | None = None,
) -> Floats:
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
    held : bool, optional
        Whether heat above the optimum costs no growth; without it warm-season grass is held (the
        later form) and cool-season grass is not. The first form held neither.
    optimum_c : float, optional
        Another optimum than the class's [C], -90 to 60; the width of the curve stays the class's.

    Returns
    -------
    ndarray
        Growth potential [fraction], 0 to 1.

    Raises
    ------
    ValueError
        A temperature lies outside the range, or there is no such class.
    """
    if grass_class not in CLASSES:
        raise ValueError(f"grass_class must be {COOL} or {WARM}, not {grass_class}")
    mean = within("mean_air_c", mean_air_c, AIR)
    row = CLASSES[grass_class]
    best = row.optimum_c.value
    if optimum_c is not None:
        best = float(within("optimum_c", optimum_c, AIR))
    off = (mean - best) / row.spread_c.value
    if row.held.value if held is None else held:
        off = np.minimum(off, 0.0)
    return np.exp(-0.5 * off * off)


def height_since_mowing(mown_mm: ArrayLike, potential: ArrayLike) -> tuple[Floats, Floats]:
    """Height of the lawn at the end of each day since it was mown, as a slow and a fast lawn.

    Height grows by the growth potential times the peak rate of `PEAK_MM_D` (the rates are at
    second hand, that height follows growth potential is from memory). A day of unknown potential
    brought between nothing and the fast lawn's best. Water and nitrogen, which may hold it back,
    are left out: growth is at most this.

    Parameters
    ----------
    mown_mm : array_like, shape (...)
        Height at which it was mown [mm], 0 to 500.
    potential : array_like, shape (..., days)
        Growth potential of each day since [fraction], 0 to 1; NaN is unknown.

    Returns
    -------
    slow, fast : ndarray, shape (..., days)
        Height [mm]; NaN where the mown height is.

    Raises
    ------
    ValueError
        A number lies outside its range, or there is no axis of days.
    """
    height = within("mown_mm", mown_mm, HEIGHT)[..., None]
    share = within("potential", potential, FRACTION)
    if not share.ndim:
        raise ValueError("potential must have an axis of days")
    unknown = np.isnan(share)
    least, most = np.where(unknown, 0.0, share), np.where(unknown, 1.0, share)
    slow, fast = PEAK_MM_D
    return height + slow * np.cumsum(least, axis=-1), height + fast * np.cumsum(most, axis=-1)


def days_to_mow(mown_mm: ArrayLike, potential: ArrayLike) -> tuple[Floats, Floats]:
    """Days after a mowing until a third of the leaf is to be cut, by a fast and a slow lawn.

    At a steady growth potential, with the rates of `height_since_mowing`: the lawn is mown again
    before it stands half above its mown height.

    Parameters
    ----------
    mown_mm : array_like
        Height at which it was mown [mm], 0 to 500.
    potential : array_like
        Growth potential [fraction], 0 to 1; NaN is unknown.

    Returns
    -------
    soonest, latest : ndarray
        Days [d]; infinite without growth.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    gain = (MOW_AT - 1) * within("mown_mm", mown_mm, HEIGHT)
    share = within("potential", potential, FRACTION)
    slow, fast = PEAK_MM_D
    growing = share > 0
    # Without growth there is no day, whatever the height; unknown growth stays unknown.
    divisor = np.where(share == 0, 1.0, share)
    soonest, latest = (
        np.where(growing | np.isnan(share), gain / (rate * divisor), np.inf + 0 * gain)
        for rate in (fast, slow)
    )
    return soonest, latest


def nitrogen_by_growth(potential: ArrayLike, most_g_m2: ArrayLike) -> Floats:
    """Nitrogen that growth can use in a period: growth potential times the most of one.

    Gelernter and Stowell (2005). The most of a month is the owner's choice, usually 3 to 4 g/m2
    (from memory); for another period give its own.

    Parameters
    ----------
    potential : array_like
        Growth potential of the period's mean temperature [fraction], 0 to 1.
    most_g_m2 : array_like
        Nitrogen of a period of full growth [g/m2], 0 to 30.

    Returns
    -------
    ndarray
        Nitrogen [g/m2].

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    share = within("potential", potential, FRACTION)
    return share * within("most_g_m2", most_g_m2, (0.0, 30.0, "g/m2"))


def growth_year(mean_air_c: ArrayLike, grass_class: str) -> Floats:
    """Share of a year's growth that is done by the end of each day, from past years.

    Times the year's nitrogen it is what growth would have used by then. The days' temperatures are
    averaged over the years, then over 31 days about each (the year closes to a ring), and their
    growth potential is added up. A day that fewer than five years know leaves the year unknown;
    the leap day, which few years have, is best left out.

    Parameters
    ----------
    mean_air_c : array_like, shape (years, days)
        Mean air temperature of each day of some years [C], -90 to 60; NaN is unknown. A year may
        begin on any day, the same for all, and has at least 31 days.
    grass_class : str
        "cool-season" or "warm-season".

    Returns
    -------
    ndarray, shape (days,)
        Share [fraction], growing to 1; NaN where the past does not tell.

    Raises
    ------
    ValueError
        A number lies outside its range, or the array has not these two axes.
    """
    air = within("mean_air_c", mean_air_c, AIR)
    if air.ndim != 2 or air.shape[1] < SMOOTHED_DAYS:
        raise ValueError(f"mean_air_c must be years by at least {SMOOTHED_DAYS} days")
    known = ~np.isnan(air)
    count = known.sum(axis=0)
    usual = np.where(known, air, 0.0).sum(axis=0) / np.maximum(count, 1)
    usual = np.where(count >= YEARS_AT_LEAST, usual, np.nan)
    half = SMOOTHED_DAYS // 2
    ring = np.concatenate([usual[-half:], usual, usual[:half]])
    potential = growth_potential(sliding_window_view(ring, SMOOTHED_DAYS).mean(-1), grass_class)
    done = np.cumsum(potential)
    share: Floats = done / done[-1]
    return share

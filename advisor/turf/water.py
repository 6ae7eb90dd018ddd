"""Water in the root zone: what soil holds, what grass uses, what runs off and what drains.

Depths of water in mm; NaN (unknown) comes out as NaN; a number that cannot be is refused with a
ValueError that names it and the range. Numbers in brackets are equations of Allen, Pereira, Raes
and Smith (1998), FAO Irrigation and Drainage Paper 56.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from advisor.turf.ranges import FRACTION, WATER, Floats, in_order, within
from advisor.turf.soils import (
    AVAILABLE_WATER,
    CROP_COEFFICIENTS,
    CURVE_NUMBERS,
    DORMANT_COEFFICIENT,
    HYDROLOGIC_GROUP,
    crop_coefficients,
)

__all__ = [
    "AVAILABLE_WATER",
    "CROP_COEFFICIENTS",
    "CURVE_NUMBERS",
    "DORMANT_COEFFICIENT",
    "HYDROLOGIC_GROUP",
    "Balance",
    "RootZone",
    "balance",
    "crop_coefficients",
    "depletion_fraction",
    "runoff",
    "stress_coefficient",
    "total_available",
]

CURVE_NUMBER = (30.0, 99.0, "")
ROOT_DEPTH = (0.01, 3.0, "m")


def total_available(fc: ArrayLike, wp: ArrayLike, root_depth_m: ArrayLike) -> Floats:
    """Water that the root zone holds between field capacity and wilting point [82].

    Parameters
    ----------
    fc, wp : array_like
        Water content at field capacity and at the wilting point [m3/m3], 0 to 1.
    root_depth_m : array_like
        Depth of the roots [m], 0.01 to 3.

    Returns
    -------
    ndarray
        TAW [mm].

    Raises
    ------
    ValueError
        A number lies outside its range, or the wilting point exceeds field capacity.
    """
    upper, lower = within("fc", fc, FRACTION), within("wp", wp, FRACTION)
    in_order("wp", lower, "fc", upper)
    return 1000.0 * (upper - lower) * within("root_depth_m", root_depth_m, ROOT_DEPTH)


def depletion_fraction(table_p: ArrayLike, et_c: ArrayLike) -> Floats:
    """Share of the available water that grass uses before it lacks any, on a day of this demand.

    The footnote to FAO-56 Table 22: p = table value + 0.04 (5 - ETc), held between 0.1 and 0.8. The
    table's turf rows (0.40 cool-season, 0.50 warm-season) were read; the footnote is from memory.

    Parameters
    ----------
    table_p : array_like
        Value of the table, for a demand of 5 mm/d [fraction], 0.1 to 0.8.
    et_c : array_like
        Water that the grass would use [mm/d], 0 to 2000.

    Returns
    -------
    ndarray
        p [fraction], 0.1 to 0.8.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    table = within("table_p", table_p, (0.1, 0.8, ""))
    demand = within("et_c", et_c, WATER)
    return np.minimum(np.maximum(table + 0.04 * (5.0 - demand), 0.1), 0.8)


def stress_coefficient(depletion: ArrayLike, total: ArrayLike, p: ArrayLike) -> Floats:
    """How much of its demand the grass can draw from a root zone in this state [84].

    Parameters
    ----------
    depletion : array_like
        Water missing from field capacity [mm], 0 to 2000; beyond `total` the answer is 0.
    total : array_like
        TAW [mm], above 0.
    p : array_like
        Share used before stress [fraction], 0 to 0.99.

    Returns
    -------
    ndarray
        Ks [fraction]: 1 until the depletion reaches p * total, 0 when nothing is left.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    missing = within("depletion", depletion, WATER)
    holds = within("total", total, (1e-6, 2000.0, "mm"))
    share = within("p", p, (0.0, 0.99, ""))
    return np.minimum(np.maximum((holds - missing) / ((1.0 - share) * holds), 0.0), 1.0)


def runoff(rain_mm: ArrayLike, curve_number: ArrayLike) -> Floats:
    """Rain of a day that runs off, by the NRCS curve number (TR-55, 1986, eq 2-1 to 2-4).

    Q = (P - 0.2 S)^2 / (P + 0.8 S) where the rain P exceeds 0.2 S, else 0; S = 25400 / CN - 254,
    all in mm. It rises with rain and with the curve number and never exceeds the rain. The table's
    curve numbers are for soil of middling wetness.

    Parameters
    ----------
    rain_mm : array_like
        Rain of the day [mm], 0 to 2000.
    curve_number : array_like
        30 to 99; see `soils.CURVE_NUMBERS`.

    Returns
    -------
    ndarray
        Runoff [mm].

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    rain = within("rain_mm", rain_mm, WATER)
    storage = 25400.0 / within("curve_number", curve_number, CURVE_NUMBER) - 254.0
    excess = np.maximum(rain - 0.2 * storage, 0.0)
    return excess * excess / (excess + storage)


@dataclass(frozen=True)
class RootZone:
    """The soil that roots reach, and how its surface sheds rain.

    Attributes
    ----------
    field_capacity, wilting_point : float or ndarray
        Water contents [m3/m3], 0 to 1, the first above the second.
    root_depth_m : float or ndarray
        Depth of the roots [m], 0.01 to 3.
    p_table : float or ndarray
        Share used before stress at 5 mm/d (FAO-56 Table 22: 0.40 cool-season, 0.50 warm-season).
    curve_number : float or ndarray
        Of the surface, 30 to 99.

    Arrays must broadcast against the leading axes of a balance (several lawns at once). A number
    outside its range raises ValueError.
    """

    field_capacity: float | Floats
    wilting_point: float | Floats
    root_depth_m: float | Floats
    p_table: float | Floats
    curve_number: float | Floats

    def __post_init__(self) -> None:
        if not np.all(self.total > 0):
            raise ValueError("field_capacity must lie above wilting_point")
        depletion_fraction(self.p_table, 0.0)
        within("curve_number", self.curve_number, CURVE_NUMBER)

    @property
    def total(self) -> Floats:
        """TAW [mm]."""
        return total_available(self.field_capacity, self.wilting_point, self.root_depth_m)


@dataclass(frozen=True)
class Balance:
    """What became of the water, day by day; every array has the shape (..., days), in mm.

    On every day rain + irrigation = actual_use + runoff + drainage + (depletion_morning -
    depletion_evening). `stress` is Ks [fraction]; `readily_available` is the depletion at which
    the grass begins to lack water on that day.
    """

    depletion_morning: Floats
    depletion_evening: Floats
    actual_use: Floats
    runoff: Floats
    drainage: Floats
    stress: Floats
    readily_available: Floats


def balance(
    root_zone: RootZone,
    *,
    start_depletion: ArrayLike,
    water_use: ArrayLike,
    rain: ArrayLike,
    irrigation: ArrayLike,
) -> Balance:
    """Daily water balance of the root zone [82-88], without capillary rise.

    Conventions, since the result depends on them: Ks is that of the morning, before the day's rain;
    the grass draws Ks times its demand, but never more than the morning's store; rain less runoff
    and all the irrigation come in; what exceeds field capacity drains within the day. Runoff is
    made from rain alone: irrigation is meant to be given no faster than the soil takes it.

    More water, earlier or later, never ends in a greater depletion on any evening: two runs, with
    the least and the most water that is possible, hold the truth between them.

    Where the depletion or the weather of a day is NaN, the depletion is NaN from that evening on.
    However much falls later, it stays unknown: run the balance with the least and the most that
    the missing day can have brought, to see where the two meet.

    Parameters
    ----------
    root_zone : RootZone
    start_depletion : array_like, shape (...)
        Depletion on the first morning [mm], 0 to TAW.
    water_use : array_like, shape (..., days)
        Kc * ET0, what the grass uses when it lacks nothing [mm/d], 0 to 2000.
    rain, irrigation : array_like, shape (..., days)
        Of each day [mm], 0 to 2000.

    Returns
    -------
    Balance

    Raises
    ------
    ValueError
        A number lies outside its range, or the shapes do not fit together.
    """
    demand = within("water_use", water_use, WATER)
    fallen = within("rain", rain, WATER)
    given = within("irrigation", irrigation, WATER)
    start = within("start_depletion", start_depletion, WATER)
    total = root_zone.total
    in_order("start_depletion", start, "the total available water", total + 1e-9)
    if not max(demand.ndim, fallen.ndim, given.ndim):
        raise ValueError("water_use, rain or irrigation must have an axis of days")

    def daily(value: float | Floats) -> Floats:
        return np.asarray(value, dtype=np.float64)[..., np.newaxis]

    lost = runoff(fallen, daily(root_zone.curve_number))
    added = fallen - lost + given
    p = depletion_fraction(daily(root_zone.p_table), demand)
    shape = np.broadcast_shapes(
        start[..., np.newaxis].shape, daily(total).shape, demand.shape, added.shape, p.shape
    )
    lead, days = shape[:-1], shape[-1]

    # One run after another, on plain numbers: for the few runs that are asked at once this is
    # several times faster than a loop over rows of an array.
    holds = np.broadcast_to(total, lead).ravel()
    first = np.minimum(np.broadcast_to(start, lead).ravel(), holds)

    def runs(value: Floats) -> list[list[float]]:
        return np.broadcast_to(value, shape).reshape(len(holds), days).tolist()

    slopes = 1.0 / ((1.0 - p) * daily(total))
    each = (first.tolist(), holds.tolist(), runs(demand), runs(added), runs(slopes))
    found = [_run(*one) for one in zip(*each, strict=True)]
    depletion, used, stress, over = (
        np.array([one[n] for one in found], dtype=np.float64).reshape(*lead, long)
        for n, long in enumerate((days + 1, days, days, days))
    )

    return Balance(
        depletion_morning=depletion[..., :-1],
        depletion_evening=depletion[..., 1:],
        actual_use=used,
        runoff=np.broadcast_to(lost, shape).copy(),
        drainage=np.maximum(-over, 0.0),
        stress=stress,
        readily_available=np.broadcast_to(p * daily(total), shape).copy(),
    )


def _run(
    depletion: float,
    holds: float,
    demand: Sequence[float],
    added: Sequence[float],
    slopes: Sequence[float],
) -> tuple[list[float], list[float], list[float], list[float]]:
    """One run of days from the first morning's depletion: each morning's and the last evening's,
    what was drawn, Ks, and what each day ends with before field capacity bounds it.

    Every bound is written so that NaN goes through it.
    """
    depletions, used, stress, over = [depletion], [], [], []
    for wanted, came, slope in zip(demand, added, slopes, strict=True):
        room = holds - depletion
        ks = room * slope
        if ks > 1.0:
            ks = 1.0
        # Held by the morning's store, a wetter morning never ends in a drier evening, even where
        # a day's demand exceeds what a shallow sand holds.
        drawn = ks * wanted
        if drawn > room:
            drawn = room
        after = depletion = depletion - came + drawn
        if depletion < 0.0:
            depletion = 0.0
        # The upper bound only takes away what rounding adds.
        elif depletion > holds:
            depletion = holds
        depletions.append(depletion)
        used.append(drawn)
        stress.append(ks)
        over.append(after)
    return depletions, used, stress, over

"""Sprinklers measured with catch cans: how fast they bring water, and how evenly.

Cans of one opening stand over a zone while it runs. Their mean gives the rate, their spread how
much longer the zone must run for its driest part to have enough.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

ENOUGH_CANS = 24
"""Cans that a test wants at the least, in a number divisible by four (audit guideline, read at
second hand)."""

ENOUGH_ML = 25.0
"""Mean catch from which reading a can is good enough [mL; from memory]."""

CALM_M_S = 5 * 0.44704
"""Most wind during a test: 5 mph, ASAE S398.1 as the 2009 audit guideline quotes it [m/s]."""

EVEN_ENOUGH = 0.65
"""Low-quarter uniformity that passes for fixed spray heads, 0.70 for rotors (read at second
hand)."""

EVEN_WIDELY = 0.40
"""A low-quarter uniformity below which more minutes waste more than they mend [judgement: the
multiplier is then above 1.5]."""


@dataclass(frozen=True)
class CatchTest:
    """What a test comes to.

    `uniformity` is the low-quarter distribution uniformity, `low_half` the same with the lower
    half, `christiansen` the coefficient of uniformity, all as fractions; `quarter` the number of
    cans that counted as the lowest quarter. `remarks` are sentences on how far it can be trusted.
    """

    cans: int
    mean_ml: float
    rate_mm_h: float
    uniformity: float
    quarter: int
    low_half: float
    christiansen: float
    multiplier: float
    remarks: tuple[str, ...]


def catch_test(
    catches_ml: Sequence[float],
    minutes: float,
    opening_cm2: float,
    wind_m_s: float | None = None,
) -> CatchTest:
    """Work out a catch-can test.

    Parameters
    ----------
    catches_ml : sequence of float
        What each can caught [mL], at least four of them, none negative, not all empty.
    minutes : float
        How long the zone ran, above 0.
    opening_cm2 : float
        Area of one can's opening [cm2], above 0.
    wind_m_s : float, optional
        Wind during the test [m/s], where it was measured.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    rate = precipitation_rate(catches_ml, minutes, opening_cm2)
    even = low_share(catches_ml, 4)
    return CatchTest(
        cans=len(catches_ml),
        mean_ml=_mean(catches_ml),
        rate_mm_h=rate,
        uniformity=even,
        quarter=lowest(len(catches_ml), 4),
        low_half=low_share(catches_ml, 2),
        christiansen=christiansen(catches_ml),
        multiplier=run_time_multiplier(even),
        remarks=_remarks(catches_ml, even, wind_m_s),
    )


def precipitation_rate(catches_ml: Sequence[float], minutes: float, opening_cm2: float) -> float:
    """Net precipitation rate [mm/h]: mean depth in the cans over the time that the zone ran.

    In the units of audit sheets this is 3.66 times the mean in mL over minutes and square inches.
    Raises ValueError for a time or opening that is not above 0, and for catches as `low_share`.
    """
    for name, value in (("minutes", minutes), ("opening_cm2", opening_cm2)):
        if not 0 < value < math.inf:
            raise ValueError(f"{name} must be above 0, not {value:g}")
    return _mean(_checked(catches_ml)) / opening_cm2 * 10.0 * 60.0 / minutes


def lowest(cans: int, part: int) -> int:
    """How many cans are the lowest `part`-th of them: the nearest whole number, a half to the even
    one, and at least one.

    So rounds the NC State code whose published cases the tests hold us to. Rounding down would
    give 40 in place of 50 % for one of them, so a rule has to be named with the result.
    """
    return max(1, round(cans / part))


def low_share(catches_ml: Sequence[float], part: int = 4) -> float:
    """Distribution uniformity: mean of the lowest `part`-th of the cans over the mean of all.

    DULQ with part = 4, DULH with part = 2; 0 to 1. Raises ValueError for fewer than four cans, a
    catch that is negative or no number, and where all are empty.
    """
    ordered = sorted(_checked(catches_ml))
    # What rounding adds to equal catches must not make them more than even.
    return min(1.0, _mean(ordered[: lowest(len(ordered), part)]) / _mean(ordered))


def christiansen(catches_ml: Sequence[float]) -> float:
    """Christiansen's coefficient of uniformity, 1 - sum |x - mean| / sum x, as a fraction.

    It is below 0 where few cans caught nearly all. Raises ValueError as `low_share`.
    """
    catches = _checked(catches_ml)
    mean = _mean(catches)
    return 1.0 - sum(abs(catch - mean) for catch in catches) / sum(catches)


def minutes_for(depth_mm: float, rate_mm_h: float, uniformity: float | None) -> float:
    """Minutes in which sprinklers of `rate_mm_h` give a depth, more of them where the low-quarter
    `uniformity` (0 to 1) was measured. Below `EVEN_WIDELY` no more are added."""
    longer = 1.0
    if uniformity is not None:
        longer = run_time_multiplier(max(uniformity, EVEN_WIDELY))
    return 60.0 * depth_mm / rate_mm_h * longer


def run_time_multiplier(uniformity: float) -> float:
    """How much longer a zone runs so that its driest quarter has nearly enough: 1 / (0.4 + 0.6 DU).

    The formula of irrigation audits is from memory. It never asks for more than what was read: its
    divisor lies above 0.386 + 0.614 DULQ, von Bernuth and Mecham's low-half uniformity, and
    Mecham (2010) takes 1 / DULH as the upper limit.

    `uniformity` is DULQ, 0 to 1; ValueError otherwise.
    """
    if not 0.0 <= uniformity <= 1.0:
        raise ValueError(f"uniformity must lie from 0 to 1, not {uniformity:g}")
    return 1.0 / (0.4 + 0.6 * uniformity)


def _checked(catches_ml: Sequence[float]) -> Sequence[float]:
    if len(catches_ml) < 4:
        raise ValueError("at least four cans are wanted; a quarter of fewer is no can")
    for catch in catches_ml:
        if not 0.0 <= catch < math.inf:
            raise ValueError(f"a catch must be 0 or more, not {catch:g}")
    if not sum(catches_ml):
        raise ValueError("all cans are empty")
    return catches_ml


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)


def _remarks(
    catches_ml: Sequence[float], uniformity: float, wind_m_s: float | None
) -> tuple[str, ...]:
    cans, out = len(catches_ml), []
    if cans < ENOUGH_CANS:
        out.append(f"{cans} cans are few; an audit wants at least {ENOUGH_CANS}.")
    if cans % 4:
        quarter = lowest(cans, 4)
        out.append(
            f"{cans} is not divisible by four: the lowest quarter was taken as {quarter}"
            f" can{'' if quarter == 1 else 's'}, {cans}/4 to the nearest whole number."
        )
    if _mean(catches_ml) < ENOUGH_ML:
        out.append(
            f"The cans caught {_mean(catches_ml):.0f} mL on average; run it until they hold"
            f" {ENOUGH_ML:.0f} mL, so that reading them errs little (from memory)."
        )
    if wind_m_s is None:
        out.append("The wind is not stated; a test counts with at most 5 mph (2.2 m/s).")
    elif wind_m_s > CALM_M_S:
        out.append("There was more wind than the 5 mph (2.2 m/s) that a test may have; repeat it.")
    if uniformity < EVEN_WIDELY:
        out.append(
            "So uneven a zone wants its heads mended (pressure, tilt, nozzles, spacing) before it"
            " is given more minutes."
        )
    elif uniformity < EVEN_ENOUGH:
        out.append("Less even than the 65 % that passes for spray heads, 70 % for rotors.")
    return tuple(out)

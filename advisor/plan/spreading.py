"""What is known of a spreader, in words: its correction, a test run, a catch on a tarp.

A correction is always of the opening. It is never a reason to weigh out more: the dose stays.
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.plan.weighing import Weighed, rate_text, weighed
from advisor.series.quantity import Kind, convert, show
from advisor.site.spreaders import ACCEPTED, Correction, Spreader

FAR_OFF = 0.25
"""A spreader that is off by more than this is to be tried before it is filled, and its opening to
be moved by more than a little [judgement]."""

TEST_RUN_M = {"us": 50 * 0.3048, "metric": 15.0}
"""Length of a test run: 50 ft, as calibration sheets have it, or 15 m."""


def correction_text(spreader: Spreader, told: Correction, each_rate: float, units: str) -> str:
    """What the journal says of a spreader, and how to set it for a pass at `each_rate` [g/m2]."""
    times = {1: "the last time", 2: "the last two times", 3: "the last three times"}[told.times]
    mark = f" at mark {told.mark}" if told.mark else ""
    if told.in_order:
        return (
            f"{spreader.shown}{mark} came within {ACCEPTED:.0%} of the dose the last time: leave"
            " the opening as it was."
        )
    doing = "close" if told.ratio > 1 else "open"
    far_off = abs(told.ratio - 1) > FAR_OFF
    said = (
        f"{spreader.shown}{mark} put down {off_text(told.ratio)} {times}:"
        f" {doing} the opening {'a good deal' if far_off else 'a little'} from there, as if for"
        f" {rate_text(each_rate / told.ratio, False, units)} a pass instead of"
        f" {rate_text(each_rate, False, units)}. The dose stays what it is."
    )
    if far_off:
        said += " That is far off: clean it, and try it over a measured strip first."
    return said


def off_text(ratio: float) -> str:
    """How what went down lies to what was meant, for a ratio of the two that is not 1."""
    if ratio >= 2:
        return f"{ratio:.1f} times as much as meant"
    return f"{abs(ratio - 1) * 100:.0f} % {'too much' if ratio > 1 else 'too little'}"


@dataclass(frozen=True)
class StripRun:
    """A measured strip: its area, and what should go down on it in one pass."""

    area_m2: float
    weighed: Weighed
    text: str


def strip_run(spreader: Spreader, each_rate: float, units: str) -> StripRun | None:
    """What a run over a known length should take, in one pass at `each_rate` [g/m2]: rate times
    swath times length. None where the swath is not told."""
    if spreader.swath_m is None:
        return None
    length = TEST_RUN_M[units]
    area = spreader.swath_m * length
    amount = weighed(each_rate * area / 1000, Kind.MASS, units)
    unit = "ft" if units == "us" else "m"
    text = (
        f"Test run: over {convert(length, Kind.LENGTH, unit):.0f} {unit} at its swath of"
        f" {convert(spreader.swath_m, Kind.LENGTH, unit):.3g} {unit}"
        f" ({show(area, Kind.AREA, units)}) {amount.text} should go down in one half-rate pass,"
        f" give or take {ACCEPTED:.0%}. Run it on the lawn, where it is part of the dose, or on a"
        " swept floor, and put it back."
    )
    return StripRun(area, amount, text)


def hoppers_text(spreader: Spreader, pass_kg: float, units: str) -> str:
    """How often the hopper is filled for a pass; empty where once will do, or nobody knows."""
    if spreader.hopper_kg is None or pass_kg <= spreader.hopper_kg + 1e-9:
        return ""
    holds = show(spreader.hopper_kg, Kind.MASS, units)
    return f"The hopper holds {holds}: fill it from what is weighed out for the pass, no more."


def catch_rate(mass_kg: float, area_m2: float) -> float:
    """What was caught on a measured area, as a rate [g/m2]."""
    return mass_kg * 1000 / area_m2


def catch_text(rate: float, wanted: float, units: str) -> str:
    """A catch [g/m2] held against what one pass is to bring [g/m2]."""
    off = rate / wanted
    shown = f"The catch is {rate_text(rate, False, units)}; a half-rate pass is to bring"
    shown += f" {rate_text(wanted, False, units)}"
    if abs(off - 1) <= ACCEPTED + 1e-9:
        return f"{shown}: within {ACCEPTED:.0%}, so the opening is right."
    doing = "close" if off > 1 else "open"
    return f"{shown}: {off_text(off)}; {doing} the opening and catch again."

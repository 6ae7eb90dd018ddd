"""What is known of a spreader, in words: its correction, a test run, a catch on a tarp.

A correction is always of the opening. It is never a reason to weigh out more: the dose stays.
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.language.dates import separated
from advisor.language.words import tell
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
    shown = spreader.shown
    if told.mark:
        shown = tell("{spreader} at mark {mark}", spreader=shown, mark=told.mark)
    if told.in_order:
        return tell(
            "{spreader} came within {share} of the dose the last time: leave the opening as it"
            " was.",
            spreader=shown,
            share=f"{ACCEPTED:.0%}",
        )
    words = {
        "spreader": shown,
        "off": off_text(told.ratio),
        "times": _times_text(told.times),
        "set_for": rate_text(each_rate / told.ratio, False, units),
        "rate": rate_text(each_rate, False, units),
    }
    match told.ratio > 1, abs(told.ratio - 1) > FAR_OFF:
        case True, False:
            return tell(
                "{spreader} put down {off} {times}: close the opening a little from there, as if"
                " for {set_for} a pass instead of {rate}. The dose stays what it is.",
                **words,
            )
        case False, False:
            return tell(
                "{spreader} put down {off} {times}: open the opening a little from there, as if"
                " for {set_for} a pass instead of {rate}. The dose stays what it is.",
                **words,
            )
        case True, True:
            return tell(
                "{spreader} put down {off} {times}: close the opening a good deal from there, as"
                " if for {set_for} a pass instead of {rate}. The dose stays what it is. That is far"
                " off: clean it, and try it over a measured strip first.",
                **words,
            )
        case _:
            return tell(
                "{spreader} put down {off} {times}: open the opening a good deal from there, as if"
                " for {set_for} a pass instead of {rate}. The dose stays what it is. That is far"
                " off: clean it, and try it over a measured strip first.",
                **words,
            )


def _times_text(times: int) -> str:
    match times:
        case 1:
            return tell("the last time")
        case 2:
            return tell("the last two times")
        case 3:
            return tell("the last three times")
        case _:
            raise ValueError(f"a correction comes from one to three checks, not {times}")


def off_text(ratio: float) -> str:
    """How what went down lies to what was meant, for a ratio of the two that is not 1."""
    if ratio >= 2:
        return tell("{ratio} times as much as meant", ratio=separated(f"{ratio:.1f}"))
    share = f"{abs(ratio - 1) * 100:.0f} %"
    if ratio > 1:
        return tell("{share} too much", share=share)
    return tell("{share} too little", share=share)


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
    swath = f"{convert(spreader.swath_m, Kind.LENGTH, unit):.3g}"
    text = tell(
        "Test run: over {length} at its swath of {swath} ({area}) {amount} should go down in one"
        " half-rate pass, give or take {share}. Run it on the lawn, where it is part of the dose,"
        " or on a swept floor, and put it back.",
        length=f"{convert(length, Kind.LENGTH, unit):.0f} {unit}",
        swath=f"{separated(swath)} {unit}",
        area=show(area, Kind.AREA, units),
        amount=amount.text,
        share=f"{ACCEPTED:.0%}",
    )
    return StripRun(area, amount, text)


def hoppers_text(spreader: Spreader, pass_kg: float, units: str) -> str:
    """How often the hopper is filled for a pass; empty where once will do, or nobody knows."""
    if spreader.hopper_kg is None or pass_kg <= spreader.hopper_kg + 1e-9:
        return ""
    holds = show(spreader.hopper_kg, Kind.MASS, units)
    return tell(
        "The hopper holds {amount}: fill it from what is weighed out for the pass, no more.",
        amount=holds,
    )


def catch_rate(mass_kg: float, area_m2: float) -> float:
    """What was caught on a measured area, as a rate [g/m2]."""
    return mass_kg * 1000 / area_m2


def catch_text(rate: float, wanted: float, units: str) -> str:
    """A catch [g/m2] held against what one pass is to bring [g/m2]."""
    off = rate / wanted
    words = {"rate": rate_text(rate, False, units), "wanted": rate_text(wanted, False, units)}
    if abs(off - 1) <= ACCEPTED + 1e-9:
        return tell(
            "The catch is {rate}; a half-rate pass is to bring {wanted}: within {share}, so the"
            " opening is right.",
            share=f"{ACCEPTED:.0%}",
            **words,
        )
    if off > 1:
        return tell(
            "The catch is {rate}; a half-rate pass is to bring {wanted}: {off}; close the opening"
            " and catch again.",
            off=off_text(off),
            **words,
        )
    return tell(
        "The catch is {rate}; a half-rate pass is to bring {wanted}: {off}; open the opening and"
        " catch again.",
        off=off_text(off),
        **words,
    )

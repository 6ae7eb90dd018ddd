"""A watering as the plan document tells it: the depth, each zone's runs, and why on this day."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.language.dates import day_text
from advisor.language.listing import enumerated
from advisor.language.words import tell
from advisor.plan.choice import Choice
from advisor.plan.model import ZoneRun
from advisor.plan.view import Setting
from advisor.plan.zone_runs import ZoneRuns, zone_runs
from advisor.series.quantity import Kind, show

NOTABLY_LESS = 1.0
"""Water that is not given, from which on it is told [mm]."""


@dataclass(frozen=True)
class Watered:
    """What a watering adds to its action. `by` is the later day of which the rule's sentence
    tells, in words; empty where it tells of this one."""

    text: str
    by: str
    zones: tuple[ZoneRun, ...]
    reasons: tuple[str, ...]
    flag: str

    @classmethod
    def nothing(cls) -> Watered:
        return cls("", "", (), (), "")

    def led_in(self, sentence: str) -> str:
        """The rule's sentence, with the day of which it tells."""
        if not self.by:
            return sentence
        return tell("Without water, by {day}: {sentence}", day=self.by, sentence=sentence)


def tell_water(setting: Setting, choice: Choice) -> Watered:
    """The words and numbers of one watering."""
    units = setting.site.units
    runs = zone_runs(setting.site, choice.lawn, choice.water_mm)
    depth = show(choice.water_mm, Kind.WATER, units)
    how = _simple(runs[0]) if runs and runs[0].simple else "; ".join(_named(one) for one in runs)
    reasons: list[str] = []
    by = ""
    if choice.onset is not None:
        by = day_text(setting.days[choice.onset], units)
        reasons.append(tell("This is the last day to water before that."))
    if choice.rain_room_mm >= NOTABLY_LESS:
        room = show(choice.rain_room_mm, Kind.WATER, units)
        reasons.append(tell("{depth} of room is left for the rain that is forecast.", depth=room))
    uneven = [one for one in runs if one.zone.uniformity is None]
    if uneven:
        reasons.append(_evenness(runs, uneven))
    lacking = choice.water_asked_mm - choice.water_mm
    flag = ""
    if lacking >= NOTABLY_LESS:
        asked = show(choice.water_asked_mm, Kind.WATER, units)
        flag = tell(
            "The hours allowed have room for {depth} of {asked}, soaking included; what is still"
            " missing goes to the next day allowed.",
            depth=depth,
            asked=asked,
        )
    return Watered(
        tell("{depth} ({how})", depth=depth, how=how) if how else depth,
        by,
        tuple(_run(one) for one in runs),
        tuple(reasons),
        flag,
    )


def _simple(one: ZoneRuns) -> str:
    minutes = f"{one.minutes:.0f}"
    if one.cycles.runs == 1:
        return tell("{minutes} minutes of your sprinklers", minutes=minutes)
    return tell("{minutes} minutes of your sprinklers: {runs}", minutes=minutes, runs=one.text)


def _named(one: ZoneRuns) -> str:
    return tell("{zone}: {runs}", zone=one.zone.shown, runs=one.text)


def _evenness(runs: tuple[ZoneRuns, ...], uneven: list[ZoneRuns]) -> str:
    """That no minutes were added for the drier parts of what was not measured."""
    if len(uneven) == len(runs):
        return tell(
            "How evenly the sprinklers water was not measured, so no minutes are added for it."
        )
    return tell(
        "How evenly {zones} waters was not measured, so no minutes are added there.",
        zones=enumerated([one.zone.shown for one in uneven]),
    )


def _run(one: ZoneRuns) -> ZoneRun:
    return ZoneRun(
        name=one.zone.name,
        title=one.zone.shown,
        minutes=round(one.minutes, 2),
        runs=one.cycles.runs,
        minutes_each=int(one.cycles.run_minutes),
        soak_minutes=int(one.cycles.soak_minutes),
        evenness=one.zone.uniformity,
        text=one.text,
    )

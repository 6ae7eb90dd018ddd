"""A watering as the plan document tells it: the depth, each zone's runs, and why on this day."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.language.dates import day_text
from advisor.plan.choice import Choice
from advisor.plan.model import ZoneRun
from advisor.plan.view import Setting
from advisor.plan.zone_runs import ZoneRuns, zone_runs
from advisor.series.quantity import Kind, show

NOTABLY_LESS = 1.0
"""Water that is not given, from which on it is told [mm]."""


@dataclass(frozen=True)
class Watered:
    """What a watering adds to its action. `when` stands before the rule's sentence, where that
    tells of a later day."""

    text: str
    when: str
    zones: tuple[ZoneRun, ...]
    reasons: tuple[str, ...]
    flag: str

    @classmethod
    def nothing(cls) -> Watered:
        return cls("", "", (), (), "")


def tell_water(setting: Setting, choice: Choice) -> Watered:
    """The words and numbers of one watering."""
    units = setting.site.units
    runs = zone_runs(setting.site, choice.lawn, choice.water_mm)
    depth = show(choice.water_mm, Kind.WATER, units)
    how = _simple(runs[0]) if runs and runs[0].simple else "; ".join(_named(one) for one in runs)
    reasons: list[str] = []
    when = ""
    if choice.onset is not None:
        when = f"Without water, by {day_text(setting.days[choice.onset], units)}: "
        reasons.append("This is the last day to water before that.")
    if choice.rain_room_mm >= NOTABLY_LESS:
        room = show(choice.rain_room_mm, Kind.WATER, units)
        reasons.append(f"{room} of room is left for the rain that is forecast.")
    uneven = [one for one in runs if one.zone.uniformity is None]
    if uneven:
        reasons.append(_evenness(runs, uneven))
    lacking = choice.water_asked_mm - choice.water_mm
    flag = ""
    if lacking >= NOTABLY_LESS:
        asked = show(choice.water_asked_mm, Kind.WATER, units)
        flag = (
            f"The hours allowed have room for {depth} of {asked}, soaking included; what is still"
            " missing goes to the next day allowed."
        )
    return Watered(
        f"{depth} ({how})" if how else depth,
        when,
        tuple(_run(one) for one in runs),
        tuple(reasons),
        flag,
    )


def _simple(one: ZoneRuns) -> str:
    text = f"{one.minutes:.0f} minutes of your sprinklers"
    return text if one.cycles.runs == 1 else f"{text}: {one.text}"


def _named(one: ZoneRuns) -> str:
    return f"{one.zone.shown}: {one.text}"


def _evenness(runs: tuple[ZoneRuns, ...], uneven: list[ZoneRuns]) -> str:
    """That no minutes were added for the drier parts of what was not measured."""
    if len(uneven) == len(runs):
        return "How evenly the sprinklers water was not measured, so no minutes are added for it."
    names = ", ".join(one.zone.shown for one in uneven)
    return f"How evenly {names} waters was not measured, so no minutes are added there."


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

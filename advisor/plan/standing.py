"""How a lawn stands today: the facts that an owner wants to see each week."""

from __future__ import annotations

import numpy as np

from advisor.conditions.table import Column
from advisor.conditions.vocabulary import STAGES
from advisor.language.dates import separated
from advisor.language.words import later, tell
from advisor.plan.model import Condition
from advisor.plan.view import Setting, View
from advisor.series.quantity import INSIDE, Kind, show
from advisor.turf.heat import HOT_DAY


def conditions(setting: Setting, view: View) -> tuple[Condition, ...]:
    """The facts that an owner wants to see each week, as they stand today."""
    units, today = setting.site.units, setting.today
    table = view.facts.table
    depth = 0.0508
    estimated = bool(view.facts.soil.at(depth)[1][today])
    depth_text = show(depth, Kind.LENGTH, units, unit="in" if units == "us" else "cm")
    shown: list[Condition] = [
        _condition(
            "soil_temp",
            tell("Soil at {depth}", depth=_without_zero(depth_text)),
            table.number("soil_temp", depth),
            Kind.TEMPERATURE,
            today,
            units,
            estimate=estimated,
        )
    ]
    hot_day = show(HOT_DAY, Kind.TEMPERATURE, units)
    for name, title, kind in (
        ("growth", tell("Growth potential"), Kind.FRACTION),
        ("depletion", tell("Water missing from the root zone"), Kind.WATER),
        ("stress_line", tell("Missing water at which stress begins"), Kind.WATER),
        ("days_to_stress", tell("Lacks water in"), Kind.DURATION),
        ("water_use", tell("Water used today"), Kind.WATER),
        ("nitrogen_year", tell("Nitrogen this year"), Kind.MASS_PER_AREA),
        ("air_max", tell("Highest air temperature today"), Kind.TEMPERATURE),
        (
            "heat_load",
            tell("Heat load today (degree-days above {limit})", limit=hot_day),
            Kind.DEGREE_DAYS,
        ),
    ):
        shown.append(_condition(name, title, table.number(name), kind, today, units))
    daylight = table.words["daylight"]
    hours = float(setting.weather.sun.hours[today])
    shown.append(
        Condition(
            name="daylight",
            title=tell("Daylight"),
            value=_daylight(hours, daylight.codes[today] == 0),
            number=round(hours, 2),
            unit="hours",
            origin=tell("sun's geometry"),
        )
    )
    shown += _crabgrass(view, today)
    return tuple(shown)


def _without_zero(depth: str) -> str:
    """A depth without decimals that say nothing."""
    return depth.replace(separated(".0"), "")


def _daylight(hours: float, lengthening: bool) -> str:
    shown = separated(f"{hours:.1f}")
    if lengthening:
        return tell("{hours} hours, lengthening", hours=shown)
    return tell("{hours} hours, shortening", hours=shown)


_STAGE_WORDS = {
    "not-yet": later("not yet"),
    "may-begin": later("may begin"),
    "major": later("sprouts most"),
    "over": later("mostly over"),
}


def _crabgrass(view: View, today: int) -> list[Condition]:
    """How far crabgrass has come: by the soil, and by the air too where the two exclude each
    other."""
    found = []
    signals = view.facts.crabgrass
    named = [("crabgrass_by_soil", tell("Crabgrass by the soil"), signals.soil)]
    if signals.disagree[today]:
        named.append(("crabgrass_by_air", tell("Crabgrass by the air"), signals.other))
    for name, title, stages in named:
        low, high = STAGES[int(stages.low[today])], STAGES[int(stages.high[today])]
        if low == high:
            value = tell(_STAGE_WORDS[low])
        elif (low, high) == (STAGES[0], STAGES[-1]):
            value = tell("unknown")
        else:
            first, last = tell(_STAGE_WORDS[low]), tell(_STAGE_WORDS[high])
            value = tell("{first} to {last}", first=first, last=last)
            if high == STAGES[-1]:
                value = tell("{first} or later", first=first)
        origin = view.facts.table.words[name].origin(today)
        found.append(Condition(name=name, title=title, value=value, origin=origin))
    return found


def _condition(
    name: str, title: str, column: Column, kind: Kind, day: int, units: str, estimate: bool = False
) -> Condition:
    low, high = float(column.low[day]), float(column.high[day])
    if low == high:
        value, number = show(low, kind, units), round(low, 4)
    elif np.isfinite(low) and np.isfinite(high):
        bounds = {"low": show(low, kind, units), "high": show(high, kind, units)}
        value, number = tell("{low} to {high}", **bounds), None
    elif np.isfinite(low):
        value, number = tell("at least {low}", low=show(low, kind, units)), None
    else:
        value, number = tell("unknown"), None
    if estimate:
        value = tell("{value} (estimate)", value=value)
    return Condition(
        name=name,
        title=title,
        value=value,
        number=number,
        unit=INSIDE[kind],
        origin=column.origin(day),
        span=bool(low != high and np.isfinite(low) and np.isfinite(high)),
        estimate=estimate,
    )

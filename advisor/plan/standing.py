"""How a lawn stands today: the facts that an owner wants to see each week."""

from __future__ import annotations

import numpy as np

from advisor.conditions.table import Column
from advisor.conditions.vocabulary import STAGES
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
            f"Soil at {depth_text.replace('.0', '')}",
            table.number("soil_temp", depth),
            Kind.TEMPERATURE,
            today,
            units,
            estimate=estimated,
        )
    ]
    hot_day = show(HOT_DAY, Kind.TEMPERATURE, units)
    for name, title, kind in (
        ("growth", "Growth potential", Kind.FRACTION),
        ("depletion", "Water missing from the root zone", Kind.WATER),
        ("stress_line", "Missing water at which stress begins", Kind.WATER),
        ("days_to_stress", "Lacks water in", Kind.DURATION),
        ("water_use", "Water used today", Kind.WATER),
        ("nitrogen_year", "Nitrogen this year", Kind.MASS_PER_AREA),
        ("air_max", "Highest air temperature today", Kind.TEMPERATURE),
        ("heat_load", f"Heat load today (degree-days above {hot_day})", Kind.DEGREE_DAYS),
    ):
        shown.append(_condition(name, title, table.number(name), kind, today, units))
    daylight = table.words["daylight"]
    shown.append(
        Condition(
            name="daylight",
            title="Daylight",
            value=f"{setting.weather.sun.hours[today]:.1f} hours, "
            + ("lengthening", "shortening")[int(daylight.codes[today])],
            number=round(float(setting.weather.sun.hours[today]), 2),
            unit="hours",
            origin="sun's geometry",
        )
    )
    shown += _crabgrass(view, today)
    return tuple(shown)


_STAGE_WORDS = {
    "not-yet": "not yet",
    "may-begin": "may begin",
    "major": "sprouts most",
    "over": "mostly over",
}


def _crabgrass(view: View, today: int) -> list[Condition]:
    """How far crabgrass has come: by the soil, and by the air too where the two exclude each
    other."""
    found = []
    signals = view.facts.crabgrass
    named = [("crabgrass_by_soil", "Crabgrass by the soil", signals.soil)]
    if signals.disagree[today]:
        named.append(("crabgrass_by_air", "Crabgrass by the air", signals.other))
    for name, title, stages in named:
        low, high = STAGES[int(stages.low[today])], STAGES[int(stages.high[today])]
        if low == high:
            value = _STAGE_WORDS[low]
        elif (low, high) == (STAGES[0], STAGES[-1]):
            value = "unknown"
        else:
            later = " or later" if high == STAGES[-1] else f" to {_STAGE_WORDS[high]}"
            value = _STAGE_WORDS[low] + later
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
        value, number = f"{show(low, kind, units)} to {show(high, kind, units)}", None
    elif np.isfinite(low):
        value, number = f"at least {show(low, kind, units)}", None
    else:
        value, number = "unknown", None
    if estimate:
        value += " (estimate)"
    return Condition(
        name=name,
        title=title,
        value=value,
        number=number,
        unit=INSIDE[kind],
        origin=column.origin(day),
        estimate=estimate,
    )

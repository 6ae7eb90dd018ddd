"""What the grass is doing: a state with hysteresis, day after day.

Each grass has thresholds of its own or its class's. A state is left at another temperature than it
is entered, so that one mild day does not wake a lawn. What the owner saw goes before what was
worked out, and grass that was just sown or laid before both.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.vocabulary import STATES
from advisor.turf.grasses import turfgrass

Floats = NDArray[np.float64]
Codes = NDArray[np.int8]

CODE = {state: np.int8(i) for i, state in enumerate(STATES)}


@dataclass(frozen=True)
class Limits:
    """Temperatures [°C] at which a grass changes what it does.

    Soil temperatures are five-day means at 10 cm, `heat` is a three-day mean of daily highs.
    """

    dormant_below: float
    greens_from: float
    active_from: float
    heat_above: float
    heat_until: float


def limits_of(grass: str) -> Limits:
    """The limits of a grass, or of a class of grasses; `turf.grasses` has their sources."""
    row = turfgrass(grass)
    return Limits(
        row.dormant_below.value,
        row.greens_from.value,
        row.active_from.value,
        row.heat_above.value,
        row.heat_until.value,
    )


DORMANT_AFTER = 14
"""Days of drought stress after which grass without water is dormant [judgement: two weeks]."""


def running_mean(values: Floats, days: int) -> Floats:
    """Mean over the `days` days to each day; needs 4 of 5 of them, else NaN."""
    known = ~np.isnan(values)
    total = np.cumsum(np.where(known, values, 0.0))
    count = np.cumsum(known)
    lag_total = np.concatenate([np.zeros(min(days, len(values))), total[:-days]])
    lag_count = np.concatenate([np.zeros(min(days, len(values))), count[:-days]])
    number = count - lag_count
    return np.where(number >= 0.8 * days, (total - lag_total) / np.maximum(1, number), np.nan)


RECOVERS_IN = 3
"""Days above the stress line before a thirsty grass counts as recovered [judgement]."""


@dataclass(frozen=True)
class Warmth:
    """What temperature alone makes of a grass: by day its state and its heat; None: not told."""

    state: list[str | None]
    hot: list[bool | None]


NOTHING_SEEN: Mapping[int, str] = {}


def warmth(
    limits: Limits, soil_10cm: Floats, air_max: Floats, seen: Mapping[int, str] = NOTHING_SEEN
) -> Warmth:
    """Winter dormant, greening up or active, and heat stress, from daily values [°C].

    `seen` holds what the owner sees on a day by its index (see `sightings`). Grass that is seen
    dormant while the soil is too cool for it to be active sleeps for the winter; grass that is seen
    green has begun to green up, unless the soil is still so cold that it cannot grow.
    """
    soil = running_mean(soil_10cm, 5).tolist()
    highs = running_mean(air_max, 3).tolist()
    out: list[str | None] = []
    hot_days: list[bool | None] = []
    thermal: str | None = None
    hot = False
    for day, (today_soil, today_high) in enumerate(zip(soil, highs, strict=True)):
        thermal = _thermal(thermal, today_soil, limits)
        if seen.get(day) == "dormant" and today_soil < limits.active_from:
            thermal = "winter-dormant"
        elif seen.get(day) == "green" and thermal == "winter-dormant":
            thermal = "greening-up" if today_soil >= limits.dormant_below else thermal
        if today_high > limits.heat_above:
            hot = True
        elif today_high < limits.heat_until:
            hot = False
        out.append(None if today_soil != today_soil else thermal)
        hot_days.append(None if today_high != today_high else hot)
    return Warmth(out, hot_days)


def states(
    warm: Warmth,
    depletion: Floats,
    stress_line: Floats,
    total_available: float,
    seen: Mapping[int, str] = NOTHING_SEEN,
    new: Codes | None = None,
) -> Codes:
    """The state of one lawn on each day, shape (days,); -1 where it cannot be told.

    `depletion` and `stress_line` are those of the morning [mm], of a root zone that holds
    `total_available` mm. `seen` is as in `warmth`: grass that is seen wilting lacks water, grass
    that is seen green does not, whatever the balance says. `new` (see `newly_seeded`) is 1 on days
    on which the grass is new, -1 where it perhaps is.
    """
    # Wilting is put half-way from the stress line to the wilting point (FAO-56 Ks = 0.5).
    wilting = (depletion > (stress_line + total_available) / 2).tolist()
    relieved = (depletion <= stress_line).tolist()
    unknown = np.isnan(depletion).tolist()
    out = np.full(len(wilting), -1, dtype=np.int8)
    drought = False
    drought_days = relief = 0
    for day, thermal in enumerate(warm.state):
        relief = relief + 1 if relieved[day] else 0
        if wilting[day]:
            drought = True
        elif relief >= RECOVERS_IN:
            drought, drought_days = False, 0
        elif relief and drought_days <= DORMANT_AFTER:
            drought_days = 0  # it has had water: what sends it to sleep is weeks without any
        saw = seen.get(day)
        if saw == "green":
            drought, drought_days = False, 0
        elif saw == "wilting":
            drought = True
        elif saw == "dormant" and thermal != "winter-dormant":
            drought, drought_days = True, max(drought_days, DORMANT_AFTER)
        drought_days += drought
        if thermal is None:
            continue
        if thermal == "winter-dormant":
            state = thermal
        elif new is not None and new[day]:
            if new[day] < 0:
                continue
            state = "newly-seeded"
        elif drought_days > DORMANT_AFTER:
            state = "summer-dormant"
        elif drought:
            state = "drought-stressed"
        elif unknown[day] or warm.hot[day] is None:
            continue
        elif warm.hot[day]:
            state = "heat-stressed"
        else:
            state = thermal
        out[day] = CODE[state]
    return out


def _thermal(before: str | None, soil: float, limits: Limits) -> str | None:
    """Winter dormant, greening up or active, from the soil alone and what it was before."""
    if soil != soil:
        return before
    if soil < limits.dormant_below:
        return "winter-dormant"
    if before in (None, "winter-dormant"):
        if soil >= limits.active_from:
            return "active"
        return "greening-up" if soil >= limits.greens_from else before or "winter-dormant"
    if before == "greening-up":
        return "active" if soil >= limits.active_from else before
    return before

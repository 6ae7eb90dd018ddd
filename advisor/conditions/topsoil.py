"""The state of the topsoil: whether it is frozen, saturated, moist or dry."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.grass import running_mean
from advisor.conditions.site_weather import SiteWeather
from advisor.conditions.soil import SNOW_COVER, Soil
from advisor.conditions.water import DRY, WET, Water

SATURATING_DRAINAGE = 5.0
"""Drainage of a day that leaves the topsoil too wet to walk on [mm; judgement]."""

FROZEN_DEPTH = 0.05
"""Depth at which frozen soil is looked for: 2 in [m]."""

SNOW_LIES_BELOW = 2.0
"""Three-day mean air temperature above which no snow is left lying [°C; judgement]."""


def soil_words(weather: SiteWeather, ground: Soil, balance: Water) -> NDArray[np.int8]:
    """Frozen, saturated, moist or dry; -1 where the wet and the dry path differ."""
    days = weather.daily
    soil, _ = ground.at(FROZEN_DEPTH)
    snow = days.snow_depth > SNOW_COVER
    # A source without snow leaves it open whether some lies, but only in the cold.
    perhaps_snow = np.isnan(days.snow_depth) & ~(running_mean(days.air_mean, 3) > SNOW_LIES_BELOW)
    frozen = (soil < 0) | snow
    unknown = (np.isnan(soil) | perhaps_snow) & ~frozen
    wet = (balance.drainage > SATURATING_DRAINAGE) | (balance.runoff > 0)
    # Soil that drained yesterday is still wet underfoot this morning.
    wet = wet | np.concatenate([np.zeros((2, 1), dtype=bool), wet[:, :-1]], axis=1)
    dry = balance.depletion > balance.stress_line
    per_path = np.where(wet, 1, np.where(dry, 3, 2))
    known = (per_path[WET] == per_path[DRY]) & ~unknown
    return np.where(frozen, 0, np.where(known, per_path[WET], -1)).astype(np.int8)

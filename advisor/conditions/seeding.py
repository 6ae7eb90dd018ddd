"""Whether seed may go down, as facts: by the soil, and by the time that is left before frost."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from advisor.conditions.grass import running_mean
from advisor.conditions.soil import Soil
from advisor.conditions.table import UNKNOWN_WORD, Words
from advisor.conditions.weather_days import WeatherDays
from advisor.language.words import tell
from advisor.turf.seeding import COOL_SEASON, OVERSEEDING_WARM, WARM_SEASON, SeedingWindow
from advisor.turf.stages import Trust

WINDOWS = {
    "cool_seeding": COOL_SEASON,
    "warm_seeding": WARM_SEASON,
    "winter_overseeding": OVERSEEDING_WARM,
}

SHUT, OPEN = 0, 1
"""Codes of `vocabulary.SEEDING`."""


def seeding_words(
    weather: WeatherDays, soil: Soil, median_frost: tuple[float, float]
) -> dict[str, Words]:
    """Each window on each day: open, shut or unknown.

    A window that only a number from memory would open is shut or unknown, never open.
    """
    found = {}
    for name, window in WINDOWS.items():
        warmth = running_mean(soil.at(window.depth_m)[0], 5)
        surely, perhaps = window.open(
            weather.dates, warmth, median_frost, southern=weather.southern
        )
        sure = surely & (window.opens_by is Trust.READ)
        codes = np.where(sure, OPEN, np.where(perhaps, UNKNOWN_WORD, SHUT)).astype(np.int8)
        found[name] = Words(codes, _origin(soil, window))
    return found


def _origin(soil: Soil, window: SeedingWindow) -> Callable[[int], str]:
    return lambda day: tell(
        "{origin}; past frosts ({source})",
        origin=soil.origin(day, window.depth_m),
        source=window.source,
    )

"""How far weeds and insects have come, as facts: each signal by itself, since they may disagree."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.soil import Soil
from advisor.conditions.table import UNKNOWN_WORD, Words
from advisor.conditions.weather_days import WeatherDays
from advisor.language.words import later, tell
from advisor.turf.emergence import (
    ANNUAL_BLUEGRASS_SOIL,
    CRABGRASS_AIR,
    CRABGRASS_SOIL,
    GOOSEGRASS_SOIL,
    Emergence,
    annual_bluegrass,
    crabgrass,
    goosegrass,
)
from advisor.turf.insects import BLACK_TURFGRASS_ATAENIUS, BLUEGRASS_BILLBUG, JAPANESE_BEETLE
from advisor.turf.stages import Stages

Floats = NDArray[np.float64]

BY_AIR = later("degree-days of the air ({source})")

INSECT_FACTS = {
    "ataenius": BLACK_TURFGRASS_ATAENIUS,
    "billbug": BLUEGRASS_BILLBUG,
    "japanese_beetle": JAPANESE_BEETLE,
}
"""The insects whose sources give a total, by the name of their fact."""


def insect_words(weather: WeatherDays) -> dict[str, Words]:
    """Stage of each insect by degree-days of the air: timing, never a diagnosis."""
    days = weather.daily
    return {
        name: _words(
            row.stages(weather.dates, days.air_max, days.air_min, southern=weather.southern),
            weather,
            BY_AIR,
            row.table.source,
        )
        for name, row in INSECT_FACTS.items()
    }


def crabgrass_stages(weather: WeatherDays, soil: Soil) -> Emergence:
    """How far crabgrass has come on each day, by the lawn's soil and by the air, as bounds."""
    days, (inch, _) = weather.daily, soil.at(CRABGRASS_SOIL.depth_m)
    return crabgrass(weather.dates, inch, days.air_max, days.air_min, southern=weather.southern)


def weed_words(weather: WeatherDays, soil: Soil, crab: Emergence) -> dict[str, Words]:
    """Stage of each weed by the lawn's soil, and by its second signal."""
    days, southern = weather.daily, weather.southern

    def at(depth_m: float) -> Floats:
        return soil.at(depth_m)[0]

    dates, air = weather.dates, (days.air_max, days.air_min)
    goose = goosegrass(dates, at(GOOSEGRASS_SOIL.depth_m), *air, southern=southern)
    bluegrass = annual_bluegrass(
        weather.dates, at(ANNUAL_BLUEGRASS_SOIL.depth_m), southern=southern
    )
    by_soil = (
        ("crabgrass", crab.soil, CRABGRASS_SOIL.depth_m, CRABGRASS_SOIL.table.source),
        ("goosegrass", goose.soil, GOOSEGRASS_SOIL.depth_m, GOOSEGRASS_SOIL.table.source),
        ("annual_bluegrass", bluegrass.soil, ANNUAL_BLUEGRASS_SOIL.depth_m,
         ANNUAL_BLUEGRASS_SOIL.table.source),
    )  # fmt: skip
    words = {
        f"{name}_by_soil": Words(_codes(stages), _from_soil(soil, depth, source))
        for name, stages, depth, source in by_soil
    }
    heat = CRABGRASS_AIR.table.source
    return words | {
        "crabgrass_by_air": _words(crab.other, weather, BY_AIR, heat),
        "goosegrass_by_air": _words(
            goose.other,
            weather,
            later("degree-days of the air ({source}; Arkansas: 10 to 14 days after crabgrass)"),
            heat,
        ),
        "annual_bluegrass_by_date": Words(
            _codes(bluegrass.other), lambda _: tell("the calendar (Arkansas: 15 August)")
        ),
    }


def _words(stages: Stages, weather: WeatherDays, what: str, source: str) -> Words:
    """`what` is a message with a `{source}`."""
    return Words(_codes(stages), lambda day: weather.daily.origin(day, tell(what, source=source)))


def _codes(stages: Stages) -> NDArray[np.int8]:
    return np.where(stages.low == stages.high, stages.low, UNKNOWN_WORD).astype(np.int8)


def _from_soil(soil: Soil, depth_m: float, source: str) -> Callable[[int], str]:
    return lambda day: tell("{origin} ({source})", origin=soil.origin(day, depth_m), source=source)

"""The vocabulary in an order that a reader can find their way in."""

from __future__ import annotations

import math

from advisor.conditions.vocabulary import FACTS, SINCE, FactWord
from advisor.series.quantity import Kind

JOURNAL = "journal"
"""The theme of `days since …`, which are not listed by name: there is one for all of SINCE."""

THEMES: dict[str, tuple[str, ...]] = {
    "weather": (
        "air_temp", "air_max", "air_min", "rain", "rain_chance", "rain_peak", "wind", "gust",
        "humidity", "snow_depth", "heat_index", "heat_load", "daylight_hours", "daylight", "leaf",
        "sun", "inversion",
    ),
    "soil": ("soil_temp", "soil"),
    "grass": ("grass", "grass_height", "mowing_height", "cool_seeding", "warm_seeding",
              "winter_overseeding"),
    "water": ("et0", "water_use", "depletion", "stress_line", "water_left", "days_to_stress",
              "irrigation"),
    "growth and nutrients": ("growth", "nitrogen_pace", "nitrogen_year", "nitrogen_left",
                             "phosphorus_test", "lime_test"),
    "weeds": ("spring_heat", "crabgrass_by_soil", "crabgrass_by_air", "goosegrass_by_soil",
              "goosegrass_by_air", "annual_bluegrass_by_soil", "annual_bluegrass_by_date"),
    "insects": ("ataenius", "billbug", "japanese_beetle"),
    "disease": ("leaf_wetness", "dollar_spot", "brown_patch", "pythium"),
    "frost": ("autumn_frost", "spring_frost", "days_to_frost"),
    JOURNAL: (),
    "law": ("watering_day", "nitrogen_law", "phosphorus_law"),
}  # fmt: skip
"""The facts of each theme."""


def by_theme() -> dict[str, list[FactWord]]:
    """All facts, theme by theme, and for the journal one for each `days since …`."""
    found = {theme: [FACTS[name] for name in names] for theme, names in THEMES.items()}
    found[JOURNAL] = [
        FactWord(f"days since {name}", Kind.DURATION, 0, math.inf, meaning)
        for name, meaning in SINCE.items()
    ]
    return found

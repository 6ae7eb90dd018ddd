"""Our soils beside the ranges that others print, where they agree and where they do not.

Available water in mm/m. NRCS: the guide to estimating soil moisture by feel and appearance, inches
per foot. Colorado State: sheet 4.707. FAO-56: Table 19, its column of available water from memory
(the ranges of field capacity and wilting point that it comes from were read).
"""

from __future__ import annotations

import pytest

from advisor.turf.soils import AVAILABLE_WATER
from advisor.turf.water import total_available

PER_FOOT = 25.4 / 0.3048
NRCS = {
    "sand": (0.6, 1.2), "loamy-sand": (0.6, 1.2), "sandy-loam": (1.3, 1.7), "loam": (1.5, 2.1),
    "silt-loam": (1.5, 2.1), "sandy-clay-loam": (1.5, 2.1), "clay-loam": (1.6, 2.4),
    "silty-clay-loam": (1.6, 2.4), "clay": (1.6, 2.4),
}  # fmt: skip
COLORADO = {
    "sand": (50, 80), "loamy-sand": (70, 100), "sandy-loam": (100, 130), "loam": (180, 210),
    "silt-loam": (170, 210), "sandy-clay-loam": (130, 180), "clay-loam": (130, 170),
    "silty-clay-loam": (130, 170), "clay": (110, 130),
}  # fmt: skip
FAO = {
    "sand": (50, 110), "loamy-sand": (60, 120), "sandy-loam": (110, 150), "loam": (130, 180),
    "silt-loam": (130, 190), "silt": (160, 200), "silty-clay-loam": (130, 180), "clay": (120, 200),
}  # fmt: skip
RANGES = {
    "NRCS": {soil: (low * PER_FOOT, high * PER_FOOT) for soil, (low, high) in NRCS.items()},
    "Colorado State": COLORADO,
    "FAO-56": FAO,
}

OUTSIDE = {
    ("Colorado State", "loam"): "below",
    ("NRCS", "silt-loam"): "above",
    ("FAO-56", "silt-loam"): "above",
    ("FAO-56", "silt"): "above",
    ("NRCS", "sandy-clay-loam"): "below",
    ("Colorado State", "sandy-clay-loam"): "below",
    ("NRCS", "silty-clay-loam"): "above",
    ("Colorado State", "silty-clay-loam"): "above",
    ("FAO-56", "silty-clay-loam"): "above",
    ("Colorado State", "clay"): "above",
}
"""Where ours, the default soils of AquaCrop, lies outside; everywhere else it lies inside."""


@pytest.mark.parametrize(
    ("source", "soil"), [(source, soil) for source, row in RANGES.items() for soil in row]
)
def test_ours_lies_where_it_is_said_to_lie(source: str, soil: str) -> None:
    ours = float(total_available(*AVAILABLE_WATER[soil], 1.0))
    low, high = RANGES[source][soil]
    lies = "below" if ours < low - 1e-6 else "above" if ours > high + 1e-6 else "inside"
    assert lies == OUTSIDE.get((source, soil), "inside")


def test_every_texture_but_one_is_named_by_somebody() -> None:
    named = {soil for row in RANGES.values() for soil in row}
    assert set(AVAILABLE_WATER) - named == {"sandy-clay"}

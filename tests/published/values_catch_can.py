"""Catch-can tests whose catches and results were published together."""

from __future__ import annotations

import math

from published import COMPUTED, RECALLED, Published

from advisor.turf.catch_can import (
    christiansen,
    low_share,
    precipitation_rate,
    run_time_multiplier,
)

PACKAGE = "spreval, NC State"
SHEET = "Irrigation audit formulas"

SPREADER_WATER = (47, 42, 45, 24, 13, 26, 33, 34, 27, 30, 40, 44, 32, 12, 12)
"""Fifteen cans of the package's own tests."""

LANDSCAPE = (
    9, 11, 11, 13, 17, 14, 15, 15, 3, 15, 13, 6, 14, 11, 7, 11, 14, 17, 9, 6, 4, 8, 9, 12, 26, 17,
    8, 4, 6, 10, 14, 16, 14, 9, 6, 7, 10, 6, 16, 11, 3, 16, 10, 2, 5, 11,
)  # fmt: skip
"""Its landscape data: 46 cans of 7.2 cm, 15 minutes."""

TWENTY = (20, 22, 25, 18, 24, 26, 21, 19, 15, 23, 27, 24, 16, 22, 20, 28, 25, 17, 21, 24)
"""Cans of 16.5 square inches, 10 minutes; made up for the formulas."""

SQUARE_INCH = 2.54**2
CAN = math.pi * 7.2**2 / 4


def row(quantity: str, printed: str, unit: str, ours, **more) -> Published:
    return Published(quantity, PACKAGE, printed, unit, ours, **more)


VALUES = (
    row("DULQ of 15 cans", "49.62", "%", lambda: 100 * low_share(SPREADER_WATER, 4)),
    row("DULH of 15 cans", "71.58", "%", lambda: 100 * low_share(SPREADER_WATER, 2)),
    row("CU of 15 cans", "69.14", "%", lambda: 100 * christiansen(SPREADER_WATER)),
    row("DULQ of 46 landscape cans", "45", "%", lambda: 100 * low_share(LANDSCAPE, 4)),
    row("DULH of 46 landscape cans", "64", "%", lambda: 100 * low_share(LANDSCAPE, 2)),
    row("CU of 46 landscape cans", "64", "%", lambda: 100 * christiansen(LANDSCAPE)),
    Published(
        "net rate of 46 landscape cans", SHEET, ".413", "in/h",
        lambda: precipitation_rate(LANDSCAPE, 15, CAN) / 25.4, how=COMPUTED,
    ),
    Published(
        "net rate of 20 cans of 16.5 in2 in 10 min", SHEET, ".4847", "in/h",
        lambda: precipitation_rate(TWENTY, 10, 16.5 * SQUARE_INCH) / 25.4,
        how=COMPUTED, within=2e-4,
        why="computed with the constant 3.66, which is rounded from 3.6614",
    ),
    Published(
        "DULQ of 20 cans", SHEET, ".778", "", lambda: low_share(TWENTY, 4), how=COMPUTED
    ),
    Published(
        "constant of the net rate in mL, min and in2", SHEET, "3.66", "",
        lambda: precipitation_rate((1, 1, 1, 1), 1, SQUARE_INCH) / 25.4,
    ),
    Published(
        "run-time multiplier of DULQ .778", "Irrigation Association audit training", "1.154", "",
        lambda: run_time_multiplier(low_share(TWENTY, 4)), how=RECALLED,
    ),
    Published(
        "minutes for 1.0 in net at .4847 in/h, DULQ .778",
        "Irrigation Association audit training", "142.8", "min",
        lambda: 25.4 / precipitation_rate(TWENTY, 10, 16.5 * SQUARE_INCH) * 60
        * run_time_multiplier(low_share(TWENTY, 4)), how=RECALLED,
    ),
    Published(
        "minutes for 1.254 in net at .90 in/h, DULQ .65",
        "Irrigation Association audit training", "105.8", "min",
        lambda: 1.254 / 0.90 * 60 * run_time_multiplier(0.65), how=RECALLED,
    ),
)  # fmt: skip

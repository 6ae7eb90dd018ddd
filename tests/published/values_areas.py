"""Areas of plain shapes, by the formulas that the University of Missouri Extension teaches.

The formulas were read there; the numbers were computed from them, so that these are regression
values.
"""

from __future__ import annotations

from collections.abc import Callable

from published import COMPUTED, Published

from advisor.series.quantity import FOOT
from advisor.turf.areas import (
    Length,
    Shape,
    circle,
    offsets,
    oval,
    rectangle,
    trapezoid,
    triangle,
)

MISSOURI = "University of Missouri Extension"


def ft(feet: float) -> Length:
    return Length(feet * FOOT)


def ft2(shape: Shape) -> float:
    return shape.area_m2 / FOOT**2


def row(quantity: str, printed: str, ours: Callable[[], float]) -> Published:
    return Published(quantity, MISSOURI, printed, "ft²", ours, how=COMPUTED)


VALUES = (
    row("rectangle of 60 by 40 ft", "2400", lambda: ft2(rectangle(ft(60), ft(40)))),
    row("triangle of 30 ft base, 20 ft high", "300", lambda: ft2(triangle(ft(30), ft(20)))),
    row("circle of 12 ft radius", "452.4", lambda: ft2(circle(ft(12)))),
    row(
        "trapezoid of 40 and 60 ft, 25 ft apart",
        "1250",
        lambda: ft2(trapezoid(ft(40), ft(60), ft(25))),
    ),
    Published(
        "oval of 40 by 30 ft",
        MISSOURI,
        "960",
        "ft²",
        lambda: ft2(oval(ft(40), ft(30))),
        how=COMPUTED,
        within=18,
        why="the source rounds pi/4 up to 0.8; with pi/4 it is 942.5",
    ),
    row(
        "offsets of 18, 24, 30, 28, 22, 16 ft every 10 ft",
        "1380",
        lambda: ft2(offsets([ft(w) for w in (18, 24, 30, 28, 22, 16)], ft(10))),
    ),
)

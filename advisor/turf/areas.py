"""Areas of plain shapes that can be paced or taped on a lawn; their sums, with parts taken off.

The formulas are those of plane geometry, as an extension service teaches them (University of
Missouri). Where such a service rounds a factor up (0.8 for an oval, where pi/4 is 0.785), the exact
one stands here: a lawn that is stated too large gets too much.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

PACED = 0.05
"""Doubt of a length that was paced with a calibrated stride, as a share of it [judgement]."""

TAPED = 0.01
"""Doubt of a length that was taped or wheeled, as a share of it [judgement]."""

BY_OFFSETS = 0.05
"""Doubt of an area by offsets, beside that of its lengths: Missouri calls it good to 5 %."""

_ROUND = 72
"""Corners by which a round outline is drawn."""

Outline = tuple[tuple[float, float], ...]


class AreaError(ValueError):
    """Measures that enclose no area, as a sentence."""


@dataclass(frozen=True)
class Length:
    """A length [m] above 0, with its doubt as a share of it."""

    metres: float
    doubt: float = TAPED

    def __post_init__(self) -> None:
        if not (math.isfinite(self.metres) and self.metres > 0):
            raise AreaError("a length has to be more than 0")


@dataclass(frozen=True)
class Shape:
    """One measured shape: its area and how far that may be off [m2], and an outline [m] to look at;
    the outline is empty where only the area is known."""

    area_m2: float
    doubt_m2: float
    outline: Outline = ()


def _of(area: float, doubt: float, outline: Sequence[tuple[float, float]]) -> Shape:
    return Shape(area, area * doubt, tuple(outline))


def rectangle(length: Length, width: Length) -> Shape:
    """Length times width."""
    a, b = length.metres, width.metres
    return _of(a * b, length.doubt + width.doubt, [(0, 0), (a, 0), (a, b), (0, b)])


def triangle(base: Length, height: Length) -> Shape:
    """Half of base times height; the outline leans as nobody said how it does."""
    a, h = base.metres, height.metres
    return _of(a * h / 2, base.doubt + height.doubt, [(0, 0), (a, 0), (a / 2, h)])


def triangle_of_sides(first: Length, second: Length, third: Length) -> Shape:
    """By Heron's formula, in the order that keeps its digits for a flat triangle (Kahan)."""
    longest, middle, shortest = sorted((x.metres for x in (first, second, third)), reverse=True)
    reach = shortest - (longest - middle)
    if reach <= 0:
        raise AreaError("three such sides do not meet: the longest is no shorter than the others")
    product = (
        (longest + (middle + shortest))
        * reach
        * (shortest + (longest - middle))
        * (longest + (middle - shortest))
    )
    area = math.sqrt(product) / 4
    height = 2 * area / longest
    along = math.sqrt(max(0.0, middle**2 - height**2))
    doubt = 2 * max(x.doubt for x in (first, second, third))
    return _of(area, doubt, [(0, 0), (longest, 0), (along, height)])


def trapezoid(first: Length, second: Length, height: Length) -> Shape:
    """Half the sum of the two parallel sides times the distance between them."""
    a, b, h = first.metres, second.metres, height.metres
    doubt = max(first.doubt, second.doubt) + height.doubt
    shift = (a - b) / 2
    return _of((a + b) / 2 * h, doubt, [(0, 0), (a, 0), (a - shift, h), (shift, h)])


def circle(radius: Length) -> Shape:
    """pi times the square of the radius."""
    return oval(Length(2 * radius.metres, radius.doubt), Length(2 * radius.metres, radius.doubt))


def half_circle(radius: Length) -> Shape:
    """Half of a circle, with its straight side as the diameter."""
    r = radius.metres
    arc = [(r + r * math.cos(math.pi * n / _ROUND), r * math.sin(math.pi * n / _ROUND))
           for n in range(_ROUND + 1)]  # fmt: skip
    return _of(math.pi * r**2 / 2, 2 * radius.doubt, arc)


def oval(length: Length, width: Length) -> Shape:
    """Length times width times pi/4. Missouri teaches 0.8, which comes out 2 % larger."""
    a, b = length.metres / 2, width.metres / 2
    turn = [2 * math.pi * n / _ROUND for n in range(_ROUND)]
    outline = [(a + a * math.cos(t), b + b * math.sin(t)) for t in turn]
    return _of(math.pi * a * b, length.doubt + width.doubt, outline)


def offsets(widths: Sequence[Length], interval: Length, *, end_to_end: bool = False) -> Shape:
    """An irregular shape by its widths across a base line, one every `interval`.

    Each width stands for a strip one interval long, in whose middle it was taken: the sum of the
    widths times the interval (Missouri). With `end_to_end` the first and the last width lie on the
    ends of the base line and stand for half a strip each (the trapezoid rule).
    """
    if len(widths) < 2:
        raise AreaError("offsets need two widths at the least")
    step = interval.metres
    across = [width.metres for width in widths]
    doubt = max(width.doubt for width in widths) + interval.doubt + BY_OFFSETS
    if end_to_end:
        area = step * (sum(across) - (across[0] + across[-1]) / 2)
        top = [(n * step, width) for n, width in enumerate(across)]
    else:
        area = step * sum(across)
        top = [(x * step, w) for n, w in enumerate(across) for x in (n, n + 1)]
    return _of(area, doubt, [(0, 0), *top, (top[-1][0], 0)])


def polygon(corners: Sequence[tuple[float, float]], doubt: float = TAPED) -> Shape:
    """A shape by its corners [m] along its edge, in either turn (the shoelace formula).

    Raises AreaError where its edge crosses itself: then no formula says what is meant.
    """
    if len(corners) < 3:
        raise AreaError("a shape by corners needs three of them at the least")
    if _crosses(corners):
        raise AreaError("the edge crosses itself: give the corners in the order of a walk around")
    area = abs(_shoelace(corners))
    if area <= 1e-9:
        raise AreaError("the corners lie on one line")
    return _of(area, 2 * doubt, corners)


def _shoelace(corners: Sequence[tuple[float, float]]) -> float:
    pairs = zip(corners, [*corners[1:], corners[0]], strict=True)
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs) / 2


def _crosses(corners: Sequence[tuple[float, float]]) -> bool:
    """Whether two edges that are not neighbours meet, or a corner stands twice."""
    count = len(corners)
    if len(set(corners)) < count:
        return True
    edges = [(corners[n], corners[(n + 1) % count]) for n in range(count)]
    return any(
        _meet(*edges[i], *edges[j])
        for i in range(count)
        for j in range(i + 2, count)
        if not (i == 0 and j == count - 1)
    )


Point = tuple[float, float]


def _meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    def within(p: Point, q: Point, r: Point) -> bool:
        return min(p[0], q[0]) <= r[0] <= max(p[0], q[0]) and min(p[1], q[1]) <= r[1] <= max(
            p[1], q[1]
        )

    s1, s2, s3, s4 = side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b)
    if (s1 > 0) != (s2 > 0) and (s3 > 0) != (s4 > 0) and 0 not in (s1, s2, s3, s4):
        return True
    return any(
        s == 0 and within(*line, point)
        for s, line, point in ((s1, (a, b), c), (s2, (a, b), d), (s3, (c, d), a), (s4, (c, d), b))
    )


@dataclass(frozen=True)
class Measured:
    """What several shapes come to [m2]: the lawn, how far that may be off at the most, the part of
    it that is set back from water, and what is left to be treated."""

    area_m2: float
    doubt_m2: float
    setback_m2: float

    @property
    def treated_m2(self) -> float:
        return self.area_m2 - self.setback_m2


def together(
    added: Sequence[Shape], taken_off: Sequence[Shape] = (), setbacks: Sequence[Shape] = ()
) -> Measured:
    """Shapes that do not overlap added up, less the holes in them; setbacks stay part of the lawn.

    The doubts are added: stride and tape err in one direction. Raises AreaError where holes or
    setbacks leave nothing.
    """
    if not added:
        raise AreaError("nothing was measured")
    area = math.fsum(s.area_m2 for s in added) - math.fsum(s.area_m2 for s in taken_off)
    setback = math.fsum(s.area_m2 for s in setbacks)
    if area <= 0:
        raise AreaError("what is taken off is as large as what it is taken from")
    if setback >= area:
        raise AreaError("the setbacks leave nothing of the lawn")
    return Measured(area, math.fsum(s.doubt_m2 for s in (*added, *taken_off)), setback)

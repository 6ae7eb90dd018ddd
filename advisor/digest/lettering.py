"""How much room words take, and places for them where they stand on nothing else.

A browser draws them in the reader's own font and a PNG in the font of this package, which is
wider than most; so widths are estimated from above.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

_NARROW = frozenset(" !'(),.:;I[]fijlrt|·’‘′")
_WIDE = frozenset("#%&@MWmwÆæŒœĦħĲŉŴŵ—…½¼¾©®+−<=>^~±×÷¬←↑→↓≈≤≥‰")

BOLD = 1.14
"""How much wider a bold letter is."""

EARLY = 0.4
"""Points of a line that it is worth to take a spot one place earlier."""

Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""


def text_width(words: str, size: float, bold: bool = False) -> float:
    """At most so many units across, for letters of a size."""
    ems = sum(
        0.47 if letter in _NARROW else 1.07 if letter in _WIDE
        else 0.79 if letter.isupper() else 0.66
        for letter in words
    )  # fmt: skip
    return ems * size * (BOLD if bold else 1.0)


@dataclass(frozen=True)
class Spot:
    """Where a label may stand: its baseline, and which end of it `x` is."""

    x: float
    y: float
    anchor: str = "start"


def text_box(spot: Spot, words: str, size: float, bold: bool = False) -> Box:
    """The box that words take at a spot."""
    width = text_width(words, size, bold)
    left = spot.x - {"start": 0.0, "middle": width / 2, "end": width}[spot.anchor]
    return left, spot.y - 0.8 * size, left + width, spot.y + 0.24 * size


class Room:
    """The places that are taken in a picture: by words, which nothing may cover, and by lines,
    which words would rather keep off."""

    def __init__(self, within: Box) -> None:
        self._within = within
        self._words: list[Box] = []
        self._points: list[tuple[float, float]] = []

    def line(self, points: Sequence[tuple[float, float]]) -> None:
        """A line that words would rather keep off."""
        for (x1, y1), (x2, y2) in pairwise(points):
            steps = max(1, int(max(abs(x2 - x1), abs(y2 - y1)) / 3))
            self._points += [
                (x1 + (x2 - x1) * n / steps, y1 + (y2 - y1) * n / steps) for n in range(steps + 1)
            ]

    def take(self, box: Box) -> None:
        """Words that stand already."""
        self._words.append(box)

    def best(
        self, words: str, spots: Iterable[Spot], size: float, bold: bool = False
    ) -> Spot | None:
        """The spot on which words cover no words and the fewest lines, an early one before a late
        one; it is taken. None where each would cover words or reach beyond the picture."""
        found: tuple[float, Spot, Box] | None = None
        for place, spot in enumerate(spots):
            box = text_box(spot, words, size, bold)
            if self._outside(box) or any(_meet(box, other) for other in self._words):
                continue
            cost = EARLY * place + sum(_holds(box, point) for point in self._points)
            if found is None or cost < found[0]:
                found = cost, spot, box
        if found is None:
            return None
        self.take(found[2])
        return found[1]

    def _outside(self, box: Box) -> bool:
        left, top, right, bottom = self._within
        return box[0] < left or box[1] < top or box[2] > right or box[3] > bottom


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _holds(box: Box, point: tuple[float, float]) -> bool:
    return box[0] - 1 <= point[0] <= box[2] + 1 and box[1] <= point[1] <= box[3]

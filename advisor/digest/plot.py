"""A plot of days for a phone: a few values at its left, a few dates below, today and the forecast.

Words are at least 12 units high on 360, and stand at what they speak of: there is no legend.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from advisor.digest.drawing import Drawing
from advisor.digest.lettering import Room, Spot, text_box
from advisor.language.dates import date_text
from advisor.language.words import tell

WIDTH = 360.0
SIZE = 12.5
"""Of all words, in units of which a phone shows one as a pixel."""

LEFT = 64.0
RIGHT = 10.0
TOP = 22.0
BELOW = 24.0

Points = list[tuple[float, float]]


@dataclass(frozen=True)
class Picture:
    """A picture of a lawn. `finding` says what it shows, with the numbers, for whoever cannot see
    it; no text of an owner's is in it."""

    name: str
    title: str
    finding: str
    drawing: Drawing


class Plot:
    """Days from left to right and values upward, on a drawing of its own."""

    def __init__(
        self, title: str, finding: str, days: Sequence[date], values: tuple[float, float],
        units: str, *, height: float = 206.0, top: float = TOP, below: float = BELOW,
    ) -> None:  # fmt: skip
        self.drawing = Drawing(WIDTH, height, title, finding)
        self.top, self.bottom = top, height - below
        self.days, self.units = days, units
        self._low, self._high = values
        self._room = Room((2.0, 0.0, WIDTH - 2.0, height))
        self._labels: list[tuple[Spot, str, str, bool, str]] = []
        self._today = WIDTH

    def x(self, day: date) -> float:
        """The middle of a day."""
        span = max(1, (self.days[-1] - self.days[0]).days)
        return LEFT + (day - self.days[0]).days / span * (WIDTH - LEFT - RIGHT)

    def y(self, value: float) -> float:
        """Where a value is; one beyond the plot is at its edge."""
        share = (value - self._low) / (self._high - self._low)
        return self.bottom - min(1.0, max(0.0, share)) * (self.bottom - self.top)

    def ahead(self, today: date) -> None:
        """The ground of the days to come, first of all that is drawn."""
        self._today = self.x(today)
        self.drawing.rect(
            self._today, self.top, WIDTH - RIGHT - self._today, self.bottom - self.top, "ahead"
        )

    def values(self, ticks: Iterable[tuple[float, str]]) -> None:
        """Lines across, with their words at the left."""
        for value, words in ticks:
            y = self.y(value)
            self.drawing.line(LEFT - 4, y, WIDTH - RIGHT, y, "grid")
            self.fixed(words, Spot(LEFT - 8, y + 4.5, "end"), "faint")

    def dates(self, told: Iterable[tuple[date, str]]) -> None:
        """Days below the plot, each with a small stroke; one that would cover another is left."""
        for day, words in told:
            x, y = self.x(day), self.bottom + 18
            spots = [Spot(x, y, "middle"), Spot(WIDTH - 4, y, "end")]
            if x > WIDTH - RIGHT or x < LEFT:
                continue
            spot = self._room.best(words, spots if x > WIDTH - 40 else spots[:1], SIZE)
            if spot is not None:
                self.drawing.line(x, self.bottom, x, self.bottom + 4, "faint")
                self._labels.append((spot, words, "faint", False, ""))

    def today(self, today: date, ahead: str) -> None:
        """The line of today, its date above it, and what is to the right of it."""
        x = self.x(today)
        self.line([(x, self.top - 4), (x, self.bottom)], "ink", thick=1.2)
        said = tell("today, {date}", date=date_text(today, self.units))
        y = self.top - 9
        self.label(said, [Spot(x + 4, y, "end"), Spot(x, y, "middle"), Spot(x - 4, y, "start"),
                          Spot(LEFT - 8, y), Spot(WIDTH - 4, y, "end")], bold=True)  # fmt: skip
        if ahead:
            self.label(ahead, [Spot(WIDTH - 4, y, "end")], "faint")

    def line(
        self, points: Points, ink: str, *, thick: float = 2.0, dash: str = "", kept: bool = True
    ) -> None:
        """A stroke that labels keep off."""
        self.drawing.polyline(points, ink, thick=thick, dashed=bool(dash), dash=dash or "4 3")
        if kept:
            self._room.line(points)

    def fixed(self, words: str, spot: Spot, ink: str = "ink", *, bold: bool = False) -> None:
        """Words at a place of their own."""
        self._room.take(text_box(spot, words, SIZE, bold))
        self._labels.append((spot, words, ink, bold, ""))

    def label(
        self, words: str, spots: Iterable[Spot], ink: str = "ink", *, bold: bool = False,
        halo: str = "",
    ) -> None:  # fmt: skip
        """Words at the best of some places; where all are taken they are left to the finding."""
        spot = self._room.best(words, spots, SIZE, bold)
        if spot is not None:
            self._labels.append((spot, words, ink, bold, halo))

    def along(self, y: float, room: float = 5.0) -> list[Spot]:
        """Places along a level line: from its left, its right, its middle, above it and below."""
        right = WIDTH - RIGHT - 2
        xs = [
            (LEFT + 4, "start"),
            (right, "end"),
            *((LEFT + n, "start") for n in range(24, 220, 20)),
        ]
        return [Spot(x, base, anchor) for base in (y - room, y + room + 9) for x, anchor in xs]

    def around(self, x: float, y: float) -> list[Spot]:
        """Places about a point."""
        return [
            Spot(x + dx, y + dy, anchor)
            for far in (8, 16, 26, 38)
            for dx, dy, anchor in (
                (0, -far, "middle"), (0, far + 9, "middle"), (-far, 4, "end"), (far, 4, "start"),
                (-far, -far, "end"), (far, -far, "start"), (-far, far + 9, "end"),
                (far, far + 9, "start"),
            )
        ]  # fmt: skip

    def finished(self) -> Drawing:
        """The drawing, its words above all lines."""
        for spot, words, ink, bold, halo in self._labels:
            self.drawing.text(
                spot.x, spot.y, words, ink=ink, size=SIZE, anchor=spot.anchor, bold=bold, halo=halo
            )
        self._labels.clear()
        return self.drawing


def round_steps(low: float, high: float, most: int = 4) -> list[float]:
    """A few round values from `low` to `high`, at most so many; the two must differ."""
    rough = (high - low) / most
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * one for one in (1, 2, 5, 10, 20) if _count(low, high, power * one) <= most)
    first = math.ceil(low / step - 1e-9)
    return [step * n for n in range(first, first + _count(low, high, step))]


def _count(low: float, high: float, step: float) -> int:
    return math.floor(high / step + 1e-9) - math.ceil(low / step - 1e-9) + 1


def some_dates(days: Sequence[date], units: str) -> list[tuple[date, str]]:
    """Three or four days of some, as they are told: of each month two, or of few days three."""
    chosen = (1, 16) if len(days) > 50 else (1, 11, 21)
    return [(day, date_text(day, units)) for day in days if day.day in chosen]


def runs(days: Sequence[date], values: Sequence[float | None]) -> list[list[tuple[date, float]]]:
    """The unbroken stretches of known values; those of one day are among them."""
    out: list[list[tuple[date, float]]] = []
    before: date | None = None
    for day, value in zip(days, values, strict=True):
        if value is None:
            continue
        if before is None or day - before > timedelta(1):
            out.append([])
        out[-1].append((day, value))
        before = day
    return out

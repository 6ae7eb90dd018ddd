"""Measured shapes as a picture to look at: all to one scale, side by side as they were given."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor.digest.drawing import Drawing
from advisor.turf.areas import Outline

WIDTH = 420.0
"""Units across: a phone shows it without loss, a desk larger."""

COLUMNS = 2
GAP = 20.0
TALLEST = 190.0

INKS = {"plus": "apply", "less": "wait", "setback": "water"}
"""What is added, taken off, and left out beside water: told by a sign too, not by colour alone."""

SIGNS = {"plus": "+", "less": "−", "setback": "setback"}


@dataclass(frozen=True)
class Sketched:
    """One shape: `sign` is plus, less or setback; `text` and `area` are its words."""

    sign: str
    text: str
    area: str
    outline: Outline


def sketch(shapes: Sequence[Sketched], total: Sequence[str], scale_bar: tuple[float, str]) -> str:
    """The picture as SVG. `total` are lines to stand below; `scale_bar` is a length [m] and what
    it is called. How the shapes lie to one another is not known, and not drawn."""
    cell = (WIDTH - GAP * (COLUMNS + 1)) / COLUMNS
    drawn = [shape for shape in shapes if shape.outline]
    across = max((_size(shape.outline)[0] for shape in drawn), default=1.0)
    up = max((_size(shape.outline)[1] for shape in drawn), default=1.0)
    scale = min(cell / across, TALLEST / up)
    rows = [shapes[n : n + COLUMNS] for n in range(0, len(shapes), COLUMNS)]
    texts = {id(shape): _wrapped(shape.text, 30) for shape in shapes}
    heights = [
        max(_size(shape.outline)[1] for shape in row) * scale + 24 + 14 * _most(row, texts)
        for row in rows
    ]
    lines = [part for line in total for part in _wrapped(line, 60)]
    height = sum(heights) + GAP * (len(rows) + 1) + 30 + 17 * len(lines) + GAP
    drawing = Drawing(WIDTH, height, "Measured area", " ".join(total))
    top = GAP
    for row, tall in zip(rows, heights, strict=True):
        for column, shape in enumerate(row):
            left = GAP + column * (cell + GAP)
            bottom = top + tall - 24 - 14 * _most(row, texts)
            corners = [(left + x * scale, bottom - y * scale) for x, y in _from_zero(shape.outline)]
            drawing.polygon(corners, INKS[shape.sign], note=f"{shape.text}: {shape.area}")
            below = bottom + 16
            label = f"{SIGNS[shape.sign]} {shape.area}"
            drawing.text(left, below, label, ink=INKS[shape.sign], size=13, bold=True)
            for line in texts[id(shape)]:
                below += 14
                drawing.text(left, below, line, ink="faint", size=11)
        top += tall + GAP
    metres, name = scale_bar
    if drawn:
        bar = min(metres * scale, WIDTH - 2 * GAP - 60)
        if bar == metres * scale:
            drawing.line(GAP, top, GAP + bar, top, "ink", thick=2)
            for end in (GAP, GAP + bar):
                drawing.line(end, top - 4, end, top + 4, "ink", thick=2)
            drawing.text(GAP + bar + 8, top + 4, name, size=12)
    top += 30
    for line in lines:
        drawing.text(GAP, top, line, size=13)
        top += 17
    return drawing.svg()


def _most(row: Sequence[Sketched], texts: Mapping[int, list[str]]) -> int:
    return max(len(texts[id(shape)]) for shape in row)


def _size(outline: Outline) -> tuple[float, float]:
    if not outline:
        return 0.0, 0.0
    xs, ys = zip(*outline, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def _from_zero(outline: Outline) -> Outline:
    if not outline:
        return ()
    left, low = min(x for x, _ in outline), min(y for _, y in outline)
    return tuple((x - left, y - low) for x, y in outline)


def _wrapped(text: str, width: int) -> list[str]:
    """The words of a text in lines of at most so many characters."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if len(longer) > width and lines[-1]:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines

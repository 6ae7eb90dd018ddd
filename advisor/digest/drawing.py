"""Pictures as SVG text: a few shapes, escaped and rounded, light or dark by the reader's choice.

A picture carries its finding as text (`title` and `desc`), so it is never the only carrier of a
fact. Colours are named by their part in it; each comes in a pair for light and for dark ground,
chosen for readers who tell red from green badly: parts differ in lightness too.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Literal

from advisor.digest.clean import clean_text

INKS: dict[str, tuple[str, str]] = {
    "ground": ("#ffffff", "#15191c"),
    "ink": ("#20262b", "#e6e9eb"),
    "faint": ("#5c666e", "#a3adb5"),
    "grid": ("#d9dee2", "#343c42"),
    "apply": ("#0b6e4f", "#5fd0a5"),
    "wait": ("#a35a00", "#f0b45a"),
    "water": ("#1c5fb0", "#7db4f5"),
    "other": ("#6b4a8e", "#c3a4e6"),
    "stress": ("#854800", "#f0b45a"),
    "soil": ("#94360f", "#f5a680"),
    "band": ("#c9d9e8", "#2c4258"),
    "tank": ("#d6e3f0", "#24384e"),
    "maybe": ("#e9f0f7", "#1a2633"),
    "soil-band": ("#f1d5c6", "#5a3423"),
    "apply-band": ("#c3e3d5", "#1d4a3a"),
    "ahead": ("#f2f4f6", "#20262b"),
}
"""For light and for dark ground: each at least 4.5 to 1 against it, but for grounds and
fillings: what those tell has an edge in another ink, or words."""

RIMS = ("ground", "tank")
"""Inks of which words may have a rim."""

Ground = Literal["light", "dark", "both"]
"""On which ground a picture is drawn; `both`: by its reader's choice."""


class Drawing:
    """An SVG picture of `width` by `height` user units, which scales to its reader's width."""

    def __init__(self, width: float, height: float, title: str, finding: str) -> None:
        self.width, self.height = width, height
        self._title, self._finding = title, finding
        self._parts: list[str] = []

    def rect(
        self, x: float, y: float, width: float, height: float, ink: str, note: str = ""
    ) -> None:
        """A filled box; `note` is what a pointer resting on it shows."""
        self._add(f'<rect x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}"'
                  f' class="{_fill(ink)}"', note, "rect")  # fmt: skip

    def circle(self, x: float, y: float, radius: float, ink: str, note: str = "") -> None:
        """A filled dot."""
        self._add(
            f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}" class="{_fill(ink)}"',
            note,
            "circle",
        )

    def line(
        self, x1: float, y1: float, x2: float, y2: float, ink: str, *,
        thick: float = 1.0, dashed: bool = False,
    ) -> None:  # fmt: skip
        """A straight stroke."""
        self.polyline([(x1, y1), (x2, y2)], ink, thick=thick, dashed=dashed)

    def polyline(
        self, points: Sequence[tuple[float, float]], ink: str, *,
        thick: float = 1.0, dashed: bool = False, dash: str = "4 3",
    ) -> None:  # fmt: skip
        """A stroke through points; fewer than two draw nothing. `dash` is how it is dashed."""
        if len(points) < 2:
            return
        path = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
        broken = f' stroke-dasharray="{dash}"' if dashed else ""
        self._parts.append(
            f'<polyline points="{path}" class="{_stroke(ink)}" stroke-width="{_n(thick)}"{broken}/>'
        )

    def polygon(self, points: Sequence[tuple[float, float]], ink: str, note: str = "") -> None:
        """A filled outline; fewer than three points draw nothing."""
        if len(points) < 3:
            return
        path = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
        self._add(f'<polygon points="{path}" class="{_fill(ink)}"', note, "polygon")

    def text(
        self, x: float, y: float, words: str, *,
        ink: str = "ink", size: float = 12.0, anchor: str = "start", bold: bool = False,
        halo: str = "",
    ) -> None:  # fmt: skip
        """Words whose baseline is at `y`; `anchor` is start, middle or end. `halo` is the ink of a
        rim that keeps what lies below off them."""
        weight = ' font-weight="bold"' if bold else ""
        rim = f" {_rim(halo)}" if halo else ""
        self._parts.append(
            f'<text x="{_n(x)}" y="{_n(y)}" class="{_fill(ink)}{rim}"'
            f' font-size="{_n(size)}" text-anchor="{anchor}"{weight}>{_words(words)}</text>'
        )

    def svg(self, ground: Ground = "both") -> str:
        """The whole picture as a document of its own, or a part of a page."""
        title, finding = _words(self._title), _words(self._finding)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(self.width)}'
            f' {_n(self.height)}" role="img" aria-label="{escape(clean_text(self._finding))}"'
            ' font-family="system-ui, sans-serif">'
            f"<title>{title}</title><desc>{finding}</desc><style>{_style(ground)}</style>"
            f'<rect width="100%" height="100%" class="{_fill("ground")}"/>'
            + "".join(self._parts)
            + "</svg>\n"
        )

    def _add(self, element: str, note: str, name: str) -> None:
        end = f"><title>{_words(note)}</title></{name}>" if note else "/>"
        self._parts.append(element + end)


def _n(value: float) -> str:
    """A coordinate to a hundredth, without idle zeros. ValueError for one that is not finite."""
    text = f"{float(value):.2f}"
    if not text.lstrip("-")[0].isdigit():
        raise ValueError(f"a picture has no place for {value}")
    return text.rstrip("0").rstrip(".") or "0"


def _words(text: str) -> str:
    return escape(clean_text(text), quote=False)


def _fill(ink: str) -> str:
    _known(ink)
    return f"f-{ink}"


def _stroke(ink: str) -> str:
    _known(ink)
    return f"s-{ink}"


def _rim(ink: str) -> str:
    if ink not in RIMS:
        raise ValueError(f"no rim is called {ink}")
    return f"h-{ink}"


def _known(ink: str) -> None:
    if ink not in INKS:
        raise ValueError(f"no ink is called {ink}")


def _style(ground: Ground) -> str:
    def rules(which: int) -> str:
        return "".join(
            f".f-{name}{{fill:{pair[which]}}}.s-{name}{{stroke:{pair[which]};fill:none}}"
            for name, pair in INKS.items()
        ) + "".join(f".h-{name}{{stroke:{INKS[name][which]}}}" for name in RIMS)

    rims = ",".join(f".h-{name}" for name in RIMS)
    rim = f"{rims}{{stroke-width:3;stroke-linejoin:round;paint-order:stroke}}"
    if ground == "both":
        return f"{rules(0)}{rim}@media (prefers-color-scheme:dark){{{rules(1)}}}"
    return rules(0 if ground == "light" else 1) + rim

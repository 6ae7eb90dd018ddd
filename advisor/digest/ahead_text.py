"""The season ahead as plain text of 72 columns."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.digest import ahead_view as said
from advisor.digest.ahead_view import LawnRows, SeasonView, WindowRow, season_view
from advisor.digest.words import columns, wrap
from advisor.language.words import tell, tell_as
from advisor.plan.ahead_model import Ahead

_TITLE, _LIKELY, _SPAN, _UNTIL = 27, 7, 17, 7


def render_ahead(ahead: Ahead) -> str:
    """The season ahead, lawn by lawn, then what to buy; ends without a line break."""
    view = season_view(ahead)
    parts = [wrap(view.title), [line for text in view.intro for line in wrap(text)]]
    parts += [list(_lawn(lawn, view)) for lawn in view.lawns]
    if view.shopping:
        parts.append([tell(said.TO_BUY), *(line for by, text in view.shopping
                                       for line in wrap(f"{by}: {text}", "  - "))])  # fmt: skip
    parts.append([tell(said.GRANTED), *(line for text in view.assumes
                                         for line in wrap(text, "  - "))])  # fmt: skip
    parts.append(wrap(" ".join(view.small)))
    return "\n\n".join("\n".join(part) for part in parts if part)


def _lawn(lawn: LawnRows, view: SeasonView) -> Iterator[str]:
    yield from wrap(f"{lawn.title} ({lawn.grass})")
    if lawn.windows:
        yield _row(tell("Window"), tell_as("a day", "likely"), view.held, tell_as("a day", "until"),
                   tell("years"))  # fmt: skip
    else:
        yield from wrap(tell(said.ALL_SHUT), "  ")
    for window in lawn.windows:
        yield from _window(window)
        for text in window.more:
            yield from wrap(text, "    ")
    if lawn.perhaps:
        yield ""
        yield from wrap(tell(said.PERHAPS), "  ")
        for window in lawn.perhaps:
            yield from _window(window)
            yield from wrap(window.more[0], "    ")
    for heading, texts in ((said.TURNS, lawn.turns), (said.CLOSED, lawn.closed),
                           (said.SILENT, lawn.silent)):  # fmt: skip
        if texts:
            yield ""
            yield from wrap(tell(heading), "  ")
            for text in texts:
                yield from wrap(text, "  - ")


def _window(window: WindowRow) -> Iterator[str]:
    yield _row(window.title, window.likely, window.span, window.until, window.years)


def _row(title: str, likely: str, span: str, until: str, years: str) -> str:
    cells = (
        (title, _TITLE), (likely, _LIKELY), (span, _SPAN), (until, _UNTIL), (years, 0),
    )  # fmt: skip
    line = " ".join(text + " " * max(0, width - columns(text)) for text, width in cells)
    return f"  {line}".rstrip()

"""Dates, hours and states as a person reads them, and lines of a given width."""

from __future__ import annotations

import unicodedata
from datetime import date, datetime
from typing import Literal
from zoneinfo import ZoneInfo

from advisor.language.dates import day_text

Units = Literal["us", "metric"]

WIDTH = 72
"""Columns of a line of text."""

_STATES = {
    "active": "growing",
    "greening-up": "greening up",
    "heat-stressed": "stressed by heat",
    "drought-stressed": "short of water",
    "summer-dormant": "dormant for the summer",
    "winter-dormant": "dormant for the winter",
    "newly-seeded": "new, from seed or sod",
    "unknown": "in a state that is not known",
}


def hours_text(start: str | None, end: str | None) -> str:
    """`07:00 to 10:00`, `from 07:00`, `until 10:00`, or the empty text.

    Times stand as the journal and the headline have them, so that a page has one way of telling.
    """
    if start and end:
        return f"{start} to {end}"
    if start:
        return f"from {start}"
    return f"until {end}" if end else ""


def when_text(
    day: date | None, start: str | None, end: str | None, units: Units, today: date | None = None
) -> str:
    """A day with its hours: `Thu Apr 9, 07:00 to 10:00`; the empty text if there is neither."""
    parts = (day_text(day, units, today) if day else "", hours_text(start, end))
    return ", ".join(part for part in parts if part)


def instant_text(instant: datetime, zone: str, units: Units, today: date | None = None) -> str:
    """An instant by the clock of `zone`: `Thu Apr 9, 05:40`."""
    local = instant.astimezone(ZoneInfo(zone))
    return f"{day_text(local.date(), units, today)}, {local.hour:02d}:{local.minute:02d}"


def age_text(hours: float) -> str:
    """How old something is: `less than an hour`, `1 hour`, `7 hours`, `3 days`."""
    if hours < 1:
        return "less than an hour"
    count, unit = (round(hours), "hour") if hours < 48 else (round(hours / 24), "day")
    return f"{count} {unit}{'' if count == 1 else 's'}"


def state_text(state: str) -> str:
    """What the grass is doing, in plain words; a state that is not listed stays as it is."""
    return _STATES.get(state.replace(" ", "-"), state)


def name_text(name: str) -> str:
    """A hyphened name as words: `tall-fescue` is `tall fescue`."""
    return name.replace("-", " ")


def counted(number: int, word: str) -> str:
    """A number of things: `1 application`, `2 applications`."""
    return f"{number} {word}{'' if number == 1 else 's'}"


def sentence(text: str) -> str:
    """`text` with a capital at its start and a stop at its end."""
    stop = "" if not text or text[-1] in ".!?…:" else "."
    return text[:1].upper() + text[1:] + stop


def columns(text: str) -> int:
    """Columns that a terminal needs: wide letters take two, combining marks none."""
    if text.isascii():
        return len(text)
    return sum(
        0
        if unicodedata.combining(char) or char in "\u200c\u200d"
        else 2
        if unicodedata.east_asian_width(char) in "WF"
        else 1
        for char in text
    )


def wrap(text: str, first: str = "", then: str | None = None, width: int = WIDTH) -> list[str]:
    """Lines of at most `width` columns; only a single word that is longer goes over.

    `first` stands before the first line, `then` (as many spaces if not given) before the others.
    """
    rest = " " * columns(first) if then is None else then
    lines: list[str] = []
    line, empty = first, True
    for word in text.split():
        if not empty and columns(line) + 1 + columns(word) > width:
            lines.append(line)
            line, empty = rest, True
        line += word if empty else f" {word}"
        empty = False
    return [*lines, line] if not empty else ([first.rstrip()] if first.strip() else [])

"""Dates, hours and states as a person reads them, and lines of a given width."""

from __future__ import annotations

import unicodedata
from datetime import date, datetime
from typing import Literal
from zoneinfo import ZoneInfo

from advisor.language.dates import day_text
from advisor.language.sentences import capitalised
from advisor.language.words import later, tell, tell_many

Units = Literal["us", "metric"]

WIDTH = 72
"""Columns of a line of text."""

_STATES = {
    "active": later("growing"),
    "greening-up": later("greening up"),
    "heat-stressed": later("stressed by heat"),
    "drought-stressed": later("short of water"),
    "summer-dormant": later("dormant for the summer"),
    "winter-dormant": later("dormant for the winter"),
    "newly-seeded": later("new, from seed or sod"),
    "unknown": later("in a state that is not known"),
}


def hours_text(start: str | None, end: str | None) -> str:
    """`07:00 to 10:00`, `from 07:00`, `until 10:00`, or the empty text.

    Times stand as the journal and the headline have them, so that a page has one way of telling.
    """
    if start and end:
        return tell("{start} to {end}", start=start, end=end)
    if start:
        return tell("from {start}", start=start)
    return tell("until {end}", end=end) if end else ""


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
        return tell("less than an hour")
    if hours < 48:
        return tell_many("{count} hour", "{count} hours", round(hours))
    return tell_many("{count} day", "{count} days", round(hours / 24))


def state_text(state: str) -> str:
    """What the grass is doing, in plain words; a state that is not listed stays as it is."""
    known = _STATES.get(state.replace(" ", "-"))
    return tell(known) if known else state


def applications_text(number: int) -> str:
    """How often something was put down: `1 application`, `2 applications`."""
    return tell_many("{count} application", "{count} applications", number)


def sentence(text: str) -> str:
    """`text` with a capital at its start and a stop at its end."""
    return stopped(capitalised(text))


def stopped(text: str) -> str:
    """`text` with a stop at its end; its start stays as it is written."""
    return text if not text or text[-1] in ".!?…:" else tell("{sentence}.", sentence=text)


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

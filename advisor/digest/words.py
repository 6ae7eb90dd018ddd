"""Dates, hours and states as a person reads them, and lines of a given width."""

from __future__ import annotations

import unicodedata
from datetime import date, datetime
from typing import Literal
from zoneinfo import ZoneInfo

Units = Literal["us", "metric"]

WIDTH = 72
"""Columns of a line of text."""

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

_STATES = {
    "active": "growing",
    "greening-up": "greening up",
    "heat-stressed": "stressed by heat",
    "drought-stressed": "short of water",
    "summer-dormant": "dormant for the summer",
    "winter-dormant": "dormant for the winter",
}


def day_text(day: date, units: Units, today: date | None = None) -> str:
    """`Thu Apr 9` for us units, `Thu 9 Apr` otherwise; with its year if that is not today's."""
    month = _MONTHS[day.month - 1]
    middle = f"{month} {day.day}" if units == "us" else f"{day.day} {month}"
    year = f" {day.year}" if today is not None and day.year != today.year else ""
    return f"{_DAYS[day.weekday()]} {middle}{year}"


def clock_text(clock: str, units: Units) -> str:
    """A time `HH:MM` as it is said: `7 am`, `7:30 am`, `noon` for us units, else `07:00`.

    Anything that is not such a time is given back as it is.
    """
    hours, colon, minutes = clock.partition(":")
    if units != "us" or not colon or not hours.isdecimal() or not minutes.isdecimal():
        return clock
    hour, minute = int(hours), int(minutes)
    if hour > 24 or minute > 59:
        return clock
    if minute == 0 and hour % 12 == 0:
        return "noon" if hour == 12 else "midnight"
    half = "am" if hour % 24 < 12 else "pm"
    tail = f":{minute:02d}" if minute else ""
    return f"{(hour - 1) % 12 + 1}{tail} {half}"


def hours_text(start: str | None, end: str | None, units: Units) -> str:
    """`7 am to 10 am`, `from 7 am`, `until 10 am`, or the empty text."""
    if start and end:
        return f"{clock_text(start, units)} to {clock_text(end, units)}"
    if start:
        return f"from {clock_text(start, units)}"
    return f"until {clock_text(end, units)}" if end else ""


def when_text(
    day: date | None, start: str | None, end: str | None, units: Units, today: date | None = None
) -> str:
    """A day with its hours: `Thu Apr 9, 7 am to 10 am`; the empty text if there is neither."""
    parts = (day_text(day, units, today) if day else "", hours_text(start, end, units))
    return ", ".join(part for part in parts if part)


def instant_text(instant: datetime, zone: str, units: Units, today: date | None = None) -> str:
    """An instant by the clock of `zone`: `Thu Apr 9, 5:40 am`."""
    local = instant.astimezone(ZoneInfo(zone))
    return when_text(local.date(), None, None, units, today) + (
        f", {clock_text(f'{local.hour:02d}:{local.minute:02d}', units)}"
    )


def age_text(hours: float) -> str:
    """How old something is: `less than an hour`, `1 hour`, `7 hours`, `3 days`."""
    if hours < 1:
        return "less than an hour"
    count, unit = (round(hours), "hour") if hours < 48 else (round(hours / 24), "day")
    return f"{count} {unit}{'' if count == 1 else 's'}"


def state_text(state: str) -> str:
    """What the grass is doing, in plain words; a state that is not listed stays as it is."""
    return _STATES.get(state, state)


def name_text(name: str) -> str:
    """A hyphened name as words: `tall-fescue` is `tall fescue`."""
    return name.replace("-", " ")


def sentence(text: str) -> str:
    """`text` with a capital at its start and a stop at its end."""
    stop = "" if not text or text[-1] in ".!?…:" else "."
    return text[:1].upper() + text[1:] + stop


def columns(text: str) -> int:
    """Columns that a terminal needs: wide letters take two, combining marks none."""
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

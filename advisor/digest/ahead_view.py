"""The season ahead in its reader's words: rows that the text, the page and the picture share."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta

from advisor.digest.clean import cleaned
from advisor.digest.words import name_text, sentence
from advisor.language.dates import date_text, day_text
from advisor.plan.ahead_model import Ahead, LawnAhead, Window
from advisor.plan.ahead_words import range_text, sure_text, wants_text

OPEN_NOW = "open"

_YEAR_SAID = timedelta(days=183)
"""So far ahead, a date of next year says so."""


@dataclass(frozen=True)
class WindowRow:
    """A window: `likely` and `span` are its opening, `until` its likely end, `years` in how many of
    how many years it came; `more` are further short sentences."""

    title: str
    likely: str
    span: str
    until: str
    years: str
    more: tuple[str, ...]


@dataclass(frozen=True)
class LawnRows:
    title: str
    grass: str
    windows: tuple[WindowRow, ...]
    perhaps: tuple[WindowRow, ...]
    turns: tuple[str, ...]
    closed: tuple[str, ...]
    silent: tuple[str, ...]


@dataclass(frozen=True)
class SeasonView:
    """All that a page or a text of the season ahead says."""

    title: str
    intro: tuple[str, ...]
    held: str
    lawns: tuple[LawnRows, ...]
    shopping: tuple[tuple[str, str], ...]
    assumes: tuple[str, ...]
    small: tuple[str, ...]


def season_view(ahead: Ahead) -> SeasonView:
    """The document as words; every text in it is clean."""
    ahead = cleaned(ahead)
    units = ahead.site.units
    known = (
        f" behind this year's weather and forecast, which reach to"
        f" {day_text(ahead.known_to, units)}"
        if ahead.known_to is not None
        else ", without this year's weather, of which nothing is known"
    )
    holds = next((w.opens for lawn in ahead.lawns for w in lawn.windows), None)
    sure = sure_text(holds) if holds is not None else "in 8 years of 10"
    return SeasonView(
        title=f"{ahead.site.title}: the season ahead",
        intro=(
            f"As of {day_text(ahead.on, units)}. From {ahead.years} past years,"
            f" {ahead.first_year} to {ahead.last_year}, each put{known}.",
            f"“Likely” is the middle of those years; {sure} a window opens within the range.",
        ),
        held=sure.removeprefix("in ").split(",")[0],
        lawns=tuple(_lawn(lawn, ahead) for lawn in ahead.lawns),
        shopping=tuple(
            (f"by {date_text(line.by, units, ahead.on)}" if line.by > ahead.on else "now",
             sentence(line.text))
            for line in ahead.shopping
        ),
        assumes=ahead.assumes,
        small=(
            "Labels, local law and what you see on the lawn stand above these dates; a digest"
            " decides when the time comes.",
            *(text for text in (ahead.attribution, ahead.attribution_url, ahead.licence_url)
              if text),
        ),
    )  # fmt: skip


def _lawn(lawn: LawnAhead, ahead: Ahead) -> LawnRows:
    units = ahead.site.units
    return LawnRows(
        title=lawn.title,
        grass=name_text(lawn.grass),
        windows=tuple(_window(window, ahead) for window in lawn.windows),
        perhaps=tuple(_window(window, ahead) for window in lawn.perhaps),
        turns=tuple(mark.text for mark in lawn.marks),
        closed=tuple(
            f"{date_text(closed.first, units)} to {date_text(closed.last, units)}:"
            f" no {' or '.join(closed.of)}, {closed.title} ({closed.source})."
            for closed in lawn.closed
        ),
        silent=lawn.silent,
    )


def _window(window: Window, ahead: Ahead) -> WindowRow:
    units, opens = ahead.site.units, window.opens
    likely, span = date_text(opens.likely, units), range_text(opens, units)
    if window.standing == "open":
        likely = OPEN_NOW
        span = f"since {date_text(window.opened, units)}" if window.opened else "now"
    elif window.standing == "forecast":
        span = "by the forecast"
    return WindowRow(
        title=window.title,
        likely=likely,
        span=span,
        until=date_text(window.closes.likely, units) if window.closes else "",
        years="" if window.standing == "open" else f"{opens.came} of {opens.years}",
        more=tuple(_more(window, ahead)),
    )


def _more(window: Window, ahead: Ahead) -> Iterator[str]:
    if window.wants:
        yield sentence(wants_text(window.wants))
    if window.opens.likely - ahead.on > _YEAR_SAID and window.opens.likely.year != ahead.on.year:
        yield f"In {window.opens.likely.year}."
    if window.standing == "seldom":
        yield f"It came in only {window.opens.came} of {window.opens.years} years."
    if window.perhaps_done is not None:
        yield (
            f"Perhaps done {date_text(window.perhaps_done, ahead.site.units, ahead.on)}: it was"
            " advised and not answered, and counts as done. Answer the digest."
        )
    elif window.last_done is not None:
        yield f"Last done {date_text(window.last_done, ahead.site.units, ahead.on)}."
    if window.buy is not None:
        yield window.buy.text

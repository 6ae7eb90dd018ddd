"""The season ahead in its reader's words: rows that the text, the page and the picture share."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from advisor.digest.clean import cleaned
from advisor.digest.words import sentence
from advisor.language.dates import date_text, day_text
from advisor.language.words import later, tell, tell_as
from advisor.plan.ahead_model import Ahead, LawnAhead, Window
from advisor.plan.ahead_words import range_text, share_text, sure_text, wants_text
from advisor.plan.names import grass_text
from advisor.site.named import caught_by_law

ALL_SHUT = later("No window opens by weather alone within a year.")
PERHAPS = later("Only where the journal tells of it")
TURNS = later("Turns of the year")
CLOSED = later("Closed by law")
SILENT = later("No date")
TO_BUY = later("What to buy")
GRANTED = later("Taken for granted")
"""Headings, and what stands where there is no window."""

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
    holds = next((w.opens for lawn in ahead.lawns for w in lawn.windows), None)
    sure = sure_text(holds) if holds is not None else tell("in 8 years of 10")
    return SeasonView(
        title=tell("{site}: the season ahead", site=ahead.site.title),
        intro=(
            _rests_on(ahead),
            tell(
                "“Likely” is the middle of those years; {sure} a window opens within the range.",
                sure=sure,
            ),
        ),
        held=share_text(holds) if holds is not None else tell("8 years of 10"),
        lawns=tuple(_lawn(lawn, ahead) for lawn in ahead.lawns),
        shopping=tuple(
            (_by(line.by, ahead), sentence(line.text))
            for line in ahead.shopping
        ),
        assumes=ahead.assumes,
        small=(
            tell("Labels, local law and what you see on the lawn stand above these dates; a digest"
                 " decides when the time comes."),
            *(text for text in (ahead.attribution, ahead.attribution_url, ahead.licence_url)
              if text),
        ),
    )  # fmt: skip


def _rests_on(ahead: Ahead) -> str:
    """Of which day it is, and on how many years it rests."""
    units = ahead.site.units
    words = {
        "day": day_text(ahead.on, units),
        "years": ahead.years,
        "first": ahead.first_year,
        "last": ahead.last_year,
    }
    if ahead.known_to is None:
        return tell(
            "As of {day}. From {years} past years, {first} to {last}, each put, without this"
            " year's weather, of which nothing is known.",
            **words,
        )
    return tell(
        "As of {day}. From {years} past years, {first} to {last}, each put behind this year's"
        " weather and forecast, which reach to {known}.",
        known=day_text(ahead.known_to, units),
        **words,
    )


def _by(day: date, ahead: Ahead) -> str:
    """By when something is to be bought."""
    if day > ahead.on:
        return tell("by {day}", day=date_text(day, ahead.site.units, ahead.on))
    return tell("now")


def what_is_closed(of: Sequence[str]) -> str:
    """What a law forbids: `nitrogen or phosphorus`."""
    found = ""
    for name in map(caught_by_law, of):
        found = tell("{some} or {last}", some=found, last=name) if found else name
    return found


def _lawn(lawn: LawnAhead, ahead: Ahead) -> LawnRows:
    units = ahead.site.units
    return LawnRows(
        title=lawn.title,
        grass=grass_text(lawn.grass),
        windows=tuple(_window(window, ahead) for window in lawn.windows),
        perhaps=tuple(_window(window, ahead) for window in lawn.perhaps),
        turns=tuple(mark.text for mark in lawn.marks),
        closed=tuple(
            tell(
                "{first} to {last}: no {what}, {law} ({source}).",
                first=date_text(closed.first, units),
                last=date_text(closed.last, units),
                what=what_is_closed(closed.of),
                law=closed.title,
                source=closed.source,
            )
            for closed in lawn.closed
        ),
        silent=lawn.silent,
    )


def _window(window: Window, ahead: Ahead) -> WindowRow:
    units, opens = ahead.site.units, window.opens
    likely, span = date_text(opens.likely, units), range_text(opens, units)
    if window.standing == "open":
        likely, span = tell_as("a window", "open"), tell("now")
        if window.opened:
            span = tell("since {day}", day=date_text(window.opened, units))
    elif window.standing == "forecast":
        span = tell("by the forecast")
    return WindowRow(
        title=window.title,
        likely=likely,
        span=span,
        until=date_text(window.closes.likely, units) if window.closes else "",
        years=""
        if window.standing == "open"
        else tell("{came} of {years}", came=opens.came, years=opens.years),
        more=tuple(_more(window, ahead)),
    )


def _more(window: Window, ahead: Ahead) -> Iterator[str]:
    if window.wants:
        yield sentence(wants_text(window.wants))
    if window.opens.likely - ahead.on > _YEAR_SAID and window.opens.likely.year != ahead.on.year:
        yield tell("In {year}.", year=window.opens.likely.year)
    if window.standing == "seldom":
        yield tell(
            "It came in only {came} of {years} years.",
            came=window.opens.came,
            years=window.opens.years,
        )
    if window.perhaps_done is not None:
        yield tell(
            "Perhaps done {day}: it was advised and not answered, and counts as done. Answer the"
            " digest.",
            day=date_text(window.perhaps_done, ahead.site.units, ahead.on),
        )
    elif window.last_done is not None:
        yield tell("Last done {day}.", day=date_text(window.last_done, ahead.site.units, ahead.on))
    if window.buy is not None:
        yield window.buy.text

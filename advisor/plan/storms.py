"""Whether a storm, flood or tropical watch or warning is in force, day by day, as far as is known.

It is known from the owner's journal (`watch until`, `watch over`), and from a weather service where
the site names one. What cannot be told counts as in force.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from advisor.language.listing import enumerated
from advisor.language.words import tell
from advisor.series.watches import Watch, Watches
from advisor.site.facts import Entry, StormWatch
from advisor.site.place import Site
from advisor.site.sums import Sums
from advisor.site.words import STORM_WATCH

Bools = NDArray[np.bool_]

LOOK_HOLDS = timedelta(hours=12)
"""How long a look at the service is taken for what is so now [judgement: watches are issued about
one to two days ahead]."""

GARBLED_HOLDS = timedelta(days=14)
"""How long a line holds of which nothing can be read but its day: it may have told of a watch
[judgement: few last longer]."""


@dataclass(frozen=True)
class Storms:
    """By day, shape (days,): whether one is in force, `unknown` where that could not be told; what
    is named, and what is missing."""

    held: Bools
    unknown: Bools
    named: str = ""
    missing: str = ""


def storms(
    site: Site,
    lawn: str,
    sums: Sums,
    days: Sequence[date],
    today: int,
    now: datetime,
    watches: Watches | None,
) -> Storms:
    """What is known of watches and warnings on each of `days`; `today` is the index of the day on
    which the instant `now` lies."""
    axis = np.array([day.toordinal() for day in days])
    held, named = _by_journal(lawn, sums, axis)
    unknown = _garbled(lawn, sums, axis)
    missing = []
    if unknown.any():
        missing.append(tell("a line of the journal that may tell of a watch cannot be read"))
    if site.weather.watches is not None:
        ahead = np.arange(len(axis)) >= today
        why = _no_look(watches, now)
        if why or watches is None:
            unknown = unknown | ahead
            missing.append(why)
        else:
            for watch in watches.found:
                covered = ahead & _covers(watch, site, axis)
                if covered.any():
                    held = held | covered
                    named.append(watch.event)
    return Storms(
        held | unknown, unknown & ~held, enumerated(list(dict.fromkeys(named))), "; ".join(missing)
    )


def _by_journal(lawn: str, sums: Sums, axis: NDArray[np.int64]) -> tuple[Bools, list[str]]:
    """The days of which the owner wrote that one is in force. Of two lines the longer holds; only
    `watch over` ends one."""
    held = np.zeros(len(axis), dtype=bool)
    lines: list[Entry] = [
        entry
        for entry in sums.journal.entries
        if isinstance(entry.what, StormWatch) and lawn in entry.lawns and entry.day <= sums.today
    ]
    for entry in lines:
        assert isinstance(entry.what, StormWatch)
        from_here = axis >= entry.day.toordinal()
        until = entry.what.until
        if until is None:
            held = held & ~from_here
        else:
            # Of two that are in force the longer one holds, until they are said to be over.
            held = held | (from_here & (axis <= until.toordinal()))
    told = [tell("a watch or warning that your journal tells of")]
    return held, told if held.any() else []


def _garbled(lawn: str, sums: Sums, axis: NDArray[np.int64]) -> Bools:
    held = np.zeros(len(axis), dtype=bool)
    for line in sums.journal.unreadable:
        if not line.may_tell(lawn, STORM_WATCH):
            continue
        first = -np.inf if line.day is None else line.day.toordinal()
        last = np.inf
        if line.tells is None and line.day is not None:
            last = first + GARBLED_HOLDS.days
        held |= (axis >= first) & (axis < last)
    return held


def _no_look(watches: Watches | None, now: datetime) -> str:
    """Why nothing is known of watches; empty where a look is at hand that still counts."""
    if watches is None:
        return tell("the service for storm watches was not asked")
    if watches.failure:
        return watches.failure.rstrip(".")
    if not now - LOOK_HOLDS <= watches.looked_at <= now + timedelta(minutes=5):
        return tell("the last look at the service for storm watches is too old")
    return ""


def _covers(watch: Watch, site: Site, axis: NDArray[np.int64]) -> Bools:
    """The local days that a watch touches. One without a beginning has begun, and one without an
    end goes on."""
    zone = site.place.zone_info
    first, last = -np.inf, np.inf
    if watch.begins is not None:
        first = watch.begins.astimezone(zone).date().toordinal()
    if watch.ends is not None:
        last = watch.ends.astimezone(zone).date().toordinal()
    covered: Bools = (axis >= first) & (axis <= last)
    return covered

"""The seasons of a window over many possible futures, and the day on which each opens and closes.

A rule may open twice a year, and a rainy day may shut it for a moment. So its seasons are found
from all futures together: where many of them are open is a season, and the year is cut where
fewest are. Each season then has one opening a future: its first open day.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

YEAR = 365
SLACK = 95
"""Days beyond a year that a future has, so that the year behind today's own season is whole."""

FUTURE = YEAR + SLACK

CORE = 0.5
"""Share of the busiest day's futures from which on a day belongs to a season [judgement]."""

SMOOTHED = 7
"""Days over which shares are averaged, so that rain on one day cuts nothing [judgement]."""

PAUSE = 30
"""Days for which a season may pause without being two [judgement]."""


@dataclass(frozen=True)
class SeasonDays:
    """One season's coming instance over the futures; days count from today.

    `opens` and `closes` are its first and last open day, shape (futures,): infinite where a future
    has none, NaN where the past does not tell. `now`: it is open today. `opened`: a day before
    today (negative) on which this instance was first open, if it was. From `begin` up to `end` is
    its part of the year.
    """

    opens: Floats
    closes: Floats
    now: bool
    opened: int | None
    begin: int
    end: int


def seasons(open_: Bools, told: Bools, today: int) -> list[SeasonDays]:
    """The seasons of a window, each as it comes next: the one that is under way, or still to come
    this time, else the next one. Parameters are those of `instances`."""
    coming = (
        rest if rest is not None and (rest.now or _most(rest.opens)) else whole
        for rest, whole in instances(open_, told, today)
    )
    return sorted(coming, key=lambda season: season.begin)


def instances(open_: Bools, told: Bools, today: int) -> list[tuple[SeasonDays | None, SeasonDays]]:
    """The seasons of a window; the one whose part of the year today lies in comes last.

    Parameters
    ----------
    open_, told : ndarray of bool, shape (futures, today + FUTURE)
        Whether the window is open on a day of a future, and whether that is known. The days before
        `today` and the first ones from it on are the same in all.
    today : int
        Index of today.

    Returns
    -------
    list of (SeasonDays or None, SeasonDays)
        The rest of the instance that today lies in the year's part of, for the last of them, and
        the next whole one. Nothing where no future is ever open, or no part of the year is quiet.
    """
    ahead = open_[:, today : today + FUTURE]
    cores, share = _cores(ahead)
    if not cores:
        return []
    cuts = sorted(_cut(share, end, start) for (_, end), (start, _) in _neighbours(cores))
    edges = [*cuts, cuts[0] + YEAR]
    found: list[tuple[SeasonDays | None, SeasonDays]] = []
    for begin, end in pairwise(edges):
        last = end >= YEAR + cuts[0] and cuts[0] > 0
        rest = _instance(open_, told, today, begin - YEAR, cuts[0]) if last else None
        found.append((rest, _instance(open_, told, today, begin, min(end, FUTURE))))
    return found


def _most(opens: Floats) -> bool:
    known = opens[~np.isnan(opens)]
    return bool(2 * np.count_nonzero(np.isfinite(known)) >= max(1, len(known)))


def _instance(open_: Bools, told: Bools, today: int, begin: int, end: int) -> SeasonDays:
    """The season between two days from today, as far as it is not over."""
    first = max(begin, 0)
    here = open_[:, today + first : today + end]
    any_open = here.any(axis=1)
    opens = np.where(any_open, first + here.argmax(axis=1), np.inf)
    closes = np.where(any_open, end - 1 - here[:, ::-1].argmax(axis=1), np.inf)
    # A day that cannot be told may have been the one, where nothing else was.
    unknown = ~told[:, today + first : today + end]
    usual = here.mean(axis=0) >= CORE * max(here.mean(axis=0).max(initial=0.0), 1e-9)
    lost = ~any_open & (unknown & usual).any(axis=1)
    since = max(0, today + min(begin, 0))
    before = np.flatnonzero(open_[0, since:today]) if begin < 0 else np.zeros(0, dtype=np.intp)
    opened = int(before[0]) + since - today if len(before) else None
    return SeasonDays(
        np.where(lost, np.nan, opens), np.where(lost, np.nan, closes),
        first == 0 and bool(here[:, :1].all() and here.size), opened, first, end,
    )  # fmt: skip


def _cores(ahead: Bools) -> tuple[list[tuple[int, int]], Floats]:
    """The busy parts of the year, as days from today (the last may run over the year's end), and
    the share of futures that are open on each day of the year, shape (YEAR,)."""
    by_day = ahead.mean(axis=0)
    # What is near goes by this year's own weather: the same days a year on tell of all years.
    ring = np.concatenate([by_day[YEAR:], by_day[len(by_day) - YEAR : YEAR]])
    around = np.concatenate([ring[-(SMOOTHED // 2) :], ring, ring[: SMOOTHED // 2]])
    share = np.convolve(around, np.full(SMOOTHED, 1 / SMOOTHED), "valid")
    busy = share >= CORE * share.max()
    if not share.max() > 0 or busy.all():
        return [], share
    starts = np.flatnonzero(busy & ~np.roll(busy, 1))
    ends = np.array([start + np.argmin(np.roll(busy, -start)) for start in starts])
    cores = [(int(starts[0]), int(ends[0]))]
    for start, end in zip(starts[1:].tolist(), ends[1:].tolist(), strict=True):
        if start - cores[-1][1] < PAUSE:
            cores[-1] = cores[-1][0], end
        else:
            cores.append((start, end))
    if len(cores) > 1 and cores[0][0] + YEAR - cores[-1][1] < PAUSE:
        first = cores.pop(0)
        cores[-1] = cores[-1][0], first[1] + YEAR
    if len(cores) == 1 and cores[0][0] + YEAR - cores[0][1] < PAUSE:
        return [], share
    return cores, share


def _neighbours(
    cores: list[tuple[int, int]],
) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
    """Each busy part with the next one, the last with the first of the next year."""
    yield from pairwise(cores)
    start, end = cores[0]
    yield cores[-1], (start + YEAR, end + YEAR)


def _cut(share: Floats, end: int, start: int) -> int:
    """The middle of the quietest days between two busy parts, as a day of the year from today."""
    between = share[np.arange(end, start) % YEAR]
    quiet = np.flatnonzero(between <= between.min() + 1e-9)
    # The longest stretch of them.
    runs = np.split(quiet, np.flatnonzero(np.diff(quiet) > 1) + 1)
    longest = max(runs, key=len)
    return int(end + longest[len(longest) // 2]) % YEAR

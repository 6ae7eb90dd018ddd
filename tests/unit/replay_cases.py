"""Small made-up seasons for the tests of replays, on top of `plan_cases`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime, timedelta
from typing import Literal

import plan_cases as case

from advisor.plan.replay import Season
from advisor.plan.replay_foresight import Known, daily_rain, issued, perfect
from advisor.plan.replay_model import Run
from advisor.plan.replay_owner import JOURNAL, ObeyingOwner, RealOwner
from advisor.plan.replay_run import run_season
from advisor.rulebook.book import Rulebook
from advisor.series.hourly import Series, Source
from advisor.site.load import SiteFiles

FIRST, LAST = date(2026, 4, 1), date(2026, 5, 31)
"""The season; it begins on a Wednesday, its digests are on nine Sundays."""

JOURNAL_TEXT = (
    "journal from 2026-01-01\n2026-01-01  front  last feed 2025-09-01\n"
    "2026-01-01  front  last pre-emergent 2025-03-01\n"
)

Spec = Mapping[int, float]
"""By day of the season, counted from its first."""


def truth(*, first: date = FIRST, days: int = 80, past: int = 60, **columns: object) -> Series:
    """The weather as it came, from two months before the season to weeks after it. Columns are as
    for `plan_cases.weather`, by day of the season."""
    series = case.weather(today=first, past=past, ahead=days, **columns)  # type: ignore[arg-type]
    end = series.start + timedelta(hours=series.hours)
    return Series(series.start, series.columns, Source("made-up weather", end))


def run_at(series: Series, moment: datetime) -> Series:
    """A forecast given at a moment that says just what `series` has."""
    return Series(series.start, series.columns, Source("made-up forecast", moment))


def season(
    read: SiteFiles,
    rules: Rulebook,
    known: Callable[[datetime], Known | None],
    *,
    first: date = FIRST,
    last: date = LAST,
    looks_again: bool = True,
) -> Season:
    assert read.site is not None
    return Season(
        read.site, read.shelf, rules, first, last, known, lambda _: None, looks_again=looks_again
    )


def lived(
    series: Series,
    rules: Rulebook,
    *,
    read: SiteFiles | None = None,
    journal: str = JOURNAL_TEXT,
    owner: Literal["obeys", "journal"] = "obeys",
    sight: Literal["perfect", "issued"] = "perfect",
    forecast: Callable[[datetime], Series] | None = None,
    first: date = FIRST,
    last: date = LAST,
    looks_again: bool = True,
) -> Run:
    """A season lived by an owner. Without `forecast`, forecasts as issued are right, and the looks
    that they are given on the evenings before (unless not `looks_again`) take nothing back."""
    files = read or case.files(journal=journal, today=None)
    site = files.site
    assert site is not None

    def known(moment: datetime) -> Known | None:
        if sight == "perfect":
            return perfect(series, moment)
        return issued(series, forecast(moment) if forecast else run_at(series, moment))

    who: ObeyingOwner | RealOwner
    if owner == "obeys":
        rain = daily_rain(series, site.place.zone_info)
        who = ObeyingOwner(site, files.shelf, first, files.journal, rain)
    else:
        who = RealOwner({JOURNAL: journal}, site, files.shelf)
    lives = season(
        files, rules, known, first=first, last=last, looks_again=looks_again and sight == "issued"
    )
    return run_season(lives, who, "own", sight, series)

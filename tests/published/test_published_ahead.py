"""How often the dates of a year lie in the interval that the other years give, at a real station.

Champion, Nebraska, 1982 to 2018 (see `champion.py`). Each year is left out once: the window's
season and its interval come from the other 36 years alone, by the code that `swardcast ahead` runs
as of a 1 January, and the date of the year itself from the same rule over that year's days. An
interval that says 80 % has to hold 70 to 90 % of the dates.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cache

import numpy as np
import pytest
from champion import ELEVATION_FT, LATITUDE, LONGITUDE, ZONE, champion
from clemson import daily_minima

from advisor.conditions.daily import Daily
from advisor.conditions.past_days import Futures
from advisor.conditions.weather_days import WeatherDays
from advisor.plan.ahead import windows_of
from advisor.plan.lawn_futures import LawnFutures, Opened, look_ahead
from advisor.plan.seasons import FUTURE, SeasonDays, instances
from advisor.plan.spread import spread
from advisor.rulebook.book import RuleFile
from advisor.rulebook.read import read_rulebook
from advisor.service.folders import shipped_book
from advisor.site.load import SiteFiles, read_site
from advisor.site.sums import sums

AS_OF = date(2019, 1, 1)
"""The day behind which each year is put, as if it came next."""

HEAT = """\
opens two-hundred-degree-days for feed
  while   spring_heat at least 200 F.d
  until   spring_heat more than 400 F.d
  says    The air has brought {heat}.
  source  a test's own rule
"""


def site() -> SiteFiles:
    lawns = "".join(
        f'[[lawn]]\nname = "{name}"\ngrass = "{grass}"\narea = "5000 ft2"\nsoil = "loam"\n'
        for name, grass in (("cool", "tall-fescue"), ("warm", "buffalograss"))
    )
    text = (
        f'id = "champion"\ntitle = "Champion"\nunits = "us"\n[place]\nlatitude = {LATITUDE}\n'
        f'longitude = {LONGITUDE}\nelevation = "{ELEVATION_FT} ft"\nzone = "{ZONE}"\n{lawns}'
    )
    files = {"site.toml": text, "shelf.toml": "", "journal.txt": "journal from 2010-01-01\n"}
    read = read_site(files, today=AS_OF)
    assert read.site is not None, read.problems
    return read


@cache
def futures() -> dict[str, LawnFutures]:
    """What the shipped rules say of each year, on a cool-season and a warm-season lawn."""
    read = site()
    assert read.site is not None
    shipped, own = (
        shipped_book(),
        read_rulebook([RuleFile("own.rules", HEAT.replace("{heat}", "it"))]),
    )
    assert not own.problems
    book = replace(shipped, rules={**shipped.rules, **own.rules})
    counted = sums(read.site, read.shelf, read.journal, [], AS_OF)
    found = look_ahead(
        Futures(read.site, champion(), AS_OF, None, FUTURE), book, read.site.lawns, counted
    )
    return {one.lawn.name: one for one in found}


@dataclass(frozen=True)
class Case:
    """Each year's own day of one window, and the days from which to which the others put it."""

    own: list[float]
    earliest: list[float]
    latest: list[float]

    @property
    def held(self) -> list[bool]:
        return [
            low <= day <= high
            for day, low, high in zip(self.own, self.earliest, self.latest, strict=True)
            if np.isfinite(day)
        ]


def without(found: LawnFutures, year: int) -> LawnFutures:
    def cut(windows: Mapping[tuple[str, str], Opened]) -> dict[tuple[str, str], Opened]:
        return {
            key: Opened(np.delete(each.open, year, 0), np.delete(each.told, year, 0))
            for key, each in windows.items()
        }

    return replace(
        found, alone=cut(found.alone), stated=cut(found.stated),
        state=np.delete(found.state, year, 0), lowest=np.delete(found.lowest, year, 0),
    )  # fmt: skip


def seasons_of(found: LawnFutures, rule: str) -> list[SeasonDays]:
    return sorted(
        (season for name, _, season, _ in windows_of(found) if name == rule),
        key=lambda season: season.begin,
    )


def left_out(found: LawnFutures, rule: str, which: int = 0) -> Case:
    """One season of a window, each year foretold by the others."""
    case = Case([], [], [])
    for year in range(len(found.lowest)):
        season = seasons_of(without(found, year), rule)[which]
        foretold = spread(season.opens)
        open_ = found.alone[rule, found.windows[rule].rule.tasks[0]].open[year]
        days = np.flatnonzero(open_[found.today + season.begin : found.today + season.end])
        case.own.append(season.begin + float(days[0]) if len(days) else np.inf)
        case.earliest.append(foretold.earliest)
        case.latest.append(foretold.latest)
    return case


def frost_left_out(lowest: np.ndarray, today: int, *, first: bool) -> Case:
    """Autumn's first or spring's last night of frost, each year foretold by the others."""
    case = Case([], [], [])
    for year in range(len(lowest)):
        others = np.delete(lowest, year, 0)
        ((rest, whole),) = instances(others <= 0, ~np.isnan(others), today)
        assert rest is not None
        season = whole if first else rest
        foretold = spread(season.opens if first else season.closes)
        nights = np.flatnonzero(lowest[year, today + season.begin : today + season.end] <= 0)
        case.own.append(season.begin + float(nights[0 if first else -1]))
        case.earliest.append(foretold.earliest)
        case.latest.append(foretold.latest)
    return case


@cache
def cases() -> dict[str, Case]:
    cool, warm = futures()["cool"], futures()["warm"]
    return {
        "barrier against crabgrass": left_out(cool, "spring-barrier"),
        "feeding cool-season grass, spring": left_out(cool, "feed-cool", 0),
        "feeding cool-season grass, autumn": left_out(cool, "feed-cool", 1),
        "feeding warm-season grass": left_out(warm, "feed-warm"),
        "two hundred degree-days": left_out(cool, "two-hundred-degree-days"),
        "last frost": frost_left_out(cool.lowest, cool.today, first=False),
        "first frost": frost_left_out(cool.lowest, cool.today, first=True),
    }


def test_the_interval_holds_what_it_says_of_all_dates() -> None:
    held = [one for case in cases().values() for one in case.held]
    assert len(held) >= 7 * 34
    assert 0.70 <= np.mean(held) <= 0.90


@pytest.mark.parametrize("window", list(cases()))
def test_the_interval_of_each_window_holds_what_it_says(window: str) -> None:
    held = cases()[window].held
    assert len(held) >= 34
    assert 0.70 <= np.mean(held) <= 0.90


@pytest.mark.parametrize("window", list(cases()))
def test_the_intervals_are_no_wider_than_the_years_differ(window: str) -> None:
    """An interval of the whole year would hold everything: these are narrower than all years."""
    case = cases()[window]
    days = [day for day in case.own if np.isfinite(day)]
    wide = np.array(case.latest) - np.array(case.earliest)
    assert wide.max() < max(days) - min(days)


def clemson_years() -> Iterator[np.ndarray]:
    """Lowest temperatures [C] of Clemson from each 1 January on, as many days as a future has."""
    days, minima = daily_minima()
    for year in range(1991, 2020):
        first = int(np.searchsorted(days, np.datetime64(f"{year}-01-01")))
        piece = np.full(FUTURE, np.nan)
        there = minima[first : first + FUTURE]
        piece[: len(there)] = (there - 32) / 1.8
        yield piece


@pytest.mark.parametrize("first", [True, False])
def test_frost_at_a_second_place(first: bool) -> None:
    """Clemson, South Carolina, 1991 to 2019 (see `clemson.py`): another climate, 29 years."""
    held = frost_left_out(np.stack(list(clemson_years())), 0, first=first).held
    assert len(held) == 29
    assert 0.70 <= np.mean(held) <= 0.90


def test_frost_dates_are_those_of_a_plain_search() -> None:
    """Written anew: the first night at or below 0 C from 1 August, the last before it."""
    cool, past = futures()["cool"], champion()
    case = cases()["first frost"], cases()["last frost"]
    for at, year in enumerate(past.years):
        lowest = past.year(year).air_min
        days = [date(year, 1, 1).toordinal() + n for n in range(len(lowest))]
        august = date(year, 8, 1).toordinal()
        cold = [day for day, low in zip(days, lowest, strict=True) if low <= 0]
        first = min(day for day in cold if day >= august) - date(year, 1, 1).toordinal()
        last = max(day for day in cold if day < august) - date(year, 1, 1).toordinal()
        leap = len(lowest) == 366  # the axis is that of a common year
        assert case[0].own[at] == first - leap
        assert case[1].own[at] == last - leap
    assert len(cool.lowest) == 37


def known_up_to(base: Futures, year: int, days: int) -> WeatherDays:
    """A year's weather from its run-up to the day `days` behind its New Year, as if it were known
    today and nothing more."""
    whole = base.weather(year)
    end = whole.daily.today + days + 1
    cut = {
        name: value[..., :end] if isinstance(value, np.ndarray) else value
        for name, value in vars(whole.daily).items()
    }
    daily = Daily(**cut | {"days": whole.daily.days[:end], "today": end - 1})
    return WeatherDays(
        daily, whole.surface, whole.sun, whole.et0, whole.series, whole.zone, whole.southern
    )


def test_what_this_year_has_brought_narrows_the_interval() -> None:
    """On 5 May, two weeks before the likely date of 200 degree-days, with that year's sum known:
    the intervals of seven years are at least a third narrower than from New Year, and nearer."""
    read, today = site(), date(2019, 5, 5)
    assert read.site is not None
    own = read_rulebook([RuleFile("own.rules", HEAT.replace("{heat}", "it"))])
    base = Futures(read.site, champion(), AS_OF, None, FUTURE)
    counted = sums(read.site, read.shelf, read.journal, [], AS_OF)
    early = cases()["two hundred degree-days"]
    rule, days = "two-hundred-degree-days", (today - AS_OF).days
    wide, narrow, off_then, off_now = [], [], [], []
    for year in range(2, 37, 5):
        known = known_up_to(base, year, days)
        futures_ = Futures(read.site, champion(), today, known, FUTURE)
        (found,) = look_ahead(futures_, own, read.site.lawns[:1], counted)
        season = seasons_of(without(found, year), rule)[0]
        if not np.isfinite(early.own[year]) or season.opened is not None or season.now:
            continue
        foretold = spread(season.opens)
        wide.append(early.latest[year] - early.earliest[year])
        narrow.append(foretold.latest - foretold.earliest)
        off_then.append(abs(early.own[year] - np.median(early.own)))
        off_now.append(abs(early.own[year] - days - foretold.likely))
    assert len(narrow) >= 5
    assert np.mean(narrow) < np.mean(wide) * 2 / 3
    assert np.mean(off_now) < np.mean(off_then)


WEEK = 7
"""Days of a true forecast that every future shares, today included: those taken as sure."""


def last_frost_with_a_week(today: date) -> Case:
    """Spring's last night of frost, each year foretold by the others behind its own days up to
    today and the week from today on, known as they came. Days count from today."""
    read, case = site(), Case([], [], [])
    assert read.site is not None
    base = Futures(read.site, champion(), AS_OF, None, FUTURE)
    any_year, days = base.weather(0), (today - AS_OF).days
    for year in range(len(base.years)):
        daily = base._daily(year)  # the whole facts of 37 times 37 years would take minutes
        now = daily.today + days
        cut = {
            name: value[..., : now + WEEK] if isinstance(value, np.ndarray) else value
            for name, value in vars(daily).items()
        }
        came = Daily(**cut | {"days": daily.days[: now + WEEK], "today": now})
        futures_ = Futures(read.site, champion(), today, replace(any_year, daily=came), FUTURE)
        assert futures_.known_end == now + WEEK
        others = np.stack([futures_._daily(n).air_min for n in range(len(base.years)) if n != year])
        assert np.array_equal(
            others[:, now : now + WEEK], np.tile(daily.air_min[now : now + WEEK], (36, 1))
        )
        rest, _ = instances(others <= 0, ~np.isnan(others), now)[0]
        assert rest is not None
        foretold = spread(rest.closes)
        august = (date(2019, 8, 1) - today).days
        case.own.append(float(np.flatnonzero(daily.air_min[now : now + august] <= 0)[-1]))
        case.earliest.append(foretold.earliest)
        case.latest.append(foretold.latest)
    return case


@pytest.mark.parametrize("today", [date(2019, 3, 15), date(2019, 4, 15)])
def test_the_interval_holds_what_it_says_behind_a_true_week_of_forecast(today: date) -> None:
    case = last_frost_with_a_week(today)
    assert len(case.held) == 37
    assert 0.70 <= np.mean(case.held) <= 0.90

"""What the rules say of a lawn in every possible future: the shipped rules, asked day by day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.facts import Stated, lawn_facts, stated_facts
from advisor.conditions.past_days import Futures
from advisor.conditions.site_weather import SiteWeather
from advisor.plan.view import perhaps_water
from advisor.plan.weather_alone import (
    AloneRule,
    alone_name,
    book_alone,
    journal_runs_on,
)
from advisor.rulebook.book import Rulebook, RuleKind
from advisor.rulebook.evaluate import Evaluator
from advisor.site.events import Certainty
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.sums import Sums

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Opened:
    """Where a window is open and unheld for one task, shape (futures, days); and where that is
    known."""

    open: Bools
    told: Bools


@dataclass(frozen=True)
class LawnFutures:
    """One lawn over all futures; arrays of shape (futures, days), `today` an index of days.

    `alone` has each window by (rule, task) as weather alone would open it, `stated` as its rule
    stands. `state` are codes of what the grass does, -1 unknown; `lowest` the lowest temperatures
    [C].
    """

    lawn: Lawn
    today: int
    windows: Mapping[str, AloneRule]
    alone: Mapping[tuple[str, str], Opened]
    stated: Mapping[tuple[str, str], Opened]
    state: NDArray[np.int8]
    lowest: Floats


def look_ahead(
    futures: Futures, book: Rulebook, lawns: Sequence[Lawn], counted: Sums
) -> list[LawnFutures]:
    """Every lawn over every future. A year of days and some more from today on, `FUTURE`."""
    asked, windows = book_alone(book)
    gathered = [_Gathered(lawn, asked, windows) for lawn in lawns]
    for branch in range(len(futures.years)):
        weather = futures.weather(branch)
        for one in gathered:
            one.add(weather, futures, counted)
    return [one.done() for one in gathered]


class _Gathered:
    """One lawn, future after future."""

    def __init__(self, lawn: Lawn, book: Rulebook, windows: Mapping[str, AloneRule]) -> None:
        self.lawn, self.book = lawn, book
        self.windows = {
            name: window
            for name, window in windows.items()
            if window.rule.speaks_of(lawn.grass, lawn.grass_class)
        }
        self.alone: dict[tuple[str, str], list[tuple[Bools, Bools]]] = {}
        self.stated: dict[tuple[str, str], list[tuple[Bools, Bools]]] = {}
        self.states: list[NDArray[np.int8]] = []
        self.lowest: list[Floats] = []
        self.today = 0
        self.stated_facts: Stated | None = None
        self.barred: dict[str, Bools] = {}

    def add(self, weather: SiteWeather, futures: Futures, counted: Sums) -> None:
        self.today = weather.daily.today
        days = weather.daily.days
        if self.stated_facts is None:
            self.stated_facts = stated_facts(futures.site, self.lawn, counted, days)
        facts = lawn_facts(
            weather, futures.site, self.lawn, counted,
            planned_mm=self._kept_watered(weather, futures),
            perhaps_mm=perhaps_water(counted.open_advice, self.lawn.name, days),
            stated=self.stated_facts,
        )  # fmt: skip
        runs_on = journal_runs_on(facts.table, perhaps_done(counted, self.lawn))
        asked = Evaluator(self.book, runs_on, futures.site.units)
        held: dict[str, Bools] = {}
        for name, window in self.windows.items():
            as_stated = asked.says(self.book.rules[name])
            by_itself = self.book.rules.get(alone_name(name))
            freed = as_stated if by_itself is None else asked.says(by_itself)
            for task in window.rule.tasks:
                if task not in held:
                    held[task] = self._held(asked, task) | self._barred(futures.site, task, days)
                off = held[task]
                for into, said in ((self.stated, as_stated), (self.alone, freed)):
                    into.setdefault((name, task), []).append(
                        (said.yes & ~off, said.yes | said.no | off)
                    )
        self.states.append(facts.water.states)
        self.lowest.append(weather.daily.air_min)

    def _kept_watered(self, weather: SiteWeather, futures: Futures) -> Floats | None:
        """Where it can be watered, the lawn gets what evaporates: whether it will lack water is for
        the watering of those weeks to say."""
        if not self.lawn.irrigated:
            return None
        water = np.nan_to_num(weather.et0.values)
        water[: futures.known_end] = 0.0
        return water

    def _barred(self, site: Site, task: str, days: Sequence[date]) -> Bools:
        """Days on which law closes a task itself; of nutrients a rule tells."""
        if task not in self.barred:
            bans = [ban for ban in site.bans if task in ban.tasks]
            self.barred[task] = np.array(
                [any(ban.covers(self.lawn.name, day) for ban in bans) for day in days]
            )
        return self.barred[task]

    def _held(self, asked: Evaluator, task: str) -> Bools:
        """Days on which some hold is sure. What past days cannot tell (wind, humidity, snow) holds
        hours or days, no season."""
        off = np.zeros(len(asked.table.days), dtype=np.bool_)
        for rule in self.book.rules.values():
            if (
                rule.kind is RuleKind.HOLDS
                and task in rule.tasks
                and rule.speaks_of(self.lawn.grass, self.lawn.grass_class)
            ):
                off |= asked.says(rule).yes
        return off

    def done(self) -> LawnFutures:
        def stacked(
            found: Mapping[tuple[str, str], list[tuple[Bools, Bools]]],
        ) -> dict[tuple[str, str], Opened]:
            return {
                key: Opened(np.stack([o for o, _ in parts]), np.stack([t for _, t in parts]))
                for key, parts in found.items()
            }

        return LawnFutures(
            self.lawn, self.today, self.windows, stacked(self.alone), stacked(self.stated),
            np.stack(self.states), np.stack(self.lowest),
        )  # fmt: skip


def perhaps_done(counted: Sums, lawn: Lawn) -> dict[str, date]:
    """The tasks for which something was advised and never answered, with its latest day."""
    events = (e for e in counted.events(lawn.name) if e.certainty is Certainty.PERHAPS)
    return {task: event.day for event in events for task in event.tasks}


def of_site(site: Site, lawn: str) -> list[Lawn]:
    """The lawns of a site, or the one of that name."""
    return [each for each in site.lawns if lawn in ("", each.name)]

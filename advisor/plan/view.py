"""What the rules and restrictions say of one lawn on every day, given a certain set of facts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.facts import LawnFacts, Stated, lawn_facts, stated_facts
from advisor.conditions.hours import HourFacts, hour_facts
from advisor.conditions.site_weather import SiteWeather
from advisor.conditions.vocabulary import FACTS
from advisor.plan.burning import burns
from advisor.plan.by_hour import ByHour
from advisor.plan.label import Labelled
from advisor.plan.restrict import Restriction, UnderLaw
from advisor.plan.sureness import unsure_rain
from advisor.rulebook.book import Rule, Rulebook, RuleKind
from advisor.rulebook.evaluate import Evaluator, Verdicts
from advisor.rulebook.explain import Explanation
from advisor.rulebook.read_window import LONGEST_HOURS
from advisor.series.ensemble import Ensemble
from advisor.series.watches import Watches
from advisor.site.events import Advised, tasks_of
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.shelf import Product, Shelf
from advisor.site.sums import Sums
from advisor.site.words import TASKS, WATERING

Bools = NDArray[np.bool_]

ADVICE_DAYS = 7
"""Days for which a digest gives advice; what is later comes next, and is decided by a later one."""

UP = FACTS["sun"].words.index("up")

HORIZON = 16
"""Days that a plan looks ahead, today included, where the forecast reaches that far."""


@dataclass(frozen=True)
class Setting:
    """Everything about a decision that does not change while a plan is being made."""

    site: Site
    shelf: Shelf
    book: Rulebook
    weather: SiteWeather
    now: datetime
    watches: Watches | None = None
    ensemble: Ensemble | None = None

    @cached_property
    def hours(self) -> HourFacts:
        """The weather by the hour: as far back as a window may look, as far ahead as the plan."""
        back = self.today - LONGEST_HOURS // 24
        return hour_facts(self.weather, self.site.place, max(0, back), self.end)

    def light(self, day: int) -> frozenset[int]:
        """Clock hours of a day in which the sun is up from beginning to end: nobody spreads or
        sprays in the dark."""
        hours = self.hours
        down = hours.words["sun"].codes != UP
        here = hours.day_of == day
        return frozenset(hours.clock[here].tolist()) - frozenset(hours.clock[here & down].tolist())

    def unsure(self, product: Product) -> tuple[Restriction, ...]:
        """Days on which too few forecasts of the ensemble spare a product. What a plan does never
        changes them."""
        if product.name not in self._unsure:
            self._unsure[product.name] = tuple(
                unsure_rain(self.ensemble, product, self.site, self.days, self.now)
            )
        return self._unsure[product.name]

    @cached_property
    def _unsure(self) -> dict[str, tuple[Restriction, ...]]:
        return {}

    @property
    def days(self) -> list[date]:
        return self.weather.daily.days

    @property
    def today(self) -> int:
        return self.weather.daily.today

    @property
    def end(self) -> int:
        """Index after the last day that the plan may use."""
        return min(self.weather.daily.forecast_end, self.today + HORIZON)


@dataclass(frozen=True)
class View:
    """One lawn as rules see it, with `sums` and planned water as they stand in the walk."""

    setting: Setting
    lawn: Lawn
    sums: Sums
    planned_mm: NDArray[np.float64]
    from_files: Stated | None = field(default=None, compare=False, repr=False)
    """What the files state of each day, where a view with the same sums has worked it out."""

    @cached_property
    def stated(self) -> Stated:
        """What the files state of each day."""
        if self.from_files is not None:
            return self.from_files
        setting = self.setting
        return stated_facts(setting.site, self.lawn, self.sums, setting.days)

    @cached_property
    def facts(self) -> LawnFacts:
        return lawn_facts(
            self.setting.weather,
            self.setting.site,
            self.lawn,
            self.sums,
            planned_mm=self.planned_mm,
            perhaps_mm=perhaps_water(self.sums.open_advice, self.lawn.name, self.setting.days),
            stated=self.stated,
        )

    @cached_property
    def evaluator(self) -> Evaluator:
        return Evaluator(self.setting.book, self.facts.table, self.setting.site.units)

    @cached_property
    def by_hour(self) -> ByHour:
        """The same lawn hour by hour."""
        setting = self.setting
        over = setting.now - timedelta(hours=1)
        now = next((i for i, start in enumerate(setting.hours.starts) if start > over), 0)
        zone = setting.weather.zone
        return ByHour(setting.book, self.lawn, setting.hours, self.evaluator, zone, now)

    def rules(self, kind: RuleKind, task: str) -> list[Rule]:
        """The rules of a kind that speak of this lawn's grass and of a task."""
        return [
            rule
            for rule in self.setting.book.rules.values()
            if rule.kind is kind
            and task in rule.tasks
            and rule.speaks_of(self.lawn.grass, self.lawn.grass_class)
        ]

    @cached_property
    def tasks(self) -> tuple[str, ...]:
        """Tasks that some rule may open, or ask water for, on this lawn; in the trade's order."""
        return tuple(
            task
            for task in TASKS
            if self.rules(RuleKind.OPENS, task)
            or (self.lawn.irrigated and self.rules(RuleKind.WATERS, task))
        )

    def says(self, rule: Rule) -> Verdicts:
        """What a day rule says of every day."""
        return self.evaluator.says(rule)

    def sure(self, rule: Rule) -> Bools:
        """Days on which a rule is known to say yes; of an hour rule, in some hour."""
        if rule.hourly:
            return self.by_hour.by_day(rule, len(self.setting.days))
        return self.says(rule).yes

    def explain(self, rule: Rule, day: int, hour: int | None = None) -> Explanation:
        """Why a rule says what it says on a day; of an hour rule, in the hour of index `hour`, or
        else in the first of the day in which it says yes."""
        if not rule.hourly:
            return self.evaluator.explain(rule, day)
        rows = self.by_hour.rows(day)
        sure = [int(row) for row in rows if self.by_hour.says(rule).yes[row]]
        first = sure[0] if sure else int(rows[0])
        return self.by_hour.evaluator.explain(rule, first if hour is None else hour)

    def opened(self, task: str) -> list[tuple[Rule, Bools]]:
        """Each rule that may open a task (or ask for water), with the days on which it does."""
        kinds = (RuleKind.OPENS, RuleKind.WATERS)
        return [(rule, self.sure(rule)) for kind in kinds for rule in self.rules(kind, task)]

    def holds(self, task: str) -> list[tuple[Rule, Verdicts]]:
        """The day rules that may hold a task; what hour rules hold is told by the hour."""
        rules = self.rules(RuleKind.HOLDS, task)
        return [(rule, self.says(rule)) for rule in rules if not rule.hourly]

    def names(self, product: Product) -> frozenset[str]:
        """What a rule may call to hold a product: every task it counts for, and its kinds."""
        return tasks_of(product, self.setting.shelf) | product.kinds

    def free_hours(
        self, names: Iterable[str], day: int, opened: Rule | None = None
    ) -> frozenset[int] | None:
        """Clock hours of a day that the hour rules leave free; None where no such rule speaks."""
        if not (opened is not None and opened.hourly) and not self.by_hour.rules(
            RuleKind.HOLDS, names
        ):
            return None
        return self.by_hour.free(names, day, opened)

    @cached_property
    def owner_free(self) -> Bools:
        """Days on which the owner can work."""
        free = self.setting.site.free
        return np.array([free.allows(day) for day in self.setting.days], dtype=bool)

    def work_hours(
        self, names: Iterable[str], day: int, opened: Rule | None = None
    ) -> frozenset[int]:
        """Clock hours of a day in which somebody can work.

        They are those that the hour rules leave free (see `free_hours`), less the dark, and the
        hours in which the owner is not free.
        """
        rules = self.free_hours(names, day, opened)
        owner = self.setting.site.free.hours_on(self.setting.days[day])
        light = self.setting.light(day)
        return light & (light if rules is None else rules) & (light if owner is None else owner)

    def held(self, task: str) -> Bools:
        """Days on which some day rule holds a task, or products of a kind."""
        if task not in self._held:
            self._held[task] = self._work_out_held(task)
        return self._held[task]

    @cached_property
    def _held(self) -> dict[str, Bools]:
        return {}

    def _work_out_held(self, task: str) -> Bools:
        out = np.zeros(len(self.setting.days), dtype=bool)
        if self.setting.book.holds_everything and task != WATERING:
            return ~out
        for _, verdicts in self.holds(task):
            out |= self.holding(verdicts, task)
        return out

    @staticmethod
    def holding(verdicts: Verdicts, task: str) -> Bools:
        """Where a hold holds. What cannot be told holds whatever is put down, but neither asks
        for water nor forbids it."""
        return verdicts.yes if task == WATERING else verdicts.held

    def products(self, task: str) -> list[Product]:
        """The shelf's products for a task that are allowed on this grass, in shelf order."""
        return [
            product
            for product in self.setting.shelf.serving(task)
            if product.allowed_on(self.lawn.grass, self.lawn.grass_class)
        ]

    @cached_property
    def _by_product(self) -> dict[str, tuple[Restriction, ...]]:
        return {}

    def restrictions(self, product: Product) -> tuple[Restriction, ...]:
        """What law, the product's label and an unsure forecast forbid, day by day."""
        known = self._by_product
        if product.name not in known:
            setting = self.setting
            known[product.name] = (
                *UnderLaw(
                    setting.site,
                    self.lawn,
                    product,
                    self.facts.table,
                    self.sums,
                    setting.now,
                    setting.watches,
                ).restrictions(),
                *Labelled(
                    setting.site, self.lawn, setting.shelf, product, self.facts.table, self.sums
                ).restrictions(),
                *burns(product, self.lawn, setting.site, self.sums, self.facts.table),
                *setting.unsure(product),
            )
        return known[product.name]


def perhaps_water(
    advice: Sequence[Advised], lawn: str, days: Sequence[date]
) -> NDArray[np.float64]:
    """Water [mm] that was advised for each day and never answered."""
    index = {day: i for i, day in enumerate(days)}
    out = np.zeros(len(days))
    for advised in advice:
        if advised.task == WATERING and advised.lawn == lawn and advised.day in index:
            out[index[advised.day]] += advised.amount
    return out

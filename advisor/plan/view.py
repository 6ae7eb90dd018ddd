"""What the rules and restrictions say of one lawn on every day, given a certain set of facts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.facts import LawnFacts, lawn_facts
from advisor.conditions.site_weather import SiteWeather
from advisor.plan.label import Labelled
from advisor.plan.restrict import Restriction, bans
from advisor.rulebook.book import Rule, Rulebook, RuleKind
from advisor.rulebook.evaluate import Evaluator, Verdicts
from advisor.site.events import Advised
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.shelf import Product, Shelf
from advisor.site.sums import Sums
from advisor.site.words import TASKS

Bools = NDArray[np.bool_]

ADVICE_DAYS = 7
"""Days for which a digest gives advice; what is later comes next, and is decided by a later one."""

WATERING = "watering"

HORIZON = 16
"""Days that a plan looks ahead, today included, where the forecast reaches that far."""


@dataclass(frozen=True)
class Setting:
    """Everything about a decision that does not change while a plan is being made."""

    site: Site
    shelf: Shelf
    book: Rulebook
    weather: SiteWeather

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

    @cached_property
    def facts(self) -> LawnFacts:
        return lawn_facts(
            self.setting.weather,
            self.setting.site,
            self.lawn,
            self.sums,
            planned_mm=self.planned_mm,
            perhaps_mm=perhaps_water(self.sums.open_advice, self.lawn.name, self.setting.days),
        )

    @cached_property
    def evaluator(self) -> Evaluator:
        return Evaluator(self.setting.book, self.facts.table, self.setting.site.units)

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
        return self.evaluator.says(rule)

    def opened(self, task: str) -> list[tuple[Rule, Bools]]:
        """Each rule that may open a task (or ask for water), with the days on which it does."""
        opens = [(rule, self.says(rule).open) for rule in self.rules(RuleKind.OPENS, task)]
        waters = [(rule, self.says(rule).yes) for rule in self.rules(RuleKind.WATERS, task)]
        return opens + waters

    def holds(self, task: str) -> list[tuple[Rule, Verdicts]]:
        return [(rule, self.says(rule)) for rule in self.rules(RuleKind.HOLDS, task)]

    def held(self, task: str) -> Bools:
        """Days on which some rule holds a task."""
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
        """What law and the product's label forbid, day by day."""
        known = self._by_product
        if product.name not in known:
            setting = self.setting
            known[product.name] = (
                *bans(setting.site, self.lawn, product, setting.days),
                *Labelled(
                    setting.site, self.lawn, setting.shelf, product, self.facts.table, self.sums
                ).restrictions(),
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

"""What hour rules say of one lawn, and the hours of a day that they leave free."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.hours import HourFacts
from advisor.rulebook.book import Rule, Rulebook, RuleKind
from advisor.rulebook.evaluate import Evaluator, Verdicts
from advisor.rulebook.hours import HourEvaluator, by_the_hour
from advisor.site.lawns import Lawn
from advisor.site.words import WATERING

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class ByHour:
    """One lawn's hour rules over the hours of `facts`; `day` asks about the same lawn by days."""

    book: Rulebook
    lawn: Lawn
    facts: HourFacts
    day: Evaluator
    zone: ZoneInfo
    now: int
    """Index of the first hour that is not over yet."""

    @cached_property
    def evaluator(self) -> HourEvaluator:
        return by_the_hour(self.day, self.facts, self.zone, self.now)

    def rules(self, kind: RuleKind, names: Iterable[str]) -> list[Rule]:
        """The hour rules of a kind for any of `names` that speak of this lawn's grass."""
        wanted = frozenset(names)
        return [
            rule
            for rule in self.book.rules.values()
            if rule.hourly
            and rule.kind is kind
            and wanted.intersection(rule.tasks)
            and rule.speaks_of(self.lawn.grass, self.lawn.grass_class)
        ]

    def says(self, rule: Rule) -> Verdicts:
        return self.evaluator.says(rule)

    def by_day(self, rule: Rule, days: int) -> Bools:
        """Days, of an axis of so many, on some hour of which the rule is known to say yes."""
        out = np.zeros(days, dtype=np.bool_)
        out[self.facts.day_of[self.says(rule).yes]] = True
        return out

    def barred(self, names: Iterable[str]) -> Bools:
        """Hours in which a rule holds one of `names`. What cannot be told holds whatever is put
        down, but does not forbid water."""
        wanted = frozenset(names)
        out = np.zeros(len(self.facts.starts), dtype=np.bool_)
        for rule in self.rules(RuleKind.HOLDS, wanted):
            out |= self.holding(rule, wanted)
        return out

    def holding(self, rule: Rule, names: Iterable[str]) -> Bools:
        """Hours in which one hold holds."""
        said = self.says(rule)
        return said.yes if set(names) == {WATERING} else said.held

    def free(self, names: Iterable[str], day: int, opened: Rule | None = None) -> frozenset[int]:
        """Clock hours of a day that no hour rule holds, and for which `opened`, where it is an hour
        rule, opens. An hour that comes twice is free when both are."""
        good = ~self.barred(names)
        if opened is not None and opened.hourly:
            good &= self.says(opened).yes
        rows = np.flatnonzero(self.facts.day_of == day)
        shut = {int(self.facts.clock[row]) for row in rows if not good[row]}
        return frozenset(int(self.facts.clock[row]) for row in rows) - shut

    def rows(self, day: int) -> NDArray[np.int64]:
        """The hours of a day, by index."""
        return np.flatnonzero(self.facts.day_of == day)

"""Rules that lean on a fact which a lawn's days never tell, and what such a rule does then.

A fact is lacking where no day of the table, up to the forecast's end, says anything about it: not
even a bound that is tighter than the fact's own range. For a rule that is asked hour by hour the
hours that the lawn's table of hours has are what counts.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from advisor.conditions.hours import HourFacts
from advisor.conditions.table import Column, Table
from advisor.conditions.vocabulary import FACTS, SEEDING, STAGES
from advisor.rulebook.book import Keyword, Rule, Rulebook, RuleKind
from advisor.rulebook.tree import FactValue, Is, Leaf, Since, fact_name, reads

LEAST_DAYS = 7
"""Days that a table needs before anything is said to be lacking [judgement]."""

YEAR = 365
"""Days that it takes where a season may leave a fact open: a weed's stage in spring says nothing of
autumn."""

_SEASONAL = {name for name, word in FACTS.items() if word.words in (STAGES, SEEDING)}
_HALVES = {"autumn_frost": "spring_frost", "spring_frost": "autumn_frost"}
"""Facts that one half of the year leaves open by their nature: the other tells whether such facts
are to be had."""

INCH = 0.0254
_WATERING = ("watering",)


class Then(StrEnum):
    """What a rule does where facts that it reads are never known, as the head of a list."""

    SHUT = "Windows that stay shut"
    HOLDS = "Holds that hold whatever they speak of"
    NEITHER = "Rules that neither ask for water nor forbid it"
    SILENT = "Notes that stay silent"
    OTHERS = "Rules that go by their other conditions"


@dataclass(frozen=True)
class Lacking:
    """A fact as a rule spells it, the lawns that lack it, and what the rules do that read it, by
    their names."""

    fact: str
    lawns: tuple[str, ...]
    rules: Mapping[str, Then]

    def __str__(self) -> str:
        where = "lawn" if len(self.lawns) == 1 else "lawns"
        return f"{self.fact} is not known here on any day ({where}: {', '.join(self.lawns)})"

    @property
    def then(self) -> str:
        """What the rules do, as sentences."""
        kinds = [
            (then, [name for name, does in self.rules.items() if does is then]) for then in Then
        ]
        return " ".join(f"{then}: {', '.join(names)}." for then, names in kinds if names)


@dataclass(frozen=True)
class Grown:
    """A lawn as rules see it; without `hours` nothing is said of hour rules."""

    name: str
    grass: str
    grass_class: str
    table: Table
    hours: HourFacts | None = None


def leaning(book: Rulebook, lawns: Sequence[Grown], units: str) -> tuple[Lacking, ...]:
    """What the lawns lack of the facts that their rules read, in the order of the book."""
    found: dict[str, tuple[list[str], dict[str, Then]]] = {}
    for lawn in lawns:
        if lawn.table.forecast_end < LEAST_DAYS:
            continue
        for rule in book.rules.values():
            if rule.broken or not rule.speaks_of(lawn.grass, lawn.grass_class):
                continue
            if rule.hourly and lawn.hours is None:
                continue
            lacking = dict.fromkeys(leaf for leaf in _leaves(rule) if _untold(lawn, rule, leaf))
            for leaf in lacking:
                names, rules = found.setdefault(_spelled(leaf, units), ([], {}))
                if lawn.name not in names:
                    names.append(lawn.name)
                rules.setdefault(rule.name, _then(rule, lacking))
    return tuple(Lacking(fact, tuple(names), rules) for fact, (names, rules) in found.items())


def _leaves(rule: Rule) -> Iterator[Leaf]:
    for condition in rule.conditions:
        for leaf, _ in reads(condition.test):
            yield leaf


def _spelled(leaf: Leaf, units: str) -> str:
    if isinstance(leaf, FactValue) and leaf.depth is not None:
        deep = f"{leaf.depth / INCH:.3g} in" if units == "us" else f"{100 * leaf.depth:.3g} cm"
        return f"{leaf.name} at {deep}"
    return fact_name(leaf)


def _untold(lawn: Grown, rule: Rule, leaf: Leaf) -> bool:
    """Whether nothing tells anything of a fact, of days enough, or of the hours."""
    table = lawn.table
    if rule.hourly and not isinstance(leaf, Since) and FACTS[fact_name(leaf)].hourly:
        return lawn.hours is not None and not _told_by_hours(lawn.hours, leaf)
    if isinstance(leaf, Is) and leaf.fact in _SEASONAL and table.forecast_end < YEAR:
        return False
    if isinstance(leaf, FactValue) and leaf.name in _HALVES:
        other = FactValue(_HALVES[leaf.name], leaf.kind)
        return not _told(table, leaf) and not _told(table, other)
    return not _told(table, leaf)


def _told_by_hours(hours: HourFacts, leaf: Leaf) -> bool:
    name = fact_name(leaf)
    if isinstance(leaf, Is):
        return bool(np.any(hours.words[name].codes >= 0))
    column, word = hours.numbers[name], FACTS[name]
    return bool(np.any((column.low > word.low) | (column.high < word.high)))


def _told(table: Table, leaf: Leaf) -> bool:
    until = table.forecast_end
    if isinstance(leaf, Is):
        words = table.words.get(leaf.fact)
        return words is not None and bool(np.any(words.codes[..., :until] >= 0))
    try:
        column: Column
        if isinstance(leaf, Since):
            column, least, most = table.since[leaf.task], 0.0, np.inf
        else:
            column = table.number(leaf.name, leaf.depth)
            least, most = FACTS[leaf.name].low, FACTS[leaf.name].high
    except KeyError:
        return False
    low, high = column.low[..., :until], column.high[..., :until]
    return bool(np.any((low > least) | (high < most)))


def _then(rule: Rule, lacking: Mapping[Leaf, object]) -> Then:
    yes, no = _all(rule, Keyword.WHILE, lacking)
    if rule.kind is RuleKind.HOLDS and rule.tasks != _WATERING:
        return Then.OTHERS if no else Then.HOLDS
    if rule.kind is RuleKind.OPENS:
        # an unknown `until` shuts a window, but for some days right after it was told (see `latch`)
        once, _ = _all(rule, Keyword.ONCE, lacking)
        _, not_until = _all(rule, Keyword.UNTIL, lacking)
        ends = not rule.under(Keyword.UNTIL) or not_until
        return Then.OTHERS if yes and once and ends else Then.SHUT
    if yes:
        return Then.OTHERS
    return Then.SILENT if rule.kind is RuleKind.NOTES else Then.NEITHER


def _all(rule: Rule, keyword: Keyword, lacking: Mapping[Leaf, object]) -> tuple[bool, bool]:
    """Whether the conditions of a keyword, taken together, may still turn out as yes, and as no."""
    lines = [
        [not any(leaf in lacking for leaf, _ in reads(test)) for test in condition.test.tests]
        for condition in rule.under(keyword)
    ]
    return all(any(told) for told in lines), any(all(told) for told in lines)

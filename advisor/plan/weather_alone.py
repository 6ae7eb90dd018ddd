"""The rules as weather alone would have them: what only the owner's coming journal can tell is
taken to come as it should.

Of years ahead nobody knows what will be put down or seen. So `days since` goes by what surely was
done and runs on from there, and what is not known counts as long ago: an interval is kept by then.
A window that asks for something seen, or done, *lately* has that condition left out; it is told as
a window for whoever sees it, or does it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

import numpy as np

from advisor.conditions.table import Column, Table
from advisor.rulebook.book import Condition, Keyword, Rule, Rulebook, RuleKind
from advisor.rulebook.tree import (
    Between,
    Compare,
    Constant,
    Either,
    More,
    Not,
    Since,
    Test,
    fact_name,
    reads,
    within,
)

LONG_AGO = 4000.0
"""Days since something of which no sure last time is known."""

OF_JOURNAL = frozenset({"nitrogen_year", "nitrogen_left", "grass_height"})
"""Facts beside `days since` that what is put down and done makes."""


@dataclass(frozen=True)
class AloneRule:
    """A window as weather alone has it.

    `rule` is asked; `wants` are the deeds and sightings of which it asked that they be lately (the
    conditions that are left out), `after` the least and most days since its own task for a window
    that follows another of the same task.
    """

    rule: Rule
    wants: tuple[str, ...] = ()
    after: tuple[float, float] | None = None


def alone(rule: Rule) -> AloneRule | None:
    """A window's rule without what only the journal will tell; None where no weather is left in it,
    or where it is asked by the hour."""
    if rule.hourly or rule.broken:
        return None
    kept: list[Condition] = []
    wants: dict[str, None] = {}
    after = None
    for condition in rule.conditions:
        lately = [bound for test in condition.test.tests for bound in _lately(test)]
        if not lately:
            kept.append(condition)
            continue
        for bound in lately:
            if bound.what in rule.tasks:
                after = (bound.least, bound.most)
            else:
                wants[bound.what] = None
    if not _weather(kept) or kept[0].keyword is not Keyword.WHILE:
        return None
    return AloneRule(replace(rule, conditions=tuple(kept)), tuple(wants), after)


def book_alone(book: Rulebook) -> tuple[Rulebook, dict[str, AloneRule]]:
    """The windows of a book as weather alone has them, by the rule's name, and a book to ask: the
    day holds, each window as it stands, and, where that differs, alone (its name with a `~`)."""
    windows: dict[str, AloneRule] = {}
    rules: dict[str, Rule] = {}
    for rule in book.rules.values():
        if rule.kind is RuleKind.HOLDS and not rule.hourly and not rule.broken:
            rules[rule.name] = rule
        elif rule.kind is RuleKind.OPENS:
            found = alone(rule)
            if found is None:
                continue
            windows[rule.name] = found
            rules[rule.name] = rule
            if found.rule.conditions != rule.conditions:
                rules[alone_name(rule.name)] = found.rule
    return replace(book, rules=rules, trials=()), windows


def alone_name(name: str) -> str:
    """What a window without its journal's conditions is called; no owner's name has that sign."""
    return f"~{name}"


def journal_runs_on(table: Table, perhaps: Collection[str] = ()) -> Table:
    """A table in which `days since` goes by the last sure time, and unknown is long ago. What is in
    `perhaps` was advised and never answered: it counts as done."""

    def known(name: str, column: Column) -> Column:
        days = column.low if name in perhaps else column.high
        days = np.where(np.isfinite(days), days, LONG_AGO)
        return Column(days, days)

    return replace(table, since={name: known(name, column) for name, column in table.since.items()})


@dataclass(frozen=True)
class _Lately:
    """A test that something was done or seen no longer ago than `most` days."""

    what: str
    least: float
    most: float


def _lately(test: Test) -> Iterator[_Lately]:
    """The tests of a condition that only a deed or sighting still to come will meet."""
    match test:
        case Either():
            for part in test.tests:
                yield from _lately(part)
        case Between(value=Since(task=what), low=low, high=high):
            if isinstance(low, Constant) and isinstance(high, Constant):
                yield _Lately(what, low.value, high.value)
        case Compare(left=Since(task=what), more=More.AT_MOST | More.LESS_THAN, right=right):
            most = right.value if isinstance(right, Constant) else np.inf
            yield _Lately(what, 0.0, most)
        case Compare(left=left, more=More.AT_LEAST | More.MORE_THAN, right=Since(task=what)):
            most = left.value if isinstance(left, Constant) else np.inf
            yield _Lately(what, 0.0, most)
        case Compare() | Between() | Not():
            # A sum of such days, or a negation: left out too, since it may ask for a deed lately.
            for leaf in within(test):
                if isinstance(leaf, Since) and not _long_since(test):
                    yield _Lately(leaf.task, 0.0, np.inf)


def _long_since(test: Test) -> bool:
    """Whether a test asks that something be long ago, which time alone brings about."""
    return (
        isinstance(test, Compare)
        and isinstance(test.left, Since)
        and test.more in (More.AT_LEAST, More.MORE_THAN)
        and isinstance(test.right, Constant)
    )


def _weather(conditions: list[Condition]) -> bool:
    """Whether some condition reads a fact that neither the journal nor a soil test makes."""
    return any(
        not isinstance(leaf, Since)
        and fact_name(leaf) not in OF_JOURNAL
        and not fact_name(leaf).endswith("_test")
        for condition in conditions
        for leaf, _ in reads(condition.test)
    )

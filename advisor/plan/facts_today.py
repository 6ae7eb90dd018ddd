"""What each fact is on each lawn today, and where that comes from."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from advisor.conditions.table import Words
from advisor.conditions.told import unit_of
from advisor.conditions.vocabulary import FACTS, SINCE, FactWord
from advisor.plan.asked_words import depth_text
from advisor.plan.view import View
from advisor.rulebook.book import Rulebook
from advisor.rulebook.shown import amount
from advisor.rulebook.tree import FactValue, Is, Since, reads

USUAL_DEPTHS = (0.0508, 0.1016)
"""Two and four inches, which sources ask for, where no rule asks for any [m]."""

UNKNOWN = "unknown"


@dataclass(frozen=True)
class Today:
    """One fact on one lawn. `low` and `high` are its bounds in the unit inside, None where there is
    no bound or the fact is a word; `value` is for people."""

    lawn: str
    title: str
    value: str
    origin: str
    low: float | None = None
    high: float | None = None
    depth_m: float | None = None
    depth: str = ""


def facts_today(views: Sequence[View]) -> Mapping[str, tuple[Today, ...]]:
    """By the name of the fact, `days since …` included: each lawn, at each depth that a rule asks
    for. A fact that only hours have is not there."""
    names = [fact.name for fact in FACTS.values() if fact.daily]
    names += [f"days since {name}" for name in SINCE]
    return {
        name: tuple(today for view in views for today in _on_lawn(view, name)) for name in names
    }


def _on_lawn(view: View, name: str) -> Iterator[Today]:
    fact = FACTS.get(name)
    if fact is None:
        yield _number(view, Since(name.removeprefix("days since ")), None)
    elif fact.kind is None:
        yield _word(view, fact)
    elif fact.depths is None:
        yield _number(view, FactValue(name, fact.kind), unit_of(fact))
    else:
        for depth in _depths(view.setting.book, name):
            yield _number(view, FactValue(name, fact.kind, depth), unit_of(fact))


def _depths(book: Rulebook, name: str) -> Sequence[float]:
    """The depths at which the rules in force read a fact."""
    found = {
        leaf.depth
        for rule in book.rules.values()
        for condition in rule.conditions
        for leaf, _ in reads(condition.test)
        if isinstance(leaf, FactValue) and leaf.name == name and leaf.depth is not None
    }
    return sorted(found) or USUAL_DEPTHS


def _number(view: View, leaf: FactValue | Since, unit: str | None) -> Today:
    units, today = view.setting.site.units, view.setting.today
    column = view.evaluator.column(leaf)
    bounds = view.evaluator.interval(leaf)
    low, high = float(bounds.low[today]), float(bounds.high[today])
    known = not (math.isinf(low) and math.isinf(high))
    value = amount((low, high), leaf, units, unit=unit) if known else None
    depth = leaf.depth if isinstance(leaf, FactValue) else None
    return Today(
        view.lawn.name,
        view.lawn.shown,
        value or UNKNOWN,
        column.origin(today) if column is not None and value else "",
        None if math.isinf(low) else low,
        None if math.isinf(high) else high,
        depth,
        depth_text(depth, units) if depth is not None else "",
    )


def _word(view: View, fact: FactWord) -> Today:
    today = view.setting.today
    column = view.evaluator.column(Is(fact.name, (), ()))
    code = int(column.codes[today]) if isinstance(column, Words) else -1
    if column is None or not 0 <= code < len(fact.words):
        return Today(view.lawn.name, view.lawn.shown, UNKNOWN, "")
    return Today(view.lawn.name, view.lawn.shown, fact.words[code], column.origin(today))

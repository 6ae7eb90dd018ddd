"""Asking hour rules: the same conditions over an axis of hours.

A fact that has a value by the hour is read from the table of hours; every other fact is that of
the day in which the hour lies, and so is what a rule makes of a window of days.
"""

from __future__ import annotations

from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.hours import HourFacts
from advisor.conditions.table import Column, Table, Words
from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.bounds import Interval
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.tree import FactValue, Is, Leaf, Number, OfDay


class HourEvaluator(Evaluator):
    """Asks the hour rules of a book.

    `day` asks about the same lawn by days. `hours` is a table whose axis is hours and which holds
    the hourly facts alone; `day_of`, of shape (hours,), is the index of each hour's day in the
    table of `day`.
    """

    def __init__(self, day: Evaluator, hours: Table, day_of: NDArray[np.int64]) -> None:
        super().__init__(day.book, hours, day.units)
        self.day = day
        self.day_of = day_of

    def interval(self, node: Number) -> Interval:
        """Bounds of an expression for every hour."""
        if isinstance(node, OfDay):
            low, high = self.day.interval(node.number)
            return Interval(low[..., self.day_of], high[..., self.day_of])
        return super().interval(node)

    def column(self, leaf: Leaf) -> Column | Words | None:
        """What is known of a fact by the hour, or of the hour's day."""
        name = (
            leaf.fact if isinstance(leaf, Is) else leaf.name if isinstance(leaf, FactValue) else ""
        )
        if name and FACTS[name].hourly:
            return super().column(leaf)
        found = self.day.column(leaf)
        if found is None:
            return None

        def origin(hour: int) -> str:
            return found.origin(int(self.day_of[hour]))

        if isinstance(found, Words):
            return Words(found.codes[..., self.day_of], origin)
        return Column(found.low[..., self.day_of], found.high[..., self.day_of], origin)


def by_the_hour(day: Evaluator, facts: HourFacts, zone: ZoneInfo, now: int) -> HourEvaluator:
    """Ask the hour rules of the book of `day` over the hours of `facts`; `now` is the index of the
    first hour that is not over."""
    ends = np.flatnonzero(facts.day_of >= day.table.forecast_end)
    table = Table(
        days=[start.astimezone(zone) for start in facts.starts],
        numbers=facts.numbers,
        at_depth=_nothing_by_the_hour,
        words=facts.words,
        since={},
        today=now,
        forecast_end=int(ends[0]) if len(ends) else len(facts.starts),
    )
    return HourEvaluator(day, table, facts.day_of)


def _nothing_by_the_hour(name: str, _depth: float) -> Column:
    raise KeyError(name)

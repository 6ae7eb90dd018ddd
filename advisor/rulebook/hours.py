"""Asking hour rules: the same conditions over an axis of hours.

A fact that has a value by the hour is read from the table of hours; every other fact is that of
the day in which the hour lies, and so is what a rule makes of a window of days.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

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

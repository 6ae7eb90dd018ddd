"""What the rules of a book say for every day of a table.

Numbers are intervals that hold the true value, truth is a pair of arrays (yes, no): where neither
is set it is unknown. It is only at the top of a rule that unknown comes down on one side: a window
that is not known to be open is shut, a hold that is not known to be off holds.
"""

from __future__ import annotations

import numpy as np

from advisor.conditions.table import UNKNOWN_WORD, Column, Table, Words
from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.batch import Batch
from advisor.rulebook.book import Keyword, Rule, Rulebook
from advisor.rulebook.bounds import (
    Bools,
    Interval,
    Truth,
    added,
    both,
    bounded,
    compared,
    exactly,
    in_range,
    mean,
    opposite,
    rise,
    scaled,
)
from advisor.rulebook.explain import ConditionResult, Explanation, explain
from advisor.rulebook.folding import COMBINE
from advisor.rulebook.latch import Verdicts, walk
from advisor.rulebook.operations import column_of
from advisor.rulebook.program import program_of
from advisor.rulebook.tree import (
    Added,
    Between,
    Compare,
    Constant,
    Count,
    Either,
    FactValue,
    Function,
    Is,
    Leaf,
    More,
    Node,
    Not,
    Number,
    OfDay,
    Said,
    Scaled,
    Since,
    Spell,
    Test,
)
from advisor.rulebook.windows import fold

__all__ = ["ConditionResult", "Evaluator", "Explanation", "Verdicts"]


class Evaluator:
    """Asks the rules of `book` about `table`; `units` ("us" or "metric") is for sentences.

    Equal parts of rules are worked out once.
    """

    def __init__(self, book: Rulebook, table: Table, units: str) -> None:
        self.book = book
        self.table = table
        self.units = units
        self._days = len(table.days)
        # A node is kept with its value: an id is only its own while the node lives.
        self._numbers: dict[int, tuple[Node, Interval]] = {}
        self._tests: dict[int, tuple[Node, Truth]] = {}
        self._said: dict[int, Verdicts] = {}
        self._batch: Batch | None = None

    def says(self, rule: Rule) -> Verdicts:
        """What a rule says on every day: of all rules of the book at once."""
        found = self._said.get(id(rule))
        if found is None and self._batch is None and not rule.hourly:
            self._batch = Batch(program_of(self.book), self.table)
            self._said = self._batch.verdicts
            found = self._said.get(id(rule))
        return found if found is not None else self.plainly(rule)

    def plainly(self, rule: Rule) -> Verdicts:
        """The same for one rule, worked out part by part."""
        if rule.broken:
            nowhere = np.zeros(self._days, dtype=np.bool_)
            return Verdicts(nowhere, nowhere)
        every = self.under(rule, Keyword.WHILE)
        if not rule.under(Keyword.ONCE) and not rule.under(Keyword.UNTIL):
            return Verdicts(*every)
        return walk(*self._latch_parts(rule, every))

    def explain(self, rule: Rule, day: int) -> Explanation:
        """Why a rule says what it says on the day of index `day`.

        Raises ValueError for a table of several lawns, or a day that is not in it.
        """
        return explain(self, rule, day)

    def alone(self, rule: Rule, day: int) -> Said:
        """What a rule says on one day when its latch knows no day before it; None: unknown."""
        if rule.broken:
            return None
        every = self.under(rule, Keyword.WHILE)
        only = slice(day, day + 1)
        parts = self._latch_parts(rule, every)
        return walk(*(Truth(part.yes[only], part.no[only]) for part in parts)).said(0)

    def _latch_parts(self, rule: Rule, every: Truth) -> tuple[Truth, Truth, Truth, Truth]:
        first = self.truth(rule.under(Keyword.WHILE)[0].test)
        opening = every
        if rule.under(Keyword.ONCE):
            opening = both(first, self.under(rule, Keyword.ONCE))
        until = Truth(np.zeros(self._days, np.bool_), np.ones(self._days, np.bool_))
        if rule.under(Keyword.UNTIL):
            until = self.under(rule, Keyword.UNTIL)
        return first, every, opening, until

    def under(self, rule: Rule, keyword: Keyword) -> Truth:
        """All conditions of one keyword together, which must be there."""
        whole, *others = (self.truth(condition.test) for condition in rule.under(keyword))
        for other in others:
            whole = both(whole, other)
        return whole

    def truth(self, test: Test) -> Truth:
        """Where a test holds and where it does not; shape (..., days)."""
        known = self._tests.get(id(test))
        if known is None:
            known = self._tests[id(test)] = test, self._truth(test)
        return known[1]

    def _truth(self, test: Test) -> Truth:
        found = self._batch.truth(test) if self._batch is not None else None
        if found is not None:
            return found
        match test:
            case Compare():
                left, right = self.interval(test.left), self.interval(test.right)
                return self._full(compared(left, test.more, right))
            case Between():
                value = self.interval(test.value)
                above = compared(value, More.AT_LEAST, self.interval(test.low))
                below = compared(value, More.AT_MOST, self.interval(test.high))
                return self._full(both(above, below))
            case Is():
                return self._is(test)
            case Not():
                return opposite(self.truth(test.test))
            case Either():
                whole, *others = (self.truth(part) for part in test.tests)
                for other in others:
                    whole = Truth(whole.yes | other.yes, whole.no & other.no)
                return whole

    def _full(self, truth: Truth) -> Truth:
        """A truth on every day, also where only constants were compared."""
        if truth.yes.ndim:
            return truth
        shape = (self._days,)
        return Truth(np.broadcast_to(truth.yes, shape), np.broadcast_to(truth.no, shape))

    def _is(self, test: Is) -> Truth:
        column = self.column(test)
        if not isinstance(column, Words):
            nowhere = np.zeros(self._days, dtype=np.bool_)
            return Truth(nowhere, nowhere)
        chosen = np.zeros(len(FACTS[test.fact].words) + 1, dtype=np.bool_)
        chosen[list(test.codes)] = True
        others = ~chosen
        others[UNKNOWN_WORD] = False  # the last place
        return Truth(chosen[column.codes], others[column.codes])

    def interval(self, node: Number) -> Interval:
        """Bounds of an expression; shape (..., days), or a single number for a constant."""
        known = self._numbers.get(id(node))
        if known is None:
            known = self._numbers[id(node)] = node, self._interval(node)
        return known[1]

    def _interval(self, node: Number) -> Interval:
        found = self._batch.interval(node) if self._batch is not None else None
        if found is not None:
            return found
        match node:
            case Constant():
                return exactly(node.value)
            case FactValue() | Since():
                return self._column(node)
            case Spell():
                return self._spell(node)
            case Count():
                held = self.truth(node.test)
                sure = fold(held.yes.astype(np.int64), node.window, 0, np.add)
                never = fold(held.no.astype(np.int64), node.window, 0, np.add)
                return Interval(
                    np.asarray(sure * node.step, dtype=np.float64),
                    np.asarray((node.window.days - never) * node.step, dtype=np.float64),
                )
            case OfDay():
                raise TypeError("an hour rule is asked by an HourEvaluator")
            case Added():
                return added(self.interval(node.left), self.interval(node.right), node.minus)
            case Scaled():
                return scaled(self.interval(node.left), self.interval(node.right), node.divided)

    def column(self, leaf: Leaf) -> Column | Words | None:
        """What the table holds for a fact; None where a site lacks it altogether."""
        return column_of(self.table, leaf)

    def known(self, leaf: Leaf) -> Bools:
        """On which days a fact is known exactly, shape (..., days)."""
        if isinstance(leaf, Is):
            truth = self.truth(leaf)
            return truth.yes | truth.no
        found = self.interval(leaf)
        return np.equal(found.low, found.high)

    def _column(self, node: FactValue | Since) -> Interval:
        column = self.column(node)
        if not isinstance(column, Column):
            nothing = np.full(self._days, np.inf)
            return Interval(-nothing, nothing)
        return bounded(column.low, column.high)

    def _spell(self, node: Spell) -> Interval:
        raw = self.interval(node.fact)
        window = node.window
        if node.function is Function.MEAN:
            return mean(raw, window)
        if node.function is Function.RISE:
            return rise(raw, window)
        fact = FACTS[node.fact.name]
        low, high = in_range(raw, fact.low, fact.high)
        combine = COMBINE[node.function]
        return Interval(
            fold(low, window, fact.low, combine), fold(high, window, fact.high, combine)
        )

"""What the rules of a book say for every day of a table.

Numbers are intervals that hold the true value, truth is a pair of arrays (yes, no): where neither
is set it is unknown. It is only at the top of a rule that unknown comes down on one side: a window
that is not known to be open is shut, a hold that is not known to be off holds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.conditions.table import Column, Table, Words
from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.book import Keyword, Rule, Rulebook
from advisor.rulebook.bounds import (
    Bools,
    Interval,
    Truth,
    both,
    bounded,
    compared,
    mean,
    said,
    scaled,
)
from advisor.rulebook.explain import ConditionResult, Explanation, explain
from advisor.rulebook.latch import Said, State, walk
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
    Scaled,
    Since,
    Spell,
    Test,
)
from advisor.rulebook.windows import at, fold


@dataclass(frozen=True)
class Verdicts:
    """What a rule says on each day; arrays of shape (..., days). Neither yes nor no: unknown.

    `states` is the latch of an opens rule with `once` or `until`, on the days of a table without
    leading axes; empty for other rules.
    """

    yes: Bools
    no: Bools
    states: tuple[State, ...] = ()

    def said(self, day: int) -> Said:
        """One day, on an axis without leading axes; None: unknown."""
        return said(Truth(self.yes, self.no), day)

    @property
    def open(self) -> Bools:
        """For an opens rule: where the window is known to be open."""
        return self.yes

    @property
    def held(self) -> Bools:
        """For a holds rule: where it is not known to be off."""
        return np.logical_not(self.no)


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
        self._said: dict[int, tuple[Rule, Verdicts]] = {}

    def says(self, rule: Rule) -> Verdicts:
        """What a rule says on every day."""
        known = self._said.get(id(rule))
        if known is None:
            known = self._said[id(rule)] = rule, self._says(rule)
        return known[1]

    def _says(self, rule: Rule) -> Verdicts:
        if rule.broken:
            nowhere = np.zeros(self._days, dtype=np.bool_)
            return Verdicts(nowhere, nowhere)
        every = self.under(rule, Keyword.WHILE)
        if not rule.under(Keyword.ONCE) and not rule.under(Keyword.UNTIL):
            return Verdicts(*every)
        parts = self._latch_parts(rule, every)
        shape = np.broadcast_shapes(*(part.yes.shape for part in parts))
        rows = [_rows(part, shape) for part in parts]
        walked = [walk(*lawn) for lawn in zip(*rows, strict=True)]
        yes = np.array([[answer is True for answer in said] for said, _ in walked], dtype=np.bool_)
        no = np.array([[answer is False for answer in said] for said, _ in walked], dtype=np.bool_)
        states = tuple(walked[0][1]) if len(shape) == 1 else ()
        return Verdicts(yes.reshape(shape), no.reshape(shape), states)

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
        parts = self._latch_parts(rule, every)
        return walk(*([said(part, day)] for part in parts))[0][0]

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
                inner = self.truth(test.test)
                return Truth(inner.no, inner.yes)
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
        yes = np.isin(column.codes, test.codes)
        others = [c for c in range(len(FACTS[test.fact].words)) if c not in test.codes]
        return Truth(yes, np.isin(column.codes, others))

    def interval(self, node: Number) -> Interval:
        """Bounds of an expression; shape (..., days), or a single number for a constant."""
        known = self._numbers.get(id(node))
        if known is None:
            known = self._numbers[id(node)] = node, self._interval(node)
        return known[1]

    def _interval(self, node: Number) -> Interval:
        match node:
            case Constant():
                value = np.asarray(node.value, dtype=np.float64)
                return Interval(value, value)
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
                left, right = self.interval(node.left), self.interval(node.right)
                if node.minus:
                    right = Interval(-right.high, -right.low)
                with np.errstate(invalid="ignore"):  # no bound minus no bound: no bound
                    return bounded(left.low + right.low, left.high + right.high)
            case Scaled():
                return scaled(self.interval(node.left), self.interval(node.right), node.divided)

    def column(self, leaf: Leaf) -> Column | Words | None:
        """What the table holds for a fact; None where a site lacks it altogether."""
        if isinstance(leaf, Is):
            return self.table.words.get(leaf.fact)
        try:
            if isinstance(leaf, Since):
                return self.table.since[leaf.task]
            return self.table.number(leaf.name, leaf.depth)
        except KeyError:
            return None

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
            low = at(raw.low, window.last, -np.inf) - at(raw.high, window.first, np.inf)
            high = at(raw.high, window.last, np.inf) - at(raw.low, window.first, -np.inf)
            return Interval(low, high)
        fact = FACTS[node.fact.name]
        low = np.where(np.isneginf(raw.low), np.minimum(fact.low, raw.high), raw.low)
        high = np.where(np.isposinf(raw.high), np.maximum(fact.high, raw.low), raw.high)
        combine = {
            Function.TOTAL: np.add,
            Function.LOWEST: np.minimum,
            Function.HIGHEST: np.maximum,
        }[node.function]
        return Interval(
            fold(low, window, fact.low, combine), fold(high, window, fact.high, combine)
        )


def _rows(truth: Truth, shape: tuple[int, ...]) -> list[list[Said]]:
    """A truth as a list of days for every lawn."""
    codes = truth.yes.astype(np.int8) - truth.no.astype(np.int8)
    flat = np.broadcast_to(codes, shape).reshape(-1, shape[-1]).tolist()
    meaning: dict[int, Said] = {1: True, 0: None, -1: False}
    return [[meaning[code] for code in row] for row in flat]

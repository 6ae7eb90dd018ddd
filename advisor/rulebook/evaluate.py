"""What the rules of a book say for every day of a table.

Numbers are intervals that hold the true value, truth is a pair of arrays (yes, no): where neither
is set it is unknown. It is only at the top of a rule that unknown comes down on one side: a window
that is not known to be open is shut, a hold that is not known to be off holds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.table import Table
from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.book import Keyword, Rule, Rulebook
from advisor.rulebook.latch import Said, State, walk
from advisor.rulebook.spans import TOLERANCE
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
    More,
    Node,
    Not,
    Number,
    Scaled,
    Since,
    Spell,
    Test,
)
from advisor.rulebook.windows import at, fold

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


class Interval(NamedTuple):
    """Bounds of a value, both included; shape (..., days) or a single number."""

    low: Floats
    high: Floats


class Truth(NamedTuple):
    """Where something is known to hold, and where it is known not to; shape (..., days)."""

    yes: Bools
    no: Bools


@dataclass(frozen=True)
class Verdicts:
    """What a rule says on each day; arrays of shape (..., days). Neither yes nor no: unknown.

    `states` is the latch of an opens rule with `once` or `until`, on the days of a table without
    leading axes; empty for other rules.
    """

    yes: Bools
    no: Bools
    states: tuple[State, ...] = ()

    @property
    def open(self) -> Bools:
        """For an opens rule: where the window is known to be open."""
        return self.yes

    @property
    def held(self) -> Bools:
        """For a holds rule: where it is not known to be off."""
        return np.logical_not(self.no)


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
            opening = _both(first, self.under(rule, Keyword.ONCE))
        until = Truth(np.zeros(self._days, np.bool_), np.ones(self._days, np.bool_))
        if rule.under(Keyword.UNTIL):
            until = self.under(rule, Keyword.UNTIL)
        return first, every, opening, until

    def under(self, rule: Rule, keyword: Keyword) -> Truth:
        """All conditions of one keyword together, which must be there."""
        whole, *others = (self.truth(condition.test) for condition in rule.under(keyword))
        for other in others:
            whole = _both(whole, other)
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
                return self._full(_compared(left, test.more, right))
            case Between():
                value = self.interval(test.value)
                above = _compared(value, More.AT_LEAST, self.interval(test.low))
                below = _compared(value, More.AT_MOST, self.interval(test.high))
                return self._full(_both(above, below))
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
        shape = np.broadcast_shapes(truth.yes.shape, (self._days,))
        return Truth(np.broadcast_to(truth.yes, shape), np.broadcast_to(truth.no, shape))

    def _is(self, test: Is) -> Truth:
        column = self.table.words.get(test.fact)
        if column is None:
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
                    sure.astype(np.float64), (node.window.days - never).astype(np.float64)
                )
            case Added():
                left, right = self.interval(node.left), self.interval(node.right)
                if node.minus:
                    right = Interval(-right.high, -right.low)
                with np.errstate(invalid="ignore"):  # no bound minus no bound: no bound
                    return _bounds(left.low + right.low, left.high + right.high)
            case Scaled():
                return _scaled(self.interval(node.left), self.interval(node.right), node.divided)

    def _column(self, node: FactValue | Since) -> Interval:
        try:
            if isinstance(node, Since):
                column = self.table.since[node.task]
            else:
                column = self.table.number(node.name, node.depth)
        except KeyError:  # a site can lack a fact altogether
            nothing = np.full(self._days, np.inf)
            return Interval(-nothing, nothing)
        return _bounds(column.low, column.high)

    def _spell(self, node: Spell) -> Interval:
        raw = self.interval(node.fact)
        window = node.window
        if node.function is Function.MEAN:
            return _mean(raw, node)
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


def _mean(raw: Interval, node: Spell) -> Interval:
    """The mean of the known days where four of five are known; days with bounds only are not."""
    known = np.equal(raw.low, raw.high)
    number = fold(known.astype(np.int64), node.window, 0, np.add)
    total = fold(np.where(known, raw.low, 0.0), node.window, 0.0, np.add)
    enough = 5 * number >= 4 * node.window.days
    mean = total / np.maximum(number, 1)
    return Interval(np.where(enough, mean, -np.inf), np.where(enough, mean, np.inf))


def _bounds(low: Floats, high: Floats) -> Interval:
    """An interval in which NaN is no bound."""
    return Interval(np.where(np.isnan(low), -np.inf, low), np.where(np.isnan(high), np.inf, high))


def _scaled(left: Interval, right: Interval, divided: bool) -> Interval:
    with np.errstate(invalid="ignore", divide="ignore"):
        ends = [a / b if divided else a * b for a in left for b in right]
    ends = [np.where(np.isnan(end), 0.0, end) for end in ends]  # zero times no bound is zero
    low, high = (
        np.minimum.reduce(np.broadcast_arrays(*ends)),
        np.maximum.reduce(np.broadcast_arrays(*ends)),
    )
    if divided:
        through_zero = (right.low <= 0) & (right.high >= 0)
        low, high = np.where(through_zero, -np.inf, low), np.where(through_zero, np.inf, high)
    return Interval(low, high)


def _compared(left: Interval, more: More, right: Interval) -> Truth:
    if more in (More.AT_MOST, More.LESS_THAN):
        left, right = right, left
    if more in (More.AT_LEAST, More.AT_MOST):
        return Truth(left.low >= right.high - TOLERANCE, left.high < right.low - TOLERANCE)
    return Truth(left.low > right.high + TOLERANCE, left.high <= right.low + TOLERANCE)


def _both(one: Truth, other: Truth) -> Truth:
    return Truth(one.yes & other.yes, one.no | other.no)


def said(truth: Truth | Verdicts, day: int) -> Said:
    """One day of a truth without leading axes; None: unknown."""
    return True if truth.yes[day] else False if truth.no[day] else None


def _rows(truth: Truth, shape: tuple[int, ...]) -> list[list[Said]]:
    """A truth as a list of days for every lawn."""
    codes = truth.yes.astype(np.int8) - truth.no.astype(np.int8)
    flat = np.broadcast_to(codes, shape).reshape(-1, shape[-1]).tolist()
    meaning: dict[int, Said] = {1: True, 0: None, -1: False}
    return [[meaning[code] for code in row] for row in flat]

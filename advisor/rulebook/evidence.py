"""The numbers behind each condition for all days at once: what sentences tell, as arrays."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from advisor.conditions.table import UNKNOWN_WORD, Words
from advisor.rulebook.book import Condition
from advisor.rulebook.bounds import Interval, Truth
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.tree import Between, Compare, Is, Not, Test


class Evidence(NamedTuple):
    """One test on every day, in units inside; arrays of shape (..., days).

    `margin` is the value less its limit; of `between`, how far it lies within the nearer limit.
    Of a word, `value` is its code, and there is neither limit nor margin.
    """

    truth: Truth
    value: Interval
    limit: Interval | None = None
    margin: Interval | None = None


def evidence(asked: Evaluator, condition: Condition) -> tuple[Evidence, ...]:
    """The tests of one line, in its order, with their numbers."""
    return tuple(_of(asked, test) for test in condition.test.tests)


def _of(asked: Evaluator, test: Test) -> Evidence:
    truth = asked.truth(test)
    while isinstance(test, Not):
        test = test.test
    match test:
        case Compare():
            value, limit = asked.interval(test.left), asked.interval(test.right)
            return Evidence(truth, value, limit, _less(value, limit))
        case Between():
            value, least, most = (asked.interval(n) for n in (test.value, test.low, test.high))
            ends = zip(_less(value, least), _less(most, value), strict=True)
            margin = Interval(*(np.minimum(above, below) for above, below in ends))
            return Evidence(truth, value, Interval(least.low, most.high), margin)
        case Is():
            column = asked.column(test)
            codes = column.codes if isinstance(column, Words) else np.asarray(UNKNOWN_WORD)
            code = codes.astype(np.float64)
            return Evidence(truth, Interval(code, code))
        case _:
            raise TypeError("a line of a rule holds no other line")


def _less(one: Interval, other: Interval) -> Interval:
    return Interval(one.low - other.high, one.high - other.low)

"""Conditions that contradict one another, by the values that each of them allows.

Only what is certain is told: a test allows a set of values of one expression where it compares
that expression with a constant, or names words of a fact. Anything else may always hold.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.spans import span
from advisor.rulebook.tree import Between, Compare, Constant, Is, More, Not, Number, Test

MOST_LINES = 60
"""Condition lines of a rule that are compared with one another; nobody writes more."""

End = tuple[float, int]
"""A value, and whether the set ends just below it (-1), at it (0) or just above it (1)."""

Values = tuple[tuple[End, End], ...] | frozenset[int]
"""Stretches of numbers from one end to another, both included; or words by their codes."""

Alternatives = Sequence[Test]
"""The tests of one line: at least one of them holds."""

_TURNED = {
    More.AT_LEAST: More.AT_MOST,
    More.AT_MOST: More.AT_LEAST,
    More.MORE_THAN: More.LESS_THAN,
    More.LESS_THAN: More.MORE_THAN,
}


def covers_all(tests: Alternatives) -> bool:
    """Whether one of some tests always holds, though none of them alone does."""
    return len(tests) > 1 and unfit([[Not(test)] for test in tests]) is not None


def unfit(lines: Sequence[Alternatives]) -> int | None:
    """The index of the first line that cannot hold together with all before it, if any."""
    if len(lines) > MOST_LINES or _satisfiable(lines):
        return None
    return next(n for n in range(len(lines)) if not _satisfiable(lines[: n + 1]))


def partner(lines: Sequence[Alternatives], late: int) -> int | None:
    """The first line that alone cannot hold together with the line of index `late`."""
    return next((n for n in range(late) if not _satisfiable([lines[n], lines[late]])), None)


def _satisfiable(lines: Sequence[Alternatives]) -> bool:
    """False only where it is certain that the lines never hold together."""
    allowed: dict[Number | str, Values] = {}
    before = None
    while before != allowed:
        before = dict(allowed)
        for tests in lines:
            alive: list[tuple[Number | str, Values] | None] = []
            for test in tests:
                one = _allows(test)
                if one is not None:
                    name, values = one
                    values = _both(allowed.get(name, _every(name)), values)
                    if not values:
                        continue
                    one = name, values
                alive.append(one)
            if not alive:
                return False
            known = [one for one in alive if one is not None]
            if len(known) == len(alive) and len({name for name, _ in known}) == 1:
                allowed[known[0][0]] = _either([values for _, values in known])
    return True


def _allows(test: Test) -> tuple[Number | str, Values] | None:
    """What is tested, and the values with which the test holds."""
    match test:
        case Compare(left=value, more=more, right=Constant(value=limit)):
            return value, _beyond(more, limit)
        case Compare(left=Constant(value=limit), more=more, right=value):
            return value, _beyond(_TURNED[more], limit)
        case Between(value=value, low=Constant(value=low), high=Constant(value=high)):
            return value, (((_snapped(low), 0), (_snapped(high), 0)),)
        case Is():
            return test.fact, frozenset(test.codes)
        case Not():
            inner = _allows(test.test)
            return None if inner is None else (inner[0], _others(*inner))
        case _:
            return None


def _snapped(value: float) -> float:
    """Values within the tolerance of comparisons as one."""
    return round(value, 9)


def _beyond(more: More, limit: float) -> Values:
    limit = _snapped(limit)
    match more:
        case More.AT_LEAST:
            return (((limit, 0), (math.inf, 0)),)
        case More.MORE_THAN:
            return (((limit, 1), (math.inf, 0)),)
        case More.AT_MOST:
            return (((-math.inf, 0), (limit, 0)),)
        case More.LESS_THAN:
            return (((-math.inf, 0), (limit, -1)),)


def _every(name: Number | str) -> Values:
    """All values that an expression can have, or all words of a fact."""
    if isinstance(name, str):
        return frozenset(range(len(FACTS[name].words)))
    low, high = span(name)
    return (((_snapped(low), 0), (_snapped(high), 0)),)


def _others(name: Number | str, values: Values) -> Values:
    """The values that are not among these."""
    if isinstance(values, frozenset):
        every = _every(name)
        return every - values if isinstance(every, frozenset) else values
    found = []
    start: End = (-math.inf, 0)
    for low, high in values:
        if low > start:
            found.append((start, (low[0], low[1] - 1)))
        start = (high[0], high[1] + 1)
    if start < (math.inf, 0):
        found.append((start, (math.inf, 0)))
    return tuple(found)


def _both(one: Values, other: Values) -> Values:
    if isinstance(one, frozenset) or isinstance(other, frozenset):
        return _codes(one) & _codes(other)
    pairs = ((max(a, c), min(b, d)) for a, b in one for c, d in other)
    return tuple(sorted((low, high) for low, high in pairs if low <= high))


def _either(several: list[Values]) -> Values:
    if isinstance(several[0], frozenset):
        return frozenset[int]().union(*map(_codes, several))
    found: list[tuple[End, End]] = []
    for low, high in sorted(one for values in several for one in _stretches(values)):
        if found and low <= (found[-1][1][0], found[-1][1][1] + 1):
            found[-1] = found[-1][0], max(found[-1][1], high)
        else:
            found.append((low, high))
    return tuple(found)


def _codes(values: Values) -> frozenset[int]:
    return values if isinstance(values, frozenset) else frozenset()


def _stretches(values: Values) -> tuple[tuple[End, End], ...]:
    return () if isinstance(values, frozenset) else values

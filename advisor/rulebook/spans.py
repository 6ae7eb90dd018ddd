"""The values that an expression can ever have, from the declared ranges of its facts.

So a condition that nothing can satisfy, or that nothing can fail, is found before it runs.
"""

from __future__ import annotations

import math

from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.tree import (
    Added,
    Between,
    Compare,
    Constant,
    Count,
    FactValue,
    Function,
    Is,
    More,
    Number,
    OfDay,
    Scaled,
    Since,
    Spell,
    Test,
)

Span = tuple[float, float]

TOLERANCE = 1e-9
"""Within this, in the inside unit, two values are equal: means miss their own limit by 1e-15."""


def span(node: Number) -> Span:
    """Lowest and highest value of an expression, in its inside unit."""
    match node:
        case Constant():
            return node.value, node.value
        case FactValue():
            return FACTS[node.name].low, FACTS[node.name].high
        case Since():
            return 0.0, math.inf
        case Count():
            return 0.0, node.window.days * node.step
        case OfDay():
            return span(node.number)
        case Spell():
            low, high = span(node.fact)
            if node.function is Function.TOTAL:
                return low * node.window.days, high * node.window.days
            return (low - high, high - low) if node.function is Function.RISE else (low, high)
        case Added():
            (a, b), (c, d) = span(node.left), span(node.right)
            return (a - d, b - c) if node.minus else (a + c, b + d)
        case Scaled():
            return _scaled(span(node.left), span(node.right), node.divided)


def _scaled(left: Span, right: Span, divided: bool) -> Span:
    if divided and right[0] <= 0 <= right[1]:
        return -math.inf, math.inf
    ends = [x / y if divided else x * y for x in left for y in right]
    ends = [0.0 if math.isnan(e) else e for e in ends]  # zero times no bound is zero
    return min(ends), max(ends)


def settled(test: Test) -> bool | None:
    """True where a test holds whatever the weather, False where it never can, else None."""
    match test:
        case Compare():
            return _compared(span(test.left), test.more, span(test.right))
        case Between():
            value, low, high = span(test.value), span(test.low), span(test.high)
            above = _compared(value, More.AT_LEAST, low)
            below = _compared(value, More.AT_MOST, high)
            if False in (above, below) or _compared(low, More.MORE_THAN, high):
                return False
            return True if above and below else None
        case Is():
            return True if len(set(test.codes)) == len(FACTS[test.fact].words) else None
        case _:
            return None


def _compared(left: Span, more: More, right: Span) -> bool | None:
    if more in (More.AT_MOST, More.LESS_THAN):
        turned = More.AT_LEAST if more is More.AT_MOST else More.MORE_THAN
        return _compared(right, turned, left)
    if more is More.AT_LEAST:
        if left[0] >= right[1] - TOLERANCE:
            return True
        return False if left[1] < right[0] - TOLERANCE else None
    if left[0] > right[1] + TOLERANCE:
        return True
    return False if left[1] <= right[0] + TOLERANCE else None

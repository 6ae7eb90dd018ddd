"""Values, limits and margins of conditions as their reader wants them."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from advisor.language.words import later, tell
from advisor.rulebook.book import Rulebook
from advisor.rulebook.spans import Span, span
from advisor.rulebook.tree import Compare, Constant, FactValue, More, Node, Number, Said, within
from advisor.series.quantity import Kind, show

HOURS_LONG = ("hours", "minutes")

AT_IT = later("just at it")
"""The margin of a value that is its limit."""

_LIMITS = {
    More.AT_LEAST: later("at least {amount}"),
    More.AT_MOST: later("at most {amount}"),
    More.MORE_THAN: later("more than {amount}"),
    More.LESS_THAN: later("less than {amount}"),
}


def spelled_out(text: str, book: Rulebook) -> str:
    """A condition as its file has it, with each `$setting` replaced by its quantity."""

    def quantity(match: re.Match[str]) -> str:
        setting = book.settings.get(match[1])
        return str(setting.written) if setting is not None else match[0]

    return re.sub(r"\$([a-z0-9-]+)", quantity, text)


def unit_of(nodes: Sequence[Node]) -> str | None:
    """A duration is shown in hours where its rule writes hours, or where it is daylight."""
    for node in (below for top in nodes for below in within(top)):
        if isinstance(node, Constant) and node.kind is Kind.DURATION and node.unit in HOURS_LONG:
            return node.unit
        if isinstance(node, FactValue) and node.name == "daylight_hours":
            return "hours"
    return None


def amount(
    bounds: Span, node: Number, units: str, limit: float | None = None, unit: str | None = None
) -> str | None:
    """An interval in words: `52 °F`, `at least 0.30 in`; None where it tells nothing."""
    low, high = bounds
    if node.kind is not Kind.DURATION:
        unit = None
    if low == high:
        return show(low, node.kind, units, unit=unit, beside=limit)
    least, most = span(node)
    width = most - least
    below = low > least and not math.isinf(low)
    # The top of a total with a gap is what a day could bring at most: nobody wants to read it.
    above = high < most and not math.isinf(high) and (math.isinf(width) or most - high > width / 2)
    shown = [show(end, node.kind, units, unit=unit, beside=limit) for end in bounds]
    if below and above:
        return between(*shown)
    if below:
        return at_its_limit(More.AT_LEAST, shown[0])
    return at_its_limit(More.AT_MOST, shown[1]) if above else None


def at_its_limit(more: More, amount: str) -> str:
    """How a value is compared, with the amount: `at least 0.30 in`."""
    return tell(_LIMITS[more], amount=amount)


def between(low: str, high: str) -> str:
    """`between 50 °F and 60 °F`."""
    return tell("between {low} and {high}", low=low, high=high)


def either(first: str, last: str) -> str:
    """`moderate or high`."""
    return tell("{some} or {last}", some=first, last=last)


def settling(bounds: Span, more: More, holds: Said) -> Span:
    """The side of an interval that settled a comparison, as an interval without the other."""
    if holds is None:
        return bounds
    upward = more in (More.AT_LEAST, More.MORE_THAN)
    low, high = bounds
    return (low, math.inf) if upward is holds else (-math.inf, high)


def margin(value: float, limit: float, kind: Kind, units: str, unit: str | None) -> str:
    """How far a known value is from its limit: `2.0 °F above`."""
    apart = Kind.TEMPERATURE_DIFFERENCE if kind is Kind.TEMPERATURE else kind
    gap = abs(value - limit)
    if gap <= 1e-9:
        return tell(AT_IT)
    unit = unit if kind is Kind.DURATION else None
    text = show(gap, apart, units, unit=unit, beside=0.0)
    if value > limit:
        return tell("{amount} above", amount=text)
    return tell("{amount} below", amount=text)


def limit_beside(node: Number, tests: Sequence[Node]) -> Compare | None:
    """The first comparison of a rule that has `node` on its left: its limit sets the digits."""
    for test in tests:
        for part in within(test):
            if isinstance(part, Compare) and part.left == node:
                return part
    return None

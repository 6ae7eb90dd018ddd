"""Values, limits and margins of conditions as their reader wants them."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from advisor.rulebook.book import Rulebook
from advisor.rulebook.latch import Said
from advisor.rulebook.spans import Span, span
from advisor.rulebook.tree import Compare, Constant, FactValue, More, Node, Number, within
from advisor.series.quantity import Kind, show

HOURS_LONG = ("hours", "minutes")


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
        return f"between {shown[0]} and {shown[1]}"
    if below:
        return f"at least {shown[0]}"
    return f"at most {shown[1]}" if above else None


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
        return "just at it"
    unit = unit if kind is Kind.DURATION else None
    text = show(gap, apart, units, unit=unit, beside=0.0)
    return f"{text} {'above' if value > limit else 'below'}"


def limit_beside(node: Number, tests: Sequence[Node]) -> Compare | None:
    """The first comparison of a rule that has `node` on its left: its limit sets the digits."""
    for test in tests:
        for part in within(test):
            if isinstance(part, Compare) and part.left == node:
                return part
    return None

"""What to say of a part of a line that is wrong: of its kinds, and of what its values can be."""

from __future__ import annotations

import math

from advisor.rulebook.examples import APART
from advisor.rulebook.fault import LineError
from advisor.rulebook.grammar import Syntax
from advisor.rulebook.kinds import Kinds, named
from advisor.rulebook.spans import span
from advisor.rulebook.syntax import place_of
from advisor.rulebook.tree import Between, Compare, Constant, FactValue, Is, Test
from advisor.series.quantity import Kind, show

TOO_LONG = "Make it shorter, or say part of it in an “and” line of its own."

DEGREES: Kinds = frozenset({Kind.TEMPERATURE, Kind.TEMPERATURE_DIFFERENCE})

MIXED = """\
A temperature is a place on the scale, a difference a number of degrees.
Only a difference is added to a temperature; its setting is marked: setting warmer = 5 F apart"""


def not_one_kind(tree: Syntax, found: list[Kinds]) -> LineError:
    """What is wrong where two sides that are compared are of no common kind."""
    what = f"this compares {' with '.join(named(kinds) for kinds in found)}"
    mixed = frozenset[Kind]().union(*found) == DEGREES
    hint = MIXED if mixed else "Both sides must be of one kind."
    shown = APART if Kind.TEMPERATURE_DIFFERENCE in found[0] else None
    return LineError(what, *place_of(tree), hint, shown=shown)


def bounds(test: Test) -> str:
    """Between what the value lies that a test compares with a constant."""
    match test:
        case Between(low=Constant(value=low), high=Constant(value=high)) if low > high:
            return "The lower end comes first."
        case Compare(left=Constant(), right=value) | Compare(left=value) | Between(value=value):
            low, high = span(value)
            if -math.inf < low < high < math.inf:
                ends = [show(end, value.kind, "us") for end in (low, high)]
                metric = [show(end, value.kind, "metric") for end in (low, high)]
                same = "" if ends == metric else f" ({metric[0]} to {metric[1]})"
                name = value.name if isinstance(value, FactValue) else "Its value"
                return f"{name} lies between {ends[0]} and {ends[1]}{same}."
        case Is():
            return "These are all its words; leave some out."
    return "Leave it out, or compare it with something that can change."

"""How to mend a wrong part of a line: what it is about, and between what its values lie."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager

from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.examples import COUNTED, MEAN, SINCE, Shown, about, over_days
from advisor.rulebook.fault import LineError
from advisor.rulebook.grammar import Syntax
from advisor.rulebook.kinds import Kinds, named
from advisor.rulebook.spans import span
from advisor.rulebook.syntax import place_of, sub
from advisor.rulebook.tree import Between, Compare, Constant, FactValue, Is, Test
from advisor.series.quantity import Kind, show

TOO_LONG = "Make it shorter, or say part of it in an “and” line of its own."

DEGREES: Kinds = frozenset({Kind.TEMPERATURE, Kind.TEMPERATURE_DIFFERENCE})

MIXED = (
    "A temperature is a place on the scale; a difference is a number of degrees, and only that is"
    " added to a temperature. A setting that is a difference says so: setting warmer = 5 F apart"
)


@contextmanager
def suiting(tree: Syntax) -> Iterator[None]:
    """Let the right line of a fault be about what its part of the line is about."""
    try:
        yield
    except LineError as fault:
        fault.shown = fault.shown or suits(tree)
        raise


def suits(tree: Syntax) -> Shown | None:
    """An example about the first thing that a part of a line reads."""
    parts: list[Syntax] = [tree]
    while parts:
        part = parts.pop()
        match part.data:
            case "count":
                return COUNTED
            case "since":
                return SINCE
            case "spell":
                fact = FACTS.get(str(sub(part, 1).children[0]))
                return over_days(fact) if fact else MEAN
            case "fact" | "is_word" if fact := FACTS.get(str(part.children[0])):
                return about(fact)
        parts += [child for child in reversed(part.children) if not isinstance(child, str | None)]
    return None


def not_one_kind(tree: Syntax, found: list[Kinds]) -> LineError:
    """What is wrong where two sides that are compared are of no common kind."""
    what = f"this compares {' with '.join(named(kinds) for kinds in found)}"
    mixed = frozenset[Kind]().union(*found) == DEGREES
    return LineError(what, *place_of(tree), MIXED if mixed else "Both sides must be of one kind.")


def bounds(test: Test) -> str:
    """Between what the value lies that a test compares with a constant."""
    match test:
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

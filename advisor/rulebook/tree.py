"""A checked condition as a tree: what is compared, with every word, unit and kind settled.

All nodes are frozen and hold values inside units (see `advisor.series.quantity.INSIDE`), so equal
nodes mean the same and may share one evaluation.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from advisor.series.quantity import Kind


@dataclass(frozen=True)
class Window:
    """Days beside the day being decided (*it*): from `first` to `last`, both inclusive.

    Counted from it: -1 is the day before, 1 the day after. Where *it* is an hour: hours, but for
    what stands in an `OfDay`.
    """

    first: int
    last: int

    @property
    def days(self) -> int:
        return self.last - self.first + 1


TODAY = Window(0, 0)


@dataclass(frozen=True)
class Constant:
    """A quantity; `unit` as it was written, `name` the setting it came from, if any."""

    value: float
    kind: Kind
    unit: str = ""
    name: str = ""


@dataclass(frozen=True)
class FactValue:
    """A numeric fact on the day; `depth` in metres where the fact has depths."""

    name: str
    kind: Kind
    depth: float | None = None


@dataclass(frozen=True)
class Since:
    """Days since a task was last done."""

    task: str
    kind: Kind = Kind.DURATION


class Function(StrEnum):
    """What may be made of a fact over a window."""

    MEAN = "mean"
    TOTAL = "total"
    LOWEST = "lowest"
    HIGHEST = "highest"
    RISE = "rise"


@dataclass(frozen=True)
class Spell:
    """A fact over a window: its mean, total, lowest, highest, or last minus first (rise)."""

    function: Function
    fact: FactValue
    window: Window
    kind: Kind


@dataclass(frozen=True)
class Count:
    """How much of a window it is in which a test holds: the number of its days, or of its hours.

    `step` is what each of them counts, in days.
    """

    test: Test
    window: Window
    step: float = 1.0
    kind: Kind = Kind.DURATION


@dataclass(frozen=True)
class OfDay:
    """In an hour rule: what is made of the days beside the day that the hour lies in."""

    number: Spell | Count
    kind: Kind


@dataclass(frozen=True)
class Added:
    """`left` plus (or minus) `right`."""

    left: Number
    right: Number
    minus: bool
    kind: Kind


@dataclass(frozen=True)
class Scaled:
    """`left` times (or divided by) `right`."""

    left: Number
    right: Number
    divided: bool
    kind: Kind


Number = Constant | FactValue | Since | Spell | Count | OfDay | Added | Scaled

DAY = 24
"""Hours of a day, where a window of days is told in hours."""


class More(StrEnum):
    """How two values are compared."""

    AT_LEAST = "at least"
    AT_MOST = "at most"
    MORE_THAN = "more than"
    LESS_THAN = "less than"


@dataclass(frozen=True)
class Compare:
    left: Number
    more: More
    right: Number


@dataclass(frozen=True)
class Between:
    """`value` lies between `low` and `high`, both inclusive."""

    value: Number
    low: Number
    high: Number


@dataclass(frozen=True)
class Is:
    """A fact is one of some words; `codes` index the fact's words."""

    fact: str
    words: tuple[str, ...]
    codes: tuple[int, ...]


@dataclass(frozen=True)
class Not:
    test: Test


@dataclass(frozen=True)
class Either:
    """At least one of the tests holds."""

    tests: tuple[Test, ...]


Test = Compare | Between | Is | Not | Either
Node = Number | Test


def children(node: Node) -> tuple[Node, ...]:
    """The nodes directly below one."""
    match node:
        case Spell():
            return (node.fact,)
        case OfDay():
            return (node.number,)
        case Count() | Not():
            return (node.test,)
        case Added() | Scaled() | Compare():
            return (node.left, node.right)
        case Between():
            return (node.value, node.low, node.high)
        case Either():
            return node.tests
        case _:
            return ()


def within(node: Node) -> Iterator[Node]:
    """A node and all below it."""
    yield node
    for child in children(node):
        yield from within(child)


Leaf = FactValue | Since | Is


def reads(node: Node, around: Window = TODAY) -> Iterator[tuple[Leaf, Window]]:
    """Every fact that a node reads, with the days (beside it) on which it reads it; the hours
    where it is an hour."""
    if isinstance(node, FactValue | Since | Is):
        yield node, around
    elif isinstance(node, Spell | Count):
        inner = Window(around.first + node.window.first, around.last + node.window.last)
        for child in children(node):
            yield from reads(child, inner)
    elif isinstance(node, OfDay):
        for leaf, days in reads(node.number):
            span = Window(around.first + DAY * days.first, around.last + DAY * days.last)
            yield leaf, span
    else:
        for child in children(node):
            yield from reads(child, around)


def fact_name(leaf: Leaf) -> str:
    """A fact as a rule spells it, without its depth."""
    match leaf:
        case Since():
            return f"days since {leaf.task}"
        case Is():
            return leaf.fact
        case FactValue():
            return leaf.name

"""A rulebook laid out for whole tables: which parts are worked out together, and in which order.

Equal parts of rules become one row. The depth of a row is how many steps lie below it: a count of
days stands above its test, a line of two tests above both, a rule above its lines. All rows of a
depth are worked out at once, so that the time goes by the number of depths, not of rules.

Few kinds of test are left. `at most` is the opposite of `more than`, and `more than` a limit is
`at least` the next number above it. `or` is the opposite of `and` over opposites; so a line, a
`between` and all lines of a rule are joined in one way.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.book import Keyword, Rule, Rulebook
from advisor.rulebook.folding import Counts, Spells, in_order
from advisor.rulebook.operations import (
    Against,
    Beside,
    Join,
    Operation,
    Rows,
    Shares,
    Sums,
    Wording,
    column_from,
    rows_of,
)
from advisor.rulebook.spans import TOLERANCE
from advisor.rulebook.tree import (
    Added,
    Between,
    Compare,
    Constant,
    Count,
    Either,
    FactValue,
    Is,
    More,
    Not,
    Number,
    Scaled,
    Since,
    Spell,
    Test,
    within,
)


class Literal(NamedTuple):
    """A test by its row, or the opposite of that."""

    row: int
    opposite: bool = False

    def turned(self) -> Literal:
        return Literal(self.row, not self.opposite)


@dataclass(frozen=True)
class Program:
    """What a batch does for a table, for all rules but broken ones and those for hours.

    `numbers` and `tests` count the rows; the first numbers are the `leaves`, facts to be read, some
    others `constants`. `words` are the facts that are words. Nodes and rules are found by their
    identity: numbers in `row_of`, tests in `test_of`, rules in `says` and
    `latches`, those with a latch. `said` has the rows, yes and no, of what the former say;
    `latch_parts` of the four things that `latch.walk` asks for.
    """

    book: Rulebook
    numbers: int
    tests: int
    leaves: tuple[FactValue | Since, ...]
    constants: tuple[tuple[int, float], ...]
    words: tuple[str, ...]
    operations: tuple[Operation, ...]
    row_of: dict[int, int]
    test_of: dict[int, Literal]
    says: tuple[int, ...]
    said: Rows
    latches: tuple[int, ...]
    latch_parts: Rows


_RECENT: deque[Program] = deque(maxlen=4)


def program_of(book: Rulebook) -> Program:
    """The program of a book; made once while the book is in use."""
    for program in _RECENT:
        if program.book is book:
            return program
    _RECENT.append(_Layout(book).program())
    return _RECENT[-1]


# A test while the program is laid out: what distinguishes it from others.


class _Limit(NamedTuple):
    """A number, by its row, is at least a threshold."""

    number: int
    threshold: float


class _Pair(NamedTuple):
    """A number, by its row, is at least another."""

    left: int
    right: int


class _Word(NamedTuple):
    """A fact is one of some words."""

    fact: str
    codes: tuple[int, ...]


class _All(NamedTuple):
    """All parts hold; without parts, always."""

    parts: tuple[Literal, ...]


_Kind = _Limit | _Pair | _Word | _All


def _order(kind: _Kind) -> tuple[int, int]:
    """By operation; where all of many parts hold, those with most of them first."""
    match kind:
        case _Limit():
            return 0, 0
        case _Pair():
            return 1, 0
        case _Word():
            return 2, 0
        case _All():
            return 3, -len(kind.parts)


_ALWAYS = Literal(0)


class _Layout:
    """Finds the distinct parts of a book's rules and how deep each stands, then gives them rows."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self.nodes: list[tuple[Number, int]] = []  # each with its depth
        self.row_of: dict[int, int] = {}
        self.kinds: dict[_Kind, int] = {}
        self.depths: list[int] = []
        self.row: list[int] = []
        self.test_of: dict[int, Literal] = {}
        self.says: dict[int, Literal] = {}
        self.latches: dict[int, tuple[Literal, Literal, Literal, Literal]] = {}
        self._one(_All(()), -1)
        rules = [rule for rule in book.rules.values() if not rule.broken and not rule.hourly]
        below = {id(n): n for r in rules for c in r.conditions for n in within(c.test)}.values()
        for leaf in below:
            if isinstance(leaf, FactValue | Since):
                self._number(leaf)
        self.leaves = len(self.nodes)
        self.spells = sorted((n for n in below if isinstance(n, Spell)), key=in_order)
        for spell in self.spells:
            self._number(spell)
        for rule in rules:
            self._rule(rule)

    # The parts

    def _rule(self, rule: Rule) -> None:
        every, once, until = (
            [self._test(condition.test) for condition in rule.under(keyword)]
            for keyword in (Keyword.WHILE, Keyword.ONCE, Keyword.UNTIL)
        )
        whole = self._all(every)
        if not once and not until:
            self.says[id(rule)] = whole
            return
        opening = self._all([every[0], *once]) if once else whole
        shuts = self._all(until) if until else _ALWAYS.turned()
        self.latches[id(rule)] = (every[0], whole, opening, shuts)

    def _test(self, test: Test) -> Literal:
        known = self.test_of.get(id(test))
        if known is None:
            known = self.test_of[id(test)] = self._new_test(test)
        return known

    def _new_test(self, test: Test) -> Literal:
        match test:
            case Compare():
                return self._compared(test)
            case Between():
                low = self._compared(Compare(test.value, More.AT_LEAST, test.low))
                high = self._compared(Compare(test.value, More.AT_MOST, test.high))
                return self._all([low, high])
            case Is():
                return self._one(_Word(test.fact, test.codes), 0)
            case Not():
                return self._test(test.test).turned()
            case Either():
                return self._all([self._test(part).turned() for part in test.tests]).turned()

    def _compared(self, test: Compare) -> Literal:
        less = test.more in (More.LESS_THAN, More.AT_MOST)
        strict = test.more in (More.MORE_THAN, More.AT_MOST)
        depth = self._number(test.left)
        left = self.row_of[id(test.left)]
        if isinstance(test.right, Constant):
            threshold = test.right.value + (TOLERANCE if strict else -TOLERANCE)
            if strict:
                threshold = math.nextafter(threshold, math.inf)
            found = self._one(_Limit(left, threshold), depth)
        else:
            depth = max(depth, self._number(test.right))
            right = self.row_of[id(test.right)]
            ends = (right, left) if strict else (left, right)
            found = self._one(_Pair(*ends), depth)
            less = test.more in (More.LESS_THAN, More.MORE_THAN)
        return found.turned() if less else found

    def _all(self, parts: Sequence[Literal]) -> Literal:
        if len(parts) == 1:
            return parts[0]
        return self._one(_All(tuple(parts)), 1 + max(self.depths[part.row] for part in parts))

    def _one(self, kind: _Kind, depth: int) -> Literal:
        row = self.kinds.setdefault(kind, len(self.kinds))
        if row == len(self.depths):
            self.depths.append(depth)
        return Literal(row)

    def _number(self, node: Number) -> int:
        """Gives a number and all that it is made of their rows, and tells its depth."""
        if id(node) not in self.row_of:
            match node:
                case Count():
                    depth = 1 + self.depths[self._test(node.test).row]
                case Added() | Scaled():
                    parts = [p for p in (node.left, node.right) if not isinstance(p, Constant)]
                    above = [self._number(p) + isinstance(p, Added | Scaled) for p in parts]
                    depth = max(above, default=0)
                case Spell():
                    depth = self._number(node.fact)
                case _:
                    depth = 0
            self.row_of[id(node)] = len(self.nodes)
            self.nodes.append((node, depth))
        return self.nodes[self.row_of[id(node)]][1]

    # The rows

    def program(self) -> Program:
        """Tests get their rows by depth and kind, so that those of an operation lie together."""
        ordered = sorted(
            self.kinds, key=lambda kind: (self.depths[self.kinds[kind]], *_order(kind))
        )
        self.row = [0] * len(ordered)
        for row, kind in enumerate(ordered):
            self.row[self.kinds[kind]] = row
        facts = sorted({kind.fact for kind in ordered if isinstance(kind, _Word)})
        operations = self._spells()
        for depth in range(max(self.depths) + 1):
            here = [kind for kind in ordered if self.depths[self.kinds[kind]] == depth]
            operations += self._counts(depth) + self._sums(depth) + self._tests(here, facts)
        return Program(
            self.book,
            len(self.nodes),
            len(self.kinds),
            tuple(cast("FactValue | Since", node) for node, _ in self.nodes[: self.leaves]),
            tuple((r, n.value) for r, n in self._nodes() if isinstance(n, Constant)),
            tuple(facts),
            tuple(operations),
            self.row_of,
            {of: self._placed(literal) for of, literal in self.test_of.items()},
            tuple(self.says),
            self._planes(self.says.values()),
            tuple(self.latches),
            np.array([self._planes(part) for part in zip(*self.latches.values(), strict=True)]),
        )

    def _placed(self, literal: Literal) -> Literal:
        return Literal(self.row[literal.row], literal.opposite)

    def _first(self, kinds: Sequence[_Kind]) -> int:
        return self.row[self.kinds[kinds[0]]]

    def _planes(self, literals: Iterable[Literal]) -> Rows:
        """Rows that are yes for them and rows that are no, of both planes of tests in one; shape
        (2, literals)."""
        placed = [self._placed(literal) for literal in literals]
        half = len(self.kinds)
        yes = [literal.row + half * literal.opposite for literal in placed]
        no = [literal.row + half * (not literal.opposite) for literal in placed]
        return np.array([yes, no], dtype=np.intp)

    def _nodes(self, depth: int | None = None) -> list[tuple[int, Number]]:
        """Numbers with their rows."""
        return [(r, node) for r, (node, d) in enumerate(self.nodes) if depth is None or d == depth]

    def _spells(self) -> list[Operation]:
        return [Spells(self.leaves, self.spells, self.row_of)] if self.spells else []

    def _counts(self, depth: int) -> list[Operation]:
        counts = [(row, node) for row, node in self._nodes(depth) if isinstance(node, Count)]
        counts.sort(key=lambda found: (found[1].window.first, found[1].window.last))
        tests = self._planes(self.test_of[id(node.test)] for _, node in counts)
        return [Counts(counts, tests)] if counts else []

    def _sums(self, depth: int) -> list[Operation]:
        made = [(row, node) for row, node in self._nodes(depth) if isinstance(node, Added | Scaled)]
        factors = {row: factor for row, node in made if (factor := _factor(node)) > 0}
        others = tuple((row, node) for row, node in made if row not in factors)
        found: list[Operation] = [Sums(others, self.row_of)] if others else []
        if factors:
            sources = rows_of(self.row_of[id(node.left)] for row, node in made if row in factors)
            found.append(Shares(rows_of(factors), sources, column_from(factors.values())))
        return found

    def _tests(self, kinds: Sequence[_Kind], facts: list[str]) -> list[Operation]:
        """The operations for the tests of one depth, which stand in the order of their rows."""
        limits = [kind for kind in kinds if isinstance(kind, _Limit)]
        pairs = [kind for kind in kinds if isinstance(kind, _Pair)]
        words = [kind for kind in kinds if isinstance(kind, _Word)]
        joins = [kind for kind in kinds if isinstance(kind, _All)]
        found: list[Operation] = []
        if limits:
            thresholds = column_from(kind.threshold for kind in limits)
            rows = rows_of(kind.number for kind in limits)
            found.append(Against(self._first(limits), rows, thresholds))
        if pairs:
            left, right = (kind.left for kind in pairs), (kind.right for kind in pairs)
            found.append(Beside(self._first(pairs), rows_of(left), rows_of(right)))
        if words:
            rows = rows_of(facts.index(kind.fact) for kind in words)
            chosen = [sum(1 << code for code in set(kind.codes)) for kind in words]
            every = [(1 << len(FACTS[kind.fact].words)) - 1 for kind in words]
            found.append(
                Wording(self._first(words), rows, _bits(chosen), _bits(every) & ~_bits(chosen))
            )
        if joins:
            width = len(joins[0].parts)
            columns = [[k.parts[i] for k in joins if i < len(k.parts)] for i in range(width)]
            parts = tuple(self._planes(column) for column in columns)
            found.append(Join(self._first(joins), parts))
        return found


def _factor(node: Added | Scaled) -> float:
    """What a number is multiplied with; 0 where that is not so simple."""
    if isinstance(node, Added) or isinstance(node.left, Constant):
        return 0.0
    if not isinstance(node.right, Constant):
        return 0.0
    value = node.right.value
    return 1 / value if node.divided and value else value


def _bits(masks: list[int]) -> NDArray[np.uint32]:
    return np.array(masks, dtype=np.uint32).reshape(-1, 1)

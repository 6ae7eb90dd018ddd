"""What is worked out together for all rules of a book: each kind of part in a few array operations.

Every number that rules compare is a row of one array, every test a row of another. Bounds of
numbers, and yes and no of tests, are two planes of them; days run along the last axis, lawns
before it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.table import UNKNOWN_WORD, Column, Table, Words
from advisor.rulebook.bounds import Interval, added, compared, exactly, scaled
from advisor.rulebook.tree import (
    Added,
    Constant,
    Is,
    Leaf,
    More,
    Number,
    Scaled,
    Since,
)

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]
Scalar = TypeVar("Scalar", bound=np.generic)


def column_of(table: Table, leaf: Leaf) -> Column | Words | None:
    """What a table holds for a fact; None where a site lacks it altogether."""
    if isinstance(leaf, Is):
        return table.words.get(leaf.fact)
    try:
        if isinstance(leaf, Since):
            return table.since[leaf.task]
        return table.number(leaf.name, leaf.depth)
    except KeyError:
        return None


class Board:
    """The numbers, shape (2, rows, ..., days), and the tests, of the same, of one table.

    `number_rows` and `test_rows` are the same arrays with both planes one after the other: low and
    then high, yes and then no. `codes` has a row for each fact that is a word. The first
    test holds on every day.
    """

    def __init__(self, numbers: int, tests: int, words: int, shape: tuple[int, ...]) -> None:
        self.shape = shape
        self.codes = np.full((words, *shape), UNKNOWN_WORD, dtype=np.int8)
        self.numbers = np.empty((2, numbers, *shape))
        self.tests = np.empty((2, tests, *shape), dtype=np.bool_)
        self.tests[0, 0], self.tests[1, 0] = True, False
        self.number_rows = self.numbers.reshape(2 * numbers, *shape)
        self.test_rows = self.tests.reshape(2 * tests, *shape)

    def beside(self, column: NDArray[Scalar]) -> NDArray[Scalar]:
        """A column, a value a row, so that it stands beside rows of lawns and days."""
        if len(self.shape) == 1:
            return column
        return column.reshape(-1, *(1 for _ in self.shape))


def rows_of(rows: Iterable[int]) -> Rows:
    return np.array(list(rows), dtype=np.intp)


def column_from(values: Iterable[float]) -> Floats:
    """A value for each row, shape (rows, 1)."""
    return np.array(list(values), dtype=np.float64).reshape(-1, 1)


@dataclass(frozen=True)
class Shares:
    """Numbers that are others times a positive constant."""

    rows: Rows
    sources: Rows
    factors: Floats

    def run(self, board: Board) -> None:
        factors = board.beside(self.factors)
        board.numbers[:, self.rows] = board.numbers.take(self.sources, 1) * factors


@dataclass(frozen=True)
class Sums:
    """Sums and products, one by one."""

    nodes: tuple[tuple[int, Added | Scaled], ...]
    row_of: dict[int, int]

    def run(self, board: Board) -> None:
        for row, node in self.nodes:
            left, right = self._of(board, node.left), self._of(board, node.right)
            if isinstance(node, Added):
                found = added(left, right, node.minus)
            else:
                found = scaled(left, right, node.divided)
            board.numbers[0, row], board.numbers[1, row] = found

    def _of(self, board: Board, node: Number) -> Interval:
        if isinstance(node, Constant):
            return exactly(node.value)
        row = self.row_of[id(node)]
        return Interval(board.numbers[0, row], board.numbers[1, row])


@dataclass(frozen=True)
class Against:
    """Tests from row `first` on: numbers are at least a threshold. It is the rule's limit with the
    tolerance, and the next number above for `more than`."""

    first: int
    rows: Rows
    thresholds: Floats

    def run(self, board: Board) -> None:
        tests = slice(self.first, self.first + len(self.rows))
        low, high = board.numbers.take(self.rows, 1)
        thresholds = board.beside(self.thresholds)
        np.greater_equal(low, thresholds, board.tests[0, tests])
        np.less(high, thresholds, board.tests[1, tests])


@dataclass(frozen=True)
class Beside:
    """Tests from row `first` on: numbers are at least another."""

    first: int
    left: Rows
    right: Rows

    def run(self, board: Board) -> None:
        tests = slice(self.first, self.first + len(self.left))
        left = Interval(*board.numbers.take(self.left, 1))
        right = Interval(*board.numbers.take(self.right, 1))
        board.tests[0, tests], board.tests[1, tests] = compared(left, More.AT_LEAST, right)


@dataclass(frozen=True)
class Join:
    """Tests from row `first` on: all parts of each hold. Parts are rows of both planes of tests in
    one, for all that have such a part: those that are yes for them, and those that are no. Tests
    with most parts come first."""

    first: int
    parts: tuple[Rows, ...]

    def run(self, board: Board) -> None:
        tests = slice(self.first, self.first + self.parts[0].shape[1])
        board.tests[:, tests] = board.test_rows.take(self.parts[0], 0)
        all_hold, one_fails = board.tests[0, tests], board.tests[1, tests]
        for rows in self.parts[1:]:
            found = board.test_rows.take(rows, 0)
            holds, fails = all_hold[: found.shape[1]], one_fails[: found.shape[1]]
            np.logical_and(holds, found[0], holds)
            np.logical_or(fails, found[1], fails)


@dataclass(frozen=True)
class Wording:
    """Tests from row `first` on: the word of a fact is one of some. Words are bits: `chosen` has
    those that a test wants, `others` all the rest of its fact."""

    first: int
    rows: Rows
    chosen: NDArray[np.uint32]
    others: NDArray[np.uint32]

    def run(self, board: Board) -> None:
        tests = slice(self.first, self.first + len(self.rows))
        words = BITS.take(board.codes).take(self.rows, 0)
        np.not_equal(words & board.beside(self.chosen), 0, board.tests[0, tests])
        np.not_equal(words & board.beside(self.others), 0, board.tests[1, tests])


BITS = np.array([*(1 << code for code in range(32)), 0], dtype=np.uint32)
"""A bit for each code of a word, and for UNKNOWN_WORD, which counts from the end, none."""


class Operation(Protocol):
    """Works out some rows of a board, when those that it needs are there."""

    def run(self, board: Board) -> None: ...

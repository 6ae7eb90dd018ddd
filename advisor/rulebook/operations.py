"""What is worked out together for all rules of a book: each kind of part in a few array operations.

Every number that rules compare is a row of one array, every test a row of another. Bounds of
numbers, and yes and no of tests, are two planes of them; days run along the last axis, lawns
before it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.table import UNKNOWN_WORD, Column, Table, Words
from advisor.rulebook.bounds import Interval, added, compared, in_range, rise, scaled
from advisor.rulebook.tree import (
    Added,
    Compare,
    Constant,
    Is,
    Leaf,
    Number,
    Scaled,
    Since,
    Spell,
)
from advisor.rulebook.windows import slide

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]


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

    def upright(self, values: Floats) -> Floats:
        """A value for each row, to stand beside rows of lawns and days."""
        return values.reshape(-1, *(1 for _ in self.shape))


@dataclass(frozen=True)
class Means:
    """The last step of means: the rows hold the number of known days and their sum."""

    rows: Rows
    days: Floats

    def run(self, board: Board) -> None:
        number, total = board.numbers[0, self.rows], board.numbers[1, self.rows]
        enough = 5 * number >= 4 * board.upright(self.days)
        middle = total / np.maximum(number, 1)
        board.numbers[0, self.rows] = np.where(enough, middle, -np.inf)
        board.numbers[1, self.rows] = np.where(enough, middle, np.inf)


@dataclass(frozen=True)
class Fold:
    """Windows of one length over which rows are added up, or their least or greatest found.

    Row i of the sources becomes the row `targets[i]` of both planes of numbers, over the window
    whose first day is `firsts[i]`; `outside[i]` stands for days beyond the axis.
    """

    combine: np.ufunc
    length: int
    sources: Rows
    outside: Floats
    firsts: tuple[int, ...]
    targets: tuple[int, ...]

    def run(self, board: Board, rows: Floats) -> None:
        days = board.shape[-1]
        before = max(0, -min(self.firsts))
        after = max(0, max(self.firsts) + self.length - 1)
        shape = (len(self.sources), *board.shape[:-1], before + days + after)
        padded = np.empty(shape)
        outside = board.upright(self.outside)
        padded[..., :before] = outside
        padded[..., before : before + days] = rows[self.sources]
        padded[..., before + days :] = outside
        found = slide(padded, self.length, self.combine)
        for i, (first, target) in enumerate(zip(self.firsts, self.targets, strict=True)):
            start = before + first
            board.number_rows[target] = found[i, ..., start : start + days]


@dataclass(frozen=True)
class Spells:
    """Facts over windows. Of the facts `averaged`, two rows are folded: whether a day is known, and
    its value or nothing. Of the facts `ranged`, the low and the high, within `least` and `most`."""

    averaged: Rows
    ranged: Rows
    least: Floats
    most: Floats
    folds: tuple[Fold, ...]
    means: Means

    def run(self, board: Board) -> None:
        low, high = board.numbers
        known = np.equal(low[self.averaged], high[self.averaged])
        values = np.where(known, low[self.averaged], 0.0)
        raw = Interval(low[self.ranged], high[self.ranged])
        ends = in_range(raw, board.upright(self.least), board.upright(self.most))
        rows = np.concatenate([known.astype(np.float64), values, *ends])
        for fold in self.folds:
            fold.run(board, rows)
        self.means.run(board)


@dataclass(frozen=True)
class Counts:
    """Numbers of days on which tests hold: of `rows` of tests, first all that count for sure, then
    all that surely do not."""

    rows: Rows
    folds: tuple[Fold, ...]
    numbers: Rows
    days: Floats

    def run(self, board: Board) -> None:
        held = board.test_rows[self.rows].astype(np.float64)
        for fold in self.folds:
            fold.run(board, held)
        never = board.numbers[1, self.numbers]
        board.numbers[1, self.numbers] = board.upright(self.days) - never


@dataclass(frozen=True)
class Sums:
    """Numbers that are made of others one by one: sums, products, rises."""

    nodes: tuple[tuple[int, Added | Scaled | Spell], ...]
    row_of: dict[int, int]

    def run(self, board: Board) -> None:
        for row, node in self.nodes:
            board.numbers[0, row], board.numbers[1, row] = self._made(board, node)

    def _made(self, board: Board, node: Added | Scaled | Spell) -> Interval:
        match node:
            case Added():
                left, right = (interval(board, self.row_of, n) for n in (node.left, node.right))
                return added(left, right, node.minus)
            case Scaled():
                left, right = (interval(board, self.row_of, n) for n in (node.left, node.right))
                return scaled(left, right, node.divided)
            case Spell():
                return rise(interval(board, self.row_of, node.fact), node.window)


def interval(board: Board, row_of: dict[int, int], node: Number) -> Interval:
    """Bounds of a constant, or of a number that has a row."""
    if isinstance(node, Constant):
        value = np.asarray(node.value, dtype=np.float64)
        return Interval(value, value)
    row = row_of[id(node)]
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
        low, high = board.numbers.take(self.rows, axis=1)
        thresholds = board.upright(self.thresholds)
        np.greater_equal(low, thresholds, out=board.tests[0, tests])
        np.less(high, thresholds, out=board.tests[1, tests])


@dataclass(frozen=True)
class Beside:
    """Tests from row `first` on that compare two numbers, one by one."""

    first: int
    tests: tuple[Compare, ...]
    row_of: dict[int, int]

    def run(self, board: Board) -> None:
        for row, test in enumerate(self.tests, self.first):
            left, right = (interval(board, self.row_of, n) for n in (test.left, test.right))
            board.tests[0, row], board.tests[1, row] = compared(left, test.more, right)


@dataclass(frozen=True)
class Join:
    """Tests from row `first` on: all parts of each hold. Parts are columns of rows of tests, of
    the plane that is yes for them, and of the one that is no."""

    first: int
    yes: tuple[Rows, ...]
    no: tuple[Rows, ...]

    def run(self, board: Board) -> None:
        tests = slice(self.first, self.first + len(self.yes[0]))
        all_hold, one_fails = board.tests[:, tests]
        all_hold[...], one_fails[...] = board.test_rows[self.yes[0]], board.test_rows[self.no[0]]
        for yes, no in zip(self.yes[1:], self.no[1:], strict=True):
            all_hold &= board.test_rows[yes]
            one_fails |= board.test_rows[no]


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
        words = BITS[board.codes].take(self.rows, axis=0)
        shape = (-1, *(1 for _ in board.shape))
        np.not_equal(words & self.chosen.reshape(shape), 0, out=board.tests[0, tests])
        np.not_equal(words & self.others.reshape(shape), 0, out=board.tests[1, tests])


BITS = np.array([*(1 << code for code in range(32)), 0], dtype=np.uint32)
"""A bit for each code of a word, and for UNKNOWN_WORD, which counts from the end, none."""

Operation = Spells | Counts | Sums | Against | Beside | Wording | Join

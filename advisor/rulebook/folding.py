"""Facts and counts over windows, for all rules of a book at once (see `program.py`)."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import NamedTuple

import numpy as np

from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.bounds import Floats, Interval, in_range, rise
from advisor.rulebook.operations import Board, Rows, rows_of
from advisor.rulebook.tree import Count, Function, Spell, Window

COMBINE: dict[Function, np.ufunc] = {
    Function.MEAN: np.add,
    Function.TOTAL: np.add,
    Function.LOWEST: np.minimum,
    Function.HIGHEST: np.maximum,
}
"""How days are put together; a rise is not."""


def in_order(spell: Spell) -> tuple[int, int, int]:
    """Spells have rows one after the other, by function, and the longest of each first."""
    return list(Function).index(spell.function), *longest_first(spell.window)


def longest_first(window: Window) -> tuple[int, int]:
    return -window.days, window.first


class _Piece(NamedTuple):
    """A block of days of some rows' windows: it begins `first` days beside each day."""

    rows: slice
    first: int
    begins: bool
    ends: bool


class _Level(NamedTuple):
    """Blocks of `size` days, which are made of the first `rows`."""

    size: int
    rows: int
    pieces: tuple[_Piece, ...]


class Windows:
    """Rows over windows, the longest first: added up, or the least or greatest found. Each window
    has two rows, one after the other, for the low and the high end.

    Blocks of 1, 2, 4, … days are put together as in `windows.fold`, for all rows at once.
    """

    def __init__(self, combine: np.ufunc, windows: Sequence[Window]) -> None:
        self._combine = combine
        self._levels: list[_Level] = []
        size = 1
        while rows := sum(window.days >= size for window in windows):
            pieces = []
            for window, same in groupby(range(rows), key=lambda row: windows[row]):
                group = list(same)
                done = window.days & (size - 1)
                if window.days & size:
                    here = slice(2 * group[0], 2 * group[-1] + 2)
                    ends = window.days < 2 * size
                    pieces.append(_Piece(here, window.first + done, done == 0, ends))
            self._levels.append(_Level(size, 2 * rows, tuple(pieces)))
            size *= 2

    def run(self, padded: Floats, before: int, out: Floats) -> None:
        """Fills `out`, shape (rows, ..., days), from rows that begin `before` days before it."""
        days = out.shape[-1]
        block = padded
        begun: dict[int, Floats] = {}
        for size, rows, pieces in self._levels:
            if size > 1:
                half, block = size // 2, block[:rows]
                block = self._combine(block[..., :-half], block[..., half:])
            for part, first, begins, ends in pieces:
                found = block[part, ..., before + first : before + first + days]
                if not begins:
                    target = out[part]
                    self._combine(begun.pop(part.start, target), found, out=target)
                elif ends:
                    out[part] = found
                else:
                    begun[part.start] = found


class _Axis:
    """Room for rows on a longer axis, so that windows may begin before it or end after it."""

    def __init__(self, windows: Sequence[Window]) -> None:
        self.before = max([0, *(-window.first for window in windows)])
        self._after = max([0, *(window.last for window in windows)])

    def padded(self, board: Board, outside: Floats) -> tuple[Floats, Floats]:
        """An array for rows on the longer axis, and that of it which is for the days; `outside`,
        shape (rows,), is on all days beyond."""
        end = self.before + board.shape[-1]
        whole = np.empty((len(outside), *board.shape[:-1], end + self._after))
        whole[..., : self.before] = whole[..., end:] = board.upright(outside)
        return whole, whole[..., self.before : end]


class Spells:
    """Facts over windows: spells in order, which have the rows from `first` on.

    A mean is folded as the number of known days and their sum. Other facts lie in their range.
    """

    def __init__(self, first: int, spells: Sequence[Spell], row_of: dict[int, int]) -> None:
        self._rows = slice(first, first + len(spells))
        self._facts = rows_of(row_of[id(spell.fact)] for spell in spells)
        folded = [spell for spell in spells if spell.function in COMBINE]
        means = [spell.window for spell in spells if spell.function is Function.MEAN]
        facts = [FACTS[spell.fact.name] for spell in folded[len(means) :]]
        self._means, self._folded = len(means), len(folded)
        self._days = np.array([float(window.days) for window in means])
        self._least = np.array([fact.low for fact in facts], dtype=np.float64)
        self._most = np.array([fact.high for fact in facts], dtype=np.float64)
        ends = [end for fact in facts for end in (fact.low, fact.high)]
        self._outside = np.array([*(0.0 for _ in means for _ in range(2)), *ends], dtype=np.float64)
        self._axis = _Axis([spell.window for spell in folded])
        self._windows: list[tuple[slice, Windows]] = []
        for function, group in groupby(range(len(folded)), lambda i: folded[i].function):
            same = list(group)
            windows = Windows(COMBINE[function], [folded[i].window for i in same])
            self._windows.append((slice(2 * same[0], 2 * same[-1] + 2), windows))
        self._rises = [(i, s.window) for i, s in enumerate(spells) if s.function not in COMBINE]

    def run(self, board: Board) -> None:
        out = board.numbers[:, self._rows]
        low, high = board.numbers.take(self._facts, axis=1)
        self._fold(board, low[: self._folded], high[: self._folded], out)
        for i, window in self._rises:
            out[0, i], out[1, i] = rise(Interval(low[i], high[i]), window)

    def _fold(self, board: Board, low: Floats, high: Floats, out: Floats) -> None:
        means, rest = slice(0, self._means), slice(self._means, self._folded)
        padded, inside = self._axis.padded(board, self._outside)
        known = np.equal(low[means], high[means])
        inside[0 : 2 * self._means : 2] = known
        inside[1 : 2 * self._means : 2] = np.where(known, low[means], 0.0)
        inside[2 * self._means :: 2], inside[2 * self._means + 1 :: 2] = in_range(
            Interval(low[rest], high[rest]), board.upright(self._least), board.upright(self._most)
        )
        found = np.empty(inside.shape)
        for rows, windows in self._windows:
            windows.run(padded[rows], self._axis.before, found[rows])
        lows, highs = found[0::2], found[1::2]
        number, total = lows[means], highs[means]
        enough = 5 * number >= 4 * board.upright(self._days)
        middle = total / np.maximum(number, 1)
        out[0, means] = np.where(enough, middle, -np.inf)
        out[1, means] = np.where(enough, middle, np.inf)
        out[0, rest], out[1, rest] = lows[rest], highs[rest]


class Counts:
    """Numbers of days on which tests hold: counts, the longest windows first, each with its row.

    `tests` are the rows, of both planes of tests in one, that are set where it counts for sure,
    and those that are set where it surely does not; shape (2, counts).
    """

    def __init__(self, counts: Sequence[tuple[int, Count]], tests: Rows) -> None:
        self._tests = tests
        self._rows = rows_of(row for row, _ in counts)
        windows = [count.window for _, count in counts]
        self._days = np.array([float(window.days) for window in windows])
        self._axis = _Axis(windows)
        self._windows = Windows(np.add, windows)

    def run(self, board: Board) -> None:
        yes, no = self._tests
        padded, inside = self._axis.padded(board, np.zeros(2 * len(self._rows)))
        inside[0::2] = board.test_rows.take(yes, axis=0)
        inside[1::2] = board.test_rows.take(no, axis=0)
        found = np.empty(inside.shape)
        self._windows.run(padded, self._axis.before, found)
        board.numbers[0, self._rows] = found[0::2]
        board.numbers[1, self._rows] = board.upright(self._days) - found[1::2]

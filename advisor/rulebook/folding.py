"""Facts and counts over windows, for all rules of a book at once (see `program.py`)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from itertools import groupby
from typing import NamedTuple

import numpy as np

from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.bounds import Floats, Interval, in_range, rise
from advisor.rulebook.operations import Board, Rows, column_from, rows_of
from advisor.rulebook.tree import Count, Function, Spell, Window

COMBINE: dict[Function, np.ufunc] = {
    Function.MEAN: np.add,
    Function.TOTAL: np.add,
    Function.LOWEST: np.minimum,
    Function.HIGHEST: np.maximum,
}
"""How days are put together; a rise is not."""


KEPT = 2**20
"""Bytes up to which room for windows is kept for the next table."""


def in_order(spell: Spell) -> tuple[int, int, int]:
    """Spells have rows one after the other: by function, a rise last, and those alike together."""
    return list(Function).index(spell.function), spell.window.first, spell.window.last


class _Room(NamedTuple):
    """Rows of days to be filled, what is found of them, and how: see `Windows.room`."""

    inside: Floats
    found: Floats
    alike: list[tuple[Callable[..., object], Floats, Floats]]

    def run(self) -> Floats:
        for reduce, days, out in self.alike:
            reduce(days, 0, None, out)
        return self.found


class Windows:
    """Rows over windows: added up, or the least or greatest found.

    Each window has two rows, one after the other, for the low and the high end. Windows that are
    alike stand together and are taken in one go.
    """

    def __init__(self, ways: Sequence[tuple[np.ufunc, Window]]) -> None:
        self._before = max([0, *(-window.first for _, window in ways)])
        self._after = max([0, *(window.last for _, window in ways)])
        self._alike: list[tuple[np.ufunc, Window, slice]] = []
        self._spare: list[_Room] = []
        for (combine, window), places in groupby(range(len(ways)), ways.__getitem__):
            first, *others = places
            rows = slice(2 * first, 2 * (first + len(others)) + 2)
            self._alike.append((combine, window, rows))

    def room(self, board: Board, outside: Floats) -> _Room:
        """Where the windows are worked out; `outside`, a column, is on all days beyond.

        Give it `back`: laying it out takes as long as using it, so that the last one is kept.
        """
        with suppress(IndexError):
            kept = self._spare.pop()  # nobody else gets it meanwhile
            if kept.found.shape[1:] == board.shape:
                return kept
        end = self._before + board.shape[-1]
        whole = np.empty((len(outside), *board.shape[:-1], end + self._after))
        whole[..., : self._before] = whole[..., end:] = board.beside(outside)
        found = np.empty((len(outside), *board.shape))
        row, step = whole.strides[0], whole.strides[-1]
        alike = []
        for combine, window, rows in self._alike:
            # The days of each window along an axis of their own, without a copy.
            shape = (window.days, *found[rows].shape)
            offset = rows.start * row + (self._before + window.first) * step
            days = np.ndarray(shape, np.float64, whole, offset, (step, *whole.strides))
            alike.append((combine.reduce, days, found[rows]))
        return _Room(whole[..., self._before : end], found, alike)

    def back(self, room: _Room) -> None:
        if room.found.nbytes <= KEPT:
            self._spare[:] = [room]


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
        # Four days of five have to be known.
        self._enough = column_from(-(-4 * window.days // 5) for window in means)
        self._least = column_from(fact.low for fact in facts)
        self._most = column_from(fact.high for fact in facts)
        ends = [end for fact in facts for end in (fact.low, fact.high)]
        self._outside = column_from([0.0] * 2 * len(means) + ends)
        self._windows = Windows([(COMBINE[spell.function], spell.window) for spell in folded])
        self._rises = [(i, s.window) for i, s in enumerate(spells) if s.function not in COMBINE]

    def run(self, board: Board) -> None:
        out = board.numbers[:, self._rows]
        low, high = board.numbers.take(self._facts, 1)
        self._fold(board, low[: self._folded], high[: self._folded], out)
        for i, window in self._rises:
            out[0, i], out[1, i] = rise(Interval(low[i], high[i]), window)

    def _fold(self, board: Board, low: Floats, high: Floats, out: Floats) -> None:
        means, rest = slice(0, self._means), slice(self._means, self._folded)
        room = self._windows.room(board, self._outside)
        inside = room.inside
        known = np.equal(low[means], high[means])
        inside[0 : 2 * self._means : 2] = known
        inside[1 : 2 * self._means : 2] = np.where(known, low[means], 0.0)
        inside[2 * self._means :: 2], inside[2 * self._means + 1 :: 2] = in_range(
            Interval(low[rest], high[rest]), board.beside(self._least), board.beside(self._most)
        )
        found = room.run()
        lows, highs = found[0::2], found[1::2]
        number, total = lows[means], highs[means]
        enough = number >= board.beside(self._enough)
        middle = total / np.maximum(number, 1)
        out[0, means] = np.where(enough, middle, -np.inf)
        out[1, means] = np.where(enough, middle, np.inf)
        out[0, rest], out[1, rest] = lows[rest], highs[rest]
        self._windows.back(room)


class Counts:
    """Numbers of days on which tests hold: counts, those alike together, each with its row.

    `tests` are the rows, of both planes of tests in one, that are set where it counts for sure,
    and those that are set where it surely does not; shape (2, counts).
    """

    def __init__(self, counts: Sequence[tuple[int, Count]], tests: Rows) -> None:
        self._tests = tests
        self._rows = rows_of(row for row, _ in counts)
        windows = [count.window for _, count in counts]
        self._days = column_from(window.days for window in windows)
        self._nothing = column_from([0.0] * 2 * len(counts))
        self._windows = Windows([(np.add, window) for window in windows])

    def run(self, board: Board) -> None:
        room = self._windows.room(board, self._nothing)
        inside = room.inside
        inside[0::2] = board.test_rows.take(self._tests[0], 0)
        inside[1::2] = board.test_rows.take(self._tests[1], 0)
        found = room.run()
        board.numbers[0, self._rows] = found[0::2]
        board.numbers[1, self._rows] = board.beside(self._days) - found[1::2]
        self._windows.back(room)

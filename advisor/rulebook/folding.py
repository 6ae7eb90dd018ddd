"""Facts and counts over windows, for all rules of a book at once (see `program.py`)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

import numpy as np

from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.bounds import Floats, Interval, in_range, rise
from advisor.rulebook.operations import Board, Rows, rows_of
from advisor.rulebook.tree import Count, Function, Spell, Window
from advisor.rulebook.windows import slide

COMBINE: dict[Function, np.ufunc] = {
    Function.MEAN: np.add,
    Function.TOTAL: np.add,
    Function.LOWEST: np.minimum,
    Function.HIGHEST: np.maximum,
}
"""How days are put together; a rise is not."""


class Cut(NamedTuple):
    """Two rows over a window become both ends of the number `target`. `low` and `high` are the
    rows, each with what stands for days beyond the axis."""

    combine: np.ufunc
    window: Window
    low: tuple[int, float]
    high: tuple[int, float]
    target: int


class _Block(NamedTuple):
    """Windows that begin on the same day beside it: rows for the low ends, then for the high."""

    first: int
    rows: slice
    targets: Rows


class _Fold(NamedTuple):
    """Rows that are put together in one way over as many days."""

    combine: np.ufunc
    length: int
    rows: slice
    blocks: tuple[_Block, ...]


class Windows:
    """Rows over windows: those of one length are added up, or the least or greatest found, in one
    go (see `windows.slide`)."""

    def __init__(self, cuts: Iterable[Cut]) -> None:
        def way(cut: Cut) -> tuple[str, int]:
            return cut.combine.__name__, cut.window.days

        ordered = sorted(cuts, key=lambda cut: (*way(cut), cut.window.first))
        self._before = max([0, *(-cut.window.first for cut in ordered)])
        self._after = max([0, *(cut.window.last for cut in ordered)])
        sources: list[tuple[int, float]] = []
        folds: list[_Fold] = []
        for _, alike in groupby(ordered, key=way):
            start, blocks, group = len(sources), [], list(alike)
            for first, block in groupby(group, key=lambda cut: cut.window.first):
                same = list(block)
                here = len(sources) - start
                sources += [cut.low for cut in same] + [cut.high for cut in same]
                rows = slice(here, here + 2 * len(same))
                blocks.append(_Block(first, rows, rows_of(cut.target for cut in same)))
            rows = slice(start, len(sources))
            folds.append(_Fold(group[0].combine, group[0].window.days, rows, tuple(blocks)))
        self._folds = tuple(folds)
        self._sources = rows_of(row for row, _ in sources)
        self._outside = np.array([outside for _, outside in sources], dtype=np.float64)

    def run(self, board: Board, rows: Floats) -> None:
        """Takes `rows`, shape (rows, ..., days), over their windows into numbers of the board."""
        days, before = board.shape[-1], self._before
        shape = (len(self._sources), *board.shape[:-1], before + days + self._after)
        padded = np.empty(shape)
        padded[..., :before] = padded[..., before + days :] = board.upright(self._outside)
        padded[..., before : before + days] = rows.take(self._sources, axis=0)
        for combine, length, part, blocks in self._folds:
            found = slide(padded[part], length, combine)
            for first, ends, targets in blocks:
                there = found[ends, ..., before + first : before + first + days]
                board.numbers[:, targets] = there.reshape(2, len(targets), *board.shape)


@dataclass(frozen=True)
class Spells:
    """Facts over windows: means of `averaged`; totals and extremes of `ranged`, which lie between
    `least` and `most`; `rises`. A mean is folded as the number of known days and their sum."""

    averaged: Rows
    ranged: Rows
    least: Floats
    most: Floats
    windows: Windows
    means: Rows
    days: Floats
    rises: tuple[tuple[int, int, Window], ...]

    @classmethod
    def of(cls, spells: Sequence[tuple[int, Spell]], row_of: dict[int, int]) -> Spells:
        """For spells, each with its row."""
        means = [(row, node) for row, node in spells if node.function is Function.MEAN]
        others = [(row, node) for row, node in spells if node.function is not Function.MEAN]
        ranged = [(row, node) for row, node in others if node.function in COMBINE]
        rises = [(row, node) for row, node in others if node.function not in COMBINE]
        facts = [FACTS[node.fact.name] for _, node in ranged]
        cuts = [
            Cut(np.add, node.window, (i, 0.0), (len(means) + i, 0.0), row)
            for i, (row, node) in enumerate(means)
        ]
        for i, ((row, node), fact) in enumerate(zip(ranged, facts, strict=True), 2 * len(means)):
            ends = (i, fact.low), (i + len(ranged), fact.high)
            cuts.append(Cut(COMBINE[node.function], node.window, *ends, row))
        return cls(
            rows_of(row_of[id(node.fact)] for _, node in means),
            rows_of(row_of[id(node.fact)] for _, node in ranged),
            np.array([fact.low for fact in facts], dtype=np.float64),
            np.array([fact.high for fact in facts], dtype=np.float64),
            Windows(cuts),
            rows_of(row for row, _ in means),
            np.array([node.window.days for _, node in means], dtype=np.float64),
            tuple((row, row_of[id(node.fact)], node.window) for row, node in rises),
        )

    def run(self, board: Board) -> None:
        low, high = board.numbers[0], board.numbers[1]
        for row, source, window in self.rises:
            low[row], high[row] = rise(Interval(low[source], high[source]), window)
        values, top = board.numbers.take(self.averaged, axis=1)
        known = np.equal(values, top)
        raw = Interval(*board.numbers.take(self.ranged, axis=1))
        ends = in_range(raw, board.upright(self.least), board.upright(self.most))
        self.windows.run(board, np.concatenate([known, np.where(known, values, 0.0), *ends]))
        number, total = board.numbers.take(self.means, axis=1)
        enough = 5 * number >= 4 * board.upright(self.days)
        middle = total / np.maximum(number, 1)
        low[self.means] = np.where(enough, middle, -np.inf)
        high[self.means] = np.where(enough, middle, np.inf)


@dataclass(frozen=True)
class Counts:
    """Numbers of days on which tests hold. Of `tests`, both planes in one, the first half are rows
    that are set where a test holds, the others where it does not."""

    tests: Rows
    windows: Windows
    numbers: Rows
    days: Floats

    @classmethod
    def of(cls, counts: Sequence[tuple[int, Count]], tests: tuple[Rows, Rows]) -> Counts:
        """For counts, each with its row; `tests` are the rows, yes and no, of what they count."""
        cuts = [
            Cut(np.add, node.window, (i, 0.0), (len(counts) + i, 0.0), row)
            for i, (row, node) in enumerate(counts)
        ]
        days = np.array([node.window.days for _, node in counts], dtype=np.float64)
        numbers = rows_of(row for row, _ in counts)
        return cls(np.concatenate(tests), Windows(cuts), numbers, days)

    def run(self, board: Board) -> None:
        held = board.test_rows.take(self.tests, axis=0)
        self.windows.run(board, held.astype(np.float64))
        high = board.numbers[1]
        high[self.numbers] = board.upright(self.days) - high.take(self.numbers, axis=0)

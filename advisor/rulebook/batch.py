"""What all rules of a book say of one table, worked out together (see `program.py`)."""

from __future__ import annotations

from functools import cached_property
from typing import cast

import numpy as np

from advisor.conditions.table import Column, Table
from advisor.rulebook.bounds import Interval, Truth
from advisor.rulebook.latch import Verdicts, walk
from advisor.rulebook.operations import Board, column_of
from advisor.rulebook.program import Program
from advisor.rulebook.tree import Number, Test


class Batch:
    """The numbers and tests of a program, for one table; arrays of shape (..., days)."""

    def __init__(self, program: Program, table: Table) -> None:
        self.program = program
        days = (len(table.days),)
        read = [column_of(table, leaf) for leaf in program.leaves]
        nothing = Column.of(np.full(days, np.nan)) if None in read else None
        numbers = cast(list[Column], [column or nothing for column in read] if nothing else read)
        words = [table.words.get(name) for name in program.words]
        lows, highs = [column.low for column in numbers], [column.high for column in numbers]
        shapes = {days, *[low.shape for low in lows]}
        shapes.update([column.codes.shape for column in words if column is not None])
        shape = days
        if len(shapes) > 1:
            shape = np.broadcast_shapes(*shapes)
            lows, highs = ([np.broadcast_to(end, shape) for end in ends] for ends in (lows, highs))
        board = self.board = Board(program.numbers, program.tests, len(words), shape)
        if lows:  # NaN is no bound
            np.fmax(np.array(lows), -np.inf, board.numbers[0, : len(lows)])
            np.fmin(np.array(highs), np.inf, board.numbers[1, : len(lows)])
        for row, value in program.constants:
            board.numbers[:, row] = value
        for row, word in enumerate(words):
            if word is not None:
                board.codes[row] = word.codes
        for operation in program.operations:
            operation.run(board)
        self._planes = board.tests[0], board.tests[1]

    @cached_property
    def verdicts(self) -> dict[int, Verdicts]:
        """What each rule of the program says, by the identity of the rule."""
        rows = self.board.test_rows
        said = map(Verdicts, *rows.take(self.program.said, 0))
        found = dict(zip(self.program.says, said, strict=True))
        if self.program.latches:
            parts = rows.take(self.program.latch_parts, 0)
            walked = walk(*(Truth(part[0], part[1]) for part in parts))
            for i, rule in enumerate(self.program.latches):
                found[rule] = Verdicts(*(part[i] for part in walked if part is not None))
        return found

    def interval(self, node: Number) -> Interval | None:
        """Bounds of a number; None of one that no rule compares."""
        row = self.program.row_of.get(id(node))
        numbers = self.board.numbers
        return None if row is None else Interval(numbers[0, row], numbers[1, row])

    def truth(self, test: Test) -> Truth | None:
        """Where a test holds and where it does not; None of one that no rule has."""
        literal = self.program.test_of.get(id(test))
        if literal is None:
            return None
        row, opposite = literal
        yes, no = self._planes
        return Truth(no[row], yes[row]) if opposite else Truth(yes[row], no[row])

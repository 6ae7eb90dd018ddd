"""What all rules of a book say of one table, worked out together (see `program.py`)."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from advisor.conditions.table import Column, Table
from advisor.rulebook.book import Rule
from advisor.rulebook.bounds import Interval, Truth
from advisor.rulebook.latch import Walked, walk
from advisor.rulebook.operations import Board, column_of
from advisor.rulebook.program import Literal, Program
from advisor.rulebook.tree import Number, Test


class Batch:
    """The numbers and tests of a program, for one table; arrays of shape (..., days)."""

    def __init__(self, program: Program, table: Table) -> None:
        self.program = program
        read = [column_of(table, leaf) for leaf in program.leaves]
        words = [table.words.get(name) for name in program.words]
        shapes = {(len(table.days),)}
        shapes |= {column.low.shape for column in read if isinstance(column, Column)}
        shapes |= {column.codes.shape for column in words if column is not None}
        shape = shapes.pop() if len(shapes) == 1 else np.broadcast_shapes(*shapes)
        board = self.board = Board(program.numbers, program.tests, len(words), shape)
        low, high = board.numbers[:, : len(read)]
        for row, column in enumerate(read):
            if isinstance(column, Column):
                low[row], high[row] = column.low, column.high
            else:
                low[row] = high[row] = np.nan
        np.fmax(low, -np.inf, out=low)  # NaN is no bound
        np.fmin(high, np.inf, out=high)
        for row, word in enumerate(words):
            if word is not None:
                board.codes[row] = word.codes
        for operation in program.operations:
            operation.run(board)

    def interval(self, node: Number) -> Interval | None:
        """Bounds of a number; None of one that no rule compares."""
        row = self.program.row_of.get(id(node))
        return None if row is None else Interval(*self.board.numbers[:, row])

    def truth(self, test: Test) -> Truth | None:
        """Where a test holds and where it does not; None of one that no rule has."""
        literal = self.program.test_of.get(id(test))
        return None if literal is None else self._of(literal)

    def says(self, rule: Rule) -> Walked | None:
        """What a rule says, and the states of its latch; None of one that is not in the program."""
        literal = self.program.says.get(id(rule))
        if literal is not None:
            return Walked(self._of(literal), NO_LATCH)
        index = self.program.latches.get(id(rule))
        if index is None:
            return None
        truth, states = self._walked
        return Walked(Truth(truth.yes[index], truth.no[index]), states[index])

    @cached_property
    def _walked(self) -> Walked:
        return walk(
            *(
                Truth(*(self.board.test_rows[rows] for rows in part))
                for part in self.program.latch_parts
            )
        )

    def _of(self, literal: Literal) -> Truth:
        yes, no = self.board.tests[:, literal.row]
        return Truth(no, yes) if literal.opposite else Truth(yes, no)


NO_LATCH = np.empty(0, dtype=np.int8)

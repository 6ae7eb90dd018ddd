"""The memory of an opens rule: a window opens once, and stays shut when it has been shut.

Its state on a day follows from the days before. The latch is *waiting*, *open* or *shut*:

- waiting: it opens on the first day on which the first `while` condition and `once` hold (without
  `once`: all `while` conditions). If `until` holds on that very day, it is shut at once.
- open: `until` shuts it. `once` may fall back; the window stays.
- shut: nothing opens it.

From open and from shut it comes back to waiting when the first `while` condition has been false on
`REST` days in a row; days on which that is unknown neither count nor break the row.

The window is open on a day on which the latch is open and all `while` conditions hold. While
`until` is unknown an open latch stays as it is for `PATIENCE` days in a row; then the rule is
unknown until `until` is known again. A waiting latch whose opening is unknown stays waiting, and
its rule is unknown on that day.
"""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from advisor.rulebook.bounds import Bools, Truth, said
from advisor.rulebook.tree import Said

REST = 60
"""Days in a row without the first condition, after which a window may open again."""

PATIENCE = 5
"""Days in a row on which a latch keeps its last known state without knowing `until`."""


class State(StrEnum):
    WAITING = "waiting"
    OPEN = "open"
    SHUT = "shut"
    NOT_KNOWN = "not known"


STATES = tuple(State)


class Verdicts(NamedTuple):
    """What a rule says on each day; arrays of shape (..., days). Neither yes nor no: unknown.

    `latch` is that of an opens rule with `once` or `until`: its states, as indexes of STATES.
    """

    yes: Bools
    no: Bools
    latch: NDArray[np.int8] | None = None

    def said(self, day: int) -> Said:
        """One day, on an axis without leading axes; None: unknown."""
        return said(Truth(self.yes, self.no), day)

    @property
    def states(self) -> tuple[State, ...]:
        """The latch on each day of an axis without leading axes; empty where there is none."""
        return () if self.latch is None else tuple(STATES[code] for code in self.latch.tolist())

    @property
    def open(self) -> Bools:
        """For an opens rule: where the window is known to be open."""
        return self.yes

    @property
    def held(self) -> Bools:
        """For a holds rule: where it is not known to be off."""
        return np.logical_not(self.no)


def walk(first: Truth, every: Truth, opening: Truth, until: Truth) -> Verdicts:
    """Whether the window is open on each day, for all latches and lawns of leading axes at once.

    `first` is the first while condition, `every` all of them, `opening` what opens the latch. All
    are of one shape (..., days), and days run in order. Nothing is walked day by day: a state is
    told by which of a few things came last.
    """
    days = np.arange(1, first.no.shape[-1] + 1)  # so that 0 is never
    off: NDArray[np.int64] = first.no.cumsum(-1)
    rested = off - _latest(first.yes, off)
    began = _latest(rested >= REST, days)  # on which it came back to waiting
    lost = days - _latest(until.yes | until.no, days) > PATIENCE
    later = days + 1
    opened = _latest(opening.yes & ~lost, later) > began
    shut = _latest(opened & until.yes, later) > began
    waiting = ~opened
    is_open = opened & ~shut
    in_doubt = lost & (is_open | (waiting & opening.yes))
    yes = is_open & every.yes & ~in_doubt
    no = until.yes | shut | every.no | (waiting & opening.no)
    states = opened.view(np.int8) + shut.view(np.int8)
    states[in_doubt] = len(STATES) - 1
    return Verdicts(yes, no, states)


def _latest(happened: Bools, marks: NDArray[np.int64]) -> NDArray[np.int64]:
    """The mark, up to each day, of the last day on which something happened; marks only grow."""
    return np.maximum.accumulate(happened * marks, -1)

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

from advisor.rulebook.bounds import Bools, Truth

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


class Walked(NamedTuple):
    """What a latch says, and its `states` as indexes of STATES; shape (..., days)."""

    truth: Truth
    states: NDArray[np.int8]


def walk(first: Truth, every: Truth, opening: Truth, until: Truth) -> Walked:
    """Whether the window is open on each day, for all latches and lawns of leading axes at once.

    `first` is the first while condition, `every` all of them, `opening` what opens the latch. All
    are of one shape (..., days), and days run in order. Nothing is walked day by day: a state is
    told by which of a few things came last.
    """
    off = np.cumsum(first.no, axis=-1)
    rested: NDArray[np.int64] = off - np.maximum.accumulate(np.where(first.yes, off, 0), axis=-1)
    began = _last(
        np.greater_equal(rested, REST), -1
    )  # when the latch was last brought back to waiting
    missed = np.arange(off.shape[-1]) - _last(until.yes | until.no, -1)
    lost = missed > PATIENCE
    opened = _last(opening.yes & ~lost, -2) >= began
    shut = _last(opened & until.yes, -2) >= began
    is_open = opened & ~shut
    in_doubt = lost & (is_open | (~opened & opening.yes))
    yes = is_open & every.yes & ~in_doubt
    no = until.yes | shut | every.no | (~opened & opening.no)
    states = np.where(in_doubt, np.int8(3), opened.astype(np.int8) + shut)
    return Walked(Truth(yes, no), states)


def _last(happened: Bools, never: int) -> NDArray[np.int64]:
    """The index of the last day, up to each day, on which something happened; else `never`."""
    days = np.arange(happened.shape[-1])
    return np.maximum.accumulate(np.where(happened, days, never), axis=-1)

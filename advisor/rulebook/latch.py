"""The memory of an opens rule: a window opens once, and stays shut when it has been shut.

One lawn's days are walked in order. The latch is *waiting*, *open* or *shut*:

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

from collections.abc import Sequence
from enum import StrEnum

REST = 60
"""Days in a row without the first condition, after which a window may open again."""

PATIENCE = 5
"""Days in a row on which a latch keeps its last known state without knowing `until`."""

Said = bool | None


class State(StrEnum):
    WAITING = "waiting"
    OPEN = "open"
    SHUT = "shut"
    NOT_KNOWN = "not known"


def walk(
    first: Sequence[Said], every: Sequence[Said], opening: Sequence[Said], until: Sequence[Said]
) -> tuple[list[Said], list[State]]:
    """Whether the window is open on each day (None: unknown), and the state of its latch.

    `first` is the first while condition, `every` all of them, `opening` what opens the latch.
    """
    said: list[Said] = []
    states: list[State] = []
    waiting, opened, shut, not_known = State  # looked up once: enum members are slow to find
    state = waiting
    rested = missed = 0
    for is_first, is_all, opens, shuts in zip(first, every, opening, until, strict=True):
        missed = missed + 1 if shuts is None else 0
        lost = missed > PATIENCE
        rested = 0 if is_first else rested + (is_first is False)
        if rested >= REST:
            state = waiting
        if state is waiting and opens and (shuts or not lost):
            state = shut if shuts else opened
        elif state is opened and shuts:
            state = shut
        in_doubt = lost and (state is opened or bool(state is waiting and opens))
        answer: Said
        if shuts or state is shut or is_all is False:
            answer = False
        elif in_doubt:
            answer = None
        elif state is opened:
            answer = is_all
        else:
            answer = False if opens is False else None
        said.append(answer)
        states.append(not_known if in_doubt else state)
    return said, states

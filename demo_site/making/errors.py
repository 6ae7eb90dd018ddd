"""Errors of forecasts: smooth in time, growing with lead, and passed on from one issue to the next.

Each field is standard normal. At any valid time, the field of the next day's issue keeps
`KEPT` of that of the issue before; so a forecast's mistake fades rather than leaps.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from making.fields import Floats, chance

HOURS = 17 * 24
"""Hours that a forecast covers, from the first after its issue."""

KNOT = 6
"""Hours between the knots that carry the noise."""
PAD = 18
"""Knots beyond either end, so that the ends are as smooth as the middle."""
KEPT = 0.8


def _weights(memory: float) -> Floats:
    """Shape (knots, HOURS): smooths white noise at the knots over `memory` hours, variance 1."""
    knots = (np.arange(HOURS // KNOT + 2 * PAD + 1) - PAD) * KNOT
    hours = np.arange(1, HOURS + 1)
    weights = np.exp(-(((hours - knots[:, None]) / memory) ** 2) / 2)
    scaled: Floats = weights / np.sqrt((weights**2).sum(axis=0))
    return scaled


def fields(first: int, issues: int, memories: Sequence[float]) -> Iterator[Floats]:
    """For each day's issue in turn, one field for each of `memories`: shape (fields, HOURS).

    `first` numbers the first issue's day; an issue's noise depends on its number and on the
    issues before it.
    """
    smooth = {memory: _weights(memory) for memory in set(memories)}
    knots = len(next(iter(smooth.values())))
    step = 24 // KNOT
    rng = chance(110, first)
    state = rng.standard_normal((len(memories), knots))
    rows = {m: [i for i, other in enumerate(memories) if other == m] for m in smooth}
    for issue in range(issues):
        out = np.empty((len(memories), HOURS))
        for memory, which in rows.items():
            out[which] = state[which] @ smooth[memory]
        yield out
        fresh = chance(111, first + issue).standard_normal(state.shape)
        state = np.concatenate([state[:, step:], np.zeros((len(memories), step))], axis=1)
        state = KEPT * state + np.sqrt(1 - KEPT**2) * fresh
        state[:, -step:] = fresh[:, -step:]


def grows(*points: tuple[float, float]) -> Floats:
    """A figure for each lead hour 1 … HOURS, straight between (lead in hours, figure) pairs."""
    hours = np.arange(1, HOURS + 1)
    figure: Floats = np.interp(hours, [p[0] for p in points], [p[1] for p in points])
    return figure

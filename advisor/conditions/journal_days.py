"""What the journal tells of a lawn, laid on the axis of days: what was seen, and new grass."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np
from numpy.typing import NDArray

from advisor.site.sums import Sums

SEEN_HOLDS = 7
"""Days for which what the owner saw of the grass holds, if nothing else is seen [judgement: until
the next digest asks them to look again]."""

OF_THE_GRASS = ("wilting", "dormant", "green")
"""What can be seen that says what the grass is doing."""

SEED_IS_NEW = 60
"""Days after sowing in which grass counts as new: some weeks to sprout and a month to root
[judgement; the month is that of sod]."""

SOD_IS_NEW = 30
"""Days after laying: no fertilizer in the first 30 days (ordinances of towns in Florida)."""


def sightings(sums: Sums, lawn: str, days: Sequence[date]) -> dict[int, str]:
    """What the owner sees of the grass on each day, by the day's index: one of `OF_THE_GRASS`.

    It holds for `SEEN_HOLDS` days from the day it was seen, or until something else is seen, and
    not beyond today: what comes is worked out from there.
    """
    found: dict[int, str] = {}
    known = (sums.today - days[0]).days + 1 if days else 0
    for day, what in sums.seen(lawn):
        if what in OF_THE_GRASS and days:
            first = (day - days[0]).days
            for i in range(max(0, first), min(first + SEEN_HOLDS, known, len(days))):
                found[i] = what
    return found


def newly_seeded(sums: Sums, lawn: str, days: Sequence[date]) -> NDArray[np.int8]:
    """1 on days on which the grass is new from seed or sod, -1 where it perhaps is, else 0."""
    out = np.zeros(len(days), dtype=np.int8)
    for day, sod, surely in sums.new_grass(lawn):
        first = (day - days[0]).days if days else 0
        last = first + (SOD_IS_NEW if sod else SEED_IS_NEW)
        span = slice(max(0, first), max(0, last))
        out[span] = 1 if surely else np.where(out[span] == 1, 1, -1)
    return out

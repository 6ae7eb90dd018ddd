"""A likely date and how far it may lie from it, from the same date in past years.

A new year is as likely to fall into any of the n + 1 gaps between the n past ones, so the i-th of
them stands for the chance i / (n + 1). An interval made so holds a new year's date as often as it
says, over many years; one between the tenths of the past years themselves would be too narrow.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from advisor.turf.frost import ranked
from advisor.turf.ranges import Floats

HELD = 0.8
"""Chance with which a new year's date lies in the interval."""

ENOUGH = 9
"""Years from which on the interval can hold so much: 2 / 0.2 - 1."""


@dataclass(frozen=True)
class Spread:
    """Days, counted from one day: `likely` (the middle year's), `earliest` and `latest`, whole.

    Of `years` in which the past tells, `came` are those in which the day came at all; the three are
    those years', and NaN without any. `holds` is the chance with which a new year's day, if it
    comes, lies between `earliest` and `latest`; with fewer than nine such years these are the first
    and the last of them, and hold (n - 1) / (n + 1).
    """

    likely: float
    earliest: float
    latest: float
    years: int
    came: int
    holds: float

    @property
    def seldom(self) -> bool:
        """Whether it came in fewer than half of the years."""
        return 2 * self.came < self.years


def spread(days: Floats) -> Spread:
    """The spread of a day over years, shape (years,): infinite where it did not come, NaN where the
    past does not tell.

    A part of a day goes outwards, so that the interval holds no less than it says.
    """
    told = days[~np.isnan(days)]
    came = told[np.isfinite(told)]
    n = len(came)
    if not n:
        return Spread(math.nan, math.nan, math.nan, len(told), 0, 0.0)
    tail = (1 - HELD) / 2
    early, middle, late = ranked(came, np.array([tail, 0.5, 1 - tail]))
    holds = HELD if n >= ENOUGH else (n - 1) / (n + 1)
    return Spread(
        float(np.round(middle)), float(np.floor(early + _ROUNDING)),
        float(np.ceil(late - _ROUNDING)), len(told), n, holds,
    )  # fmt: skip


_ROUNDING = 1e-9

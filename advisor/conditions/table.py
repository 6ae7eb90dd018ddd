"""One lawn's facts on an axis of days: what the rules read.

Every number is an interval [low, high] that holds the true value: the two are equal where the
value is known, far apart where it is not. A total with a missing hour is a lower bound, `days
since` something that was only perhaps done lies between two dates; so a comparison that the
bounds settle is settled, and nothing else is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

UNKNOWN_WORD = -1


class Estimate(str):
    """The origin of a value that was worked out where others are measured or modelled."""


@dataclass(frozen=True)
class Column:
    """A numeric fact: `low` and `high` of shape (..., days), in the fact's unit inside.

    Unknown is low = -inf, high = inf. `origin` tells, for a day's index, where the value came
    from, as a phrase for people.
    """

    low: Floats
    high: Floats
    origin: Callable[[int], str] = field(default=lambda _day: "", compare=False)

    @classmethod
    def of(cls, values: Floats, origin: Callable[[int], str] = lambda _day: "") -> Column:
        """A column from values in which NaN means unknown."""
        missing = np.isnan(values)
        return cls(np.where(missing, -np.inf, values), np.where(missing, np.inf, values), origin)

    @property
    def known(self) -> NDArray[np.bool_]:
        """Where the value is known exactly."""
        return np.equal(self.low, self.high)


@dataclass(frozen=True)
class Words:
    """A fact whose value is a word: `codes` of shape (..., days) index `FactWord.words`;
    UNKNOWN_WORD where it is not known."""

    codes: NDArray[np.int8]
    origin: Callable[[int], str] = field(default=lambda _day: "", compare=False)


@dataclass(frozen=True)
class Table:
    """The facts of one lawn, a row a day.

    `numbers` is keyed by fact name, or by (name, depth in metres) where a fact has depths: ask
    through `number`, which interpolates nothing and raises KeyError for what is not there.
    `since` holds `days since` each task, deed and sighting. `forecast_end` is the index of the
    first day that the forecast does not reach: unknown values from there on are *beyond the
    forecast*.
    """

    days: list[date]
    numbers: Mapping[str, Column]
    at_depth: Callable[[str, float], Column]
    words: Mapping[str, Words]
    since: Mapping[str, Column]
    today: int
    forecast_end: int

    def number(self, name: str, depth: float | None = None) -> Column:
        """A numeric fact, at a depth in metres where it has depths."""
        return self.numbers[name] if depth is None else self.at_depth(name, depth)

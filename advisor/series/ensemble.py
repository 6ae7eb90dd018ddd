"""An ensemble: the same days forecast many times over, each time a little differently.

How many of its members fulfil something tells how sure that is. A member's missing hour is
unknown and makes its totals bounds; it never counts as dry.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from advisor.series.hourly import HOUR, Floats, Source

MEMBER_COLUMNS = ("rain", "air_temp", "wind", "gust")
"""Columns that members may carry; units and meaning are those of a series."""

FEWEST_MEMBERS = 10
"""Fewer members than these tell nothing [judgement: one of nine is eleven in a hundred]."""


@dataclass(frozen=True)
class Totals:
    """What falls over a stretch by each member, shape (members,): the truth of a member lies from
    `low` to `high`; `high` is infinite where an hour is not known."""

    low: Floats
    high: Floats

    @property
    def known(self) -> int:
        """Members of which every hour of the stretch is known."""
        return int(np.isfinite(self.high).sum())

    def at_most(self, limit: float) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Members that surely, and members that perhaps bring no more than `limit`."""
        return self.high <= limit + 1e-9, self.low <= limit + 1e-9

    def at_least(self, limit: float) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Members that surely, and members that perhaps bring `limit` or more."""
        return self.low >= limit - 1e-9, self.high >= limit - 1e-9


@dataclass(frozen=True)
class Ensemble:
    """Hourly forecasts of all members from `start` (UTC, on the hour).

    `columns` maps names of `MEMBER_COLUMNS`, rain at least, to arrays of one shape (members,
    hours); NaN is unknown. Row i holds the hour that ends at `start + (i + 1) h`, as in a series.
    `step` is the model's own step in hours, counted from 00:00 GMT: within one the hours are
    interpolated, so a total counts only from step to step, and an hour's peak not at all.
    """

    start: datetime
    columns: Mapping[str, Floats]
    source: Source
    step: int = 3

    def __post_init__(self) -> None:
        if self.start.tzinfo is None or self.start.timestamp() % HOUR:
            raise ValueError(f"an ensemble starts on a whole hour in UTC, not at {self.start}")
        unknown = set(self.columns) - set(MEMBER_COLUMNS)
        if unknown:
            raise ValueError(f"no such column: {', '.join(sorted(unknown))}")
        if "rain" not in self.columns:
            raise ValueError("an ensemble without rain tells nothing")
        shapes = {column.shape for column in self.columns.values()}
        if len(shapes) > 1 or len(next(iter(shapes))) != 2:
            raise ValueError("the columns of an ensemble are not of one shape (members, hours)")
        if not 1 <= self.step <= 24 or 24 % self.step:
            raise ValueError(f"a step of {self.step} hours does not divide a day")

    @property
    def members(self) -> int:
        return len(self.columns["rain"])

    @property
    def hours(self) -> int:
        return int(self.columns["rain"].shape[1])

    def column(self, name: str) -> Floats:
        """One column, shape (members, hours); all NaN where the ensemble has none."""
        if name not in MEMBER_COLUMNS:
            raise KeyError(name)
        found = self.columns.get(name)
        return np.full((self.members, self.hours), np.nan) if found is None else found

    def rain(self, first: datetime, last: datetime) -> Totals:
        """Rain [mm] of each member from `first` to `last`, aware instants in that order.

        The lower bound has the whole steps within the stretch, the upper one every step that it
        touches. What lies outside the ensemble is unknown.
        """
        begin, stop = first.timestamp(), last.timestamp()
        if stop < begin:
            raise ValueError("a stretch ends after it begins")
        step = self.step * HOUR
        base = int(self.start.timestamp())
        inner = self._rows(base, int(-(-begin // step)) * step, int(stop // step) * step)
        outer = self._rows(base, int(begin // step) * step, int(-(-stop // step)) * step)
        low = np.nansum(inner, axis=1) if inner.shape[1] else np.zeros(self.members)
        high = np.where(np.isnan(outer).any(axis=1), np.inf, np.nansum(outer, axis=1))
        return Totals(low, high)

    def _rows(self, base: int, begin: int, stop: int) -> Floats:
        """Rain of the hours from `begin` to `stop` (unix seconds), NaN outside the ensemble."""
        wanted = max(0, stop - begin) // HOUR
        out = np.full((self.members, wanted), np.nan)
        first = (begin - base) // HOUR
        from_row, to_row = max(0, first), min(self.hours, first + wanted)
        if from_row < to_row:
            out[:, from_row - first : to_row - first] = self.columns["rain"][:, from_row:to_row]
        return out

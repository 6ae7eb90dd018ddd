"""Hours from noon to noon: the night that a leaf disease grows in, whole."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from advisor.series.hourly import HOUR, Series

Floats = NDArray[np.float64]

MOST_HOURS = 25
"""Hours from one noon to the next where clocks go back."""


class Nights:
    """The hours of a series laid out by the night that ends on each day.

    A night is from noon of the day before, by the wall clock, to noon of the day; an hour belongs
    to the night that it begins in. It has 24 hours, or 23 or 25 where clocks change.
    """

    def __init__(self, series: Series, days: Sequence[date], zone: ZoneInfo) -> None:
        edges = [days[0] - timedelta(1), *days] if days else []
        noons = [datetime.combine(day, time(12), zone).astimezone(UTC) for day in edges]
        instants = np.array([noon.timestamp() for noon in noons])
        starts = series.ends() - HOUR
        night = np.searchsorted(instants, starts, side="right") - 1
        self._hours = np.flatnonzero((night >= 0) & (night < len(days)))
        self._night = night[self._hours]
        # Counted from the noon, so that a night in which the series begins keeps its place.
        since_noon = starts[self._hours] - instants[self._night]
        self._slot = (since_noon // HOUR).astype(np.intp)
        self._series = series
        self.due = np.round(np.diff(instants) / HOUR).astype(np.intp)
        """How many hours each night has, shape (days,)."""

    def column(self, name: str) -> Floats:
        """One column of the series, shape (days, 25): NaN where it is unknown or no such hour."""
        return self._laid(self._series.column(name))

    def flags(self, hourly: Floats) -> Floats:
        """Flags (1, 0, NaN) of the series' hours, shape (days, 25); no in hours that a night has
        not, so that they neither count nor leave anything open."""
        sheet = self._laid(hourly)
        return np.where(np.arange(MOST_HOURS) < self.due[:, np.newaxis], sheet, 0.0)

    def _laid(self, hourly: Floats) -> Floats:
        sheet = np.full((len(self.due), MOST_HOURS), np.nan)
        sheet[self._night, self._slot] = hourly[self._hours]
        return sheet

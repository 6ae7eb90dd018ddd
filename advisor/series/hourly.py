"""Hourly weather on one unbroken UTC axis, each value with where it came from.

Row i of a series holds the hour that ends at `start + (i + 1) h`: sums and means are over that
hour, instants (temperature, humidity, wind, soil) are at its end. NaN is *unknown*, never zero.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

HOUR = 3600

COLUMNS: dict[str, str] = {
    "air_temp": "C, at the end of the hour, 2 m",
    "dew_point": "C, at the end of the hour, 2 m",
    "humidity": "fraction 0 to 1, at the end of the hour, 2 m",
    "rain": "mm of water, rain and melted snow, over the hour",
    "rain_chance": "fraction 0 to 1, chance of more than 0.1 mm over the hour",
    "wind": "m/s at 10 m, at the end of the hour",
    "gust": "m/s at 10 m, highest of the hour",
    "radiation": "W/m2, global short-wave, mean over the hour",
    "snow_depth": "m, at the end of the hour",
    "soil_temp_0": "C at the end of the hour, surface",
    "soil_temp_6": "C at the end of the hour, 6 cm",
    "soil_temp_18": "C at the end of the hour, 18 cm",
    "soil_temp_54": "C at the end of the hour, 54 cm",
}
"""Every column a series may carry, with its unit and meaning."""

SOIL_DEPTHS: dict[str, float] = {
    "soil_temp_0": 0.0,
    "soil_temp_6": 0.06,
    "soil_temp_18": 0.18,
    "soil_temp_54": 0.54,
}
"""Depth in metres of each soil column."""


@dataclass(frozen=True)
class Source:
    """Where values came from: `provider` as a person reads it, and the instant of the answer."""

    provider: str
    fetched_at: datetime


@dataclass(frozen=True)
class Series:
    """Hourly weather from `start` (UTC, on the hour).

    `columns` maps names of `COLUMNS` to arrays of one length; a column may be absent. `source` is
    the newest answer that went in; `ahead_from` is the instant at which it was given: hours that
    end later are forecast. `notes` are sentences about the data as a whole, for people.
    """

    start: datetime
    columns: Mapping[str, Floats]
    source: Source
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.start.tzinfo is None or self.start.timestamp() % HOUR:
            raise ValueError(f"a series starts on a whole hour in UTC, not at {self.start}")
        unknown = set(self.columns) - set(COLUMNS)
        if unknown:
            raise ValueError(f"no such column: {', '.join(sorted(unknown))}")
        if len({len(column) for column in self.columns.values()}) > 1:
            raise ValueError("the columns of a series differ in length")

    @property
    def hours(self) -> int:
        return max((len(column) for column in self.columns.values()), default=0)

    @property
    def ahead_from(self) -> datetime:
        return self.source.fetched_at

    def ends(self) -> NDArray[np.int64]:
        """Unix seconds at which each hour ends, shape (hours,)."""
        first = int(self.start.timestamp()) + HOUR
        return first + HOUR * np.arange(self.hours, dtype=np.int64)

    def column(self, name: str) -> Floats:
        """One column, shape (hours,); all NaN where the series has none."""
        if name not in COLUMNS:
            raise KeyError(name)
        found = self.columns.get(name)
        return np.full(self.hours, np.nan) if found is None else found

    def local_days(self, zone: ZoneInfo) -> tuple[list[date], NDArray[np.intp]]:
        """The local days that the series touches, and for each hour the index of its day.

        An hour belongs to the day in which it *begins*, so a day of 24 hours is (0:00, 24:00] by
        the wall clock, and a day on which clocks change has 23 or 25.
        """
        starts = self.ends() - HOUR
        if not len(starts):
            return [], np.zeros(0, dtype=np.intp)
        first = datetime.fromtimestamp(int(starts[0]), zone).date()
        last = datetime.fromtimestamp(int(starts[-1]), zone).date()
        days = [first + timedelta(n) for n in range((last - first).days + 1)]
        midnights = np.array(
            [
                datetime(d.year, d.month, d.day, tzinfo=zone).astimezone(UTC).timestamp()
                for d in days
            ]
        )
        return days, np.searchsorted(midnights, starts, side="right") - 1

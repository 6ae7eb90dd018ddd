"""Past years day by day: what the likely dates of a place are worked out from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from advisor.series.hourly import Floats, Source

DAY_COLUMNS: dict[str, str] = {
    "air_max": "C, highest of the day, 2 m",
    "air_min": "C, lowest of the day, 2 m",
    "rain": "mm of water, rain and melted snow, over the day",
    "radiation": "MJ/m2, global short-wave, over the day",
}
"""Every column of past years, with its unit and meaning."""


@dataclass(frozen=True)
class PastYears:
    """Daily weather of past years on one unbroken axis from `first`.

    Each column of `DAY_COLUMNS` has the shape (days,); NaN is unknown. A day is a GMT day: the
    lowest of a night can stand a day beside its local date, far east or west of Greenwich.
    `source` is the newest answer that went in.
    """

    first: date
    air_max: Floats
    air_min: Floats
    rain: Floats
    radiation: Floats
    source: Source

    def __post_init__(self) -> None:
        if len({len(column) for column in self.columns.values()}) > 1:
            raise ValueError("the columns of past years differ in length")

    @property
    def columns(self) -> Mapping[str, Floats]:
        """The columns by their names."""
        return {name: getattr(self, name) for name in DAY_COLUMNS}

    @property
    def last(self) -> date:
        """The last day; the day before `first` where there is none."""
        return self.first + timedelta(len(self.air_max) - 1)

    @property
    def years(self) -> range:
        """The calendar years of which every day has a row, rising."""
        begins = self.first.year + (self.first > date(self.first.year, 1, 1))
        ends = self.last.year + (self.last == date(self.last.year, 12, 31))
        return range(begins, max(begins, ends))

    def year(self, year: int) -> PastYears:
        """One of `years`, 365 or 366 rows from 1 January; KeyError for another."""
        if year not in self.years:
            raise KeyError(year)
        begin = (date(year, 1, 1) - self.first).days
        stop = (date(year + 1, 1, 1) - self.first).days
        cut = {name: column[begin:stop] for name, column in self.columns.items()}
        return PastYears(date(year, 1, 1), source=self.source, **cut)

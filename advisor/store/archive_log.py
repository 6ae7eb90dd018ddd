"""Past weather from the archive: hours that nobody else knows, and past years day by day.

What was asked for and came back unknown is written down as a hole, with the moment when it first
did; so it can be asked for again for a while, and then be left alone.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from advisor.series.hourly import COLUMNS, HOUR, Source
from advisor.series.years import DAY_COLUMNS, PastYears
from advisor.store.connection import Connection, instant, microseconds, storable
from advisor.store.past import FROM_ARCHIVE, merge_past, read_past
from advisor.store.weather_log import Keepable

if TYPE_CHECKING:
    from sqlite_utils import Database

NEEDED = ("air_temp", "rain")
"""Columns without which an hour counts as unknown: what the sums of a season are made from."""

YEARS_KEPT = 10
"""Full years that likely dates are worked out from."""

_EPOCH = date(1970, 1, 1)
_FIELDS = ", ".join(DAY_COLUMNS)
_NEWER = ", ".join(f"{name} = coalesce(excluded.{name}, {name})" for name in DAY_COLUMNS)
_NEEDED = [list(COLUMNS).index(name) for name in NEEDED]


class ArchiveLog(Connection):
    """The part of the store that keeps past weather. `place` is any text that names a place."""

    def fill(self, place: str, fetched: Keepable) -> int:
        """Keep hours of the archive where nothing is known; return how many are now known that
        were not.

        A value of a forecast service's answer stays, whenever it was given; one of the archive
        gives way to the next. The hours that are still not known become holes.
        """
        place = storable(place)
        ends = fetched.series.ends()
        if not len(ends):
            return 0
        with self.changing() as database:
            before = _unknown(database, place, ends)
            merge_past(database, place, ends.tolist(), fetched.series.columns, FROM_ARCHIVE)
            after = _unknown(database, place, ends)
            known = np.setdiff1d(ends, after)
            database.conn.executemany(
                'DELETE FROM hole WHERE place = ? AND "end" = ?',
                [(place, end) for end in known.tolist()],
            )
            database.conn.executemany(
                'INSERT OR IGNORE INTO hole (place, "end", seen) VALUES (?, ?, ?)',
                [(place, end, microseconds(fetched.fetched_at)) for end in after.tolist()],
            )
        return len(before) - len(after)

    def unknown_hours(
        self, place: str, first: datetime, last: datetime, given_up: datetime
    ) -> NDArray[np.int64]:
        """The ends (unix seconds, rising) of hours not known that end after `first`, and at
        `last` at the latest. Left out are holes that were first seen at or before `given_up`."""
        place = storable(place)
        begin = (int(first.timestamp()) // HOUR + 1) * HOUR
        ends = np.arange(begin, int(last.timestamp()) + 1, HOUR, dtype=np.int64)
        with self.reading() as database:
            unknown = _unknown(database, place, ends)
            left = database.execute(
                'SELECT "end" FROM hole WHERE place = ? AND seen <= ?',
                (place, microseconds(given_up)),
            ).fetchall()
        return np.setdiff1d(unknown, np.array([row[0] for row in left], dtype=np.int64))

    def from_archive(self, place: str) -> bool:
        """Whether anything that is stored for a place came from the archive."""
        with self.reading() as database:
            # an answer's moment in `older` is only a plain 0 where it is that of the archive
            found = database.execute(
                "SELECT EXISTS (SELECT 1 FROM past_day WHERE place = :place) OR EXISTS "
                "(SELECT 1 FROM hour WHERE place = :place AND (fetched = :at OR older LIKE :told))",
                {"place": storable(place), "at": FROM_ARCHIVE, "told": f"%: {FROM_ARCHIVE}%"},
            ).fetchone()
        return bool(found[0])

    def keep_years(self, place: str, years: PastYears) -> None:
        """Keep days of past years. What is known stays where an answer does not know it."""
        at, provider = microseconds(years.source.fetched_at), storable(years.source.provider)
        begin = (years.first - _EPOCH).days
        table = np.column_stack(list(years.columns.values())).tolist()
        with self.changing() as database:
            database.conn.executemany(
                f"INSERT INTO past_day (place, day, fetched, provider, {_FIELDS}) "
                f"VALUES (?, ?, ?, ?{', ?' * len(DAY_COLUMNS)}) "
                "ON CONFLICT (place, day) DO UPDATE SET "
                f"fetched = excluded.fetched, provider = excluded.provider, {_NEWER}",
                [
                    (storable(place), begin + i, at, provider,
                     *(value if value == value else None for value in row))
                    for i, row in enumerate(table)
                ],
            )  # fmt: skip

    def unasked_days(self, place: str, first: date, last: date) -> tuple[date, date] | None:
        """The first and the last of the days from `first` to `last` that were never asked for."""
        begin, stop = (first - _EPOCH).days, (last - _EPOCH).days
        with self.reading() as database:
            rows = database.execute(
                "SELECT day FROM past_day WHERE place = ? AND day BETWEEN ? AND ?",
                (storable(place), begin, stop),
            ).fetchall()
        unasked = np.setdiff1d(np.arange(begin, stop + 1), [row[0] for row in rows])
        if not len(unasked):
            return None
        return _EPOCH + timedelta(int(unasked[0])), _EPOCH + timedelta(int(unasked[-1]))

    def past_years(self, place: str, as_of: datetime) -> PastYears | None:
        """The ten calendar years (UTC) before that of `as_of`, as far as they are stored; None
        where nothing is. They end before it, so it does not matter when they were fetched."""
        year = datetime.fromtimestamp(as_of.timestamp(), UTC).year
        span = [(date(y, 1, 1) - _EPOCH).days for y in (year - YEARS_KEPT, year)]
        with self.reading() as database:
            rows = database.execute(
                f"SELECT day, fetched, provider, {_FIELDS} FROM past_day "
                "WHERE place = ? AND day >= ? AND day < ? ORDER BY day",
                (storable(place), *span),
            ).fetchall()
        if not rows:
            return None
        days = np.array([row[0] for row in rows])
        columns = np.full((days[-1] - days[0] + 1, len(DAY_COLUMNS)), np.nan)
        columns[days - days[0]] = np.array([row[3:] for row in rows], dtype=np.float64)
        _, fetched, provider, *_ = max(rows, key=lambda row: row[1])
        return PastYears(
            _EPOCH + timedelta(int(days[0])),
            source=Source(provider, instant(fetched)),
            **dict(zip(DAY_COLUMNS, columns.T, strict=True)),
        )


def _unknown(database: Database, place: str, ends: NDArray[np.int64]) -> NDArray[np.int64]:
    """Those of the hours that lack a value that is needed."""
    if not len(ends):
        return ends
    stored, values = read_past(database, place, int(ends[0]), int(ends[-1]))
    known = np.array(stored, dtype=np.int64)[~np.isnan(values[:, _NEEDED]).any(axis=1)]
    return np.setdiff1d(ends, known)

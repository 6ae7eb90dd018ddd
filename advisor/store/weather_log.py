"""Weather that was fetched: the past hour by hour, and what lay ahead as each answer told it.

An hour of the past has, for each quantity, the value of the newest answer that knows it; so the
order in which answers are kept does not matter, and a gap in a newer answer hides nothing. What
lies ahead is kept with its run and never mixed: a decision can be repeated as it was made.
"""

from __future__ import annotations

import json
import zlib
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from advisor.series.hourly import COLUMNS, HOUR, Floats, Series, Source
from advisor.store.connection import Connection, instant, microseconds, storable
from advisor.store.past import merge_past, read_past

if TYPE_CHECKING:
    from sqlite_utils import Database

_DAY = 24 * HOUR * 1_000_000


class Keepable(Protocol):
    """What one fetch brought, as the weather package gives it."""

    @property
    def series(self) -> Series: ...
    @property
    def fetched_at(self) -> datetime: ...
    @property
    def provider(self) -> str: ...
    @property
    def url(self) -> str: ...
    @property
    def notes(self) -> tuple[str, ...]: ...


@dataclass(frozen=True)
class StoredSeries:
    """A series from the store, and the run that its hours ahead come from."""

    series: Series
    run_id: int
    fetched_at: datetime


class WeatherLog(Connection):
    """The part of the store that keeps weather. `place` is any text that names a place."""

    def keep(self, place: str, fetched: Keepable) -> int:
        """Keep an answer, and return the id of its run.

        Of the older runs of the place these stay: the first of each UTC day, those that a decision
        used, and the newest.
        """
        place = storable(place)
        at = microseconds(fetched.fetched_at)
        series = fetched.series
        ends = series.ends()
        ahead = ends > at // 1_000_000
        past = {name: values[~ahead] for name, values in series.columns.items()}
        with self.changing() as database:
            merge_past(database, place, ends[~ahead].tolist(), past, at)
            row = database.execute(
                "INSERT INTO run (place, fetched, provider, url, notes, ahead) "
                "VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (place, fetched) DO UPDATE SET "
                "provider = excluded.provider, url = excluded.url, notes = excluded.notes, "
                "ahead = excluded.ahead RETURNING id",
                (
                    place,
                    at,
                    storable(fetched.provider),
                    storable(fetched.url),
                    json.dumps(fetched.notes),
                    _packed(series, ends[ahead], ahead),
                ),
            ).fetchone()
            run_id = int(row[0])
            _prune(database, place, run_id)
        return run_id

    def mark_used(self, run_id: int) -> bool:
        """Keep this run for good, since a decision used it. False if it is no longer there."""
        with self.changing() as database:
            changed = database.execute("UPDATE run SET used = 1 WHERE id = ?", (run_id,))
            return changed.rowcount == 1

    def newest_fetch(self, place: str, as_of: datetime) -> datetime | None:
        """When the newest stored answer that was there at `as_of` was fetched; None if none was."""
        with self.reading() as database:
            row = database.execute(
                "SELECT max(fetched) FROM run WHERE place = ? AND fetched <= ?",
                (storable(place), microseconds(as_of)),
            ).fetchone()
        return None if row[0] is None else instant(row[0])

    def series(
        self, place: str, as_of: datetime, since: datetime | None = None
    ) -> StoredSeries | None:
        """The weather as it could be known at `as_of`; None if nothing had been fetched by then.

        Hours that ended by the newest run fetched at or before `as_of` are the past; later ones
        are that run's forecast, whatever was fetched afterwards. The axis is unbroken from the
        oldest hour with a known value (or from the first that begins at or after `since`); what
        is not known is NaN.
        """
        place = storable(place)
        # hours that begin at or after `since`, in whole seconds rounded up
        earliest = -(2**62) if since is None else -(-microseconds(since) // 1_000_000)
        with self.reading() as database:
            run = database.execute(
                "SELECT id, fetched, provider, notes, ahead FROM run "
                "WHERE place = ? AND fetched <= ? ORDER BY fetched DESC LIMIT 1",
                (place, microseconds(as_of)),
            ).fetchone()
            if run is None:
                return None
            run_id, fetched, provider, notes, packed = run
            ends, past = read_past(database, place, earliest + HOUR, fetched // 1_000_000)
        first_ahead, ahead = _unpacked(packed)
        fetched_at = instant(fetched)
        source = Source(provider, fetched_at)
        start, columns = _joined(ends, past, first_ahead, ahead, earliest)
        series = Series(
            datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=start),
            columns,
            source,
            tuple(json.loads(notes)),
        )
        return StoredSeries(series, run_id, fetched_at)


def _prune(database: Database, place: str, newcomer: int) -> None:
    database.execute(
        "DELETE FROM run WHERE place = :place AND used = 0 AND id <> :newcomer "
        "AND fetched <> (SELECT max(fetched) FROM run WHERE place = :place) "
        "AND fetched NOT IN "
        f"(SELECT min(fetched) FROM run WHERE place = :place GROUP BY fetched / {_DAY})",
        {"place": place, "newcomer": newcomer},
    )


def _packed(series: Series, ends: Any, ahead: Any) -> bytes:
    document = {
        "first": int(ends[0]) if len(ends) else None,
        "columns": {
            name: [None if np.isnan(value) else float(value) for value in values[ahead]]
            for name, values in series.columns.items()
        },
    }
    return zlib.compress(json.dumps(document, allow_nan=False).encode("ascii"))


def _unpacked(packed: bytes) -> tuple[int | None, dict[str, Floats]]:
    document = json.loads(zlib.decompress(packed))
    columns = {
        name: np.array(values, dtype=np.float64)
        for name, values in document["columns"].items()
        if name in COLUMNS
    }
    return document["first"], columns


def _joined(
    ends: list[int],
    past: Floats,
    first_ahead: int | None,
    ahead: dict[str, Floats],
    earliest: int,
) -> tuple[int, dict[str, Floats]]:
    """Start (unix seconds) and columns of one unbroken axis over past and forecast."""
    begins, stops = ends[:1], ends[-1:]
    hours_ahead = max((len(values) for values in ahead.values()), default=0)
    if first_ahead is not None and hours_ahead:
        begins.append(first_ahead)
        stops.append(first_ahead + (hours_ahead - 1) * HOUR)
    if not begins:
        return 0, {}
    first = min(begins)
    if first - HOUR < earliest:  # only what lies ahead can reach back before `since`
        first = -(-earliest // HOUR) * HOUR + HOUR
    hours = max(0, (max(stops) - first) // HOUR + 1)
    rows = (np.array(ends, dtype=np.int64) - first) // HOUR
    columns = {}
    for i, name in enumerate(COLUMNS):
        column = np.full(hours, np.nan)
        if first_ahead is not None and name in ahead:
            shift = (first_ahead - first) // HOUR
            values = ahead[name][max(0, -shift) :]
            column[max(0, shift) : max(0, shift) + len(values)] = values
        column[rows] = past[:, i]
        columns[name] = column
    return first - HOUR, columns

"""Ensembles that were fetched: the newest of each place, and those that a digest rests on.

Members are kept to hundredths, as the service gives rain, packed: about 20 kB for 51 members.
"""

from __future__ import annotations

import json
import zlib
from datetime import UTC, datetime

import numpy as np

from advisor.series.ensemble import MEMBER_COLUMNS, Ensemble
from advisor.series.hourly import Source
from advisor.store.connection import Connection, instant, microseconds, storable

_PER = 100


class EnsembleLog(Connection):
    """The part of the store that keeps ensembles. `place` is any text that names a place."""

    def keep_ensemble(self, place: str, ensemble: Ensemble) -> None:
        """Keep an ensemble by the instant of its source. Of the older ones of the place those stay
        that a digest used."""
        place, at = storable(place), microseconds(ensemble.source.fetched_at)
        with self.changing() as database:
            database.execute(
                "INSERT INTO ensemble (place, fetched, provider, members) VALUES (?, ?, ?, ?) "
                "ON CONFLICT (place, fetched) DO UPDATE SET "
                "provider = excluded.provider, members = excluded.members",
                (place, at, storable(ensemble.source.provider), _packed(ensemble)),
            )
            database.execute(
                "DELETE FROM ensemble WHERE place = :place AND used = 0 AND fetched <> :at "
                "AND fetched <> (SELECT max(fetched) FROM ensemble WHERE place = :place)",
                {"place": place, "at": at},
            )

    def ensemble(self, place: str, as_of: datetime) -> Ensemble | None:
        """The newest ensemble that was there at `as_of`; None if none was."""
        with self.reading() as database:
            row = database.execute(
                "SELECT fetched, provider, members FROM ensemble "
                "WHERE place = ? AND fetched <= ? ORDER BY fetched DESC LIMIT 1",
                (storable(place), microseconds(as_of)),
            ).fetchone()
        return None if row is None else _unpacked(row[2], Source(row[1], instant(row[0])))

    def newest_ensemble(self, place: str, as_of: datetime) -> datetime | None:
        """When the newest stored ensemble that was there at `as_of` was fetched; None for none."""
        with self.reading() as database:
            row = database.execute(
                "SELECT max(fetched) FROM ensemble WHERE place = ? AND fetched <= ?",
                (storable(place), microseconds(as_of)),
            ).fetchone()
        return None if row[0] is None else instant(row[0])

    def mark_ensemble_used(self, place: str, as_of: datetime) -> bool:
        """Keep the newest ensemble as of a moment for good, since a digest rests on it. False if
        there is none."""
        with self.changing() as database:
            changed = database.execute(
                "UPDATE ensemble SET used = 1 WHERE place = :place AND fetched = "
                "(SELECT max(fetched) FROM ensemble WHERE place = :place AND fetched <= :at)",
                {"place": storable(place), "at": microseconds(as_of)},
            )
            return changed.rowcount == 1


def _packed(ensemble: Ensemble) -> bytes:
    document = {
        "start": int(ensemble.start.timestamp()),
        "step": ensemble.step,
        "columns": {
            name: [
                [None if np.isnan(value) else round(value * _PER) for value in member]
                for member in values.tolist()
            ]
            for name, values in ensemble.columns.items()
        },
    }
    return zlib.compress(json.dumps(document, separators=(",", ":")).encode("ascii"), 9)


def _unpacked(packed: bytes, source: Source) -> Ensemble:
    document = json.loads(zlib.decompress(packed))
    columns = {
        name: np.array(values, dtype=np.float64) / _PER
        for name, values in document["columns"].items()
        if name in MEMBER_COLUMNS
    }
    start = datetime.fromtimestamp(document["start"], UTC)
    return Ensemble(start, columns, source, document["step"])

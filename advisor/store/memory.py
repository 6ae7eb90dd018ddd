"""Small facts that the service carries from one turn to the next, by site and key.

The daemon reads `wake_at` from this table with the standard library alone; its columns are part
of what the two agree on.
"""

from __future__ import annotations

from advisor.store.connection import Connection, storable


class Memory(Connection):
    """The part of the store that keeps small facts as text."""

    def recall(self, site: str, key: str) -> str | None:
        """What was remembered last; None if nothing was."""
        with self.reading() as database:
            row = database.execute(
                "SELECT value FROM memory WHERE site = ? AND key = ?",
                (storable(site), storable(key)),
            ).fetchone()
        return None if row is None else str(row[0])

    def remember(self, site: str, key: str, value: str) -> None:
        """Keep a fact in place of what the key held. It is on the disk when this returns."""
        with self.changing() as database:
            database.execute(
                "INSERT INTO memory (site, key, value) VALUES (?, ?, ?) "
                "ON CONFLICT (site, key) DO UPDATE SET value = excluded.value",
                (storable(site), storable(key), storable(value)),
            )

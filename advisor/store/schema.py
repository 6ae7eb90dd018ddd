"""The database's tables, as steps from each schema number to the next.

A step is never changed once released: what comes later is a step of its own. The number of steps
that a database has taken is its `user_version`.
"""

from __future__ import annotations

MIGRATIONS: tuple[tuple[str, ...], ...] = (
    (
        """
        CREATE TABLE hour (
            place    TEXT    NOT NULL,
            quantity TEXT    NOT NULL,
            "end"    INTEGER NOT NULL,  -- unix seconds at which the hour ends
            value    REAL    NOT NULL,  -- what is not known has no row
            fetched  INTEGER NOT NULL,  -- microseconds since 1970: the answer that told it
            PRIMARY KEY (place, quantity, "end")
        ) WITHOUT ROWID
        """,
        """
        CREATE TABLE run (
            id       INTEGER PRIMARY KEY AUTOINCREMENT,
            place    TEXT    NOT NULL,
            fetched  INTEGER NOT NULL,  -- microseconds since 1970
            provider TEXT    NOT NULL,
            url      TEXT    NOT NULL,
            notes    TEXT    NOT NULL,  -- JSON list of sentences
            ahead    BLOB    NOT NULL,  -- zlib of JSON: {"first": unix end, "columns": {...}}
            used     INTEGER NOT NULL DEFAULT 0,
            UNIQUE (place, fetched)
        )
        """,
        """
        CREATE TABLE digest (
            site    TEXT    NOT NULL,
            "on"    TEXT    NOT NULL,   -- local date that the digest is for
            decided INTEGER NOT NULL,   -- microseconds since 1970
            plan    TEXT    NOT NULL,   -- the plan document, JSON in ASCII
            sent    INTEGER NOT NULL,
            PRIMARY KEY (site, "on", decided)
        ) WITHOUT ROWID
        """,
    ),
)

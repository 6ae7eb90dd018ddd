"""The database's tables, as steps from each schema number to the next.

A step is never changed once released: what comes later is a step of its own. The number of steps
that a database has taken is its `user_version`.
"""

from __future__ import annotations

MIGRATIONS: tuple[tuple[str, ...], ...] = (
    (
        """
        CREATE TABLE hour (
            place        TEXT    NOT NULL,
            "end"        INTEGER NOT NULL,  -- unix seconds at which the hour ends
            fetched      INTEGER NOT NULL,  -- microseconds since 1970: the newest answer in here
            older        TEXT,              -- JSON: the answer of each value that is not from it
            air_temp     REAL,              -- NULL is not known
            dew_point    REAL,
            humidity     REAL,
            rain         REAL,
            rain_chance  REAL,
            wind         REAL,
            gust         REAL,
            radiation    REAL,
            snow_depth   REAL,
            soil_temp_0  REAL,
            soil_temp_6  REAL,
            soil_temp_18 REAL,
            soil_temp_54 REAL,
            PRIMARY KEY (place, "end")
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
    (
        """
        CREATE TABLE letter (
            id         INTEGER PRIMARY KEY AUTOINCREMENT,
            site       TEXT    NOT NULL,
            "on"       TEXT    NOT NULL,   -- local date that the mail is for
            recipient  TEXT    NOT NULL,
            purpose    TEXT    NOT NULL,
            message_id TEXT    NOT NULL,
            message    BLOB    NOT NULL,   -- as it travels
            created    INTEGER NOT NULL,   -- microseconds since 1970
            changed    INTEGER NOT NULL,   -- the last try
            tries      INTEGER NOT NULL DEFAULT 0,
            next_try   INTEGER,            -- NULL is at once for one that is ready
            state      TEXT    NOT NULL DEFAULT 'ready'
                       CHECK (state IN ('ready', 'sent', 'dead', 'replaced')),
            note       TEXT    NOT NULL DEFAULT '',
            UNIQUE (site, "on", recipient, purpose)
        )
        """,
        """
        CREATE TABLE memory (
            site  TEXT NOT NULL,
            key   TEXT NOT NULL,
            value TEXT NOT NULL,
            PRIMARY KEY (site, key)
        ) WITHOUT ROWID
        """,
    ),
    # An alert tells what stands of a digest; it is not one, and has no place among their dates.
    ("ALTER TABLE digest ADD COLUMN purpose TEXT NOT NULL DEFAULT 'digest'",),
    (
        """
        CREATE TABLE past_day (
            place     TEXT    NOT NULL,
            day       INTEGER NOT NULL,  -- GMT days since 1970-01-01
            fetched   INTEGER NOT NULL,  -- microseconds since 1970
            provider  TEXT    NOT NULL,
            air_max   REAL,              -- NULL was asked for and is not known
            air_min   REAL,
            rain      REAL,
            radiation REAL,
            PRIMARY KEY (place, day)
        ) WITHOUT ROWID
        """,
        """
        CREATE TABLE hole (
            place TEXT    NOT NULL,
            "end" INTEGER NOT NULL,      -- unix seconds at which an hour ends that was asked for
            seen  INTEGER NOT NULL,      -- microseconds since 1970: when it first was not known
            PRIMARY KEY (place, "end")
        ) WITHOUT ROWID
        """,
    ),
    (
        """
        CREATE TABLE ensemble (
            id       INTEGER PRIMARY KEY AUTOINCREMENT,
            place    TEXT    NOT NULL,
            fetched  INTEGER NOT NULL,  -- microseconds since 1970
            provider TEXT    NOT NULL,
            members  BLOB    NOT NULL,  -- zlib of JSON: see ensemble_log
            used     INTEGER NOT NULL DEFAULT 0,
            UNIQUE (place, fetched)
        )
        """,
    ),
    (
        """
        CREATE TABLE answer (
            id     INTEGER PRIMARY KEY AUTOINCREMENT,
            site   TEXT    NOT NULL,
            name   TEXT,                -- of the mail; NULL for mails that were only counted
            read   INTEGER NOT NULL,    -- microseconds since 1970
            kind   TEXT    NOT NULL CHECK (kind IN ('heard', 'left')),
            text   TEXT    NOT NULL,    -- JSON list of [text, understood]; why, if left alone
            number INTEGER NOT NULL,    -- mails
            told   TEXT    NOT NULL DEFAULT '',  -- local date of the digest that tells of it
            UNIQUE (site, name)
        )
        """,
    ),
)

"""One SQLite file, opened when first needed, brought to the newest schema, changed in transactions.

A connection belongs to the thread and the process that first use it: open a store per job.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from advisor.store.errors import StoreError
from advisor.store.schema import MIGRATIONS
from advisor.store.snapshot import may_only_read, snapshot

if TYPE_CHECKING:
    from sqlite_utils import Database

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)


class Connection:
    """The base of everything that keeps something in the database at `path` (or ":memory:").

    Nothing is opened or made before the first read or write. Whoever may only read the file can
    read it, as it stood at the first read. Every method raises StoreError for
    what the operator must mend: a folder that is not there, a full disk, a newer schema.
    """

    def __init__(self, path: Path | str, *, busy_seconds: float = 10.0) -> None:
        self.path = str(path)
        self._busy_seconds = busy_seconds
        self._open: Database | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file. A later call opens it again (a database in memory begins anew)."""
        if self._open is not None:
            self._open.close()
            self._open = None

    @contextmanager
    def reading(self) -> Iterator[Database]:
        """The database at one moment: what others write meanwhile is not seen."""
        with self._explained():
            database = self._database()
            with database.atomic():
                yield database

    @contextmanager
    def changing(self) -> Iterator[Database]:
        """The database within one transaction: all of the change is kept, or none of it."""
        with self._explained():
            database = self._database()
            # IMMEDIATE waits for its turn at once; a plain BEGIN fails midway if another writes
            database.conn.execute("BEGIN IMMEDIATE")
            try:
                yield database
            except BaseException:
                database.rollback()
                raise
            database.commit()

    def _database(self) -> Database:
        if self._open is None:
            self._open = self._opened()
        return self._open

    def _opened(self) -> Database:
        # a slow import, and a light command may never read the database
        from sqlite_utils import Database

        copied = False
        try:
            plain = self._file()
        except sqlite3.OperationalError:
            copy = snapshot(Path(self.path)) if may_only_read(Path(self.path)) else None
            if copy is None:
                raise
            plain, copied = copy, True
        try:
            _migrate(plain, self.path)
            if copied:
                plain.execute("PRAGMA query_only = ON")  # a change to the copy would be lost
        except BaseException:
            plain.close()
            raise
        # plug-ins of other programs have no business in this database
        return Database(plain, execute_plugins=False)

    def _file(self) -> sqlite3.Connection:
        plain = sqlite3.connect(self.path, timeout=self._busy_seconds)
        try:
            plain.execute("PRAGMA journal_mode = WAL")
            plain.execute("PRAGMA synchronous = FULL")
            plain.execute("PRAGMA user_version").fetchone()
        except BaseException:
            plain.close()
            raise
        return plain

    @contextmanager
    def _explained(self) -> Iterator[None]:
        try:
            yield
        except (sqlite3.Error, OSError) as error:
            raise StoreError(f"The database {self.path} {_what(error)}.") from error


def _migrate(plain: sqlite3.Connection, path: str) -> None:
    """Take the steps that this database lacks, all or none; refuse one of a newer program."""
    if _version(plain, path) == len(MIGRATIONS):
        return
    plain.execute("BEGIN IMMEDIATE")
    try:
        for step in MIGRATIONS[_version(plain, path) :]:
            for statement in step:
                plain.execute(statement)
        plain.execute(f"PRAGMA user_version = {len(MIGRATIONS)}")
    except BaseException:
        plain.rollback()
        raise
    plain.commit()


def _version(plain: sqlite3.Connection, path: str) -> int:
    version = int(plain.execute("PRAGMA user_version").fetchone()[0])
    if version > len(MIGRATIONS):
        raise StoreError(
            f"The database {path} was written by a newer Swardcast (schema {version}; this one "
            f"knows up to {len(MIGRATIONS)}). Upgrade the program, or move the file away: that "
            "costs its history and nothing else."
        )
    return version


def _what(error: Exception) -> str:
    said = str(error)
    if "unable to open" in said:
        return "cannot be opened: its folder is not there, or this user may not write in it"
    if "readonly" in said or "read-only" in said:
        return "cannot be written: the file, its folder or the disk is read-only for this user"
    if "full" in said:
        return "cannot be written: the disk is full"
    if "locked" in said or "busy" in said:
        return "is in use by another program that does not let go of it"
    if "not a database" in said or "malformed" in said:
        return (
            "is damaged, or is no database. Move it away and start again: that costs its history "
            "and nothing else"
        )
    return f"cannot be used ({said})"


def microseconds(instant: datetime) -> int:
    """An instant as a whole number that sorts; ValueError for one without a zone."""
    if instant.tzinfo is None:
        raise ValueError("an instant needs a time zone")
    return (instant - _EPOCH) // _MICROSECOND


def instant(microseconds_: int) -> datetime:
    """The instant (UTC) that `microseconds` made into a number."""
    return _EPOCH + microseconds_ * _MICROSECOND


def storable(text: str) -> str:
    """Text that SQLite can hold: a lone surrogate (from an odd file name) is spelled out."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")

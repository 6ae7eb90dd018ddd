"""Reading the database as someone who may not write in its folder.

A database with a write-ahead log cannot be opened at all without making files beside it, unless
another program has it open. So a reader without that right reads the whole file into memory. The
file itself changes only while its log is there: with no log before and after, and the same time
stamp, the copy is whole.
"""

from __future__ import annotations

import os
import sqlite3
import time
from pathlib import Path

_TRIES = 20
_PAUSE = 0.05
_JOURNAL_BYTES = slice(18, 20)


def may_only_read(path: Path) -> bool:
    """Whether this user can read the file and cannot write it, or cannot write in its folder."""
    return os.access(path, os.R_OK) and not (
        os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)
    )


def snapshot(path: Path) -> sqlite3.Connection | None:
    """The database as it stands, in memory; None when it never came to rest."""
    log = path.with_name(f"{path.name}-wal")
    for _ in range(_TRIES):
        before = path.stat()
        if not log.exists():
            whole = bytearray(path.read_bytes())
            after = path.stat()
            same = (before.st_mtime_ns, before.st_size) == (after.st_mtime_ns, len(whole))
            if same and not log.exists():
                # these two bytes say “has a write-ahead log”, which memory cannot have
                whole[_JOURNAL_BYTES] = b"\x01\x01"
                connection = sqlite3.connect(":memory:")
                connection.deserialize(bytes(whole))
                return connection
        time.sleep(_PAUSE)
    return None

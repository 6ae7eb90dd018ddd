"""One program at a time in a state folder: a lock that the kernel takes back from the dead."""

from __future__ import annotations

import fcntl
import os
from pathlib import Path
from typing import Self

from advisor.service.disk import STATE_FILE_MODE, STATE_MODE

DAEMON_LOCK = "daemon.lock"
"""The daemon that serves a site holds this file of the site's state folder."""


class LockError(Exception):
    """A lock that is not to be had; the message is a clause that says why and what to mend."""


class HeldError(LockError):
    """Another program holds it."""


class Lock:
    """A locked file, until `release` or the end of this process. No child inherits it."""

    def __init__(self, path: Path, handle: int) -> None:
        self.path = path
        self._handle = handle

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.release()

    def release(self) -> None:
        """Give the lock back; the file stays, since to remove it would be a race."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1


def take_lock(folder: Path, name: str) -> Lock:
    """Lock `name` in a state folder, which is made if it is not there yet; never waits.

    The file tells the number of the process that holds it.

    Raises HeldError when another program (or another call in this one) holds it, LockError when
    the folder or the file cannot be made or locked.
    """
    path = folder / name
    try:
        for part in reversed((folder, *folder.parents)):
            part.mkdir(mode=STATE_MODE, exist_ok=True)
        handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, STATE_FILE_MODE)
    except OSError as error:
        where = error.filename or path
        raise LockError(
            f"{where} cannot be made: {error.strerror}; choose another folder with --state"
        ) from error
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        os.truncate(handle, 0)
        os.pwrite(handle, f"{os.getpid()}\n".encode(), 0)
    except BlockingIOError:
        holder = os.pread(handle, 20, 0).decode("ascii", "replace").strip()
        os.close(handle)
        by = f" by process {holder}" if holder.isdigit() else ""
        raise HeldError(f"{path} is held{by}") from None
    except OSError as error:
        os.close(handle)
        raise LockError(
            f"{path} cannot be locked: {error.strerror}; is the state folder on a local disk with"
            " room left?"
        ) from error
    return Lock(path, handle)

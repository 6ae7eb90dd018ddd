"""Delivery into a Maildir on this machine, for a demo and for whoever reads mail here."""

from __future__ import annotations

import errno
import hashlib
import os
from email.parser import BytesHeaderParser
from email.policy import compat32
from pathlib import Path

from advisor.post.outcome import Kind, Outcome

# Room or a device may come back; a folder that is not ours will not by itself.
_PASSES = {errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EAGAIN, errno.EINTR, errno.ESTALE}


def deliver(folder: Path, message: bytes) -> Outcome:
    """Puts `message` into the Maildir `folder`, which is made if it is not there.

    The file's name comes from the Message-ID, so a mail that is already there, read or not, is
    found and left as it is: that too is delivered. Mails are kept with LF line ends.
    """
    name = _name(message)
    try:
        for part in ("tmp", "new", "cur"):
            (folder / part).mkdir(mode=0o700, parents=True, exist_ok=True)
        if _there(folder, name):
            return Outcome(Kind.DELIVERED, f"The mail is already in {folder.name}.")
        _put(folder, name, message.replace(b"\r\n", b"\n"))
    except OSError as error:
        kind = Kind.TRANSIENT if error.errno in _PASSES else Kind.PERMANENT
        why = error.strerror or type(error).__name__
        return Outcome(kind, f"The Maildir {folder.name} cannot be written: {why}.")
    return Outcome(Kind.DELIVERED, f"The mail is in {folder.name}.")


def _name(message: bytes) -> str:
    """A name that the same mail always gets, in the form that Maildir asks for: a.b.c."""
    head = BytesHeaderParser(policy=compat32).parsebytes(message)
    identity = str(head["Message-ID"]).encode() if head["Message-ID"] else message
    return f"0.{hashlib.sha256(identity).hexdigest()[:32]}.swardcast"


def _there(folder: Path, name: str) -> bool:
    # A reader moves a mail to cur and adds flags after a colon; the name before it stays.
    if (folder / "new" / name).exists():
        return True
    return any(path.name.partition(":")[0] == name for path in (folder / "cur").iterdir())


def _put(folder: Path, name: str, message: bytes) -> None:
    draft = folder / "tmp" / f"{name}.{os.getpid()}"
    try:
        with draft.open("wb") as file:
            os.fchmod(file.fileno(), 0o600)
            file.write(message)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(folder / "new" / name)
    finally:
        draft.unlink(missing_ok=True)
    handle = os.open(folder / "new", os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)

"""What kind of disk a folder lies on, how much room it has, and who may read what is kept there."""

from __future__ import annotations

import os
import re
from pathlib import Path

NETWORK_DISKS = frozenset({
    "9p", "afs", "ceph", "cifs", "davfs", "fuse.davfs", "fuse.glusterfs", "fuse.rclone",
    "fuse.sshfs", "glusterfs", "lustre", "ncpfs", "nfs", "nfs4", "smb3", "smbfs",
})  # fmt: skip
"""Kinds of disk that several machines share. A write-ahead log needs memory that its readers
share, so it does not work there (SQLite's documentation, "Write-Ahead Logging", disadvantages)."""

MOUNTS = Path("/proc/self/mountinfo")

STATE_MODE, STATE_FILE_MODE = 0o750, 0o640
"""State is for the user that runs the program; its group may read it, others may not."""


def nearest(path: Path) -> Path:
    """The path itself, or the nearest one above it at which there is something."""
    here = path.absolute()
    while not os.path.lexists(here) and here != here.parent:
        here = here.parent
    return here


def disk_kind(folder: Path, mounts: Path = MOUNTS) -> str:
    """The file system that a folder lies on, as the kernel calls it; empty where it does not say.

    `mounts` is a table as proc(5) has it in /proc/PID/mountinfo.
    """
    try:
        lines = mounts.read_text("utf-8", "surrogateescape").splitlines()
    except OSError:
        return ""
    real, found, kind = os.path.realpath(folder), "", ""
    for line in lines:
        before, _, after = line.partition(" - ")
        fields, names = before.split(" "), after.split(" ")
        if len(fields) < 5 or not names[0]:
            continue
        point = re.sub(r"\\([0-7]{3})", lambda octal: chr(int(octal[1], 8)), fields[4])
        # of two mounted on the same place the later one is seen
        if len(point) >= len(found) and _within(real, point):
            found, kind = point, names[0]
    return kind


def free_bytes(folder: Path) -> int:
    """Room that is left for this user on the folder's disk. OSError as it comes."""
    there = os.statvfs(folder)
    return there.f_bavail * there.f_frsize


def _within(path: str, point: str) -> bool:
    return path == point or path.startswith(point.rstrip("/") + "/")


def write_private(path: Path, data: bytes) -> None:
    """Write a new file for state, synced to disk, in place of one that a killed program may have
    left under its name. OSError as it comes."""
    path.unlink(missing_ok=True)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, STATE_FILE_MODE)
    with os.fdopen(handle, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())

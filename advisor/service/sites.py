"""Which sites the daemon serves and when each wants to be woken, told without a heavy import.

The site's own models would cost the daemon its small memory: of site.toml only the name is read
here, and of the database one number.
"""

from __future__ import annotations

import math
import re
import sqlite3
import tomllib
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path

SITE_FILE = "site.toml"
SHELF_FILE = "shelf.toml"
DATABASE = "swardcast.sqlite3"
WAKE_KEY = "wake_at"

_NAME = re.compile(r"[a-z0-9-]+")
_LARGEST = 2_000_000
_BUSY_SECONDS = 2.0


class SiteError(Exception):
    """A site that cannot be served; the message is a clause that says what to mend."""


def state_base(given: str | None, environment: Mapping[str, str]) -> Path:
    """Where the state folders of all sites lie: `--state`, systemd's state directory, or the XDG
    one. Absolute, for a child may begin elsewhere."""
    if given:
        return Path(given).absolute()
    if environment.get("STATE_DIRECTORY"):
        return Path(environment["STATE_DIRECTORY"].split(":")[0]).absolute()
    home = environment.get("XDG_STATE_HOME") or str(Path.home() / ".local" / "state")
    return (Path(home) / "swardcast").absolute()


def site_folders(named: Path) -> list[Path]:
    """The site folders that are meant: a folder with a site.toml is one itself, any other holds
    some, one level down, in the order of their names.

    Raises SiteError for what is no folder, or one that cannot be listed.
    """
    try:
        if (named / SITE_FILE).exists():
            return [named]
        return sorted(entry for entry in named.iterdir() if _may_be_site(entry))
    except NotADirectoryError:
        raise SiteError(f"{named} is no folder; name a site's folder") from None
    except OSError as error:
        raise SiteError(
            f"{named} cannot be looked into: {error.strerror}; name a site's folder, or a folder"
            " of sites, that this user may read"
        ) from error


def _may_be_site(entry: Path) -> bool:
    if entry.name.startswith(".") or entry.name == "lost+found":
        return False
    try:
        return (entry / SITE_FILE).exists()
    except PermissionError:
        return True  # to be named as a fault: left out in silence, its owner would wait for ever


def site_id(folder: Path) -> str:
    """The site's name, as site.toml gives it. Whether the rest is right is not asked here.

    Raises SiteError when the file cannot be read or has no name that can be one.
    """
    path = folder / SITE_FILE
    try:
        if not path.is_file():
            raise SiteError(f"{path} is not there, or is no file")
        with path.open("rb") as file:
            data = file.read(_LARGEST + 1)
        if len(data) > _LARGEST:
            raise SiteError(f"{path} is larger than {_LARGEST // 1_000_000} MB")
        name = tomllib.loads(data.decode("utf-8")).get("id")
    except OSError as error:
        raise SiteError(f"{path} cannot be read: {error.strerror}") from error
    except (ValueError, RecursionError) as error:
        raise SiteError(f"{path} is no TOML ({error}); swardcast check tells more") from error
    if not isinstance(name, str) or not _NAME.fullmatch(name):
        raise SiteError(f'{path} names no site: it needs a line like id = "maple-corner"')
    return name


def stamp(folder: Path) -> tuple[tuple[int, int, int] | None, ...]:
    """What changes whenever a file of the owner's is saved in which a fault can be mended."""
    return tuple(_file_stamp(folder / name) for name in (SITE_FILE, SHELF_FILE))


def _file_stamp(path: Path) -> tuple[int, int, int] | None:
    try:
        now = path.stat()
    except OSError:
        return None
    return now.st_mtime_ns, now.st_size, now.st_ino


def wake_at(state: Path, site: str) -> float | None:
    """When a site's last turn asked to be woken, in unix seconds; None when that cannot be told:
    nothing was written yet, or the database cannot be read."""
    path = state / DATABASE
    # Not mode=ro: that leaves two files behind at each look. Nothing is changed all the same.
    address = f"{path.absolute().as_uri()}?mode=rw"
    try:
        with closing(sqlite3.connect(address, uri=True, timeout=_BUSY_SECONDS)) as database:
            database.execute("PRAGMA query_only = ON")
            row = database.execute(
                "SELECT value FROM memory WHERE site = ? AND key = ?", (site, WAKE_KEY)
            ).fetchone()
    except sqlite3.Error:
        return None
    try:
        wanted = float(row[0]) if row is not None else math.inf
    except (TypeError, ValueError):
        return None
    # a time that is no number compares with none, and would never come
    return wanted if math.isfinite(wanted) else None

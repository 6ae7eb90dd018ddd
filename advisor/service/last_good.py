"""The last good copies of the owner's rule files, in the state folder, byte for byte.

Each is written beside its place, synced and renamed, so that a copy is whole or is not there. A
copy is used while its file is broken, and forgotten when the file is gone and all others read
well. Only what writes state anyway keeps copies; whoever just looks uses them as they are.
"""

from __future__ import annotations

import fcntl
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path

from advisor.language.dates import day_text
from advisor.language.words import tell
from advisor.rulebook.blocks import LARGEST_FILE
from advisor.rulebook.layers import Copy
from advisor.service.disk import STATE_MODE, write_private
from advisor.site.place import Site
from advisor.site.problem import Problem

COPIES = "last-good-rules"
SUFFIX = ".rules"

_UNFINISHED = ".unfinished"
"""The one name under which a copy is written; what a killed program left there is overwritten."""


@dataclass(frozen=True)
class Good:
    """Rule files (by name, within `rules/`) that are worth keeping. `whole`: they are all that the
    owner has, so copies of others may be forgotten."""

    files: Mapping[str, bytes] = field(default_factory=dict)
    whole: bool = False


@dataclass
class Copies:
    """The copies that a state folder holds; `problems` fills with what kept them from being
    read."""

    state: Path
    site: Site
    today: date | None
    problems: list[Problem] = field(default_factory=list)

    def read(self) -> dict[str, Copy]:
        """By the name of the file within `rules/`."""
        folder = self.state / COPIES
        found: dict[str, Copy] = {}
        try:
            paths = sorted(path for path in folder.iterdir() if path.suffix == SUFFIX)
        except FileNotFoundError:
            return {}
        except OSError as error:
            self._fault(folder, error)
            return {}
        for path in paths:
            try:
                with path.open("rb") as file:
                    data = file.read(LARGEST_FILE + 1)
                    written = os.fstat(file.fileno()).st_mtime
            except FileNotFoundError:
                continue
            except OSError as error:
                self._fault(path, error)
                continue
            found[path.name] = Copy(data.decode("utf-8", errors="replace"), self._day(written))
        return found

    def _day(self, written: float) -> str:
        day = datetime.fromtimestamp(written, self.site.place.zone_info).date()
        return day_text(day, self.site.units, self.today)

    def _fault(self, path: Path, error: OSError) -> None:
        what = tell("this last good copy cannot be read: {reason}", reason=error.strerror)
        hint = tell("The program reads and writes it; give it back to the user that runs it.")
        self.problems.append(Problem(str(path), 0, 0, what, hint, warning=True))


def keep(good: Good, state: Path) -> Problem | None:
    """Bring the copies in a state folder up to date, as far as they differ.

    Returns what kept it from being done: the decision goes on, and tells it.
    """
    folder = state / COPIES
    try:
        if not good.files and not folder.is_dir():
            return None
        folder.mkdir(mode=STATE_MODE, exist_ok=True)
        with _locked(folder) as handle:
            if _brought_up_to_date(folder, good):
                os.fsync(handle)
    except BlockingIOError:
        return None  # another program is at it, with the same files
    except OSError as error:
        what = tell(
            "the last good copies of your rules cannot be kept here: {reason}",
            reason=error.strerror,
        )
        hint = tell("Make room, or give the folder to the user that runs the program.")
        return Problem(str(folder), 0, 0, what, hint, warning=True)
    return None


@contextmanager
def _locked(folder: Path) -> Iterator[int]:
    """The folder, open and locked; never waits."""
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield handle
    finally:
        os.close(handle)


def _brought_up_to_date(folder: Path, good: Good) -> bool:
    """Whether anything had to be changed."""
    changed = False
    for name, data in good.files.items():
        path = folder / name
        if not path.is_file() or path.read_bytes() != data:
            write_private(folder / _UNFINISHED, data)
            (folder / _UNFINISHED).replace(path)
            changed = True
    if good.whole:
        for path in folder.iterdir():
            if path.suffix == SUFFIX and path.name not in good.files:
                path.unlink()
                changed = True
    return changed

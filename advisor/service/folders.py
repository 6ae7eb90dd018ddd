"""Reading the owner's folder and the shipped rules from disk; where state is kept.

The only code that touches the owner's files. It reads them; only `append_line` writes, under a
lock.
"""

from __future__ import annotations

import fcntl
import os
import stat
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from advisor.rulebook.book import Rulebook, RuleFile
from advisor.rulebook.layers import Copy, OwnFile, layered
from advisor.rulebook.read import read_rulebook
from advisor.service.disk import STATE_FILE_MODE, STATE_MODE
from advisor.service.last_good import COPIES, SUFFIX, Copies, Good
from advisor.shipped import shipped
from advisor.site.facts import Unreadable
from advisor.site.load import (
    ANSWERS_FILE,
    JOURNAL_FILE,
    SHELF_FILE,
    SITE_FILE,
    SiteFiles,
    read_site,
)
from advisor.site.problem import Problem

_OWN = "rules/"
SITE_FILES = (SITE_FILE, SHELF_FILE, JOURNAL_FILE)
LARGEST = 2_000_000
"""Bytes of an owner's file; more than a lifetime of journal."""


class FolderError(Exception):
    """A folder or file that cannot be read or written; the message says what to mend."""


@dataclass(frozen=True)
class Read:
    """A site folder as it stood when it was read. `good` are the owner's rule files that are worth
    keeping a copy of."""

    folder: Path
    files: SiteFiles
    book: Rulebook
    good: Good = field(default_factory=Good)

    @property
    def problems(self) -> tuple[Problem, ...]:
        return (*self.files.problems, *self.book.problems)

    def without(self, told: Container[Problem]) -> Read:
        """The same with some of its problems left out, since they have been told.

        A mistake in a rule is told as long as it is there: what is in force is something else
        than what stands in the file."""
        files = replace(self.files, problems=tuple(p for p in self.files.problems if p not in told))
        rules = tuple(p for p in self.book.problems if p not in told or not p.warning)
        return replace(self, files=files, book=replace(self.book, problems=rules))

    def telling(self, problem: Problem) -> Read:
        """The same with one more thing to tell of the rules."""
        return replace(self, book=replace(self.book, problems=(*self.book.problems, problem)))

    def without_future_lines(self) -> Read:
        """As it stood on the day it was read for: what was written later raises no question, be
        it readable or not."""
        journal = self.files.journal
        questions = tuple(question for question in journal.questions if not question.future)
        unreadable = tuple(line for line in journal.unreadable if not _later(line, journal.today))
        later = {id(question.problem) for question in journal.questions if question.future}
        later |= {id(line.problem) for line in journal.unreadable if line not in unreadable}

        def kept(problems: Iterable[Problem]) -> tuple[Problem, ...]:
            return tuple(problem for problem in problems if id(problem) not in later)

        journal = replace(
            journal,
            questions=questions,
            unreadable=unreadable,
            problems=kept(journal.problems),
        )
        files = replace(self.files, problems=kept(self.files.problems), journal=journal)
        return replace(self, files=files)


def _later(line: Unreadable, today: date | None) -> bool:
    """Whether a line that cannot be read begins with a day after `today`."""
    words = line.problem.text.split(maxsplit=1)
    if today is None or not words:
        return False
    try:
        return date.fromisoformat(words[0]) > today
    except ValueError:
        return False


def read_files(folder: Path, state: Path | None, *, today: date | None) -> SiteFiles:
    """Read what the owner wrote, without rules, and the answers that came by mail.

    `today` is the day after which a line of the journal cannot be a fact yet.

    Raises FolderError when there is no such folder or a file in it cannot be opened.
    """
    return read_site(_texts(folder, state), today=today)


def read_folder(folder: Path, state: Path | None, *, today: date | None) -> Read:
    """The same, with the rules in force: the shipped ones and the owner's.

    Raises FolderError when there is no such folder or a file in it cannot be opened.
    """
    files = read_site(_texts(folder, state), today=today)
    found = _own_rules(folder / "rules")
    copies = None
    if state is not None and files.site is not None:
        copies = Copies(state, files.site, today)

    def kept() -> dict[str, Copy]:
        return {_OWN + name: copy for name, copy in (copies.read() if copies else {}).items()}

    if any(data is not None and not data.strip() for _, data, _ in found):
        found = [_emptied(one, kept()) for one in found]
    own = [OwnFile(_OWN + name, _decoded(data), fault) for name, data, fault in found]
    layers = layered(_shipped_rules(), own, kept)
    good = {}
    if layers.sound:
        good = {
            name: data
            for name, data, _ in found
            if data is not None and _OWN + name not in layers.replaced
        }
    there = os.path.isdir(folder / "rules")  # noqa: PTH112 - never raises
    whole = there and layers.sound and len(good) == len(found)
    read = Read(folder, files, layers.book, Good(good, whole))
    if not there and kept():
        what = "the folder of your own rules is gone, so none of them is in force"
        hint = f"Put it back; if it is meant, delete the folder {COPIES} beside the state as well."
        read = read.telling(Problem(_OWN, 0, 0, what, hint, warning=True))
    for problem in copies.problems if copies else ():
        read = read.telling(problem)
    return read


def book_of(rules: Path) -> Rulebook:
    """The shipped rules under those of a folder, as they stand there. Its problems are told in the
    book; no copy stands in for a broken file.

    Raises FolderError when there is no such folder or a file in it cannot be opened.
    """
    if not os.path.isdir(rules):  # noqa: PTH112 - never raises
        raise FolderError(f"{rules} is no folder; name one with *{SUFFIX} files in it")
    own = [OwnFile(name, _decoded(data), fault) for name, data, fault in _own_rules(rules)]
    if not own:
        raise FolderError(f"{rules} holds no *{SUFFIX} file; name a folder that does")
    return layered(_shipped_rules(), own, dict).book


def shipped_book() -> Rulebook:
    """The rules as they are shipped, with none of the owner's: their trials are about these."""
    return read_rulebook(_shipped_rules())


def _shipped_rules() -> list[RuleFile]:
    paths = _rule_files(shipped("rules"))
    return [RuleFile(f"shipped rules/{path.name}", _text(path) or "") for path in paths]


def journal_texts(folder: Path, state: Path | None) -> dict[str, str]:
    """The two files that make the journal, as far as they are there, in the order they are read.

    Raises FolderError when one cannot be opened.
    """
    texts = _texts(folder, state)
    return {name: texts[name] for name in (JOURNAL_FILE, ANSWERS_FILE) if name in texts}


def _texts(folder: Path, state: Path | None) -> dict[str, str]:
    if not os.path.isdir(folder):  # noqa: PTH112 - never raises, whatever may not be entered
        raise FolderError(
            f"{folder} is no folder; name a site's folder, or lay down the demo with"
            " `swardcast init DIR --demo`"
        )
    places = [folder / name for name in SITE_FILES]
    if state is not None:
        places.append(state / ANSWERS_FILE)
    found = {path.name: _text(path) for path in places}
    return {name: text for name, text in found.items() if text is not None}


def _rule_files(folder: Path) -> list[Path]:
    """The rule files of a folder; none without it. One that cannot be listed is no empty one:
    it may hold something back."""
    try:
        return sorted(path for path in folder.iterdir() if path.suffix == SUFFIX)
    except FileNotFoundError:
        if folder.is_symlink():
            raise FolderError(f"{folder} cannot be read: it is a link that leads nowhere") from None
        return []
    except OSError as error:
        raise FolderError(f"{folder} cannot be read: {error.strerror}") from error


def unread_rule_files(folder: Path) -> list[str]:
    """What looks like rules in a site's folder, or stands among them, and is not read: names
    within the site's folder, in order."""
    found = [path for path in folder.glob(f"*{SUFFIX}") if path.is_file()]
    rules = folder / "rules"
    if rules.is_dir():
        found += [
            path
            for path in rules.iterdir()
            if path.suffix != SUFFIX and not path.name.startswith(".") and path.name[-1] != "~"
        ]
    return sorted(str(path.relative_to(folder)) for path in found)


Own = tuple[str, bytes | None, str]


def _emptied(file: Own, kept: Mapping[str, Copy]) -> Own:
    """A file with nothing in it that held rules before: a save that failed, and not an owner's
    wish."""
    name, data, _ = file
    copy = kept.get(_OWN + name)
    if data is None or data.strip() or copy is None or not copy.text.strip():
        return file
    return name, None, "is empty, and held rules before; if that is meant, delete it"


def _own_rules(folder: Path) -> list[Own]:
    """The owner's rule files: the name of each, with its bytes or what keeps it from being read."""
    found: list[Own] = []
    for path in _rule_files(folder):
        try:
            data = _contents(path)
        except FolderError as error:
            found.append((path.name, None, str(error).removeprefix(f"{path} ")))
            continue
        if data is not None:
            found.append((path.name, data, ""))
        elif path.is_symlink() and not path.name.startswith("."):  # editors lock with such links
            found.append((path.name, None, "cannot be read: it is a link that leads nowhere"))
    return found


def _text(path: Path) -> str | None:
    """A file as text, None if there is none."""
    return _decoded(_contents(path))


def _decoded(data: bytes | None) -> str | None:
    """Bytes that are no UTF-8 stay visible as replacement signs."""
    return None if data is None else data.decode("utf-8", errors="replace")


def _contents(path: Path) -> bytes | None:
    """A file's bytes, None if there is none."""
    try:
        # a pipe would wait for ever for somebody to write
        handle = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
        with os.fdopen(handle, "rb") as file:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise FolderError(f"{path} cannot be read: it is no file")
            data = file.read(LARGEST + 1)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise FolderError(f"{path} cannot be read: {error.strerror}") from error
    if len(data) > LARGEST:
        raise FolderError(f"{path} is larger than {LARGEST // 1_000_000} MB; is it the right file?")
    return data


def environment() -> Mapping[str, str]:
    """The process's environment, read in one place."""
    return os.environ


SEASON_FILE = "season.html"
"""What the season page is called, in the state folder and wherever it is written."""


def state_folder(site_id: str, given: str | None, environment: Mapping[str, str]) -> Path:
    """Where a site's state is kept: `--state`, systemd's state directory, or the XDG one."""
    if given:
        base = Path(given)
    elif environment.get("STATE_DIRECTORY"):
        base = Path(environment["STATE_DIRECTORY"].split(":")[0])
    else:
        home = environment.get("XDG_STATE_HOME") or str(Path.home() / ".local" / "state")
        base = Path(home) / "swardcast"
    return base / site_id


def database_file(state: Path) -> Path:
    """Where a site's database lies in its state folder."""
    return state / "swardcast.sqlite3"


def make_state(state: Path) -> Path:
    """Make a state folder and an empty database where they are not there yet; give the database.

    They are for the user that runs the program and its group, whatever the umask lets through;
    SQLite gives the files beside the database the database's own mode.

    Raises FolderError when they cannot be made.
    """
    path = database_file(state)
    try:
        for folder in reversed((state, *state.parents)):
            folder.mkdir(mode=STATE_MODE, exist_ok=True)
        os.close(os.open(path, os.O_CREAT | os.O_RDONLY, STATE_FILE_MODE))
    except OSError as error:
        where = error.filename or state
        raise FolderError(
            f"{where} cannot be made: {error.strerror}; choose another folder with --state"
        ) from error
    return path


def append_line(path: Path, line: str) -> None:
    """Add one line to a file of the owner's, whole or not at all: locked, and synced to disk.

    Raises FolderError when it cannot be written; what stood there is left as it was.
    """
    try:
        # unbuffered: nothing may be left over that a close would write after all
        with path.open("a+b", buffering=0) as file:
            fcntl.flock(file, fcntl.LOCK_EX)
            end = file.seek(0, os.SEEK_END)
            lead = b""
            if end:
                file.seek(end - 1)
                lead = b"" if file.read(1) == b"\n" else b"\n"
            try:
                left = lead + line.encode("utf-8") + b"\n"
                while left:
                    left = left[file.write(left) :]
                os.fsync(file.fileno())
            except OSError:
                file.truncate(end)
                raise
    except OSError as error:
        raise FolderError(
            f"{path} cannot be written: {error.strerror}; nothing was added"
        ) from error

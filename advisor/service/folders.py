"""Reading the owner's folder and the shipped rules from disk; where state is kept.

The only code that touches the owner's files. It reads; only `append_line` writes, under a lock.
"""

from __future__ import annotations

import fcntl
import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from advisor.rulebook.book import Rulebook, RuleFile
from advisor.rulebook.read import read_rulebook
from advisor.shipped import shipped
from advisor.site.load import SiteFiles, read_site
from advisor.site.problem import Problem

SITE_FILES = ("site.toml", "shelf.toml", "journal.txt")
LARGEST = 2_000_000
"""Bytes of an owner's file; more than a lifetime of journal."""


class FolderError(Exception):
    """A folder or file that cannot be read or written; the message says what to mend."""


@dataclass(frozen=True)
class Read:
    """A site folder as it stood when it was read."""

    folder: Path
    files: SiteFiles
    book: Rulebook

    @property
    def problems(self) -> tuple[Problem, ...]:
        return (*self.files.problems, *self.book.problems)

    def without_future_lines(self) -> Read:
        """As it stood on the day it was read for: what was written later raises no question."""
        journal = self.files.journal
        later = {id(question.problem) for question in journal.questions if question.future}
        questions = tuple(question for question in journal.questions if not question.future)
        kept = tuple(problem for problem in self.files.problems if id(problem) not in later)
        files = replace(self.files, problems=kept, journal=replace(journal, questions=questions))
        return replace(self, files=files)


def read_folder(folder: Path, state: Path | None, *, today: date | None) -> Read:
    """Read a site folder, with the answers that came by mail from its state folder.

    `today` is the day after which a line of the journal cannot be a fact yet.

    Raises FolderError when there is no such folder or a file in it cannot be opened.
    """
    if not folder.is_dir():
        raise FolderError(
            f"{folder} is no folder; name a site's folder, or lay down the demo with"
            " `swardcast init DIR --demo`"
        )
    texts: dict[str, str] = {}
    for name in SITE_FILES:
        path = folder / name
        if path.is_file():
            texts[name] = _text(path)
    if state is not None and (state / "answers.txt").is_file():
        texts["answers.txt"] = _text(state / "answers.txt")
    book = read_rulebook(_rules(shipped("rules"), "rules/"), own=_rules(folder / "rules", "rules/"))
    return Read(folder, read_site(texts, today=today), book)


def _rules(folder: Path, prefix: str) -> list[RuleFile]:
    if not folder.is_dir():
        return []
    return [RuleFile(prefix + path.name, _text(path)) for path in sorted(folder.glob("*.rules"))]


def _text(path: Path) -> str:
    """A file as text; bytes that are no UTF-8 stay visible as replacement signs."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FolderError(f"{path} cannot be read: {error.strerror}") from error
    if len(data) > LARGEST:
        raise FolderError(f"{path} is larger than {LARGEST // 1_000_000} MB; is it the right file?")
    return data.decode("utf-8", errors="replace")


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


def append_line(path: Path, line: str) -> None:
    """Add one line to a file of the owner's, whole or not at all: locked, and synced to disk.

    `today` is the day after which a line of the journal cannot be a fact yet.

    Raises FolderError when it cannot be written; what stood there is left as it was.
    """
    try:
        with path.open("a+b") as file:
            fcntl.flock(file, fcntl.LOCK_EX)
            end = file.seek(0, os.SEEK_END)
            lead = b""
            if end:
                file.seek(end - 1)
                lead = b"" if file.read(1) == b"\n" else b"\n"
            try:
                file.write(lead + line.encode("utf-8") + b"\n")
                file.flush()
                os.fsync(file.fileno())
            except OSError:
                file.truncate(end)
                raise
    except OSError as error:
        raise FolderError(
            f"{path} cannot be written: {error.strerror}; nothing was added"
        ) from error

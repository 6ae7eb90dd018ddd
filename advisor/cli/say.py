"""Printing for people: everything to a terminal goes through here, cleaned."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TextIO

from advisor.digest.clean import clean_text
from advisor.site.problem import Problem

LONGEST_LINE = 2000
"""Characters of one stretch of a line; what an owner's file may have in a line is shorter."""


def out(text: str) -> None:
    _write(sys.stdout, text)


def err(text: str) -> None:
    _write(sys.stderr, text)


def document(text: str) -> None:
    """Print a document for programs as it stands, ending in one line break. Its texts are clean
    already, and cutting a long line would break it."""
    sys.stdout.write(text.rstrip("\n") + "\n")
    sys.stdout.flush()


def _write(stream: TextIO, text: str) -> None:
    """Print a text whose lines may hold what an owner wrote: no control sequence gets through."""
    stream.write("\n".join(_clean(line) for line in text.split("\n")) + "\n")
    stream.flush()


def _clean(line: str) -> str:
    """A line without control sequences; what is set in or in columns stays so, and a caret stays
    below its word: only single spaces are left to `clean_text`, and a tab counts as one."""
    parts = re.split("(^ +| {2,})", line.replace("\t", " "))
    return "".join(part if part.isspace() else clean_text(part, LONGEST_LINE) for part in parts)


def problems(found: Sequence[Problem], stream: TextIO | None = None) -> None:
    """Every problem, the file's order kept, a blank line between two."""
    for problem in sorted(found, key=lambda p: (p.file, p.line, p.column)):
        _write(stream or sys.stderr, f"{problem}\n")


def written(folder: Path, write: Callable[[], Sequence[Path]], *, quiet: bool) -> bool:
    """Whether files could be written into a folder: names each unless `quiet`, or says why not."""
    try:
        files = write()
    except OSError as error:
        err(f"{folder} cannot be written: {error.strerror}.")
        return False
    if not quiet:
        out("\n".join(str(file) for file in files))
    return True

"""Printing for people: everything to a terminal goes through here, cleaned."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TextIO

from advisor.digest.clean import clean_text
from advisor.site.problem import Problem


def out(text: str) -> None:
    _write(sys.stdout, text)


def err(text: str) -> None:
    _write(sys.stderr, text)


def _write(stream: TextIO, text: str) -> None:
    """Print a text whose lines may hold what an owner wrote: no control sequence gets through."""
    stream.write("\n".join(_clean(line) for line in text.split("\n")) + "\n")
    stream.flush()


def _clean(line: str) -> str:
    bare = line.lstrip(" ")
    return " " * (len(line) - len(bare)) + clean_text(bare)


def problems(found: Sequence[Problem], stream: TextIO | None = None) -> None:
    """Every problem, the file's order kept, a blank line between two."""
    for problem in sorted(found, key=lambda p: (p.file, p.line, p.column)):
        _write(stream or sys.stderr, f"{problem}\n")

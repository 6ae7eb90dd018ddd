"""A mistake found in one line, on its way to becoming a problem."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.examples import Shown, of_kind, right_line, suits
from advisor.series.quantity import Kind
from advisor.site.problem import Problem, nearest

NAME = re.compile(r"[a-z][a-z0-9-]*(?<!-)")
"""What a rule or a setting may be called."""

LET = re.compile(r"[a-z][a-z0-9_]*")
"""What a let may be called."""

LONGEST_SHOWN = 500
"""Characters of a line that a message repeats whole."""

_FEW = 9


class LineError(Exception):
    """What is wrong in a line. `column` counts from 1 in the whole line; 0 means all of it.

    The rest is how to mend it, told in this order: `hint`, what is expected; `near`, the nearest
    right word; a right line. That is `example`, or else one that begins like the wrong line and is
    about `shown`, or what the wrong part of the line is about, or has a quantity of `kind`.
    """

    def __init__(
        self,
        what: str,
        column: int = 0,
        width: int = 1,
        hint: str = "",
        *,
        near: str = "",
        example: str = "",
        shown: Shown | None = None,
        kind: Kind | None = None,
    ) -> None:
        super().__init__(what)
        self.what = what
        self.column = column
        self.width = width
        self.hint = hint
        self.near = near
        self.example = example
        self.shown = shown
        self.kind = kind


def listed(known: Sequence[str]) -> str:
    """What a word may be, where there are few; else some of it."""
    words = [f"“{word}”" for word in known]
    if len(words) > _FEW:
        return f"It may be {', '.join(words[:_FEW])}, …"
    return f"It may be {one_of(words)}."


def one_of(words: Sequence[str]) -> str:
    """Words as in a sentence: `a, b or c`."""
    return " or ".join([", ".join(words[:-1]), *words[-1:]] if words[1:] else words)


def unknown(
    what: str, column: int, word: str, known: Sequence[str], *, hint: str = "", example: str = ""
) -> LineError:
    """A word that is none of the known ones."""
    hint = hint or listed(known)
    return LineError(what, column, len(word), hint, near=nearest(word, known), example=example)


@dataclass(frozen=True)
class Line:
    """One line that says something: its first word, and where the rest of it starts.

    `number` counts from 1; `start` is an index into `text`, the line as it stands.
    """

    file: str
    number: int
    text: str
    keyword: str
    start: int

    @property
    def rest(self) -> str:
        return self.text[self.start :].strip()

    @property
    def keyword_column(self) -> int:
        return len(self.text) - len(self.text.lstrip()) + 1

    def problem(self, fault: LineError, *, warning: bool = False) -> Problem:
        short = len(self.text) <= LONGEST_SHOWN
        shown = _clean(self.text if short else self.text[:80] + " …")
        width = max(1, min(fault.width, len(shown) - fault.column + 1))
        example = fault.example or self._right(fault)
        parts = (fault.hint, fault.near, f"A right line: {example}")
        hint = "\n".join(_clean(line) for part in parts for line in part.split("\n") if line)
        what = _clean(fault.what)
        return Problem(self.file, self.number, fault.column, what, hint, shown, width, warning)

    def _right(self, fault: LineError) -> str:
        shown = fault.shown or suits(self._part(fault.column))
        if shown is None and fault.kind is not None:
            shown = of_kind(fault.kind)
        return right_line(self.keyword, self.named, shown)

    def _part(self, column: int) -> str:
        """The one of the alternatives of a condition that a column lies in."""
        text, end = self.text, len(self.text)
        first = text.rfind(" or ", 0, column) + 1 or self.start
        last = text.find(" or ", column)
        return text[max(first, self.start) : last if last > 0 else end]

    @property
    def named(self) -> str:
        """What the line names, made a name that something may have, if it can be."""
        if self.keyword in ("says", "source"):
            return ""
        word = re.match(r"[^\s=#]*", self.rest)
        name = word[0] if word else ""
        if self.keyword not in ("let", "trial", "off"):
            name = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")
        fits = (LET if self.keyword == "let" else NAME).fullmatch(name)
        return name if fits and len(name) <= 40 and name not in FACTS else ""

    def whole(
        self,
        what: str,
        hint: str = "",
        *,
        near: str = "",
        example: str = "",
        warning: bool = False,
    ) -> Problem:
        """A problem that points at the line's first word."""
        place = self.keyword_column, len(self.keyword)
        fault = LineError(what, *place, hint, near=near, example=example)
        return self.problem(fault, warning=warning)


def _clean(text: str) -> str:
    """A text in which every character can be shown, in the place where it was."""
    return "".join(c if c.isprintable() or c == "\t" else "\N{REPLACEMENT CHARACTER}" for c in text)

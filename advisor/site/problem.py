"""A mistake in something that the owner wrote, as a value: where, what, and how to mend it."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import islice

MOST_COMPARED = 1000
"""Known words among which the nearest is looked for: each costs time, and a file may have many."""


@dataclass(frozen=True, order=True)
class Problem:
    """One mistake. `line` and `column` count from 1; 0 means the file as a whole.

    `what` says what is wrong, `hint` how to mend it (an expectation, the nearest valid word, a
    right example; a line each), `text` is the offending line as it stands. A `warning` does not
    stop anything.
    """

    file: str
    line: int
    column: int
    what: str
    hint: str = ""
    text: str = ""
    width: int = 1
    warning: bool = False

    def __str__(self) -> str:
        place = self.file
        if self.line:
            place += f":{self.line}"
            if self.column:
                place += f":{self.column}"
        parts = [f"{place}: {'warning: ' if self.warning else ''}{self.what}"]
        if self.text:
            parts.append(f"    {self.text}")
            if self.column:
                before = "".join("\t" if c == "\t" else " " for c in self.text[: self.column - 1])
                parts.append(f"    {before}{'^' * max(1, self.width)}")
        parts += [f"  {line}" for line in self.hint.splitlines()]
        return "\n".join(parts)

    @property
    def sentence(self) -> str:
        """Place, what is wrong, and how to mend it, as running text."""
        place = f"{self.file}, line {self.line}" if self.line else self.file
        return " ".join([f"{place}: {self.what}.", *self.hint.splitlines()])


def closest(word: str, known: Iterable[str]) -> str:
    """The known word that is most like another, whatever its capitals, or the empty text."""
    folded = {one.casefold(): one for one in islice(known, MOST_COMPARED)}
    close = difflib.get_close_matches(word.casefold(), list(folded), n=1, cutoff=0.6)
    return folded[close[0]] if close else ""


def nearest(word: str, known: Iterable[str]) -> str:
    """“Did you mean …?” for a word that is not known, or the empty text."""
    close = closest(word, known)
    return f"Did you mean “{close}”?" if close else ""

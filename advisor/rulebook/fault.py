"""A mistake found in one line, on its way to becoming a problem."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.site.problem import Problem


class LineError(Exception):
    """What is wrong in a line. `column` counts from 1 in the whole line; 0 means all of it."""

    def __init__(self, what: str, column: int = 0, width: int = 1, hint: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.column = column
        self.width = width
        self.hint = hint


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

    def problem(self, fault: LineError) -> Problem:
        shown = self.text if len(self.text) <= 500 else self.text[:80] + " …"
        return Problem(
            self.file, self.number, fault.column, fault.what, fault.hint, shown, fault.width
        )

    def whole(self, what: str, hint: str = "") -> Problem:
        """A problem that points at the line's first word."""
        return self.problem(LineError(what, self.keyword_column, len(self.keyword), hint))

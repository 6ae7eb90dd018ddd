"""The window of a line: `over the 5 days to it`."""

from __future__ import annotations

from advisor.rulebook.fault import LineError
from advisor.rulebook.grammar import Syntax
from advisor.rulebook.lexing import quantity
from advisor.rulebook.syntax import at, token_of, written_of
from advisor.rulebook.tree import DAY, Window
from advisor.series.quantity import Kind

LONGEST_WINDOW = 400
"""Days that a window may span."""

LONGEST_HOURS = 240
"""Hours that a window of hours may span: as far as a forecast by the hour is good for anything."""


def of_hours(window: Syntax) -> bool:
    """Whether a window is counted in hours."""
    return written_of(window).unit == "hours"


def read_window(window: Syntax, in_days: bool) -> Window:
    """A window in hours where it is `of_hours`, else in days; `in_days`: hours cannot be.

    Raises LineError.
    """
    length, side = token_of(window, 0), token_of(window, 1)
    written = written_of(window)
    unit, longest = "days", LONGEST_WINDOW
    if not in_days and of_hours(window):
        unit, longest = "hours", LONGEST_HOURS
    hint = f"Write 1 to {longest} {unit}."
    if written.unit == "minutes" or (in_days and of_hours(window)):
        what = "a window is counted in days or in hours"
        if in_days:
            what = "a window of a day rule is counted in days"
        raise LineError(what, *at(length), hint)
    exact = quantity(length, Kind.DURATION) * (DAY if unit == "hours" else 1)
    n = round(exact)
    if abs(exact - n) > 1e-9 or not 1 <= n <= longest:
        raise LineError(f"a window cannot span {written}", *at(length), hint)
    ends = {"before": (-n, -1), "to": (1 - n, 0), "from": (0, n - 1), "after": (1, n)}
    return Window(*ends[str(side)])

"""The table of past hours: each value from the newest answer that knows it."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from advisor.series.hourly import COLUMNS, Floats

if TYPE_CHECKING:
    from sqlite_utils import Database

_NAMES = tuple(COLUMNS)
_FIELDS = ", ".join(_NAMES)
_MARKS = ", ".join("?" * (4 + len(_NAMES)))

FROM_ARCHIVE = 0
"""When values of the archive count as given: before every answer of the forecast service, so that
they stand only where none of those knows a value, and go when one comes to know it."""

Row = list[float | None]


def merge_past(
    database: Database, place: str, ends: Sequence[int], columns: Mapping[str, Floats], at: int
) -> None:
    """Bring past hours of an answer into the table, within the caller's transaction.

    `ends` are the hours' ends in unix seconds, rising; each column has their length. `at` is when
    the answer was given, in microseconds. A value that is not known changes nothing, and one from
    a newer answer stays: so answers may come in any order.
    """
    if not ends:
        return
    stored = {
        row[0]: row[1:]
        for row in database.execute(
            f'SELECT "end", fetched, older, {_FIELDS} FROM hour '
            'WHERE place = ? AND "end" BETWEEN ? AND ?',
            (place, ends[0], ends[-1]),
        )
    }
    unknown = np.full(len(ends), np.nan)
    table = np.column_stack([columns.get(name, unknown) for name in _NAMES])
    rows = []
    for end, numbers in zip(ends, table.tolist(), strict=True):
        values: Row = [value if value == value else None for value in numbers]
        fetched, older = at, None
        if end in stored:
            before, told, *known = stored[end]
            fetched, older = _merged(values, at, before, told, known)
        if any(value is not None for value in values):
            rows.append((place, end, fetched, older, *values))
    database.conn.executemany(f"INSERT OR REPLACE INTO hour VALUES ({_MARKS})", rows)


def _merged(
    values: Row, at: int, fetched: int, older: str | None, stored: Sequence[float | None]
) -> tuple[int, str | None]:
    """Put what is stored into `values` where it is newer or the only thing known; return the
    row's `fetched` and `older`."""
    told: dict[str, int] = json.loads(older) if older else {}
    answers = {}
    for i, (name, value) in enumerate(zip(_NAMES, stored, strict=True)):
        before = told.get(name, fetched)
        if value is not None and (values[i] is None or before > at):
            values[i] = value
            answers[name] = before
        elif values[i] is not None:
            answers[name] = at
    newest = max(answers.values(), default=at)
    differing = {name: answer for name, answer in answers.items() if answer != newest}
    return newest, json.dumps(differing) if differing else None


def read_past(database: Database, place: str, first: int, last: int) -> tuple[list[int], Floats]:
    """Known hours that end within `first` to `last` (unix seconds), rising, and their values:
    shape (hours, columns) in the order of `COLUMNS`, NaN where not known."""
    rows = database.execute(
        f'SELECT "end", {_FIELDS} FROM hour WHERE place = ? AND "end" BETWEEN ? AND ? '
        'ORDER BY "end"',
        (place, first, last),
    ).fetchall()
    values = np.array([row[1:] for row in rows], dtype=np.float64)
    return [row[0] for row in rows], values.reshape(len(rows), len(_NAMES))

"""Answers that came by mail: what they were understood to say, and how many mails were left alone.

What is told once a digest that tells it has arrived is told for good; until then the next one tells
it again.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from advisor.store.connection import Connection, microseconds, storable

_UNTOLD = (
    "site = ? AND (told = '' OR NOT EXISTS (SELECT 1 FROM digest WHERE digest.site = answer.site "
    "AND digest.\"on\" = answer.told AND digest.purpose = 'digest' AND digest.sent))"
)


@dataclass(frozen=True)
class Untold:
    """What no digest has told yet: each thing that was heard and whether it was understood, and
    the number of mails that were left alone, by the reason."""

    heard: tuple[tuple[str, bool], ...]
    left: Mapping[str, int]


class AnswerLog(Connection):
    """The part of the store that keeps what came by mail."""

    def was_read(self, site: str, name: str) -> bool:
        """Whether the mail of that name was taken before."""
        with self.reading() as database:
            row = database.execute(
                "SELECT 1 FROM answer WHERE site = ? AND name = ?", (storable(site), name)
            ).fetchone()
        return row is not None

    def remember_heard(
        self, site: str, name: str, told: Sequence[tuple[str, bool]], at: datetime
    ) -> None:
        """Keep what a mail was understood to say. A mail that is known stays as it is."""
        self._add(site, name, at, "heard", json.dumps([list(one) for one in told]), 1)

    def remember_left(self, site: str, counts: Mapping[str, int], at: datetime) -> None:
        """Count mails that were left alone, by the reason."""
        for why, number in counts.items():
            if number:
                self._add(site, None, at, "left", why, number)

    def untold(self, site: str) -> Untold:
        """What no digest has told that arrived, oldest first."""
        with self.reading() as database:
            rows = database.execute(
                f"SELECT kind, text, number FROM answer WHERE {_UNTOLD} ORDER BY id",
                (storable(site),),
            ).fetchall()
        heard: list[tuple[str, bool]] = []
        left: dict[str, int] = {}
        for kind, text, number in rows:
            if kind == "heard":
                heard += [(str(said), bool(understood)) for said, understood in json.loads(text)]
            else:
                left[text] = left.get(text, 0) + number
        return Untold(tuple(heard), left)

    def tell_heard(self, site: str, on: date) -> None:
        """The digest of a date is about to tell of all that none has told."""
        with self.changing() as database:
            database.execute(
                f"UPDATE answer SET told = ? WHERE {_UNTOLD}", (on.isoformat(), storable(site))
            )

    def _add(
        self, site: str, name: str | None, at: datetime, kind: str, text: str, number: int
    ) -> None:
        with self.changing() as database:
            database.execute(
                "INSERT INTO answer (site, name, read, kind, text, number) "
                "VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (site, name) DO NOTHING",
                (storable(site), name, microseconds(at), kind, storable(text), number),
            )

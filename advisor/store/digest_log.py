"""Digests: what was decided, and what was truly sent to the owner.

Only what was sent counts as advised. What is written down as sent is never taken back.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NoReturn

from advisor.store.connection import Connection, instant, microseconds, storable

DIGEST = "digest"


@dataclass(frozen=True)
class Advice:
    """What one digest told to do: the day it was for, when it was decided, whether it could decide
    at all, and its actions as (lawn, document)."""

    on: date
    decided_at: datetime
    decided: bool
    actions: list[tuple[str, dict[str, Any]]]


class DigestLog(Connection):
    """The part of the store that keeps digests."""

    def remember_digest(
        self,
        site_id: str,
        on: date,
        decided_at: datetime,
        plan_json: str,
        sent: bool,
        purpose: str = DIGEST,
    ) -> None:
        """Write down a plan document for the site and the local date that it is for.

        Called again for the same decision, it marks it sent; a plan that was sent stays as it was
        sent. Raises ValueError when `plan_json` is not one JSON object of finite numbers.
        """
        document = json.loads(plan_json, parse_constant=_not_finite)
        if not isinstance(document, dict):
            raise ValueError("a plan document is a JSON object")
        # in ASCII, so that any text that JSON can spell comes back as it was
        plan = json.dumps(document, allow_nan=False)
        with self.changing() as database:
            database.execute(
                'INSERT INTO digest (site, "on", decided, plan, sent, purpose) '
                "VALUES (?, ?, ?, ?, ?, ?) "
                "ON CONFLICT DO UPDATE SET "
                "plan = CASE WHEN digest.sent THEN digest.plan ELSE excluded.plan END, "
                "sent = max(digest.sent, excluded.sent)",
                (
                    storable(site_id),
                    on.isoformat(),
                    microseconds(decided_at),
                    plan,
                    int(sent),
                    storable(purpose),
                ),
            )

    def advised(self, site_id: str, before: datetime) -> list[Advice]:
        """What each digest that was sent, and decided before `before`, told to do; oldest first.

        SQLite picks the few actions out of the plan documents, so that years of digests do not
        have to be read to know what was announced.
        """
        with self.reading() as database:
            rows = database.execute(
                'WITH sent AS (SELECT decided, "on", plan FROM digest '
                "WHERE site = ? AND sent AND decided < ?), "
                "told AS (SELECT s.decided, s.\"on\", json_extract(l.value, '$.name') AS lawn, "
                "a.value AS action FROM sent s, json_each(s.plan, '$.lawns') l, "
                "json_each(l.value, '$.actions') a "
                "WHERE json_extract(a.value, '$.verdict') <> 'wait') "
                "SELECT sent.decided, sent.\"on\", json_extract(sent.plan, '$.cannot_tell'), "
                "told.lawn, told.action FROM sent "
                'LEFT JOIN told ON (told.decided, told."on") = (sent.decided, sent."on") '
                'ORDER BY sent.decided, sent."on"',
                (storable(site_id), microseconds(before)),
            ).fetchall()
        found: dict[tuple[int, str], Advice] = {}
        for decided, on, cannot_tell, lawn, action in rows:
            advice = found.setdefault(
                (decided, on),
                Advice(date.fromisoformat(on), instant(decided), not cannot_tell, []),
            )
            if action is not None:
                advice.actions.append((lawn, json.loads(action)))
        return list(found.values())

    def sent_plans(self, site_id: str, before: datetime) -> list[dict[str, Any]]:
        """The plan documents that were sent and had been decided before `before`, oldest first."""
        with self.reading() as database:
            rows = database.execute(
                "SELECT plan FROM digest WHERE site = ? AND sent AND decided < ? "
                'ORDER BY decided, "on"',
                (storable(site_id), microseconds(before)),
            ).fetchall()
        return [json.loads(plan) for (plan,) in rows]

    def mark_sent(self, site_id: str, on: date, decided_at: datetime) -> None:
        """Write down that a remembered digest reached somebody: now what it advises counts."""
        with self.changing() as database:
            database.execute(
                'UPDATE digest SET sent = 1 WHERE site = ? AND "on" = ? AND decided = ?',
                (storable(site_id), on.isoformat(), microseconds(decided_at)),
            )

    def last_sent(self, site_id: str) -> date | None:
        """The latest local date that a digest was sent for, or None."""
        with self.reading() as database:
            row = database.execute(
                'SELECT max("on") FROM digest WHERE site = ? AND sent AND purpose = ?',
                (storable(site_id), DIGEST),
            ).fetchone()
        return None if row[0] is None else date.fromisoformat(row[0])


def _not_finite(word: str) -> NoReturn:
    raise ValueError(f"a plan document holds {word}, which is not a number")

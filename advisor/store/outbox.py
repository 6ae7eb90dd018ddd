"""The outbox: a mail's bytes and its Message-ID are here before the first try to send it.

A mail's name is (site, local date, recipient, purpose). It is made once: whatever is tried later
is tried with the same bytes, so one that arrives twice can be recognised. A mail moves from
`ready` to `sent`, `dead` or `replaced`, and `sent` is for good.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from advisor.store.connection import Connection, instant, microseconds, storable

State = Literal["ready", "sent", "dead", "replaced"]

BYTES_KEPT = timedelta(days=60)
"""Bytes of a mail that is no longer ready are let go after this; the rest of it is kept."""

LONGEST_WAIT = timedelta(days=1)
"""No next try is set further ahead than this; one that seems to be was set by a wrong clock."""

_FIELDS = (
    'id, site, "on", recipient, purpose, message_id, message, created, tries, next_try, state, note'
)


@dataclass(frozen=True)
class Letter:
    """One mail to one recipient. `next_try` is None before the first try and after the last."""

    id: int
    site: str
    on: date
    recipient: str
    purpose: str
    message_id: str
    message: bytes
    created: datetime
    tries: int
    next_try: datetime | None
    state: State
    note: str


@dataclass(frozen=True)
class Draft:
    """What is put into the outbox for one recipient."""

    recipient: str
    message_id: str
    message: bytes


class Outbox(Connection):
    """The part of the store that keeps mails on their way."""

    def queue(
        self,
        site: str,
        on: date,
        recipient: str,
        purpose: str,
        message_id: str,
        message: bytes,
        created: datetime,
    ) -> bool:
        """Put in one mail, ready to be tried at once; False if one of that name is there already,
        which stays as it is."""
        draft = Draft(recipient, message_id, message)
        return self.queue_all(site, on, purpose, [draft], created) == 1

    def queue_all(
        self, site: str, on: date, purpose: str, drafts: Sequence[Draft], created: datetime
    ) -> int:
        """Put in a mail for each recipient, all or none: a kill in between forgets nobody.

        Returns how many are new; a name that is there already stays as it is.
        """
        at = microseconds(created)
        with self.changing() as database:
            new = 0
            for draft in drafts:
                new += database.execute(
                    'INSERT INTO letter (site, "on", recipient, purpose, message_id, message, '
                    "created, changed) VALUES (?, ?, ?, ?, ?, ?, ?, ?) "
                    'ON CONFLICT (site, "on", recipient, purpose) DO NOTHING',
                    (
                        storable(site),
                        on.isoformat(),
                        storable(draft.recipient),
                        storable(purpose),
                        storable(draft.message_id),
                        draft.message,
                        at,
                        at,
                    ),
                ).rowcount
            database.execute(
                "UPDATE letter SET message = x'' WHERE site = ? AND state <> 'ready' "
                "AND changed < ? AND length(message) > 0",
                (storable(site), microseconds(created - BYTES_KEPT)),
            )
        return new

    def letters_due(self, site: str, now: datetime) -> list[Letter]:
        """The mails to try now, oldest first."""
        return self._letters(
            "site = ? AND state = 'ready' AND (next_try IS NULL OR next_try <= ? OR next_try > ?)",
            storable(site),
            microseconds(now),
            microseconds(now + LONGEST_WAIT),
        )

    def letters(self, site: str, state: State | None = None) -> list[Letter]:
        """All mails of a site, or those in one state, oldest first. Of one that has long left
        `ready` the bytes are empty."""
        if state is None:
            return self._letters("site = ?", storable(site))
        return self._letters("site = ? AND state = ?", storable(site), state)

    def letter_begun(self, letter_id: int, at: datetime, next_try: datetime, note: str) -> bool:
        """A try is about to be made: if nothing more is heard of it, the next is due at `next_try`
        and `note` tells of it. What cannot be written down here must not be tried.

        True if the mail is ready to be tried.
        """
        return self._change(
            "next_try = ?, note = ?, changed = ? WHERE id = ? AND state = 'ready'",
            microseconds(next_try),
            storable(note),
            microseconds(at),
            letter_id,
        )

    def letter_sent(self, letter_id: int, at: datetime) -> bool:
        """The server has accepted it. True if this is news.

        It holds whatever the outbox thought before: what was accepted was sent.
        """
        return self._change(
            "state = 'sent', next_try = NULL, note = '', tries = tries + 1, changed = ? "
            "WHERE id = ? AND state <> 'sent'",
            microseconds(at),
            letter_id,
        )

    def letter_failed(
        self, letter_id: int, at: datetime, next_try: datetime | None, note: str
    ) -> bool:
        """A try has failed, with a sentence on why; without a next try the mail is dead.

        True if it was ready until then; one that is not stays as it is.
        """
        return self._change(
            "state = ?, next_try = ?, note = ?, tries = tries + 1, changed = ? "
            "WHERE id = ? AND state = 'ready'",
            "dead" if next_try is None else "ready",
            None if next_try is None else microseconds(next_try),
            storable(note),
            microseconds(at),
            letter_id,
        )

    def letter_replaced(self, letter_id: int, note: str) -> bool:
        """It has outlived its use and is not tried again. True if it was ready until then."""
        return self._change(
            "state = 'replaced', next_try = NULL, note = ? WHERE id = ? AND state = 'ready'",
            storable(note),
            letter_id,
        )

    def _letters(self, where: str, *values: str | int) -> list[Letter]:
        with self.reading() as database:
            rows = database.execute(
                f"SELECT {_FIELDS} FROM letter WHERE {where} ORDER BY created, id", values
            ).fetchall()
        return [
            Letter(
                id=row[0],
                site=row[1],
                on=date.fromisoformat(row[2]),
                recipient=row[3],
                purpose=row[4],
                message_id=row[5],
                message=bytes(row[6]),
                created=instant(row[7]),
                tries=row[8],
                next_try=None if row[9] is None else instant(row[9]),
                state=row[10],
                note=row[11],
            )
            for row in rows
        ]

    def _change(self, change: str, *values: str | int | None) -> bool:
        with self.changing() as database:
            return database.execute(f"UPDATE letter SET {change}", values).rowcount == 1

"""Looking into a mailbox: what is new in it, how large it is, and the mails themselves.

Nothing is deleted, moved or answered. A mail is fetched without being marked as read, and one that
is larger than an answer can be is never fetched.
"""

from __future__ import annotations

import re
import ssl
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date

from advisor.post.imap import (
    ANSWER_SECONDS,
    FAULTS,
    ImapConfig,
    InboxError,
    Mailbox,
    connect,
    leave,
    told,
)
from advisor.post.replies import LARGEST, LOOKED_AT

SECONDS = 60.0
"""Seconds for one look, whatever the server does."""

MOST_AT_ONCE = 1000
"""Mails of one look; the others wait for the next."""

_SIZES_AT_ONCE = 200
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_SIZE = re.compile(rb"RFC822\.SIZE (\d{1,12})")
_UID = re.compile(rb"\bUID (\d{1,10})")


@dataclass(frozen=True)
class Place:
    """How far a mailbox was looked at: its UIDVALIDITY (RFC 9051, 2.3.1.1) and the last UID."""

    validity: int
    uid: int

    def __str__(self) -> str:
        return f"{self.validity} {self.uid}"

    @classmethod
    def parse(cls, text: str | None) -> Place | None:
        """A place from its text; None for none, and for what is none."""
        match = re.fullmatch(r"(\d{1,10}) (\d{1,10})", text or "")
        return cls(int(match[1]), int(match[2])) if match else None


@dataclass(frozen=True)
class Mail:
    """A mail that is there: its place, and how many octets it has (None: nobody says)."""

    place: Place
    size: int | None

    @property
    def is_huge(self) -> bool:
        return self.size is None or self.size > LARGEST


class Inbox:
    """A selected folder. Every method raises InboxError."""

    def __init__(self, mailbox: Mailbox, config: ImapConfig) -> None:
        self._mailbox, self._config = mailbox, config
        self.validity = self._validity()

    def new(self, place: Place | None, since: date) -> tuple[list[Mail], bool]:
        """The mails behind `place`, oldest first, and whether there are more than these. Where the
        place means nothing here any more, those that arrived `since` a day."""
        known = place is not None and place.validity == self.validity
        last = place.uid if known and place is not None else 0
        day = f"{since.day}-{_MONTHS[since.month - 1]}-{since.year}"
        criteria = f"UID {last + 1}:*" if known else f"SINCE {day}"
        with self._told("the search"):
            found = sorted({int(uid) for uid in self._mailbox.uids(criteria, charset=None)})
        # The last mail is found by `n:*` even where its UID is less.
        uids = [uid for uid in found if uid > last]
        chosen = uids[:MOST_AT_ONCE]
        sizes = self._sizes(chosen)
        mails = [Mail(Place(self.validity, uid), sizes.get(uid)) for uid in chosen]
        return mails, len(uids) > len(chosen)

    def fetch(self, mail: Mail) -> bytes:
        """The beginning of a mail, which stays unread; empty where it is gone. ValueError for one
        that is huge."""
        if mail.is_huge:
            raise ValueError("a huge mail is not fetched")
        with self._told("a mail"):
            found = self._ask("FETCH", str(mail.place.uid), f"(BODY.PEEK[]<0.{LOOKED_AT}>)")
        return next((bytes(one[1]) for one in found if isinstance(one, tuple)), b"")

    def mark_read(self, mail: Mail) -> None:
        """Mark what was taken as read, for whoever looks into the same mailbox."""
        with self._told("a mark"):
            self._ask("STORE", str(mail.place.uid), "+FLAGS.SILENT", r"(\Seen)")

    def _validity(self) -> int:
        with self._told("the folder"):
            found = self._mailbox.client.response("UIDVALIDITY")[1]
            return int(found[-1]) if found and found[-1] else 0

    def _sizes(self, uids: Sequence[int]) -> dict[int, int]:
        sizes: dict[int, int] = {}
        for first in range(0, len(uids), _SIZES_AT_ONCE):
            part = ",".join(map(str, uids[first : first + _SIZES_AT_ONCE]))
            with self._told("the sizes"):
                found = self._ask("FETCH", part, "(UID RFC822.SIZE)")
            for one in found:
                line = one[0] if isinstance(one, tuple) else one
                size, uid = _SIZE.search(line or b""), _UID.search(line or b"")
                if size and uid:
                    sizes[int(uid[1])] = int(size[1])
        return sizes

    def _ask(self, command: str, *arguments: str) -> list[bytes | tuple[bytes, bytes] | None]:
        typ, data = self._mailbox.client.uid(command, *arguments)
        if typ != "OK":
            raise ValueError(f"{command} was answered with {typ}")
        return list(data)

    @contextmanager
    def _told(self, step: str) -> Iterator[None]:
        try:
            yield
        except FAULTS as error:
            raise InboxError(told(error, self._config, step)) from None


@contextmanager
def opened(
    config: ImapConfig,
    *,
    context: ssl.SSLContext | None = None,
    seconds: float = SECONDS,
    answer: float = ANSWER_SECONDS,
) -> Iterator[Inbox]:
    """A mailbox to look into. Raises InboxError; whatever a server does, it ends in time."""
    mailbox = connect(config, context=context, seconds=seconds, answer=answer)
    try:
        yield Inbox(mailbox, config)
    finally:
        leave(mailbox)

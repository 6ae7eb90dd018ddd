"""One look into the mailbox of answers: what bears a good token is written down, all else is left.

First the line, synced, in the file of answers; then the store's memory of it. A look that is killed
between the two finds the mail's name in the file and writes nothing again. A mailbox that fails is
remembered and told, and holds up nothing.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path

from advisor.language.dates import day_text
from advisor.language.speaking import speaking
from advisor.language.words import tell
from advisor.post.imap import ImapConfig, InboxError
from advisor.post.inbox import Inbox, Mail, Place, opened
from advisor.post.replies import Reply, read_reply
from advisor.post.secrets import SecretError, own_key
from advisor.service.answerable import KEY_FILE, known_advice, task_names
from advisor.service.decide import advised_before
from advisor.service.folders import FolderError, append_line, journal_texts
from advisor.service.health import HEARD_WITHIN
from advisor.service.postman import mail_password
from advisor.site.answer_words import About, Known, Told, Understood, is_taken, understand
from advisor.site.journal import Journal
from advisor.site.load import ANSWERS_FILE
from advisor.site.mailbox import Answers
from advisor.site.place import Site
from advisor.site.shelf import Shelf
from advisor.site.sums import sums
from advisor.site.tokens import VALID_FOR, Refused, Token, find, read, without
from advisor.store.database import Store

LOOK_EVERY = timedelta(minutes=15)
SOON = timedelta(minutes=1)
"""Where more mails wait than one look takes, and before a digest, it is looked again so soon."""

BACKOFF = tuple(timedelta(minutes=minutes) for minutes in (15, 30, 60, 120))
"""Waits after the first, second … failure in a row: a password that is refused locks nobody out."""

TRIES = 8
"""A mail at which so many looks have failed is left alone."""

LARGEST_FILE = 1_500_000
"""Octets that the file of answers may grow to: a site's files are read up to a little more."""


@dataclass
class Hearing:
    """A site with the mailbox that its answers arrive in."""

    site: Site
    answers: Answers
    shelf: Shelf
    folder: Path
    state: Path
    store: Store
    now: datetime
    environment: Mapping[str, str]
    wrote: bool = field(default=False, init=False)
    """Whether the last look wrote down anything, so that the journal has to be read again."""

    def next_look(self) -> datetime:
        """When to look next; now or earlier: at once."""
        planned = self._moment("answers_next")
        if planned is None or planned - self.now > BACKOFF[-1]:  # written by a clock that ran ahead
            return self.now
        return planned

    def look(self, *, before_digest: bool = False) -> list[str]:
        """Look, if it is time, or a digest is about to be decided. Returns what was done."""
        last = self._moment("answers_looked")
        just = last is not None and timedelta(0) <= self.now - last < SOON
        if just or (not before_digest and self.next_look() > self.now):
            return []
        self._remember("answers_looked", self.now.isoformat())
        counts: Counter[str] = Counter()
        taken = 0
        more = False
        failure = ""
        try:
            key = own_key(self.state / KEY_FILE)
            config = imap_config(self.answers, self.environment)
            with speaking(self.site.language), opened(config) as inbox:
                taken, more = self._all(inbox, key, counts)
        except (InboxError, SecretError, FolderError) as error:
            failure = f"{str(error).rstrip('.')}."
            if not isinstance(error, InboxError):
                self._remember("answers_trying", "")  # the mail has no part in it
        self.store.remember_left(self.site.id, counts, self.now)
        said = self._outcome(failure, more)
        if taken:
            said.append(f"took {taken} answer{'' if taken == 1 else 's'} by mail")
        if counts:
            told = ", ".join(f"{number} {why}" for why, number in sorted(counts.items()))
            said.append(f"left mails alone: {told}")
        return said

    # What is remembered between looks.

    def _recall(self, key: str) -> str | None:
        return self.store.recall(self.site.id, key)

    def _remember(self, key: str, value: str) -> None:
        self.store.remember(self.site.id, key, value)

    def _moment(self, key: str) -> datetime | None:
        found = self._recall(key)
        return datetime.fromisoformat(found) if found else None

    def _outcome(self, failure: str, more: bool) -> list[str]:
        failures = int(self._recall("answers_failures") or 0)
        before = self._recall("answers_error") or ""
        self._remember("answers_error", failure)
        if not failure:
            self._remember("answers_failures", "0")
            self._remember("answers_failing_since", "")
            self._remember("answers_read", self.now.isoformat())
            self._plan(SOON if more else LOOK_EVERY)
            return ["the mailbox of answers can be read again"] if before else []
        self._remember("answers_failures", str(failures + 1))
        if not self._recall("answers_failing_since"):
            self._remember("answers_failing_since", self.now.isoformat())
        self._plan(BACKOFF[min(failures, len(BACKOFF) - 1)])
        return [f"answers could not be read: {failure}"] if failure != before else []

    def _plan(self, wait: timedelta) -> None:
        self._remember("answers_next", (self.now + wait).isoformat())

    @property
    def _today(self) -> date:
        return self.now.astimezone(self.site.place.zone_info).date()

    # The mails.

    def _all(self, inbox: Inbox, key: bytes, counts: Counter[str]) -> tuple[int, bool]:
        place = Place.parse(self._recall("answers_place"))
        again = place is not None and place.validity != inbox.validity
        mails, more = inbox.new(place, self._today - VALID_FOR - timedelta(1))
        advice: dict[bytes, About] = {}
        if mails:
            advice = known_advice(self.store, self.site, self.shelf, self.now)
        taken = 0
        for mail in mails:
            tries = self._tries(mail)
            why = "malformed" if tries > TRIES else ""
            if not why:
                # One that a look ended with may have been taken by it.
                why = self._one(inbox, mail, key, advice, again or tries > 1)
            taken += why == "taken"
            # What came before the first look, or is seen anew, is no news.
            old = (place is None or again) and why in ("without a token", "automatic")
            if why not in ("taken", "") and not old:
                counts[why] += 1
            # Each at once: who is killed here has counted it, and does not begin anew.
            self._remember("answers_place", str(mail.place))
        if place is None and not mails:
            self._remember("answers_place", str(Place(inbox.validity, 0)))
        return taken, more

    def _tries(self, mail: Mail) -> int:
        """Note that a mail is about to be fetched; how often it is then, if looks ended there."""
        before, _, number = (self._recall("answers_trying") or "").rpartition(" ")
        tries = int(number) + 1 if before == str(mail.place) else 1
        self._remember("answers_trying", f"{mail.place} {tries}")
        return tries

    def _one(
        self, inbox: Inbox, mail: Mail, key: bytes, advice: Mapping[bytes, About], again: bool
    ) -> str:
        """See to one mail. Returns `taken`, or why it was left; the empty text is not counted.
        `again`: it is no replay if it is known."""
        if mail.is_huge:
            return "huge"
        raw = inbox.fetch(mail)
        if not raw:
            return ""
        reply = read_reply(raw)
        tokens, why = self._tokens(reply, key)
        if why:
            return "" if reply.own else why
        texts = journal_texts(self.folder, self.state)
        if self.store.was_read(self.site.id, reply.name):
            return "" if again else "replayed"
        if is_taken(texts, reply.name):
            # The last look was killed before it could remember.
            lines = [x for x in texts[ANSWERS_FILE].split("\n") if f" by mail {reply.name} " in x]
            self._heard(reply.name, [(line.partition("#")[0].strip(), True) for line in lines])
            inbox.mark_read(mail)
            return "taken"
        understood = self._understood(reply, tokens, advice, texts)
        if understood.lines:
            self._append(understood.lines, texts)
        self._heard(reply.name, [(one.text, one.understood) for one in understood.told])
        inbox.mark_read(mail)
        return "taken"

    def _heard(self, name: str, told: Sequence[tuple[str, bool]]) -> None:
        self.store.remember_heard(self.site.id, name, told, self.now)

    def _tokens(self, reply: Reply, key: bytes) -> tuple[list[Token], str]:
        """The good tokens of a mail, from its subject, or else the writer's words, or else what is
        quoted; or why it is left alone."""
        if reply.malformed:
            return [], "malformed"
        if reply.automatic:
            return [], "automatic"
        looked = (find(text) for text in (reply.subject, reply.words, reply.quoted))
        words = next((found for found in looked if found), ())
        seen = [read(key, self.site.id, word, self._today) for word in words]
        good = [one for one in seen if isinstance(one, Token)]
        bad = [one for one in seen if isinstance(one, Refused)]
        return good, "" if good else (bad[0].value if bad else "without a token")

    def _understood(
        self,
        reply: Reply,
        tokens: Sequence[Token],
        advice: Mapping[bytes, About],
        texts: Mapping[str, str],
    ) -> Understood:
        names = dict.fromkeys(token.name for token in tokens)
        about = [advice[name] for name in names if name in advice]
        known = Known(
            {lawn.name: lawn.shown for lawn in self.site.lawns},
            self.shelf,
            texts,
            self._today,
            self.site.units,
            task_names(),
            self._waiting,
        )
        said_on = self._said_on(reply, min(token.issued for token in tokens))
        if not about:
            text = tell(
                "An answer of {day} was about advice that is not known here any more.",
                day=day_text(said_on, self.site.units),
            )
            return Understood((), (Told(text, False),))
        subject = without(reply.subject) if find(reply.subject) else ""
        return understand(without(reply.words), subject, about, reply.name, said_on, known)

    def _waiting(self, journal: Journal) -> frozenset[str]:
        """The ids of the advice that would wait for an answer if the journal stood so."""
        advised = advised_before(self.store, self.site, self.now)
        counted = sums(self.site, self.shelf, journal, advised, self._today)
        return frozenset(one.id for one in (*counted.open_advice, *counted.standing))

    def _said_on(self, reply: Reply, issued: date) -> date:
        """The local day of writing, by the mail's own date where that can be true."""
        if reply.written is None:
            return self._today
        try:
            day = reply.written.astimezone(self.site.place.zone_info).date()
        except (OverflowError, ValueError):
            return self._today
        return day if issued <= day <= self._today else self._today

    def _append(self, lines: Sequence[str], texts: Mapping[str, str]) -> None:
        """All lines of a mail in one stroke, on the disk when this returns. FolderError."""
        path = self.state / ANSWERS_FILE
        if len(texts.get(ANSWERS_FILE, "").encode()) > LARGEST_FILE:
            raise FolderError(f"{path} is full; move older lines of it into your journal")
        append_line(path, "\n".join(lines))
        if ANSWERS_FILE not in texts:
            folder = os.open(self.state, os.O_RDONLY | os.O_DIRECTORY)
            try:
                os.fsync(folder)
            finally:
                os.close(folder)
        self.wrote = True


def imap_config(table: Answers, environment: Mapping[str, str]) -> ImapConfig:
    """The mailbox that a table names, with its password. Raises SecretError."""
    password = mail_password(table, environment)
    assert table.user is not None and password is not None  # checked when the site was read
    return ImapConfig(
        table.server, table.port_used, table.user, password, table.security, table.folder
    )


def hearing(
    site: Site,
    shelf: Shelf,
    folder: Path,
    state: Path,
    store: Store,
    now: datetime,
    environment: Mapping[str, str],
) -> Hearing | None:
    """The mailbox of a site; None where it names none."""
    if site.answers is None:
        return None
    return Hearing(site, site.answers, shelf, folder, state, store, now, environment)


def lasting_failure(store: Store, site: Site, now: datetime) -> str:
    """A sentence for the digest on a mailbox that could not be read for long; else empty."""
    since = store.recall(site.id, "answers_failing_since")
    if site.answers is None or not since:
        return ""
    begun = datetime.fromisoformat(since)
    if now - begun <= HEARD_WITHIN:
        return ""
    day = begun.astimezone(site.place.zone_info).date()
    with speaking(site.language):
        return tell(
            "Answers by mail could not be read since {day}: {why}",
            day=day_text(day, site.units),
            why=store.recall(site.id, "answers_error") or "",
        )

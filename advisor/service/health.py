"""Whether a site is being looked after: what the service did last, and what is overdue.

Everything here is a function of values that were read from the store; nothing is opened, asked or
waited for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING, Protocol
from zoneinfo import ZoneInfo

from advisor.digest.words import Units, age_text, instant_text
from advisor.language.dates import day_text
from advisor.service.schedule import APART, WEEKDAYS, scheduled

if TYPE_CHECKING:
    from advisor.store.database import Store

FETCH_WITHIN = timedelta(hours=24)
"""A forecast is asked for every few hours; a day without one is a failure, not bad luck."""

SENT_WITHIN = timedelta(hours=2)
"""How long after its hour a digest may be on its way."""

HEARD_WITHIN = timedelta(hours=24)
"""A mailbox that has failed for longer is a failure, not bad luck."""

WAKES_WITHIN = timedelta(hours=1)
"""How long after the stored moment the service may still be about to look."""

DIGEST = "digest"

PAST_ERROR = "archive_error"
"""What the newest failure of a look for past weather is remembered as, by place."""


class State(StrEnum):
    """How a check came out."""

    OK = "ok"
    WARNING = "warning"
    FAULT = "fault"


@dataclass(frozen=True)
class Finding:
    """One thing that was looked at: what it is, how it came out, and how to mend it, if need be."""

    name: str
    state: State
    text: str
    mend: str = ""


class LetterLike(Protocol):
    """What is to be known of a mail in the outbox."""

    @property
    def on(self) -> date: ...
    @property
    def recipient(self) -> str: ...
    @property
    def purpose(self) -> str: ...
    @property
    def created(self) -> datetime: ...
    @property
    def tries(self) -> int: ...
    @property
    def next_try(self) -> datetime | None: ...
    @property
    def state(self) -> str: ...
    @property
    def note(self) -> str: ...


@dataclass(frozen=True)
class Remembered:
    """What the store remembers of a site's service; None is what never happened yet.

    `last_digest` is the newest local date of which a digest reached somebody. `waiting` and `dead`
    are mails not yet accepted, and mails given up, those of the newest digest's day or later.
    `past_error` is why the last look for past weather failed, and is empty if it did not; so is
    `answers_error` of the mailbox of answers, which has failed since `deaf_since`.
    """

    first_seen: datetime | None = None
    last_fetch: datetime | None = None
    fetch_error: str = ""
    past_error: str = ""
    last_decision: datetime | None = None
    last_mail: datetime | None = None
    last_digest: date | None = None
    wake_at: datetime | None = None
    waiting: tuple[LetterLike, ...] = ()
    dead: tuple[LetterLike, ...] = ()
    answers_read: datetime | None = None
    answers_error: str = ""
    deaf_since: datetime | None = None


@dataclass(frozen=True)
class Clock:
    """When a site's digest goes out: weekday by its English name, HH:MM, and whose clock."""

    weekday: str
    hour: str
    zone: ZoneInfo
    units: Units = "us"

    def at(self, instant: datetime, now: datetime) -> str:
        """An instant as the site's people read it."""
        today = now.astimezone(self.zone).date()
        return instant_text(instant, self.zone.key, self.units, today)

    def day(self, day: date, now: datetime) -> str:
        return day_text(day, self.units, now.astimezone(self.zone).date())


def remembered(
    recall: Callable[[str], str | None],
    letters: Iterable[LetterLike],
    last_sent: date | None,
    past_error: str = "",
) -> Remembered:
    """Put together what the store has: its small facts by key, the outbox, the newest date that a
    digest was sent for, and why past weather could not be had."""
    found = tuple(letters)
    digests = [letter for letter in found if letter.purpose == DIGEST]
    sent = [letter.on for letter in digests if letter.state == "sent"]
    newest = max([*(letter.on for letter in digests), last_sent or date.min])

    def by_hand(on: date) -> bool:
        """Whether that date's digest reached people all the same, though none of its mails did."""
        return last_sent is not None and last_sent >= on and on not in sent

    return Remembered(
        first_seen=moment(recall("first_seen")),
        last_fetch=moment(recall("last_fetch_ok")),
        fetch_error=recall("fetch_error") or "",
        past_error=past_error,
        last_decision=moment(recall("last_decision")),
        last_mail=moment(recall("last_mail")),
        last_digest=max([*sent, *([last_sent] if last_sent else [])], default=None),
        wake_at=moment(recall("wake_at")),
        waiting=tuple(letter for letter in found if letter.state == "ready"),
        dead=tuple(x for x in found if x.state == "dead" and x.on >= newest and not by_hand(x.on)),
        answers_read=moment(recall("answers_read")),
        answers_error=recall("answers_error") or "",
        deaf_since=moment(recall("answers_failing_since")),
    )


def recalled(store: Store, site_id: str, place: str) -> Remembered:
    """The same, from a site's store; `place` is what its weather is kept under. Raises
    StoreError."""
    return remembered(
        lambda key: store.recall(site_id, key),
        store.letters(site_id),
        store.last_sent(site_id),
        store.recall(place, PAST_ERROR) or "",
    )


def moment(text: str | None) -> datetime | None:
    """An instant from its stored text, ISO 8601 with an offset or unix seconds; None for none,
    and for anything else: a fact that cannot be read did not happen."""
    if not text:
        return None
    try:
        if text.isascii() and text.isdecimal():
            return datetime.fromtimestamp(int(text), UTC)
        found = datetime.fromisoformat(text)
    except (ValueError, OverflowError, OSError):
        return None
    return found if found.tzinfo is not None else None


def last_scheduled(now: datetime, clock: Clock) -> tuple[date, datetime]:
    """The newest date whose digest was to go out at or before `now`, and that moment."""
    today = now.astimezone(clock.zone).date()
    day = today - timedelta((today.weekday() - WEEKDAYS.index(clock.weekday)) % 7)
    if scheduled(day, clock.hour, clock.zone) > now:
        day -= timedelta(7)
    return day, scheduled(day, clock.hour, clock.zone)


def overdue(seen: Remembered, clock: Clock, now: datetime) -> tuple[Finding, ...]:
    """What should have happened by now and did not; empty where all is well."""
    if seen.first_seen is None:
        return (
            Finding(
                "Service",
                State.WARNING,
                "The service has not run for this site yet.",
                "Start it with `swardcast run SITE`, or enable its systemd unit.",
            ),
        )
    found = [
        _not_awake(seen, clock, now),
        _no_forecast(seen, seen.first_seen, now),
        _no_digest(seen, seen.first_seen, clock, now),
        _deaf(seen, clock, now),
        *(_stuck(letter, clock, now) for letter in seen.waiting),
        *(_dead(letter, clock, now) for letter in seen.dead),
    ]
    return tuple(finding for finding in found if finding is not None)


def _not_awake(seen: Remembered, clock: Clock, now: datetime) -> Finding | None:
    if seen.wake_at is None or now - seen.wake_at <= WAKES_WITHIN:
        return None
    return _fault(
        "Service",
        f"The service was to look again at {clock.at(seen.wake_at, now)} and has not.",
        "Is it running? `systemctl status swardcast`, and its log, tell why not.",
    )


def _no_forecast(seen: Remembered, first_seen: datetime, now: datetime) -> Finding | None:
    last = seen.last_fetch or first_seen
    if now - last <= FETCH_WITHIN:
        return None
    why = f" {seen.fetch_error}" if seen.fetch_error else ""
    what = "No new forecast" if seen.last_fetch else "No forecast at all"
    return _fault(
        "Forecast",
        f"{what} for {age_text((now - last).total_seconds() / 3600)}.{why}",
        "Look at this machine's network, then run `swardcast doctor SITE`.",
    )


def _no_digest(
    seen: Remembered, first_seen: datetime, clock: Clock, now: datetime
) -> Finding | None:
    day, due = last_scheduled(now - SENT_WITHIN, clock)
    if due <= first_seen:
        return None
    if seen.last_digest is not None and day - seen.last_digest < APART:
        return None
    return _fault(
        "Digest",
        f"The digest of {clock.day(day, now)} has not been sent.",
        "`swardcast doctor SITE` says what stands in its way.",
    )


def _deaf(seen: Remembered, clock: Clock, now: datetime) -> Finding | None:
    if seen.deaf_since is None or now - seen.deaf_since <= HEARD_WITHIN:
        return None
    return _fault(
        "Answers",
        f"Answers by mail could not be read since {clock.at(seen.deaf_since, now)}."
        f" {seen.answers_error}",
        "Look at [answers] in site.toml; `swardcast doctor SITE` tries the mailbox now.",
    )


def _stuck(letter: LetterLike, clock: Clock, now: datetime) -> Finding | None:
    if now - letter.created <= SENT_WITHIN:
        return None
    why = f" {letter.note}" if letter.note else ""
    return _fault(
        "Mail",
        f"{letter_text(letter, clock, now)} has waited since {clock.at(letter.created, now)}.{why}",
        "It is tried again by itself; `swardcast doctor SITE` tries the mail server now.",
    )


def _dead(letter: LetterLike, clock: Clock, now: datetime) -> Finding:
    why = f" {letter.note}" if letter.note else ""
    return _fault(
        "Mail",
        f"{letter_text(letter, clock, now)} could not be delivered and was given up.{why}",
        "Mend [mail] in site.toml; `swardcast digest SITE --send` then sends a new one.",
    )


def letter_text(letter: LetterLike, clock: Clock, now: datetime) -> str:
    """A mail by what it is: `The digest of Sun Apr 5 to someone@example.net`."""
    what = "digest" if letter.purpose == DIGEST else "alert"
    return f"The {what} of {clock.day(letter.on, now)} to {letter.recipient}"


def _fault(name: str, text: str, mend: str) -> Finding:
    return Finding(name, State.FAULT, text, mend)

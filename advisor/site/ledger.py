"""The journal held against the advice that was sent: what was done, and what nobody answered."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from advisor.series.quantity import Kind
from advisor.site.amounts import Amount, written_amount
from advisor.site.events import (
    Advised,
    Certainty,
    Event,
    advised_event,
    perhaps_too,
    substances,
    tasks_of,
    unknown_amounts,
)
from advisor.site.facts import Applied, Done, Entry, Last, NotYet, Seeded, Skipped, Watered
from advisor.site.lawns import Lawn
from advisor.site.shelf import Product, Shelf

__all__ = [
    "Advised",
    "Answered",
    "Certainty",
    "Event",
    "answer",
    "substances",
    "tasks_of",
]

EARLY = timedelta(days=3)
"""How long before its advice an application may have been made and still answer it."""

WATERING = "watering"

LATE = timedelta(days=14)
"""How long after the advised day an application still answers the advice by itself. Later ones
may be another application, so the advice stays open until the owner answers it."""


@dataclass(frozen=True)
class Given:
    """Water [mm] that a bare answer says was given as advised."""

    lawn: str
    day: date
    mm: float


@dataclass(frozen=True)
class Answered:
    """What the journal makes of the advice: events, water given as advised, the advice that nothing
    answers, and the ids of the advice that was done."""

    events: tuple[Event, ...]
    watered: tuple[Given, ...]
    unanswered: tuple[Advised, ...]
    done: frozenset[str] = frozenset()


class _Case:
    """One advice, and what became of it."""

    def __init__(self, advice: Advised) -> None:
        self.advice = advice
        self.replaced_on: date | None = None
        self.closed = False
        self.skipped = False
        self.put_off = False
        self.assumed: Event | None = None
        """The event that a bare “done” made of the advised amounts."""

    def open_on(self, day: date) -> bool:
        """Whether a line of that day can still answer it (“not yet” leaves it to be answered)."""
        known = self.advice.issued <= day
        return known and not self.closed and not self.replaced_by(day)

    def replaced_by(self, day: date) -> bool:
        return self.replaced_on is not None and self.replaced_on <= day


def _cases(advised: Sequence[Advised]) -> dict[str, list[_Case]]:
    """The advice of one lawn by task, in the order of issue.

    Advice replaces an earlier one of the same task whose day was not over when it was issued: the
    owner was told of another day, and not of a second application. Of water one mail may advise
    several days, which all stand.
    """
    by_task: dict[str, list[_Case]] = {}
    for advice in sorted(advised, key=lambda one: (one.issued, one.day, one.id)):
        line = by_task.setdefault(advice.task, [])
        for case in line:
            # What was advised for the very day of a new digest may be done by then; it stays.
            over = case.advice.day <= advice.issued and case.advice.issued < advice.issued
            again = case.advice.day == advice.day
            over |= advice.task == WATERING and case.advice.issued == advice.issued
            if (again or not over) and case.replaced_on is None:
                case.replaced_on = advice.issued
        line.append(_Case(advice))
    return by_task


class _Ledger:
    """Goes through the entries of one lawn by day, and resolves advice as they answer it."""

    def __init__(self, lawn: Lawn, shelf: Shelf, advised: Sequence[Advised]) -> None:
        self.lawn = lawn
        self.shelf = shelf
        self.cases = _cases([advice for advice in advised if advice.lawn == lawn.name])
        self.events: list[Event] = []
        self.watered: list[Given] = []

    def read(self, entry: Entry) -> None:
        what = entry.what
        if isinstance(what, Applied):
            product = self.put_down(entry, what, None)
            for task in product.serves if product else ():
                self.answer_applied(task, entry.day)
        elif isinstance(what, Done):
            self.done(entry, what)
        elif isinstance(what, Skipped):
            case = self.latest(what.task, entry.day)
            if case:
                case.closed = case.skipped = True
        elif isinstance(what, NotYet):
            case = self.latest(what.task, entry.day)
            if case:
                case.put_off = True
        elif isinstance(what, Seeded):
            self.note(entry.day, "overseed", entry.text, {})
            self.answer_applied("overseed", entry.day)
        elif isinstance(what, Watered):
            self.note(entry.day, "watering", entry.text, {})
            self.answer_watered(entry.day)
        elif isinstance(what, Last) and what.day is not None:
            self.last(entry, what.task, what.day)

    def latest(self, task: str, day: date) -> _Case | None:
        """The latest advice that a line of that day can answer; of water, that of the nearest day,
        since several may stand."""
        open_ = [case for case in reversed(self.cases.get(task, [])) if case.open_on(day)]
        if task == WATERING:
            return min(open_, key=lambda case: abs(day - case.advice.day), default=None)
        return open_[0] if open_ else None

    def note(self, day: date, task: str, text: str, amounts: dict[str, float]) -> Event:
        """An event of that one task."""
        event = Event(day, self.lawn.name, frozenset({task}), None, amounts, Certainty.DONE, text)
        self.events.append(event)
        return event

    def unknown(self, day: date, task: str, text: str) -> None:
        """The task was done, and nobody knows with what."""
        event = self.note(day, task, text, unknown_amounts(task, self.shelf))
        too = perhaps_too(event, self.shelf)
        if too is not None:
            self.events.append(too)

    def last(self, entry: Entry, task: str, day: date) -> None:
        """A stated last time; what a line of that day says was put down needs no guess."""
        told = any(
            event.day == day and task in event.tasks and event.certainty is Certainty.DONE
            for event in self.events
        )
        if told:
            self.note(day, task, entry.text, {})
        else:
            self.unknown(day, task, entry.text)

    def put_down(self, entry: Entry, what: Applied | Done, task: str | None) -> Product | None:
        """The event of a line that names product and amount; None for a line that does not."""
        product = self.shelf.get(what.product or "")
        amount = written_amount(what.written, Kind.MASS, Kind.VOLUME) if what.written else None
        if product is None or amount is None:
            return None
        event = Event(
            entry.day,
            self.lawn.name,
            tasks_of(product, self.shelf) | ({task} if task else set()),
            product.name,
            self.brought(product, amount, what),
            Certainty.DONE,
            entry.text,
        )
        self.events.append(event)
        return product

    def brought(self, product: Product, amount: Amount, what: Applied | Done) -> dict[str, float]:
        """What the ground that got some has had, see `Event`: where a spreader ran out too soon,
        that is less ground, and each part of it had more."""
        short = what.short_m2 if isinstance(what, Applied) else 0.0
        covered = self.lawn.treated_m2 - short
        found = substances(product, amount, covered if covered > 0 else self.lawn.treated_m2)
        return found if covered > 0 else dict.fromkeys(found, math.inf)

    def answer_applied(self, task: str, day: date) -> None:
        """An application answers the advice it follows, or one that came days after it.

        Where a bare “done” of the same day had taken the advised amounts, the stated ones hold.
        """
        cases = self.cases.get(task, [])
        before = [case for case in cases if case.advice.issued <= day and not case.replaced_by(day)]
        newest = before[-1] if before else None
        if newest and newest.assumed in self.events and newest.assumed.day == day:
            self.events.remove(newest.assumed)
            newest.assumed = None
            return
        if newest and newest.open_on(day) and day <= newest.advice.day + LATE:
            newest.closed = True
            return
        for case in cases:
            if day < case.advice.issued <= day + EARLY and not case.closed:
                case.closed = True
                return

    def answer_watered(self, day: date) -> None:
        """Water that was given answers the advice whose day is nearest, and only one: a digest
        may ask for several waterings."""
        near = [
            case
            for case in self.cases.get(WATERING, [])
            if case.open_on(day) and abs(day - case.advice.day) <= EARLY
        ]
        if near:
            min(near, key=lambda case: abs(day - case.advice.day)).closed = True

    def done(self, entry: Entry, what: Done) -> None:
        case = self.latest(what.task, entry.day)
        if what.task == WATERING and case is not None:
            # A bare “done” took the advised depth, which the water balance wants to know.
            self.watered.append(Given(self.lawn.name, entry.day, case.advice.amount))
        if self.put_down(entry, what, what.task) is not None:
            if case:
                case.closed = True
        elif case:
            case.closed = True
            event = advised_event(case.advice, self.lawn, self.shelf, Certainty.DONE)
            case.assumed = replace(event, day=entry.day, text=entry.text)
            self.events.append(case.assumed)
            too = perhaps_too(case.assumed, self.shelf)
            if too is not None:
                self.events.append(too)
        elif self.confirms(what.task, entry.day):
            self.note(entry.day, what.task, entry.text, {})
        else:
            self.unknown(entry.day, what.task, entry.text)

    def confirms(self, task: str, day: date) -> bool:
        """Whether a bare “done” repeats what a line with amounts said in the days before it."""
        return any(
            task in event.tasks
            and event.product is not None
            and event.certainty is Certainty.DONE
            and timedelta(0) <= day - event.day <= LATE
            for event in self.events
        )

    def unanswered(self, today: date) -> list[Advised]:
        return [
            case.advice
            for line in self.cases.values()
            for case in line
            if case.open_on(today) and not case.put_off
        ]

    def carried_out(self) -> set[str]:
        return {
            case.advice.id
            for line in self.cases.values()
            for case in line
            if case.closed and not case.skipped
        }


def answer(
    lawns: Sequence[Lawn],
    shelf: Shelf,
    entries: Sequence[Entry],
    advised: Sequence[Advised],
    today: date,
) -> Answered:
    """Work through the journal's entries, in their order, against the advice that was sent.

    Entries and advice of days after `today` are not there yet.
    """
    events: list[Event] = []
    watered: list[Given] = []
    unanswered: list[Advised] = []
    done: set[str] = set()
    sent = [advice for advice in advised if advice.issued <= today]
    for lawn in lawns:
        ledger = _Ledger(lawn, shelf, sent)
        for entry in entries:
            if lawn.name in entry.lawns and entry.day <= today:
                ledger.read(entry)
        events += ledger.events
        watered += ledger.watered
        unanswered += ledger.unanswered(today)
        done |= ledger.carried_out()
    return Answered(
        tuple(sorted(events, key=lambda event: event.day)),
        tuple(watered),
        tuple(sorted(unanswered, key=lambda one: (one.issued, one.day, one.lawn, one.task))),
        frozenset(done),
    )

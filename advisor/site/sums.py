"""The sums: what was done on each lawn, when last, and how much of what it brought in a year.

Everything is an interval that holds the truth. What was surely done makes its one end, what was
perhaps done the other, and what nobody wrote down is not zero but unknown.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from advisor.site.events import (
    BASE_TASKS,
    Advised,
    Certainty,
    Event,
    perhaps_done,
    tasks_of,
)
from advisor.site.facts import (
    Applied,
    Done,
    Entry,
    Laid,
    Last,
    Mowed,
    NotYet,
    Rain,
    Seen,
    Skipped,
    Soil,
    SoilTest,
    Unreadable,
    Watered,
    record_of,
)
from advisor.site.journal import Journal, write_line
from advisor.site.ledger import WATERING, Given, answer
from advisor.site.place import Site
from advisor.site.shelf import Shelf

Floats = NDArray[np.float64]

ASK_ABOUT_WATER = timedelta(days=14)


@dataclass(frozen=True)
class Asked:
    """An advice that nothing answers, with the lines that would answer it, ready to paste."""

    advised: Advised
    answers: tuple[str, str, str]


@dataclass(frozen=True)
class Sums:
    """What is known on `today` of what was put down. Made by `sums`.

    `open_advice`: unanswered, and its day is over: perhaps done. `standing`: unanswered, and its
    day is still to come (or is today). `done_advice`: the ids of what was answered as done.
    """

    site: Site
    shelf: Shelf
    journal: Journal
    today: date
    all_events: tuple[Event, ...]
    open_advice: tuple[Advised, ...]
    standing: tuple[Advised, ...]
    watered_as_advised: tuple[Given, ...] = ()
    done_advice: frozenset[str] = frozenset()

    @property
    def start(self) -> date | None:
        """The day from which the journal tells all that was done; None: from no day."""
        return self.journal.start

    def events(self, lawn: str) -> tuple[Event, ...]:
        """The events of a lawn by day: done, perhaps done and planned."""
        return self._events_by_lawn.get(lawn, ())

    def with_planned(self, event: Event) -> Sums:
        """These sums with one more event; it counts as certain from its day on."""
        together = sorted((*self.all_events, event), key=lambda one: one.day)
        return replace(self, all_events=tuple(together))

    def days_since(self, lawn: str, what: str, days: Sequence[date]) -> tuple[Floats, Floats]:
        """Days since a task or deed was last done, or something was last seen, as of each of
        `days`: (low, high), shape (days,).

        The last sure event bounds it from above, the last possible one from below. Before the
        journal begins anything may have been done, so it is at least the days since then; a line
        that cannot be read may tell of it, on its day, or on any day up to today when not even
        its date can be read. No sure event: high is infinite.
        """
        events, told = self._of(lawn, what), self._records.get((lawn, what), [])
        done = [event.day for event in events if event.certainty is not Certainty.PERHAPS]
        sure = sorted([*told, *done])
        possible = sorted({*told, *(e.day for e in events)} | self._unread_days(lawn, what))
        undated = self._undated(lawn, what)
        known_from = self._known_from(lawn, what)
        axis = np.array([day.toordinal() for day in days], dtype=np.float64)
        high = axis - _last(sure, axis)
        low = axis - _last(possible, axis)
        low = np.minimum(low, self._since_unknown(axis, known_from))
        if undated:
            low = np.minimum(low, np.maximum(0.0, axis - self.today.toordinal()))
        return np.minimum(low, high), high

    def total(
        self, lawn: str, substance: str, year: int, *, upto: date | None = None
    ) -> tuple[float, float]:
        """g/m2 of a substance (see `Event`) in a calendar year up to and with `upto`: (low, high).

        High is infinite where some may have been put down and nobody knows how much: before the
        journal begins, unless a stated last time lies in an earlier year; by a line that cannot be
        read; by a product that nobody named.
        """
        first, last = date(year, 1, 1), min(upto or date.max, date(year, 12, 31))
        low = high = 0.0
        for event in self.events(lawn):
            amount = event.grams_per_m2.get(substance, 0.0)
            if first <= event.day <= last and amount > 0:
                high += amount
                if event.certainty is not Certainty.PERHAPS and not math.isinf(amount):
                    low += amount
        if self._untold(lawn, substance, first, last) or self._unread_in(lawn, first, last):
            high = math.inf
        return low, high

    def irrigation(self, lawn: str, days: Sequence[date]) -> Floats:
        """Irrigation [mm] that the journal tells of, answers to advice included, shape (days,); 0
        where it tells of none."""
        logged: dict[date, float] = {}
        for entry in self._entries(lawn):
            if isinstance(entry.what, Watered):
                logged[entry.day] = logged.get(entry.day, 0.0) + entry.what.mm
        for given in self.watered_as_advised:
            if given.lawn == lawn:
                logged[given.day] = logged.get(given.day, 0.0) + given.mm
        return np.array([logged.get(day, 0.0) for day in days], dtype=np.float64)

    def gauge_readings(self, lawn: str) -> list[tuple[date, date, float]]:
        """What the owner's gauge held: (first day, last day, mm), in order and without overlap.

        A line is the rain since the line before it: from the day after that one. The first line
        speaks of its own day and the day before. Two lines of one day are added.
        """
        found: list[tuple[date, date, float]] = []
        for entry in self._entries(lawn):
            if not isinstance(entry.what, Rain):
                continue
            if found and found[-1][1] == entry.day:
                first, last, mm = found.pop()
                found.append((first, last, mm + entry.what.mm))
                continue
            first = found[-1][1] + timedelta(1) if found else entry.day - timedelta(1)
            found.append((first, entry.day, entry.what.mm))
        return found

    def seen(self, lawn: str) -> list[tuple[date, str]]:
        """What was seen on the lawn, by day: (day, one of `facts.SEEN`)."""
        return [
            (entry.day, entry.what.what)
            for entry in self._entries(lawn)
            if isinstance(entry.what, Seen)
        ]

    def mowings(self, lawn: str) -> list[tuple[date, float | None]]:
        """The days on which the lawn was mown, with the height in metres where it was told."""
        return [
            (entry.day, entry.what.height_m)
            for entry in self._entries(lawn)
            if isinstance(entry.what, Mowed)
        ]

    def new_grass(self, lawn: str) -> list[tuple[date, bool, bool]]:
        """When seed or sod came onto the lawn, by day: (day, whether it was sod, whether surely).

        Seed that was advised and not answered was perhaps sown. What was sown before the journal
        begins is not asked about: the owner describes the lawn that there is.
        """
        found = [
            (event.day, False, event.certainty is not Certainty.PERHAPS)
            for event in self._of(lawn, "overseed")
        ]
        found += [
            (entry.day, True, True) for entry in self._entries(lawn) if isinstance(entry.what, Laid)
        ]
        return sorted(found)

    def soil_readings(self, lawn: str) -> list[tuple[date, Soil]]:
        """The owner's soil thermometer, by day."""
        return [
            (entry.day, entry.what) for entry in self._entries(lawn) if isinstance(entry.what, Soil)
        ]

    def soil_tests(self, lawn: str, of: str) -> list[tuple[date, str | None]]:
        """What soil tests of `of` (see `words.TESTS`) said, by day: (day, result). None where a
        line cannot be read that may tell; nothing at all where not even its day can be."""
        name = f"{of}-test"
        if self._undated(lawn, name):
            return []
        read = [
            (entry.day, entry.what.result)
            for entry in self._entries(lawn)
            if isinstance(entry.what, SoilTest) and entry.what.of == of
        ]
        unread = [(day, None) for day in self._unread_days(lawn, name)]
        return sorted([*read, *unread], key=lambda one: one[0])

    def asks(self, today: date | None = None) -> tuple[Asked, ...]:
        """The open advice, newest first, each with three answer lines: done, skipped, not yet.

        The lines bear the advised day, so that each answers that advice and no later one. Water of
        more than two weeks ago is not asked about: the soil has forgotten it.
        """
        now = today or self.today
        return tuple(
            Asked(
                advice,
                (
                    write_line(advice.day, advice.lawn, Done(advice.task)),
                    write_line(advice.day, advice.lawn, Skipped(advice.task)),
                    write_line(advice.day, advice.lawn, NotYet(advice.task)),
                ),
            )
            for advice in sorted(
                (*self.open_advice, *self.standing),
                key=lambda one: (one.issued, one.day),
                reverse=True,
            )
            if advice.day < now and (advice.task != WATERING or now - advice.day <= ASK_ABOUT_WATER)
        )

    def _of(self, lawn: str, task: str) -> list[Event]:
        return [event for event in self.events(lawn) if task in event.tasks]

    # A plan asks for a total on every day of its axis: what depends on the lawn alone is kept.
    @cached_property
    def _events_by_lawn(self) -> dict[str, tuple[Event, ...]]:
        found: dict[str, list[Event]] = {}
        for event in self.all_events:
            found.setdefault(event.lawn, []).append(event)
        return {lawn: tuple(events) for lawn, events in found.items()}

    @cached_property
    def _entries_by_lawn(self) -> dict[str, list[Entry]]:
        found: dict[str, list[Entry]] = {}
        for entry in self.journal.entries:
            if entry.day <= self.today:
                for lawn in entry.lawns:
                    found.setdefault(lawn, []).append(entry)
        return found

    @cached_property
    def _records(self) -> dict[tuple[str, str], list[date]]:
        """By lawn and name (see `facts.record_of`), the days on which it was recorded."""
        found: dict[tuple[str, str], list[date]] = {}
        for lawn, entries in self._entries_by_lawn.items():
            for entry in entries:
                if (name := record_of(entry.what)) is not None:
                    found.setdefault((lawn, name), []).append(entry.day)
        return found

    @cached_property
    def _last_times(self) -> dict[tuple[str, str], list[date]]:
        """By lawn and task, the stated last times from which on the journal is without a gap."""
        found: dict[tuple[str, str], list[date]] = {}
        for lawn, entries in self._entries_by_lawn.items():
            for entry in entries:
                what = entry.what
                if not isinstance(what, Last) or what.day is None:
                    continue
                if self.start is not None and entry.day >= self.start:
                    found.setdefault((lawn, what.task), []).append(what.day)
        return found

    def _entries(self, lawn: str) -> list[Entry]:
        return self._entries_by_lawn.get(lawn, [])

    def _unread_days(self, lawn: str, name: str) -> set[date]:
        return {
            line.day
            for line in self.journal.unreadable
            if line.day is not None and line.day <= self.today and line.may_tell(lawn, name)
        }

    def _undated(self, lawn: str, name: str) -> bool:
        """Whether a line may tell of that task or record on a day that cannot be told."""
        unread = (line for line in self.journal.unreadable if line.day is None)
        lines: tuple[Unreadable | Entry, ...] = (*unread, *self._misdated())
        return any(line.may_tell(lawn, name) for line in lines)

    def _misdated(self) -> list[Entry]:
        """Lines with a day to come, where the journal was read for this very day: it is more
        likely that their date is wrong than that nothing was done."""
        if self.journal.today != self.today:
            return []
        return [question.entry for question in self.journal.questions if question.future]

    def _unread_in(self, lawn: str, first: date, last: date) -> bool:
        if any(
            lawn in line.lawns
            and line.application
            and (line.day is None or (first <= line.day <= last and line.day <= self.today))
            for line in self.journal.unreadable
        ):
            return True
        return any(
            lawn in entry.lawns and isinstance(entry.what, Applied | Done)
            for entry in self._misdated()
        )

    def _known_from(self, lawn: str, task: str) -> date | None:
        if self.start is None:
            return None
        return min((self.start, *self._last_times.get((lawn, task), [])))

    @staticmethod
    def _since_unknown(axis: Floats, known_from: date | None) -> Floats:
        if known_from is None:
            return np.zeros_like(axis)
        return np.maximum(0.0, axis - known_from.toordinal())

    def _untold(self, lawn: str, substance: str, first: date, last: date) -> bool:
        """Whether some of a substance may have been put down between `first` and the journal's
        beginning."""
        if self.start is not None and self.start <= first:
            return False
        if last < first or self.start is None:
            return self.start is None

        def told(task: str) -> bool:
            return any(day < first for day in self._last_times.get((lawn, task), []))

        base = BASE_TASKS.get(substance, ())
        carriers = [
            product
            for product in self.shelf.products
            if substance == f"product:{product.name}"
            or product.nutrients_per(1.0).get(substance, 0.0) > 0
        ]
        if not base and not carriers:
            return True
        return not (
            all(told(task) for task in base)
            and all(any(map(told, tasks_of(product, self.shelf))) for product in carriers)
        )


def _last(days: Sequence[date], axis: Floats) -> Floats:
    """The ordinal of the last of `days` (sorted) up to each of `axis`; -inf where there is none."""
    known = np.array([-np.inf, *(day.toordinal() for day in days)])
    return known[np.searchsorted(known, axis, side="right") - 1]


def _homed(site: Site, advised: Sequence[Advised]) -> list[Advised]:
    """The advice, by the lawns that there are. One for a lawn that is gone (renamed, or parted in
    two) may have been done on any of them, so it stands for each until it is answered there."""
    names = [lawn.name for lawn in site.lawns]
    return [
        replace(advice, lawn=name)
        for advice in advised
        for name in ([advice.lawn] if advice.lawn in names else names)
    ]


def sums(
    site: Site,
    shelf: Shelf,
    journal: Journal,
    advised: Sequence[Advised],
    today: date,
    planned: Sequence[Event] = (),
) -> Sums:
    """The sums as of `today`: lines and advice of later days are not there yet.

    `advised` are the actions of digests that were sent. An advice whose day is over and that
    nothing answers is an event that was perhaps done, on its day or its second.
    """
    answered = answer(site.lawns, shelf, journal.entries, _homed(site, advised), today)
    past = tuple(advice for advice in answered.unanswered if advice.day < today)
    standing = tuple(advice for advice in answered.unanswered if advice.day >= today)
    perhaps = [
        event for advice in past for event in perhaps_done(advice, site.lawn(advice.lawn), shelf)
    ]
    events = sorted((*answered.events, *perhaps, *planned), key=lambda event: event.day)
    return Sums(
        site, shelf, journal, today, tuple(events), past, standing, answered.watered, answered.done
    )

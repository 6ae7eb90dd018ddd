"""What a digest has to own up to: that it is late, that another did not come, that a mail failed.

Each thing is told once, and counts as told only when the digest that tells it has arrived.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from advisor.language.dates import day_text
from advisor.language.words import tell
from advisor.service.schedule import Due
from advisor.store.database import Store
from advisor.store.outbox import Letter

GAP = timedelta(days=10)
"""More than this between two digests, and one of them did not come."""


def lateness(due: Due, last: date | None, units: str) -> tuple[str, ...]:
    """Sentences on a digest that comes late, and on ones before it that did not come."""
    said = []
    if last is not None and due.on - last > GAP:
        said.append(
            tell(
                "There was no digest between {first} and {last}: the service was not running.",
                first=day_text(last, units),
                last=day_text(due.on, units),
            )
        )
    if due.late:
        said.append(tell("This digest is late: the service was not running at its hour."))
    return tuple(said)


@dataclass(frozen=True)
class Undelivered:
    """Mails that failed for good and were not told of yet, and ones that a new digest replaces."""

    dead: tuple[Letter, ...]
    outlived: tuple[Letter, ...]

    def sentences(self) -> tuple[str, ...]:
        return tuple(
            tell(
                "The mail of {day} to {recipient} did not arrive. {note}",
                day=letter.on,
                recipient=letter.recipient,
                note=letter.note,
            )
            for letter in self.dead
        ) + tuple(
            tell(
                "The mail of {day} to {recipient} could not be delivered in time; this digest takes"
                " its place. {note}",
                day=letter.on,
                recipient=letter.recipient,
                note=letter.note,
            )
            for letter in self.outlived
        )


@dataclass(frozen=True)
class Told:
    """Marks of what an owner has been told. A digest that never arrived has told nothing."""

    store: Store
    site_id: str

    def marks(self, what: str) -> set[str]:
        sure = set((self.store.recall(self.site_id, f"told_{what}") or "").split())
        newest = self.store.recall(self.site_id, f"telling_{what}") or ""
        on, _, marks = newest.partition(" ")
        arrived = any(
            letter.state == "sent" and letter.on.isoformat() == on
            for letter in self.store.letters(self.site_id)
        )
        return sure | set(marks.split()) if arrived else sure

    def tell(self, what: str, marks: Collection[str], on: date) -> None:
        """The digest of a date is about to tell of these."""
        self.store.remember(self.site_id, f"told_{what}", " ".join(sorted(self.marks(what))))
        self.store.remember(
            self.site_id, f"telling_{what}", f"{on.isoformat()} {' '.join(sorted(marks))}"
        )

    def undelivered(self) -> Undelivered:
        told = self.marks("failures")
        letters = self.store.letters(self.site_id)
        return Undelivered(
            tuple(x for x in letters if x.state == "dead" and str(x.id) not in told),
            tuple(x for x in letters if x.state == "ready"),
        )

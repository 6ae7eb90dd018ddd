"""Owners who do what the digest says: one writes everything down, one never does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from demo_year import decide_on, demo_site

from advisor.digest.files import plan_json
from advisor.plan.model import Action, Plan, Verdict
from advisor.store.database import Store

BEGINNING = """journal from 2025-01-01
2025-01-01  front  last feed 2024-11-08
2025-01-01  back   last feed 2024-06-20
2025-01-01  all    last pre-emergent 2024-03-28
"""

MM_PER_INCH = 25.4


@dataclass(frozen=True)
class Done:
    """Something that the owner truly put down (or water that was truly given)."""

    day: date
    lawn: str
    action: Action

    @property
    def product(self) -> str | None:
        return self.action.dose.product if self.action.dose else None

    def g_per_m2(self, substance: str) -> float:
        if self.action.dose is None:
            return 0.0
        return sum(d.g_per_m2 for d in self.action.dose.delivers if d.substance == substance)


@dataclass
class Owner:
    """Reads a digest, and does each action on its day; `logs`: and writes it into the journal."""

    logs: bool
    done: list[Done] = field(default_factory=list)
    journal: str = BEGINNING

    def follow(self, plan: Plan, until: date) -> None:
        """Do what a digest advises for the days before `until`, the day of the next one."""
        for lawn in plan.lawns:
            for action in lawn.actions:
                if action.verdict is Verdict.WAIT or action.day is None:
                    continue
                if plan.on <= action.day < until:
                    self.done.append(Done(action.day, lawn.name, action))
                    if self.logs:
                        self.journal += f"{action.day}  {lawn.name}  {_words(action)}\n"


def _words(action: Action) -> str:
    if action.dose is not None:
        return f"applied {action.dose.amount_text} of {action.dose.product}"
    assert action.water_mm is not None
    return f"watered {action.water_mm / MM_PER_INCH:.2f} in"


def live(owner: Owner, digests: Sequence[date]) -> Iterator[Plan]:
    """Send a digest on each of these days; the owner follows each until the next."""
    site = demo_site()
    with Store(":memory:") as store:
        for i, day in enumerate(digests):
            plan = decide_on(day, store, owner.journal).plan
            store.remember_digest(site.id, plan.on, plan.decided_at, plan_json(plan), sent=True)
            until = digests[i + 1] if i + 1 < len(digests) else date.max
            owner.follow(plan, until)
            yield plan

"""What earlier digests announced, read back from what was sent.

The newest digest speaks for every day after its own date: what an older one announced for such a
day is replaced by it. What an older one announced for that date or before stays, and until it is
answered it counts as perhaps done. A digest that could not tell anything replaces nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from advisor.site.events import Advised


@dataclass(frozen=True)
class Sent:
    """One digest that was sent: the local date on which it was made, whether it decided anything,
    and its actions to do, by lawn, as `plan.json` has them."""

    on: date
    decided: bool
    actions: tuple[tuple[str, Mapping[str, Any]], ...]


def announced(sent: Iterable[Sent]) -> list[Advised]:
    """The advice that stands, from what was sent, oldest first."""
    out: list[Advised] = []
    for digest in sent:
        if not digest.decided:
            continue
        out = [advice for advice in out if advice.day <= digest.on]
        known = {advice.id for advice in out}
        out.extend(
            advice
            for lawn, action in digest.actions
            if (advice := _advised(digest.on, lawn, action)).id not in known
        )
    return out


def _advised(on: date, lawn: str, action: Mapping[str, Any]) -> Advised:
    """One action. It may have been written by another release, so only what the sums need is read,
    and what is missing is unknown: the task is then held, with no product or amount to count."""
    dose = action.get("dose") or {}
    task, day = str(action.get("task") or "feed"), str(action.get("date") or on.isoformat())
    amount = dose.get("amount") or action.get("water_mm") or 0.0
    return Advised(
        id=str(action.get("id") or f"{task}/{lawn}/{day}"),
        issued=on,
        lawn=lawn,
        task=task,
        product=dose.get("product"),
        day=date.fromisoformat(day),
        amount=float(amount),
    )

"""What earlier digests announced, read back from what was sent.

The newest digest speaks for every day after its own date: what an older one announced for such a
day is replaced by it. What an older one announced for that date or before stays, and until it is
answered it counts as perhaps done. A digest that could not tell anything replaces nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from advisor.plan.model import Action, LawnPlan, Plan, Verdict
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


def only_standing(
    plan: Plan, mailed: Sequence[Sent], standing: set[str], new: Collection[str] = ()
) -> Plan:
    """The plan with what it announces: what is `standing`, as it was mailed, and those of its own
    actions that are `new` with it; the rest waits. Both are ids of actions.

    What stands is kept though the plan no longer has it: nobody has taken it back.
    """
    as_mailed = {str(doc.get("id")): (lawn, doc) for sent in mailed for lawn, doc in sent.actions}

    def kept(lawn: LawnPlan) -> tuple[Action, ...]:
        stands = [
            Action.model_validate(doc)
            for id_, (name, doc) in as_mailed.items()
            if id_ in standing and name == lawn.name
        ]
        had = {action.id for action in stands}
        return (
            *stands,
            *(
                action
                for action in lawn.actions
                if action.verdict is Verdict.WAIT
                or (action.id in standing | set(new) and action.id not in had)
            ),
        )

    lawns = tuple(lawn.model_copy(update={"actions": kept(lawn)}) for lawn in plan.lawns)
    return plan.model_copy(update={"lawns": lawns})


def _advised(on: date, lawn: str, action: Mapping[str, Any]) -> Advised:
    """One action. It may have been written by another release, so only what the sums need is read,
    and what is missing is unknown: the task is then held, with no product or amount to count."""
    dose = action.get("dose") or {}
    task, day = str(action.get("task") or "feed"), str(action.get("date") or on.isoformat())
    second = (action.get("second") or {}).get("date")
    amount = dose.get("amount") or action.get("water_mm") or 0.0
    return Advised(
        id=str(action.get("id") or f"{task}/{lawn}/{day}"),
        issued=on,
        lawn=lawn,
        task=task,
        product=dose.get("product"),
        day=date.fromisoformat(day),
        amount=float(amount),
        second=date.fromisoformat(second) if second else None,
    )

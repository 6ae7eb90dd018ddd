"""What earlier digests announced, read back from the plans that were sent.

The newest digest speaks for every day from its own date on: what an older one announced for such
a day is replaced by it. What an older one announced for a day before that stays, and until it is
answered it counts as perhaps done.
"""

from __future__ import annotations

from collections.abc import Sequence

from advisor.plan.model import Action, Plan, Verdict
from advisor.site.events import Advised


def announced(plans: Sequence[Plan]) -> list[Advised]:
    """The advice that stands, from the plans that were sent, oldest first."""
    out: list[Advised] = []
    for plan in plans:
        out = [a for a in out if a.day < plan.on]
        for lawn in plan.lawns:
            out.extend(
                _advised(plan, lawn.name, action)
                for action in lawn.actions
                if action.verdict is not Verdict.WAIT and action.day is not None
            )
    return out


def _advised(plan: Plan, lawn: str, action: Action) -> Advised:
    assert action.day is not None
    dose = action.dose
    return Advised(
        id=action.id,
        issued=plan.on,
        lawn=lawn,
        task=action.task,
        product=dose.product if dose else None,
        day=action.day,
        amount=dose.amount if dose else (action.water_mm or 0.0),
    )

"""What earlier digests announced, read back from what was sent.

The newest digest speaks for every day from its own date on: what an older one announced for such
a day is replaced by it. What an older one announced for a day before that stays, and until it is
answered it counts as perhaps done.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from advisor.plan.model import Action, Verdict
from advisor.site.events import Advised


def announced(sent: Iterable[tuple[date, Iterable[tuple[str, Action]]]]) -> list[Advised]:
    """The advice that stands. `sent`: each digest's date and its actions by lawn, oldest first."""
    out: list[Advised] = []
    for on, actions in sent:
        out = [advice for advice in out if advice.day < on]
        out.extend(
            _advised(on, lawn, action)
            for lawn, action in actions
            if action.verdict is not Verdict.WAIT and action.day is not None
        )
    return out


def _advised(on: date, lawn: str, action: Action) -> Advised:
    assert action.day is not None
    dose = action.dose
    return Advised(
        id=action.id,
        issued=on,
        lawn=lawn,
        task=action.task,
        product=dose.product if dose else None,
        day=action.day,
        amount=dose.amount if dose else (action.water_mm or 0.0),
    )

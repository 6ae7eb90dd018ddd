"""What earlier mails advised and no longer stands: for calendars, which keep what they were told.

A mail is read and forgotten; an entry in a calendar stays until it is cancelled. So each digest
names all that it withdraws, and a note between two digests what it takes back.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime

from advisor.language.words import tell
from advisor.plan.model import LawnPlan, Plan, Verdict, Withdrawn
from advisor.plan.recant import Hours, TakenBack, to_come
from advisor.plan.words import TASK_TITLES
from advisor.site.events import Advised
from advisor.site.sums import Sums


def withdrawn(
    advised: Iterable[Advised],
    lawns: Sequence[LawnPlan],
    counted: Sums,
    now: datetime,
    hours: Hours,
) -> tuple[Withdrawn, ...]:
    """The advice of earlier mails that could still be begun and that the new plan's `lawns` no
    longer have under its id, by day.

    What was done stays where it stands. What was skipped or put off is withdrawn, unless the plan
    advises it again.
    """
    local = now.astimezone(counted.site.place.zone_info)
    again = {a.id for lawn in lawns for a in lawn.actions if a.verdict is not Verdict.WAIT}
    titles = {lawn.name: lawn.title for lawn in lawns}
    gone = {
        one.id: _withdrawn(one, titles.get(one.lawn, one.lawn), hours)
        for one in advised
        if one.id not in again
        and one.id not in counted.done_advice
        and to_come(one, local.date(), local, hours.get(one.id))
    }
    return tuple(sorted(gone.values(), key=lambda one: (one.day, one.id)))


def only_news(plan: Plan, taken: Sequence[TakenBack], new: Collection[str], hours: Hours) -> Plan:
    """The plan with nothing but what a note changes: the actions of the ids `new`, and as withdrawn
    what is `taken` back. One that is both has other hours on its day, and is not withdrawn."""
    lawns = tuple(
        lawn.model_copy(update={"actions": tuple(a for a in lawn.actions if a.id in new)})
        for lawn in plan.lawns
    )
    gone = {
        one.advised.id: _withdrawn(one.advised, one.lawn_title, hours)
        for one in taken
        if one.advised.id not in new
    }
    return plan.model_copy(update={"lawns": lawns, "withdrawn": tuple(gone.values())})


def _withdrawn(advice: Advised, lawn_title: str, hours: Hours) -> Withdrawn:
    start, end = hours.get(advice.id, (None, None))
    return Withdrawn(
        id=advice.id,
        lawn_title=lawn_title,
        task=advice.task,
        title=tell(TASK_TITLES[advice.task]) if advice.task in TASK_TITLES else advice.task,
        day=advice.day,
        start=start,
        end=end,
    )

"""Water that became needed between two digests, and what a note between them says.

A digest's water rests on a forecast of a week. Where its rain does not fall, or the days turn out
hotter, a newer plan has water that nobody was told of, and the lawn would thirst until the next
digest. Only water is ever told so: what is put down has time until then.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo

from advisor.plan.model import Action, Plan, Verdict
from advisor.plan.recant import Hours, TakenBack, recant
from advisor.site.events import Advised
from advisor.site.words import WATERING

NOTES_AT_MOST = 3
"""Notes of water between two digests, and one a day: a thirsty lawn is watered twice or three times
a week at the most [judgement]."""

DAYS_OFF = 2
"""So many days ahead a note tells of water; what is later waits for a newer forecast
[judgement]."""


@dataclass(frozen=True)
class Needed:
    """Water on a lawn, on a day for which none was announced. `action` is the plan's."""

    lawn: str
    lawn_title: str
    action: Action
    day: date


class Note(NamedTuple):
    """What a note takes back, and what water it advises; either may be nothing."""

    taken: tuple[TakenBack, ...]
    water: tuple[Needed, ...]


def may_tell(count: int, last: date | None, today: date, on_switch: bool) -> bool:
    """Whether one more note of water may go out, when `count` have gone out since the last digest,
    the last of them on `last`."""
    return on_switch and count < NOTES_AT_MOST and last != today


def needed(
    announced: Iterable[Advised], plan: Plan, today: date, before: date
) -> tuple[Needed, ...]:
    """The water that the newer `plan` has and that was not announced, by day and lawn.

    It lies before `before`, the date of the next digest, and at most two days off. A lawn for which
    water was announced for today or a day up to that one has its water coming, answered or not. Of
    several waterings of a lawn only the first is told: the next is looked at when that is over.
    Hours of today that have begun are not told. A plan that cannot tell knows of no water.
    """
    if plan.cannot_tell:
        return ()
    coming: dict[str, date] = {}
    for advice in announced:
        if advice.task == WATERING and advice.day >= today:
            coming[advice.lawn] = min(advice.day, coming.get(advice.lawn, date.max))
    last = min(before - timedelta(1), today + timedelta(DAYS_OFF))
    now = plan.decided_at.astimezone(ZoneInfo(plan.site.zone)).replace(tzinfo=None)
    found: list[Needed] = []
    for lawn in plan.lawns:
        days = (
            (action.day, action)
            for action in lawn.actions
            if (action.task, action.verdict) == (WATERING, Verdict.WATER)
            and action.day is not None
            and today <= action.day <= last
            and _in_time(action, action.day, now)
        )
        first = min(days, key=lambda one: one[0], default=None)
        if first is not None and coming.get(lawn.name, date.max) > first[0]:
            found.append(Needed(lawn.name, lawn.title, first[1], first[0]))
    return tuple(sorted(found, key=lambda one: one.day))


def _in_time(action: Action, day: date, now: datetime) -> bool:
    """Whether its hours are still to come."""
    if day > now.date():
        return True
    return action.start is not None and (
        now <= datetime.combine(day, time.fromisoformat(action.start))
    )


def note(
    plan: Plan,
    standing: Sequence[Advised],
    announced: Iterable[Advised],
    today: date,
    before: date,
    hours: Hours | None = None,
    *,
    takes_back: bool,
    waters: bool,
) -> Note:
    """What a note says by the newer `plan`: what of `standing` it takes back (see `recant`), and
    what water it advises (see `needed`), as far as each may be told.

    Water that is taken back no longer comes, so the note tells all of what stands in for it. Where
    nothing more may be taken back, water that a watering of the note stands in for is all the same:
    else a lawn would be watered twice.
    """
    taken = recant(standing, plan, today, hours)
    gone = {one.advised.id for one in taken} if takes_back else set()
    stands = [advice for advice in announced if advice.id not in gone]
    water = needed(stands, plan, today, before) if waters else ()
    if not takes_back:
        told = {(one.lawn, one.day) for one in water}
        taken = tuple(
            one
            for one in taken
            if one.moved
            and one.advised.task == WATERING
            and (one.advised.lawn, one.instead) in told
        )
    return Note(taken, water)

"""Taking back: what was announced for a day still to come, and no longer stands.

Between two digests a newer forecast may hold what the last one announced, or leave no fit hours
for it. That is told; that the same stands on the same day is not.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from advisor.language.dates import day_text
from advisor.language.words import tell
from advisor.plan.announced import Sent
from advisor.plan.hours import BEFORE_DAWN, RUN_MINUTES
from advisor.plan.model import Action, LawnPlan, Plan, Verdict
from advisor.plan.words import task_title
from advisor.site.events import Advised
from advisor.site.free_time import FIRST_HOUR, SHORTEST
from advisor.site.words import TASKS, WATERING

ALERTS_AT_MOST = 2
"""Alerts between two digests: a third would no longer be read [judgement]."""

Hours = Mapping[str, tuple[str | None, str | None]]
"""By the id of an advice, the hours (HH:MM, local) for which it was announced."""


@dataclass(frozen=True)
class TakenBack:
    """An advice that no longer stands, and why.

    `instead` is the day on which the plan has it now (`moved`, with its hours) or on which to look
    again; None where neither is known.
    """

    advised: Advised
    lawn_title: str
    title: str
    because: str
    instead: date | None = None
    moved: bool = False
    start: str | None = None
    end: str | None = None


def may_alert(count: int, on_switch: bool) -> bool:
    """Whether one more alert may go out, when `count` have gone out since the last digest."""
    return on_switch and count < ALERTS_AT_MOST


def announced_hours(sent: Iterable[Sent]) -> Hours:
    """The hours that digests gave for their actions; of two for one action the later digest's."""
    return {
        str(action["id"]): (_clock(action.get("from")), _clock(action.get("until")))
        for digest in sent
        for _, action in digest.actions
        if action.get("id")
    }


def recant(
    announced: Sequence[Advised], plan: Plan, today: date, hours: Hours | None = None
) -> tuple[TakenBack, ...]:
    """What of `announced` the newer `plan` takes back, by day, lawn and task.

    `announced` is advice that nobody has answered; `today` the local date of the plan's moment.
    Advice for earlier days, and for today once too little of its hours is left, is history and
    not taken back. Without known `hours` today's is history from when work could begin. A plan
    that cannot tell knows nothing newer, and takes nothing back.
    """
    if plan.cannot_tell:
        return ()
    lawns = {lawn.name: lawn for lawn in plan.lawns}
    now = plan.decided_at.astimezone(ZoneInfo(plan.site.zone))
    found: dict[tuple[date, str, str], TakenBack] = {}
    for advice in announced:
        lawn = lawns.get(advice.lawn)
        if lawn is None or not to_come(advice, today, now, (hours or {}).get(advice.id)):
            continue
        taken = _taken(advice, lawn, plan, (hours or {}).get(advice.id, (None, None)))
        if taken is not None:
            found.setdefault((advice.day, advice.lawn, advice.task), taken)
    order = {name: place for place, name in enumerate(lawns)}
    tasks = {name: place for place, name in enumerate(TASKS)}

    def place(key: tuple[date, str, str]) -> tuple[date, int, int]:
        return key[0], order[key[1]], tasks.get(key[2], len(tasks))

    return tuple(found[key] for key in sorted(found, key=place))


def to_come(
    advice: Advised, today: date, now: datetime, hours: tuple[str | None, str | None] | None
) -> bool:
    """Whether it could still be begun as announced, by the local `now`. Of today's hours, at least
    as many must be left as a plan asks for: else the plan would lack it for want of time, and not
    of weather."""
    if advice.day != today:
        return advice.day > today
    water = advice.task == WATERING
    usual = time(BEFORE_DAWN[0] // 60) if water else time(FIRST_HOUR)
    start, end = hours or (None, None)
    first = time.fromisoformat(start) if start else usual
    last = datetime.combine(today, first)
    if end:
        needed = timedelta(minutes=RUN_MINUTES) if water else timedelta(hours=SHORTEST)
        last = max(last, datetime.combine(today, time.fromisoformat(end)) - needed)
    return now.replace(tzinfo=None) <= last


def _taken(
    advice: Advised, lawn: LawnPlan, plan: Plan, hours: tuple[str | None, str | None]
) -> TakenBack | None:
    """The advice as taken back from its lawn; None where the plan still has it on its day, in some
    of the hours for which it was announced.

    The plan keeps announced hours as long as they are good, so hours that are others altogether
    tell that those no longer are. Water is given in the hours that the site allows.
    """
    same = [action for action in lawn.actions if action.task == advice.task]
    doing = sorted(
        (a for a in same if a.verdict is not Verdict.WAIT and a.day is not None),
        key=lambda action: action.day or date.max,
    )
    title = same[0].title if same else task_title(advice.task)
    on_day = next((action for action in doing if action.day == advice.day), None)
    if on_day is not None:
        if advice.task == WATERING or _overlap(hours, (on_day.start, on_day.end)):
            return None
        because = tell(
            "As the forecast now stands, {start} to {end} no longer suits.",
            start=hours[0],
            end=hours[1],
        )
        return TakenBack(
            advice, lawn.title, title, because, on_day.day, True, on_day.start, on_day.end
        )  # fmt: skip
    if doing:
        return _moved(advice, lawn, title, doing[0], plan)
    waiting = next((action for action in same if action.verdict is Verdict.WAIT), None)
    if waiting is None:
        because = tell("The plan no longer has it: is there still something on the shelf for it?")
        return TakenBack(advice, lawn.title, title, because)
    return TakenBack(advice, lawn.title, title, waiting.because, waiting.look_again)


def _overlap(one: tuple[str | None, str | None], other: tuple[str | None, str | None]) -> bool:
    """Whether two stretches share as many hours as a job needs, or one of them is not known."""
    start, end = max(one[0] or "", other[0] or ""), min(one[1] or "99", other[1] or "99")
    if None in (*one, *other):
        return True
    shared = datetime.combine(date.min, time.fromisoformat(end)) - datetime.combine(
        date.min, time.fromisoformat(start)
    )
    return shared >= timedelta(hours=SHORTEST)


def _moved(advice: Advised, lawn: LawnPlan, title: str, action: Action, plan: Plan) -> TakenBack:
    """The plan keeps an announced day as long as it can; that it could not is the reason."""
    when = day_text(advice.day, plan.site.units)
    because = tell("As the forecast now stands, {day} no longer suits.", day=when)
    return TakenBack(
        advice, lawn.title, title, because, action.day, True, action.start, action.end
    )  # fmt: skip


def _clock(text: object) -> str | None:
    """A time of day as HH:MM, or None for what another release may have written."""
    try:
        return time.fromisoformat(str(text)).strftime("%H:%M") if text else None
    except ValueError:
        return None

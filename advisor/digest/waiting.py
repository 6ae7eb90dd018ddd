"""What waits and why, each reason once, whichever tasks and lawns it holds."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from advisor.digest import evidence
from advisor.digest.parts import WaitView
from advisor.digest.saying import Saying, once
from advisor.digest.standing import figures
from advisor.language.words import later, tell
from advisor.plan.model import Action, LawnPlan, Verdict

FAR_DAYS = 60
"""A window that cannot open sooner is told in one line: nobody can do anything for it yet."""

AT_TOP = later("As said at the top.")


def waits(say: Saying) -> tuple[WaitView, ...]:
    """An entry for each task and reason, with the lawns that share it."""
    tasks: dict[str, dict[WaitView, list[str]]] = {}
    far: dict[date, dict[str, list[str]]] = {}
    for lawn in say.plan.lawns:
        for action in lawn.actions:
            if action.verdict is not Verdict.WAIT or _told_at_top(say, lawn, action):
                continue
            opens = _far_off(say, lawn, action)
            if opens is not None:
                far.setdefault(opens, {}).setdefault(action.title, []).append(lawn.title)
            else:
                entries = tasks.setdefault(action.title, {})
                entries.setdefault(_entry(say, lawn, action), []).append(lawn.title)
    alike: dict[tuple[WaitView, str], list[str]] = {}
    for title, entries in tasks.items():
        for entry, lawns in entries.items():
            alike.setdefault((entry, say.places(lawns)), []).append(title)
    told: dict[str, str] = {}
    found = []
    for (entry, place), titles in alike.items():
        title = ", ".join((*titles, place) if place else titles)
        first = told.setdefault(entry.why, titles[0])
        if first not in titles and entry.why != tell(AT_TOP):
            why = tell("For the same reason as {task}.", task=first)
            entry = replace(entry, why=why)
        found.append(replace(entry, title=title))
    found += [_folded(say, opens, titles) for opens, titles in sorted(far.items())]
    return tuple(found)


def _told_at_top(say: Saying, lawn: LawnPlan, action: Action) -> bool:
    """Whether the top is about it, and has said all of it."""
    told = bool(action.because) and say.told(action.because)
    again = say.day(action.look_again)
    return (
        say.leads(lawn, action)
        and told
        and (not action.flag or say.told(action.flag))
        and (not again or again in action.because or say.told(again))
    )


def _folded(say: Saying, opens: date, titles: dict[str, list[str]]) -> WaitView:
    told = (
        ", ".join(part for part in (title, say.places(lawns)) if part)
        for title, lawns in titles.items()
    )
    title = tell("Not before {day}", day=say.day(opens))
    return WaitView(title, "; ".join(told) + ".", "", "")


def _far_off(say: Saying, lawn: LawnPlan, action: Action) -> date | None:
    """The day before which a window surely stays shut, by the sun or by what comes next, where
    that is more than `FAR_DAYS` off; None for what the headline tells or what has a note."""
    plan = say.plan
    edge = plan.on + timedelta(FAR_DAYS)
    again = action.look_again is not None and action.look_again <= edge
    if again or action.flag or say.leads(lawn, action):
        return None
    days = [
        one.earliest
        for one in plan.next
        if (one.lawn, one.task) == (lawn.name, action.task) and one.earliest is not None
    ]
    if not days and any(
        one.text == "daylight is lengthening" and one.holds is False and one.keyword != "until"
        for one in action.evidence
    ):
        days = [_turn_of_the_sun(plan.on)]
    return min(days) if days and min(days) > edge else None


def _turn_of_the_sun(on: date) -> date:
    """The next solstice, from which on days that grow shorter grow longer; on either half of the
    earth, and a day early at most."""
    turns = (date(on.year, 6, 20), date(on.year, 12, 21), date(on.year + 1, 6, 20))
    return next(day for day in turns if day > on)


def _entry(say: Saying, lawn: LawnPlan, action: Action) -> WaitView:
    said = bool(action.because) and say.told(action.because)
    again = say.day(action.look_again)
    # A wait "not before" a day has its proper reason behind that.
    proper = action.reasons[:1] if action.not_before is not None else ()
    return WaitView(
        title="",
        why=" ".join(once((tell(AT_TOP) if said else _brief(lawn, action), *proper))),
        again="" if again and (again in action.because or (said and say.told(again))) else again,
        flag=action.flag,
    )


def _brief(lawn: LawnPlan, action: Action) -> str:
    """The sentence without its figures (`; now 0.30 in, …`) if they stand with the lawn's own."""
    shown = figures(lawn)
    told = any(
        one.value in shown and one.bound in shown
        for one in evidence.deciding(action)
        if one.value and evidence.has(action.because, one.value)
    )
    return action.brief if told and action.brief else action.because

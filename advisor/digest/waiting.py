"""What waits and why, each reason once, whichever tasks and lawns it holds."""

from __future__ import annotations

import re
from dataclasses import replace

from advisor.digest import evidence
from advisor.digest.parts import WaitView
from advisor.digest.saying import Saying, once
from advisor.digest.standing import figures
from advisor.plan.model import Action, LawnPlan, Verdict

AT_TOP = "As said at the top."


def waits(say: Saying) -> tuple[WaitView, ...]:
    """An entry for each task and reason, with the lawns that share it."""
    top = at_top(say)
    tasks: dict[str, dict[WaitView, list[str]]] = {}
    for lawn in say.plan.lawns:
        for action in lawn.actions:
            if action.verdict is Verdict.WAIT:
                entries = tasks.setdefault(action.title, {})
                entries.setdefault(_entry(say, lawn, action, top), []).append(lawn.title)
    alike: dict[tuple[WaitView, str], list[str]] = {}
    for title, entries in tasks.items():
        for entry, lawns in entries.items():
            alike.setdefault((entry, say.places(lawns)), []).append(title)
    told: dict[tuple[str, tuple[str, ...]], str] = {}
    found = []
    for (entry, place), titles in alike.items():
        title = ", ".join((*titles, place) if place else titles)
        first = told.setdefault((entry.why, entry.numbers), titles[0])
        if first not in titles and entry.why != AT_TOP:
            entry = replace(entry, why=f"For the same reason as {first}.", numbers=())
        found.append(replace(entry, title=title))
    return tuple(found)


def at_top(say: Saying) -> tuple[str, ...]:
    """The evidence under the headline's reason."""
    for lawn, action in say.leading()[:1]:
        if action.verdict is Verdict.WAIT and not say.told(action.because):
            return ()  # the headline asks a question, which rests on no rule
        return evidence.lines(action, lawn.state, evidence.LEAD_LINES)
    return ()


def _entry(say: Saying, lawn: LawnPlan, action: Action, top: tuple[str, ...]) -> WaitView:
    said = bool(action.because) and say.told(action.because)
    again = say.day(action.look_again)
    # A wait "not before" a day has its proper reason behind that.
    later = action.reasons[:1] if action.because.startswith("Not before ") else ()
    return WaitView(
        title="",
        why=" ".join(once((AT_TOP if said else _brief(lawn, action), *later))),
        again="" if again and (again in action.because or (said and say.told(again))) else again,
        flag=action.flag,
        numbers=tuple(
            line for line in evidence.lines(action, lawn.state) if not (said and line in top)
        ),
    )


def _brief(lawn: LawnPlan, action: Action) -> str:
    """The sentence without its figures (`; now 0.30 in, …`) if they stand with the lawn's own."""
    shown = figures(lawn)
    told = any(
        one.value in shown and evidence.quantity(one.limit) in shown
        for one in evidence.deciding(action)
        if f"; now {one.value}" in action.because
    )
    return re.sub(r"; now .*", ".", action.because) if told else action.because

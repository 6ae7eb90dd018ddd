"""The one sentence and the subject: the action with the nearest date that cannot be made good."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from advisor.language.dates import day_text
from advisor.plan.model import Action, Ask, Headline, LawnPlan, Verdict
from advisor.plan.words import TASK_SHORT
from advisor.site.place import Site

SUBJECT_LENGTH = 50


def headline(
    site: Site,
    lawns: Sequence[LawnPlan],
    asks: Sequence[Ask],
    cannot_tell: str = "",
    broken: str = "",
) -> Headline:
    """Choose the headline among all lawns' actions, and put it into words.

    `broken` is the place of a mistake in the owner's rules for which nothing is put down.
    """
    if cannot_tell:
        return Headline(
            verdict=Verdict.WAIT, task=None, lawn=None,
            text=f"Wait: cannot tell. {cannot_tell}",
            subject="Wait: cannot tell, no fresh forecast",
        )  # fmt: skip
    to_do = [
        (lawn, action)
        for lawn in lawns
        for action in lawn.actions
        if action.verdict is not Verdict.WAIT
    ]
    if not to_do and broken:
        return Headline(
            verdict=Verdict.WAIT, task=None, lawn=None,
            text=f"Wait: a rule file of yours cannot be read ({broken}), so nothing is put down"
            " until it is mended.",
            subject="Wait: a rule file of yours cannot be read",
        )  # fmt: skip
    if not to_do:
        return _wait(site, lawns, asks)
    lawn, first = min(to_do, key=lambda pair: _urgency(pair[1]))
    same = [
        other
        for other, action in to_do
        if (action.task, action.day) == (first.task, first.day)
        and (action.dose is None) == (first.dose is None)
    ]
    assert first.day is not None
    others = len({(a.task, a.day) for _, a in to_do} - {(first.task, first.day)})
    where = _where(same, len(lawns))
    when = day_text(first.day, site.units)
    verb = first.verdict.value.capitalize()
    what = "" if first.verdict is Verdict.WATER else f"{TASK_SHORT[first.task]}, "
    hours = f", {first.start} to {first.end}" if first.start else ""
    more = f", and {others} more" if others else ""
    return Headline(
        verdict=first.verdict,
        task=first.task,
        lawn=lawn.name,
        day=first.day,
        start=first.start,
        end=first.end,
        text=f"{verb}: {what}{where}, {when}{hours}. {first.because}",
        subject=_fit(f"{verb}: {what}{where}, {when}", f"{verb}: {what}{when}", more),
    )


def why_it_leads(lawns: Sequence[LawnPlan], units: str) -> str:
    """Why the headline is about its action, as a sentence; empty where there is nothing to do."""
    to_do = [a for lawn in lawns for a in lawn.actions if a.verdict is not Verdict.WAIT]
    if not to_do:
        return ""
    first = min(to_do, key=_urgency)
    name = first.title[:1].lower() + first.title[1:]
    if first.closes is not None:
        last = day_text(first.closes, units)
        return f"The headline is {name}: its last good day, {last}, is the first that passes."
    if first.verdict is Verdict.WATER:
        return f"The headline is {name}: a dry day cannot be made good on a later one."
    return f"The headline is {name}: no window is known to close, and its day comes first."


def _urgency(action: Action) -> tuple[date, date, bool]:
    """Sooner means more urgent: the last good day where one is known, else a month on."""
    assert action.day is not None
    last = action.closes or (
        action.day if action.verdict is Verdict.WATER else date.fromordinal(
            action.day.toordinal() + 30
        )
    )  # fmt: skip
    return last, action.day, action.verdict is not Verdict.WATER


def _where(lawns: Sequence[LawnPlan], of: int) -> str:
    if len(lawns) == of and of == 2:
        return "both lawns"
    if len(lawns) == of and of > 2:
        return "all lawns"
    return " and ".join(lawn.title for lawn in lawns)


def _fit(long: str, short: str, more: str) -> str:
    for text in (long + more, short + more, short):
        if len(text) <= SUBJECT_LENGTH:
            return text
    return short[: SUBJECT_LENGTH - 1] + "…"


def _wait(site: Site, lawns: Sequence[LawnPlan], asks: Sequence[Ask]) -> Headline:
    """Nothing to do: the reason of the first lawn's first task, or the question that is open."""
    if asks:
        asked = asks[0]
        return Headline(
            verdict=Verdict.WAIT, task=asked.task, lawn=asked.lawn,
            text=f"Wait: first say whether this was done. {asked.text}",
            subject=_fit(
                f"Wait: was the {TASK_SHORT[asked.task]} done on {asked.lawn_title}?",
                f"Wait: was the {TASK_SHORT[asked.task]} done?", "",
            ),
        )  # fmt: skip
    waits = [(lawn, action) for lawn in lawns for action in lawn.actions]
    if not waits:
        return Headline(
            verdict=Verdict.WAIT, task=None, lawn=None, text="Wait: no rule asks for anything.",
            subject="Wait: nothing to do this week",
        )  # fmt: skip
    soonest = min(waits, key=lambda pair: (pair[1].look_again or date.max, pair[1].task != "feed"))
    lawn, action = soonest
    look = f" Look again on {day_text(action.look_again, site.units)}." if action.look_again else ""
    return Headline(
        verdict=Verdict.WAIT,
        task=action.task,
        lawn=lawn.name,
        text=f"Wait: put nothing down this week. {action.title}, {lawn.title}:"
        f" {action.because}{look}",
        subject="Wait: put nothing down this week",
    )

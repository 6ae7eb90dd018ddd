"""The one sentence and the subject: the action with the nearest date that cannot be made good."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from advisor.language.dates import day_text
from advisor.language.listing import listed
from advisor.language.words import tell
from advisor.plan.model import Action, Ask, Headline, LawnPlan, Verdict
from advisor.plan.words import task_in_full, task_short, verdict_text
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
        return _told_to_wait(
            tell("cannot tell"), cannot_tell, tell("Wait: cannot tell, no fresh forecast")
        )
    to_do = [
        (lawn, action)
        for lawn in lawns
        for action in lawn.actions
        if action.verdict is not Verdict.WAIT
    ]
    if not to_do and broken:
        claim = tell(
            "a rule file of yours cannot be read ({place}), so nothing is put down until it is"
            " mended.",
            place=broken,
        )
        return _told_to_wait(claim, "", tell("Wait: a rule file of yours cannot be read"))
    if not to_do:
        return _wait(site, lawns, asks)
    return _to_do(site, lawns, to_do)


def _to_do(
    site: Site, lawns: Sequence[LawnPlan], to_do: Sequence[tuple[LawnPlan, Action]]
) -> Headline:
    lawn, first = min(to_do, key=lambda pair: _urgency(pair[1]))
    same = [
        (other, action)
        for other, action in to_do
        if (action.task, action.day) == (first.task, first.day)
        and (action.dose is None) == (first.dose is None)
    ]
    assert first.day is not None
    others = len({(a.task, a.day) for _, a in to_do} - {(first.task, first.day)})
    words = {
        "verdict": verdict_text(first.verdict),
        "what": "" if first.verdict is Verdict.WATER else task_short(first.task),
        "where": _where([other for other, _ in same], len(lawns)),
        "day": day_text(first.day, site.units),
        "start": first.start or "",
        "end": first.end or "",
        "count": str(others),
    }
    claim = _claim(words)
    alike = [a.because for one in lawns for a in one.actions if _led(a, first)]
    because = first.because
    if len(set(alike)) > 1:
        # The headline's reason is that of one lawn; where another's differs, it says whose.
        because = tell("{lawn}: {sentence}", lawn=lawn.title, sentence=because)
    return Headline(
        verdict=first.verdict,
        task=first.task,
        lawn=lawn.name,
        day=first.day,
        start=first.start,
        end=first.end,
        text=tell("{verdict}: {claim}. {because}", verdict=words["verdict"], claim=claim,
                  because=first.because),
        claim=claim,
        because=because,
        subject=_fit(*_subjects(words, others)),
    )  # fmt: skip


def _led(action: Action, first: Action) -> bool:
    """Whether an action is what the headline speaks of, on whichever lawn."""
    return (action.task, action.verdict, action.day) == (first.task, first.verdict, first.day)


def _claim(words: Mapping[str, str]) -> str:
    """What, where and when."""
    match bool(words["what"]), bool(words["start"]):
        case True, True:
            return tell("{what}, {where}, {day}, {start} to {end}", **words)
        case True, False:
            return tell("{what}, {where}, {day}", **words)
        case False, True:
            return tell("{where}, {day}, {start} to {end}", **words)
        case _:
            return tell("{where}, {day}", **words)


def _subjects(words: Mapping[str, str], others: int) -> Iterator[str]:
    """The subject, from the longest on."""
    if words["what"]:
        long = tell("{verdict}: {what}, {where}, {day}", **words)
        short = tell("{verdict}: {what}, {day}", **words)
    else:
        long = tell("{verdict}: {where}, {day}", **words)
        short = tell("{verdict}: {day}", **words)
    for text in (long, short):
        if others:
            yield tell("{subject}, and {count} more", subject=text, count=others)
        else:
            yield text
    yield short


def _told_to_wait(
    claim: str, because: str, subject: str, task: str | None = None, lawn: str | None = None
) -> Headline:
    words = {"verdict": verdict_text(Verdict.WAIT), "claim": claim, "because": because}
    text = (
        tell("{verdict}: {claim}. {because}", **words)
        if because
        else tell("{verdict}: {claim}", **words)
    )
    return Headline(
        verdict=Verdict.WAIT, task=task, lawn=lawn, text=text, claim=claim, because=because,
        subject=_fit(subject),
    )  # fmt: skip


def why_it_leads(lawns: Sequence[LawnPlan], units: str) -> str:
    """Why the headline is about its action, as a sentence; empty where there is nothing to do."""
    to_do = [a for lawn in lawns for a in lawn.actions if a.verdict is not Verdict.WAIT]
    if not to_do:
        return ""
    first = min(to_do, key=_urgency)
    name = task_in_full(first.task)
    if first.closes is not None:
        return tell(
            "The headline is {task}: its last good day, {day}, is the first that passes.",
            task=name,
            day=day_text(first.closes, units),
        )
    if first.verdict is Verdict.WATER:
        return tell(
            "The headline is {task}: a dry day cannot be made good on a later one.", task=name
        )
    return tell(
        "The headline is {task}: no window is known to close, and its day comes first.", task=name
    )


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
        return tell("both lawns")
    if len(lawns) == of and of > 2:
        return tell("all lawns")
    return listed([lawn.title for lawn in lawns])


def _fit(*texts: str) -> str:
    """The first text that a subject has room for; else the beginning of the last."""
    for text in texts:
        if len(text) <= SUBJECT_LENGTH:
            return text
    return texts[-1][: SUBJECT_LENGTH - 1] + "…"


def _wait(site: Site, lawns: Sequence[LawnPlan], asks: Sequence[Ask]) -> Headline:
    """Nothing to do: the question that is open; else what holds a window that stands open; else the
    reason of what may change soonest."""
    if asks:
        asked = asks[0]
        task = task_short(asked.task)
        return _told_to_wait(
            tell("first say whether this was done"),
            asked.text,
            _fit(
                tell("Wait: was the {task} done on {lawn}?", task=task, lawn=asked.lawn_title),
                tell("Wait: was the {task} done?", task=task),
            ),
            asked.task,
            asked.lawn,
        )
    waits = [(lawn, action) for lawn in lawns for action in lawn.actions]
    if not waits:
        return _told_to_wait(
            tell("no rule asks for anything."), "", tell("Wait: nothing to do this week")
        )
    soonest = min(
        waits,
        key=lambda pair: (
            not pair[1].held,
            not pair[1].flag,
            pair[1].look_again or date.max,
            pair[1].task != "feed",
        ),
    )
    if not soonest[1].held and soonest[1].look_again is None:
        # Nothing is held back, and nothing that is not known: no single reason is the week's.
        return _told_to_wait(
            tell("put nothing down this week"),
            tell("No window is open on any lawn this week."),
            tell("Wait: put nothing down this week"),
        )
    lawn, action = soonest
    words = {"task": action.title, "lawn": lawn.title, "sentence": action.because}
    reason = tell("{task}, {lawn}: {sentence}", **words)
    if action.look_again:
        reason = tell(
            "{task}, {lawn}: {sentence} Look again on {day}.",
            day=day_text(action.look_again, site.units),
            **words,
        )
    if action.flag:
        reason = tell("{reason} {flag}", reason=reason, flag=action.flag)
    return _told_to_wait(
        tell("put nothing down this week"),
        reason,
        tell("Wait: put nothing down this week"),
        action.task,
        lawn.name,
    )

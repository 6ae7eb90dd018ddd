"""Two replays of one season side by side, week by week: what each digest said otherwise."""

from __future__ import annotations

from collections import defaultdict

from advisor.language.dates import day_text
from advisor.language.listing import enumerated
from advisor.language.words import later, tell
from advisor.plan.model import Verdict
from advisor.plan.replay_model import Compared, Differing, Run, Told, Week
from advisor.plan.words import task_title, verdict_within

SILENT = later("nothing to do")


def compare(
    runs: tuple[Run, ...], one: int, other: int, units: str, *, days_only: bool = False
) -> Compared:
    """How the digests of two runs differ. The runs are over the same dates; with `days_only` what
    is to be done on the same day is the same, whatever its hours and amount, and so are two waits
    for other reasons."""
    weeks: list[Differing] = []
    same = 0
    for mine, theirs in zip(runs[one].weeks, runs[other].weeks, strict=True):
        found = _week(mine, theirs, units, days_only)
        weeks += found
        same += not found
    return Compared(one=one, other=other, weeks=tuple(weeks), same_weeks=same)


def _week(mine: Week, theirs: Week, units: str, days_only: bool) -> list[Differing]:
    here, there = _by_task(mine, units, days_only), _by_task(theirs, units, days_only)
    return [
        Differing(
            on=mine.on,
            lawn=lawn,
            task=task,
            title=task_title(task),
            one=here.get((lawn, task), tell(SILENT)),
            other=there.get((lawn, task), tell(SILENT)),
        )
        for lawn, task in dict.fromkeys([*here, *there])
        if here.get((lawn, task)) != there.get((lawn, task))
    ]


def _by_task(week: Week, units: str, days_only: bool) -> dict[tuple[str, str], str]:
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for told in week.told:
        if days_only and told.verdict is Verdict.WAIT:
            continue
        found[told.lawn, told.task].append(said(told, units, days_only=days_only))
    for back in week.taken_back:
        day = day_text(back.day, units)
        text = tell("taken back") if days_only else tell("{day} taken back", day=day)
        found[back.lawn, back.task].append(text)
    for told in week.noted:
        found[told.lawn, told.task].append(
            tell("{what} by note", what=said(told, units, days_only=days_only))
        )
    if week.cannot_tell:
        found["", ""] = [tell("cannot tell")]
    return {key: enumerated(parts) for key, parts in found.items()}


def said(told: Told, units: str, *, days_only: bool = False) -> str:
    """What a digest said of a task, in a few words."""
    if told.verdict is Verdict.WAIT or told.day is None:
        return tell("wait") if days_only else tell("wait ({rule})", rule=told.rule)
    words = {
        "verdict": verdict_within(told.verdict),
        "day": day_text(told.day, units),
        "start": told.start or "",
        "end": told.end or "",
    }
    if days_only or not (told.start and told.end):
        when = tell("{verdict} {day}", **words)
    else:
        when = tell("{verdict} {day} {start} to {end}", **words)
    if days_only or not told.what:
        return when
    return tell("{when}: {what}", when=when, what=told.what)

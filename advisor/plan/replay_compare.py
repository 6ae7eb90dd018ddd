"""Two replays of one season side by side, week by week: what each digest said otherwise."""

from __future__ import annotations

from collections import defaultdict

from advisor.language.dates import day_text
from advisor.plan.model import Verdict
from advisor.plan.replay_model import Compared, Differing, Run, Told, Week
from advisor.plan.words import TASK_TITLES

SILENT = "nothing to do"


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
            title=TASK_TITLES.get(task, task),
            one=here.get((lawn, task), SILENT),
            other=there.get((lawn, task), SILENT),
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
        text = "taken back" if days_only else f"{day_text(back.day, units)} taken back"
        found[back.lawn, back.task].append(text)
    for told in week.noted:
        found[told.lawn, told.task].append(f"{said(told, units, days_only=days_only)} by note")
    if week.cannot_tell:
        found["", ""] = ["cannot tell"]
    return {key: ", ".join(parts) for key, parts in found.items()}


def said(told: Told, units: str, *, days_only: bool = False) -> str:
    """What a digest said of a task, in a few words."""
    if told.verdict is Verdict.WAIT or told.day is None:
        return "wait" if days_only else f"wait ({told.rule})"
    day = f"{told.verdict.value} {day_text(told.day, units)}"
    if days_only:
        return day
    hours = f" {told.start} to {told.end}" if told.start and told.end else ""
    return day + hours + (f": {told.what}" if told.what else "")

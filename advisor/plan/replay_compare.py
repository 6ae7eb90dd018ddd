"""Two replays of one season side by side, week by week: what each digest said otherwise."""

from __future__ import annotations

from collections import defaultdict

from advisor.plan.model import Verdict
from advisor.plan.replay_model import Compared, Differing, Run, Told, Week
from advisor.plan.words import TASK_TITLES, day_text

SILENT = "says nothing of it"


def compare(
    runs: tuple[Run, ...], one: int, other: int, units: str, *, hours: bool = True
) -> Compared:
    """How the digests of two runs differ. The runs are over the same dates; without `hours` an
    action at other hours of the same day is the same."""
    weeks: list[Differing] = []
    same = 0
    for mine, theirs in zip(runs[one].weeks, runs[other].weeks, strict=True):
        found = _week(mine, theirs, units, hours)
        weeks += found
        same += not found
    return Compared(one=one, other=other, weeks=tuple(weeks), same_weeks=same)


def _week(mine: Week, theirs: Week, units: str, hours: bool) -> list[Differing]:
    here, there = _by_task(mine, units, hours), _by_task(theirs, units, hours)
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


def _by_task(week: Week, units: str, hours: bool) -> dict[tuple[str, str], str]:
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for told in week.told:
        found[told.lawn, told.task].append(said(told, units, hours=hours))
    if week.cannot_tell:
        found["", ""] = ["cannot tell"]
    return {key: ", ".join(parts) for key, parts in found.items()}


def said(told: Told, units: str, *, hours: bool = True) -> str:
    """What a digest said of a task, in a few words."""
    if told.verdict is Verdict.WAIT or told.day is None:
        return f"wait ({told.rule})"
    at = f" {told.start} to {told.end}" if hours and told.start and told.end else ""
    what = f": {told.what}" if told.what else ""
    return f"{told.verdict.value} {day_text(told.day, units)}{at}{what}"

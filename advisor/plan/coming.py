"""What comes next beyond this week: by the forecast, and behind it by past years."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from advisor.language.words import tell
from advisor.plan.ahead_model import Ahead
from advisor.plan.choice import Walk
from advisor.plan.model import Next
from advisor.plan.view import ADVICE_DAYS, Setting
from advisor.plan.words import task_title
from advisor.site.words import WATERING

TOLD = timedelta(days=60)
"""How far ahead a digest tells of a window, by its earliest date [judgement: time to buy]."""


def what_comes_next(setting: Setting, done: Walk, coming: Sequence[Next]) -> tuple[Next, ...]:
    """What the forecast already shows beyond this week, and behind it what past years tell of."""
    out = []
    for choice in done.choices:
        if choice.day < setting.today + ADVICE_DAYS or choice.task == WATERING:
            continue
        day = setting.days[choice.day]
        out.append(
            Next(
                lawn=choice.lawn.name,
                lawn_title=choice.lawn.shown,
                task=choice.task,
                text=tell(
                    "{task}: {sentence}",
                    task=task_title(choice.task),
                    sentence=choice.explanation.sentence,
                ),
                likely=day,
                earliest=day,
                latest=setting.days[choice.closes] if choice.closes is not None else None,
            )
        )
    shown = {(choice.lawn.name, choice.task) for choice in done.choices}
    return (*out, *(one for one in coming if (one.lawn, one.task) not in shown))


def told_by_digest(ahead: Ahead) -> tuple[Next, ...]:
    """The windows of a season ahead that a digest tells of: the next of each task on each lawn,
    where past years let it open within `TOLD` and it is not open yet."""
    out: dict[tuple[str, str], Next] = {}
    for lawn in ahead.lawns:
        for window in lawn.windows:
            soon = window.opens.earliest <= ahead.on + TOLD
            if window.standing != "coming" or not soon or (lawn.name, window.task) in out:
                continue
            opens = window.opens
            out[lawn.name, window.task] = Next(
                lawn=lawn.name,
                lawn_title=lawn.title,
                task=window.task,
                text=tell("{task}, by {years} past years.", task=window.title, years=opens.years),
                likely=opens.likely,
                earliest=opens.earliest,
                latest=opens.latest,
            )
    return tuple(sorted(out.values(), key=lambda one: (one.likely, one.lawn, one.task)))

"""The walk: the first action by the principles is chosen, counted as planned, and all looked at
again, until nothing opens.

The principles, in order:

1. A hold beats a window, and what cannot be known holds whatever is put down.
2. The earliest day goes first.
3. Water before food: on a thirsty lawn nothing is put down before it is watered.
4. What closes first goes first.
5. One trip with the spreader: a lawn waits up to three days for another that takes the same
   product, where its own window stays open.
6. What was announced for a day still to come keeps that day while it is still good.

So two tasks cannot each bring the nitrogen that only one of them may.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime

import numpy as np

from advisor.plan.choice import Choice, Walk
from advisor.plan.choosing import pick
from advisor.plan.dose import Refusal
from advisor.plan.hours import Stretch
from advisor.plan.view import Setting, View
from advisor.plan.watering import first_water, thirsty, watering_in
from advisor.site.events import Certainty, Event, tasks_of
from advisor.site.lawns import Lawn
from advisor.site.sums import Sums
from advisor.site.words import TASKS, WATERING

MOST_ACTIONS = 24
"""A bound on the walk, for each lawn; sixteen days come to a handful."""

SHARE_DAYS = 3
"""Days that a lawn waits for another to share a trip [judgement]."""

NOTHING_ANNOUNCED: Mapping[tuple[str, str], Stretch] = {}


@dataclass
class _State:
    setting: Setting
    now: datetime
    standing: Mapping[tuple[str, str], date]
    announced: Mapping[tuple[str, str], Stretch]
    views: dict[str, View]
    refusals: dict[tuple[str, str], Refusal] = field(default_factory=dict)
    chosen: list[Choice] = field(default_factory=list)

    def had(self, lawn: str, task: str, day: int) -> bool:
        """Whether the plan has the task already: water once a day, all else once a plan."""
        return any(
            (choice.lawn.name, choice.task) == (lawn, task)
            and (task != WATERING or choice.day == day)
            for choice in self.chosen
        )


def walk(
    setting: Setting,
    sums: Sums,
    now: datetime,
    standing: Mapping[tuple[str, str], date],
    announced: Mapping[tuple[str, str], Stretch] = NOTHING_ANNOUNCED,
) -> Walk:
    """Make the plan. `standing` holds, by lawn and task, days announced that are still to come, and
    `announced` the hours of those days."""
    nothing = np.zeros(len(setting.days))
    views = {lawn.name: View(setting, lawn, sums, nothing) for lawn in setting.site.lawns}
    state = _State(setting, now, standing, announced, dict(views))
    # What a lawn offers changes only when something is chosen for that lawn.
    offers: dict[str, list[Choice]] = {}
    while len(state.chosen) < MOST_ACTIONS * len(setting.site.lawns):
        for lawn in setting.site.lawns:
            if lawn.name not in offers:
                offers[lawn.name] = [
                    choice
                    for task in state.views[lawn.name].tasks
                    if (choice := _first(state, lawn, task)) is not None
                ]
        candidates = [choice for choices in offers.values() for choice in choices]
        if not candidates:
            break
        chosen = _shared(state, min(candidates, key=_order), candidates)
        state.chosen.append(chosen)
        _commit(state, chosen)
        if chosen.task == WATERING:
            offers.clear()  # the others' water comes after it, in what is left of the hours
        else:
            del offers[chosen.lawn.name]
    return Walk(tuple(state.chosen), views, state.views, state.refusals, standing)


def _order(choice: Choice) -> tuple[int, bool, int, int]:
    closes = choice.closes if choice.closes is not None else 10_000
    return (choice.day, choice.task != WATERING, closes, list(TASKS).index(choice.task))


def _shared(state: _State, chosen: Choice, candidates: list[Choice]) -> Choice:
    """Put an action off by a few days where one trip then serves two lawns and nothing closes."""
    if chosen.task == WATERING or (chosen.lawn.name, chosen.task) in state.standing:
        return chosen
    for other in sorted(candidates, key=_order):
        later = other.day - chosen.day
        if (
            other.task == chosen.task
            and other.product == chosen.product
            and other.lawn != chosen.lawn
            and 0 < later <= SHARE_DAYS
        ):
            moved = _on_day(state, chosen.lawn, chosen.task, other.day)
            if moved is not None and moved.product == chosen.product:
                return moved
    return chosen


def _first(state: _State, lawn: Lawn, task: str) -> Choice | None:
    """The first day on which a task may be done on a lawn, or the day announced for it; of water,
    see `watering.first_water`."""
    setting = state.setting
    view = state.views[lawn.name]
    if task == WATERING:
        return first_water(view, state.now, state.chosen)
    opened = np.zeros(len(setting.days), dtype=bool)
    for _, days in view.opened(task):
        opened |= days
    free = opened & ~view.held(task) & ~thirsty(view)
    announced = state.standing.get((lawn.name, task))
    possible = [day for day in range(setting.today, setting.end) if free[day]]
    if announced == setting.days[setting.today]:
        # It may be under way, or done: nothing of it is advised for another day.
        possible = [day for day in possible if day == setting.today]
    possible.sort(key=lambda day: (setting.days[day] != announced, day))
    for day in possible:
        choice = _on_day(state, lawn, task, day)
        if choice is not None:
            return choice
    return None


def _on_day(state: _State, lawn: Lawn, task: str, day: int) -> Choice | None:
    """What is put down for one task on one lawn on one day, or None where it is shut, held or
    refused."""
    view = state.views[lawn.name]
    if state.had(lawn.name, task, day) or bool(view.held(task)[day]):
        return None
    if thirsty(view)[day]:
        return None
    for rule, opened in view.opened(task):
        if not opened[day]:
            continue
        closes = _closing(opened, day, state.setting)
        picked = pick(view, rule, task, day, state.now, _announced(state, lawn, task, day))
        if picked.refusal is not None:
            state.refusals[lawn.name, task] = picked.refusal
        if picked.chosen is not None:
            put = picked.chosen
            return Choice(
                lawn, task, day, rule, view.explain(rule, day), closes,
                put.stretch, put.product, put.measured,
            )  # fmt: skip
    return None


def _announced(state: _State, lawn: Lawn, task: str, day: int) -> Stretch | None:
    """The hours for which a task was announced, if that was for this day."""
    if state.standing.get((lawn.name, task)) != state.setting.days[day]:
        return None
    return state.announced.get((lawn.name, task))


def _closing(opened: np.ndarray, day: int, setting: Setting) -> int | None:
    """Last day of the open run that `day` lies in; None where the forecast does not reach it."""
    last = day
    while last + 1 < setting.end and opened[last + 1]:
        last += 1
    return last if last + 1 < setting.end else None


def _commit(state: _State, choice: Choice) -> None:
    view = state.views[choice.lawn.name]
    planned = view.planned_mm.copy()
    sums = view.sums
    if choice.task == WATERING:
        planned[choice.day] += choice.water_mm
    if choice.measured is not None and choice.product is not None:
        day, amount = watering_in(choice, view)
        planned[day] += amount
        sums = sums.with_planned(
            Event(
                day=state.setting.days[choice.day],
                lawn=choice.lawn.name,
                tasks=tasks_of(choice.product, state.setting.shelf),
                product=choice.product.name,
                grams_per_m2=choice.measured.grams_per_m2,
                certainty=Certainty.PLANNED,
                text=f"planned: {choice.measured.dose.amount_text} of {choice.product.name}",
            )
        )
    state.views[choice.lawn.name] = replace(view, sums=sums, planned_mm=planned)

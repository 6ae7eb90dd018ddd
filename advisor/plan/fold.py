"""The walk: the first action by the principles is chosen, counted as planned, and all looked at
again, until nothing opens.

The principles, in order:

1. A hold beats a window, and what cannot be known holds whatever is put down.
2. People work when they are free: nothing is put down at other times, whatever closes; sprinklers
   need nobody.
3. The earliest day goes first; water goes as near before the day on which the grass begins to lack
   it as sprinklers may run.
4. Water before food: on a thirsty lawn nothing is put down before it is watered.
5. What closes first goes first.
6. One trip with the spreader: a lawn waits up to three days for others that take the same product,
   where its own window stays open, and for the day that serves most of them. It need not look
   back: where both are open on an earlier day, that is the earliest of both.
7. What was announced for a day still to come keeps that day, and its hours, while they are good.
8. The calmest dry hours of the day are the action's hours, the longest stretch of up to five.
9. A second choice is the next good day for the same action, else later hours of its day, or none;
   it is never announced.
10. The headline is the action with the nearest date that cannot be made good.

So two tasks cannot each bring the nitrogen that only one of them may.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

import numpy as np

from advisor.plan.choice import Choice, Placed, Walk, one_trip
from advisor.plan.dose import Refusal
from advisor.plan.hours import Stretch, within
from advisor.plan.offer import counted, offer
from advisor.plan.second import second_choice
from advisor.plan.view import ADVICE_DAYS, Setting, View
from advisor.plan.watering import first_water, thirsty
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
    # What a lawn offers changes when something is chosen for that lawn, and its water when another
    # lawn is watered on that day: all of them share one supply.
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
        first = min(candidates, key=_order)
        chosen = _placed(state, _shared(state, first, candidates), first, offers[first.lawn.name])
        state.chosen.append(chosen)
        state.views[chosen.lawn.name] = counted(state.views[chosen.lawn.name], chosen)
        for name in [name for name, found in offers.items() if _touched(found, name, chosen)]:
            del offers[name]
    choices = _seconds(setting, _trips(state.chosen), views, now)
    return Walk(choices, views, state.views, state.refusals, standing)


def _touched(offered: Sequence[Choice], lawn: str, chosen: Choice) -> bool:
    """Whether what a lawn offers may be another once an action is chosen."""
    return lawn == chosen.lawn.name or any(
        other.task == chosen.task == WATERING and other.day == chosen.day for other in offered
    )


def _placed(state: _State, chosen: Choice, first: Choice, offered: Sequence[Choice]) -> Choice:
    """The choice with how it came about: `first` is what it was before it waited for a trip."""
    own = (chosen.lawn.name, chosen.task)
    day = state.setting.days[chosen.day]
    announced = chosen.task != WATERING and state.standing.get(own) == day
    hours = state.announced.get(own) if announced else None
    others = [other for other in offered if other is not first]
    placed = Placed(
        state.views[chosen.lawn.name],
        announced=announced,
        kept_hours=within(chosen.stretch, hours),
        after=min(others, key=_order, default=None),
        put_off_from=first.day if chosen.day != first.day else None,
    )
    return replace(chosen, placed=placed)


def _trips(choices: Sequence[Choice]) -> list[Choice]:
    """The choices, each with the lawns that one trip with the spreader does."""
    out = []
    for choice in choices:
        lawns = [
            other.lawn.shown
            for other in choices
            if other is choice or (one_trip(choice, other) and choice.day == other.day)
        ]
        placed = choice.placed
        if len(lawns) > 1 and placed is not None:
            placed = replace(placed, lawns=tuple(lawns))
        out.append(replace(choice, placed=placed))
    return out


def _seconds(
    setting: Setting, choices: Sequence[Choice], before: Mapping[str, View], now: datetime
) -> tuple[Choice, ...]:
    """The choices, those of the days that the plan speaks for with a second one each."""
    out = []
    moved: list[Choice] = []
    for choice in choices:
        others = [c for c in choices if c.lawn == choice.lawn and c is not choice]
        elsewhere = [c for c in (*choices, *moved) if c.lawn != choice.lawn]
        if choice.day < setting.today + ADVICE_DAYS:
            second = second_choice(choice, before[choice.lawn.name], others, elsewhere, now)
            choice = replace(choice, second=second)
            if second.day is not None:
                moved.append(replace(choice, day=second.day, stretch=second.stretch))
        out.append(choice)
    return tuple(out)


def _order(choice: Choice) -> tuple[int, bool, int, int]:
    closes = choice.closes if choice.closes is not None else 10_000
    return (choice.day, choice.task != WATERING, closes, list(TASKS).index(choice.task))


def _shared(state: _State, chosen: Choice, candidates: list[Choice]) -> Choice:
    """Put an action off by a few days where one trip then serves more lawns and nothing closes."""
    if chosen.task == WATERING or (chosen.lawn.name, chosen.task) in state.standing:
        return chosen
    mates = [other for other in (*state.chosen, *candidates) if one_trip(chosen, other)]
    best, most = chosen, sum(other.day == chosen.day for other in mates)
    for day in sorted({other.day for other in mates}):
        if not 0 < day - chosen.day <= SHARE_DAYS:
            continue
        served = sum(_joins(state, other, day) for other in mates)
        if served <= most:
            continue
        moved = _on_day(state, chosen.lawn, chosen.task, day)
        if moved is not None and moved.product == chosen.product:
            best, most = moved, served
    return best


def _joins(state: _State, other: Choice, day: int) -> bool:
    """Whether another lawn is done on a day, or would wait for it."""
    if other.day == day:
        return True
    if any(other is done for done in state.chosen) or not 0 < day - other.day <= SHARE_DAYS:
        return False
    if (other.lawn.name, other.task) in state.standing:
        return False
    moved = _on_day(state, other.lawn, other.task, day)
    return moved is not None and moved.product == other.product


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
    free = opened & ~view.held(task) & ~thirsty(view) & view.owner_free
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
    """The action of one task on one lawn on one day, or None where it is shut, held or refused."""
    if state.had(lawn.name, task, day):
        return None
    hours = _announced(state, lawn, task, day)
    found = offer(state.views[lawn.name], task, day, state.now, state.chosen, hours)
    if found.refusal is not None:
        state.refusals[lawn.name, task] = found.refusal
    return found.choice


def _announced(state: _State, lawn: Lawn, task: str, day: int) -> Stretch | None:
    """The hours for which a task was announced, if that was for this day."""
    if state.standing.get((lawn.name, task)) != state.setting.days[day]:
        return None
    return state.announced.get((lawn.name, task))

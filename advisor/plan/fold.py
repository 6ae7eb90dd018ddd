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

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime

import numpy as np
from numpy.typing import NDArray

from advisor.plan.dose import Measured, Refusal, measure
from advisor.plan.hours import Stretch, best_hours, watering_hours
from advisor.plan.label import WATER_IN_DAYS
from advisor.plan.restrict import watering_allowed
from advisor.plan.view import Setting, View
from advisor.rulebook.book import Rule, RuleKind
from advisor.rulebook.explain import Explanation
from advisor.site.events import Certainty, Event, tasks_of
from advisor.site.lawns import Lawn
from advisor.site.shelf import Product
from advisor.site.sums import Sums
from advisor.site.words import TASKS, WATERING

MOST_ACTIONS = 24
"""A bound on the walk, for each lawn; sixteen days come to a handful."""

SHARE_DAYS = 3
"""Days that a lawn waits for another to share a trip [judgement]."""

LEAST_WATER = 5.0
"""Less than this is not worth starting the sprinklers for [mm; judgement]."""


STAYS_DRY = frozenset({"granules-on-the-leaf", "iron", "broadleaf-herbicide"})
"""Products that work through the leaf, which sprinklers would rinse."""

SURVIVAL_WATER = 12.7
"""What a rule that does not go by the root zone's water asks for: half an inch, which keeps crowns
alive without waking the grass (Purdue) [mm]."""


NOTHING_ANNOUNCED: Mapping[tuple[str, str], Stretch] = {}


@dataclass(frozen=True)
class Choice:
    """One action of the plan: what, where, on which day (an index), and why."""

    lawn: Lawn
    task: str
    day: int
    rule: Rule
    explanation: Explanation
    closes: int | None
    stretch: Stretch | None = None
    product: Product | None = None
    measured: Measured | None = None
    water_mm: float = 0.0


@dataclass(frozen=True)
class Walk:
    """The finished plan: its choices in order, each lawn's view before any and once all of them
    are counted, and for each (lawn, task) why a product could not be used."""

    choices: tuple[Choice, ...]
    before: Mapping[str, View]
    views: Mapping[str, View]
    refusals: Mapping[tuple[str, str], Refusal]
    standing: Mapping[tuple[str, str], date] = field(default_factory=dict)
    """By lawn and task, the day announced that is still to come."""


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
    """The first day on which a task may be done on a lawn, or the day announced for it."""
    setting = state.setting
    view = state.views[lawn.name]
    opened = np.zeros(len(setting.days), dtype=bool)
    for _, days in view.opened(task):
        opened |= days
    free = opened & ~view.held(task)
    if task != WATERING:
        free &= ~thirsty(view)
    announced = None if task == WATERING else state.standing.get((lawn.name, task))
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


def water_wanted(view: View) -> NDArray[np.float64]:
    """Water [mm] that an irrigated lawn is known to want on each day, less the rain in sight for
    it; 0 where none is wanted, or too little to start the sprinklers for."""
    out = np.zeros(len(view.setting.days))
    if not view.lawn.irrigated:
        return out
    asked, to_refill = np.zeros(len(out), dtype=bool), np.zeros(len(out), dtype=bool)
    for rule in view.rules(RuleKind.WATERS, WATERING):
        asked |= view.sure(rule)
        if "depletion" in rule.facts:
            to_refill |= view.sure(rule)
    missing = view.facts.table.number("depletion").low
    rain = view.facts.table.number("rain").low
    in_sight = rain.copy()
    in_sight[:-1] += rain[1:]
    amount = np.where(to_refill, missing, np.minimum(missing, SURVIVAL_WATER)) - in_sight
    return np.where(asked & (amount >= LEAST_WATER), amount, 0.0)


def thirsty(view: View) -> NDArray[np.bool_]:
    """Days on which water comes before food: once it is planned the lawn is looked at again."""
    return water_wanted(view) > 0


def _on_day(state: _State, lawn: Lawn, task: str, day: int) -> Choice | None:
    """The action of one task on one lawn on one day, or None where it is shut, held or refused."""
    view = state.views[lawn.name]
    if state.had(lawn.name, task, day) or bool(view.held(task)[day]):
        return None
    if task != WATERING and thirsty(view)[day]:
        return None
    for rule, opened in view.opened(task):
        if not opened[day]:
            continue
        closes = _closing(opened, day, state.setting)
        if task == WATERING:
            return _water(state, view, rule, day)
        for product in view.products(task):
            found = _with_product(state, view, rule, product, task, day)
            if found is not None:
                measured, stretch = found
                return Choice(
                    lawn, task, day, rule, view.explain(rule, day), closes,
                    stretch, product, measured,
                )  # fmt: skip
        if not view.products(task):
            state.refusals[lawn.name, task] = Refusal(
                f"nothing on the shelf serves {task} on {lawn.grass.replace('-', ' ')}"
            )
    return None


def _with_product(
    state: _State, view: View, rule: Rule, product: Product, task: str, day: int
) -> tuple[Measured, Stretch] | None:
    if any(restriction.held[day] for restriction in view.restrictions(product)):
        return None
    # A product is held by what holds anything that it serves, feeds, is or carries.
    names = view.names(product)
    if any(view.held(name)[day] for name in names):
        return None
    setting = state.setting
    measured = measure(product, view.lawn, setting.site, view.sums, setting.days[day], task=task)
    if isinstance(measured, Refusal):
        state.refusals[view.lawn.name, task] = measured
        return None
    stretch = best_hours(
        setting.weather.series,
        setting.weather.zone,
        setting.days[day],
        state.now,
        wind_max=product.wind_max_m_s,
        air_max=product.air_max_c,
        free=view.free_hours(names, day, rule),
        announced=_announced(state, view.lawn, task, day),
    )
    return None if stretch is None else (measured, stretch)


def _announced(state: _State, lawn: Lawn, task: str, day: int) -> Stretch | None:
    """The hours for which a task was announced, if that was for this day."""
    if state.standing.get((lawn.name, task)) != state.setting.days[day]:
        return None
    return state.announced.get((lawn.name, task))


def _water(state: _State, view: View, rule: Rule, day: int) -> Choice | None:
    """Refill the root zone on a permitted day, with nothing that expected rain covers."""
    setting = state.setting
    if not watering_allowed(setting.site, setting.days)[day] or _kept_dry(state, view.lawn, day):
        return None
    amount = float(water_wanted(view)[day])
    free = view.free_hours((WATERING,), day, rule)
    hours = watering_hours(setting.site, setting.days[day], state.now, free)
    if not amount or hours is None:
        return None
    return Choice(
        view.lawn, WATERING, day, rule, view.explain(rule, day), day, hours,
        water_mm=amount,
    )  # fmt: skip


def _kept_dry(state: _State, lawn: Lawn, day: int) -> bool:
    """Whether something that must stay dry is planned on a lawn for that day or the one before."""
    return any(
        choice.lawn == lawn
        and choice.product is not None
        and (choice.product.dry_hours is not None or _through_the_leaf(choice.product))
        and 0 <= day - choice.day <= 1
        for choice in state.chosen
    )


def _through_the_leaf(product: Product) -> bool:
    """Whether it works through the leaf, and so must not be rinsed off."""
    if product.water_in_mm is not None:
        return False
    return not STAYS_DRY.isdisjoint({*product.kinds, *product.serves})


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
        day, water = _watering_in(choice, view)
        planned[day] += water
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


def _watering_in(choice: Choice, view: View) -> tuple[int, float]:
    """The day and the sprinkler water [mm] that a product has to be watered in with: what rain of
    that day and the next does not bring, on the first day on which sprinklers may run."""
    wanted = choice.product.water_in_mm if choice.product is not None else None
    if wanted is None or not choice.lawn.irrigated:
        return choice.day, 0.0
    rain = view.facts.table.number("rain").low[choice.day : choice.day + 2]
    allowed = watering_allowed(view.setting.site, view.setting.days)
    days = range(choice.day, min(choice.day + WATER_IN_DAYS, len(allowed)))
    day = next((day for day in days if allowed[day]), choice.day)
    return day, max(0.0, wanted - float(np.sum(rain)))


def by_lawn(choices: tuple[Choice, ...], lawn: str) -> Iterator[Choice]:
    return (choice for choice in choices if choice.lawn.name == lawn)

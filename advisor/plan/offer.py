"""What a lawn, as it stands, offers for a task on one day; and the lawn once that is counted on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from advisor.plan.choice import Choice
from advisor.plan.choosing import pick
from advisor.plan.dose import Refusal
from advisor.plan.hours import Stretch
from advisor.plan.view import Setting, View
from advisor.plan.water_in import watered_in
from advisor.plan.watering import thirsty, water_on
from advisor.site.events import Certainty, Event, tasks_of
from advisor.site.words import WATERING


@dataclass(frozen=True)
class Offer:
    """An action that may be done, or none, and the last reason against a product that neither the
    day nor its weather explains."""

    choice: Choice | None = None
    refusal: Refusal | None = None


def offer(
    view: View,
    task: str,
    day: int,
    now: datetime,
    chosen: Sequence[Choice],
    announced: Stretch | None = None,
) -> Offer:
    """The action of one task on the day of index `day`; no choice where it is shut, held or
    refused. `chosen` is what is planned besides; `announced` the hours it was announced for."""
    if task == WATERING:
        return Offer(water_on(view, day, now, chosen))
    if bool(view.held(task)[day]) or thirsty(view)[day]:
        return Offer()
    refusal = None
    for rule, opened in view.opened(task):
        if not opened[day]:
            continue
        picked = pick(view, rule, task, day, now, announced)
        refusal = picked.refusal or refusal
        if picked.chosen is not None:
            put = picked.chosen
            found = Choice(
                view.lawn, task, day, rule, view.explain(rule, day),
                _closing(opened, day, view.setting), put.stretch, put.product, put.measured,
            )  # fmt: skip
            return Offer(found, refusal)
    return Offer(None, refusal)


def _closing(opened: np.ndarray, day: int, setting: Setting) -> int | None:
    """Last day of the open run that `day` lies in; None where the forecast does not reach it."""
    last = day
    while last + 1 < setting.end and opened[last + 1]:
        last += 1
    return last if last + 1 < setting.end else None


def counted(view: View, choice: Choice) -> View:
    """The lawn with an action as planned: its water, its nutrients, its intervals."""
    days = view.setting.days
    planned = view.planned_mm.copy()
    sums = view.sums
    if choice.task == WATERING:
        planned[choice.day] += choice.water_mm
        return replace(view, planned_mm=planned, from_files=view.stated)
    if choice.measured is not None and choice.product is not None:
        wet = watered_in(view.setting, view.lawn, choice.product, choice.day, choice.stretch)
        if wet is not None and wet.day is not None and wet.day < len(planned):
            planned[wet.day] += wet.sprinklers_mm
        sums = sums.with_planned(
            Event(
                day=days[choice.day],
                lawn=choice.lawn.name,
                tasks=tasks_of(choice.product, view.setting.shelf),
                product=choice.product.name,
                grams_per_m2=choice.measured.grams_per_m2,
                certainty=Certainty.PLANNED,
                text=f"planned: {choice.measured.dose.amount_text} of {choice.product.name}",
            )
        )
    return replace(view, sums=sums, planned_mm=planned, from_files=None)

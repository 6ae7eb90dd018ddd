"""How much water a lawn is given, on which day: a root zone refilled, nothing that rain covers."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from advisor.plan.choice import Choice
from advisor.plan.hours import watering_hours
from advisor.plan.label import WATER_IN_DAYS
from advisor.plan.restrict import watering_allowed
from advisor.plan.view import View
from advisor.rulebook.book import Rule, RuleKind
from advisor.site.lawns import Lawn
from advisor.site.shelf import Product
from advisor.site.words import WATERING

LEAST_WATER = 5.0
"""Less than this is not worth starting the sprinklers for [mm; judgement]."""


STAYS_DRY = frozenset({"granules-on-the-leaf", "iron", "broadleaf-herbicide"})
"""Products that work through the leaf, which sprinklers would rinse."""

SURVIVAL_WATER = 12.7
"""What a rule that does not go by the root zone's water asks for: half an inch, which keeps crowns
alive without waking the grass (Purdue) [mm]."""


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


def water(
    view: View, rule: Rule, day: int, now: datetime, chosen: Iterable[Choice]
) -> Choice | None:
    """Refill the root zone on a permitted day, with nothing that expected rain covers."""
    setting = view.setting
    if not watering_allowed(setting.site, setting.days, view.lawn.name)[day] or _kept_dry(
        chosen, view.lawn, day
    ):
        return None
    amount = float(water_wanted(view)[day])
    free = view.free_hours((WATERING,), day, rule)
    hours = watering_hours(setting.site, setting.days[day], now, free, view.lawn.name)
    if not amount or hours is None:
        return None
    return Choice(
        view.lawn, WATERING, day, rule, view.explain(rule, day), day, hours,
        water_mm=amount,
    )  # fmt: skip


def _kept_dry(chosen: Iterable[Choice], lawn: Lawn, day: int) -> bool:
    """Whether something that must stay dry is planned on a lawn for that day or the one before."""
    return any(
        choice.lawn == lawn
        and choice.product is not None
        and (choice.product.dry_hours is not None or _through_the_leaf(choice.product))
        and 0 <= day - choice.day <= 1
        for choice in chosen
    )


def _through_the_leaf(product: Product) -> bool:
    """Whether it works through the leaf, and so must not be rinsed off."""
    if product.water_in_mm is not None:
        return False
    return not STAYS_DRY.isdisjoint({*product.kinds, *product.serves})


def watering_in(choice: Choice, view: View) -> tuple[int, float]:
    """The day and the sprinkler water [mm] that a product has to be watered in with: what rain of
    that day and the next does not bring, on the first day on which sprinklers may run."""
    wanted = choice.product.water_in_mm if choice.product is not None else None
    if wanted is None or not choice.lawn.irrigated:
        return choice.day, 0.0
    rain = view.facts.table.number("rain").low[choice.day : choice.day + 2]
    allowed = watering_allowed(view.setting.site, view.setting.days, view.lawn.name)
    days = range(choice.day, min(choice.day + WATER_IN_DAYS, len(allowed)))
    day = next((day for day in days if allowed[day]), choice.day)
    return day, max(0.0, wanted - float(np.sum(rain)))

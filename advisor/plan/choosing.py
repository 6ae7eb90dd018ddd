"""Which product of the shelf is put down for a task on a day, in which dose and at what hours."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from advisor.plan.dose import Measured, Refusal, measure
from advisor.plan.hours import Stretch, best_hours
from advisor.plan.view import View
from advisor.rulebook.book import Rule
from advisor.site.shelf import Product


@dataclass(frozen=True)
class Chosen:
    """A product that may go down: its dose, and the hours for it."""

    product: Product
    measured: Measured
    stretch: Stretch


@dataclass(frozen=True)
class Picked:
    """What the shelf has for a task on a day: a product or none, and the last reason against one
    that the day and its weather do not explain."""

    chosen: Chosen | None
    refusal: Refusal | None = None


def pick(
    view: View, rule: Rule, task: str, day: int, now: datetime, announced: Stretch | None
) -> Picked:
    """The product to put down for a task on the day of index `day`; `announced` are the hours that
    were announced for it."""
    products = view.products(task)
    refusal = None
    for product in products:
        found = _with_product(view, rule, product, task, day, now, announced)
        if isinstance(found, Chosen):
            return Picked(found, refusal)
        refusal = found or refusal
    if not products:
        grass = view.lawn.grass.replace("-", " ")
        refusal = Refusal(f"nothing on the shelf serves {task} on {grass}")
    return Picked(None, refusal)


def _with_product(
    view: View,
    rule: Rule,
    product: Product,
    task: str,
    day: int,
    now: datetime,
    announced: Stretch | None,
) -> Chosen | Refusal | None:
    if any(restriction.held[day] for restriction in view.restrictions(product)):
        return None
    # A product is held by what holds anything that it serves, feeds, is or carries.
    names = view.names(product)
    if any(view.held(name)[day] for name in names):
        return None
    setting = view.setting
    measured = measure(product, view.lawn, setting.site, view.sums, setting.days[day], task=task)
    if isinstance(measured, Refusal):
        return measured
    stretch = best_hours(
        setting.weather.series,
        setting.weather.zone,
        setting.days[day],
        now,
        wind_max=product.wind_max_m_s,
        air_max=product.air_max_c,
        free=view.work_hours(names, day, rule),
        announced=announced,
    )
    return None if stretch is None else Chosen(product, measured, stretch)

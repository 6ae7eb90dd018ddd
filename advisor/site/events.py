"""Events: what was put down on a lawn, when, and how surely; and what each counts for."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from advisor.series.quantity import Kind
from advisor.site.amounts import Amount
from advisor.site.lawns import Lawn
from advisor.site.shelf import Product, Shelf


class Certainty(StrEnum):
    """How sure an event is."""

    DONE = "done"
    PERHAPS = "perhaps done"
    PLANNED = "planned"


@dataclass(frozen=True)
class Event:
    """Something put down (or done) on one lawn on one day.

    `tasks` are all that it counts for. `grams_per_m2` gives, for each substance that it carries,
    g/m2 of the treated area: "nitrogen", "phosphorus", "potassium", "iron" (elements), each active
    ingredient by name, and the product itself as "product:NAME" (g/m2, or mL/m2 where it is
    measured by volume). Infinity means: some, and nobody knows how much.
    """

    day: date
    lawn: str
    tasks: frozenset[str]
    product: str | None
    grams_per_m2: Mapping[str, float]
    certainty: Certainty
    text: str
    advised_on: date | None = None


@dataclass(frozen=True)
class Advised:
    """An action that a digest announced and that was sent: `amount` in kg or L on the lawn.

    `second` is the day that it named as a way out, if any: it may have been done then as well.
    """

    id: str
    issued: date
    lawn: str
    task: str
    product: str | None
    day: date
    amount: float
    second: date | None = None


BASE_TASKS: dict[str, tuple[str, ...]] = {"nitrogen": ("feed",), "iron": ("iron",)}
"""The tasks that putting a nutrient down counts for, whatever product carried it."""

_FEED = ("nitrogen", "phosphorus", "potassium")


def tasks_of(product: Product, shelf: Shelf) -> frozenset[str]:
    """Every task that putting this product down counts for: what it serves, what its nutrients
    serve, and what any product with one of its active ingredients serves."""
    tasks = set(product.serves)
    brings = product.nutrients_per(1.0)
    for nutrient, served in BASE_TASKS.items():
        if brings[nutrient] > 0:
            tasks.update(served)
    for other in shelf.products:
        if set(other.actives) & set(product.actives):
            tasks.update(other.serves)
    return frozenset(tasks)


def substances(product: Product, amount: Amount, area_m2: float) -> dict[str, float]:
    """What an amount of product (mass or volume) brings to each m2 of an area, see `Event`."""
    name = f"product:{product.name}"
    own = product.in_its_measure(amount)
    grams = product.grams(amount)
    brings = product.nutrients_per(1.0 if grams is None else grams / area_m2)
    found = {
        substance: math.inf if grams is None else value
        for substance, value in brings.items()
        if value > 0
    }
    found[name] = math.inf if own is None else own * 1000 / area_m2
    return found


def unknown_amounts(task: str, shelf: Shelf) -> dict[str, float]:
    """What doing a task with an unknown product may have brought: of each, nobody knows."""
    found = dict.fromkeys(_FEED, math.inf) if task == "feed" else {}
    for product in shelf.products:
        if task in tasks_of(product, shelf):
            carries = [name for name, value in product.nutrients_per(1.0).items() if value > 0]
            found |= dict.fromkeys((*carries, f"product:{product.name}"), math.inf)
    return found


def advised_event(advice: Advised, lawn: Lawn, shelf: Shelf, certainty: Certainty) -> Event:
    """The event that following an advice to the letter makes."""
    product = shelf.get(advice.product) if advice.product else None
    tasks = frozenset({advice.task})
    if product is None:
        amounts = unknown_amounts(advice.task, shelf)
    else:
        tasks |= tasks_of(product, shelf)
        kind = Kind.MASS if product.measured_in == "kg" else Kind.VOLUME
        amounts = substances(product, Amount(advice.amount, kind), lawn.treated_m2)
    text = f"{advice.task} advised for {advice.day}"
    return Event(
        advice.day, advice.lawn, tasks, advice.product, amounts, certainty, text, advice.issued
    )


def perhaps_done(advice: Advised, lawn: Lawn, shelf: Shelf) -> Iterator[Event]:
    """The events that an advice which nobody answered may have been. Done on its second day it is
    the same thing once, so that day has its intervals, and its amounts only in a year of its own.
    """
    event = advised_event(advice, lawn, shelf, Certainty.PERHAPS)
    days = [(advice.day, event.grams_per_m2)]
    if advice.second is not None and advice.second > advice.day:
        amounts = {} if advice.second.year == advice.day.year else event.grams_per_m2
        days.append((advice.second, amounts))
    for day, amounts in days:
        found = replace(event, day=day, grams_per_m2=amounts)
        yield found
        too = perhaps_too(found, shelf)
        if too is not None:
            yield too


def perhaps_too(event: Event, shelf: Shelf) -> Event | None:
    """What an event of an unknown product may have been besides: any product that serves its task
    may have been it, with all that this product counts for. None when that adds nothing."""
    tasks: frozenset[str] = frozenset()
    for product in shelf.products:
        own = tasks_of(product, shelf)
        if own & event.tasks:
            tasks |= own
    more = tasks - event.tasks
    if not more or event.product is not None:
        return None
    return replace(event, tasks=more, grams_per_m2={}, certainty=Certainty.PERHAPS)

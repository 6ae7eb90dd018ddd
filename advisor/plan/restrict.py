"""What law and label forbid, whatever the rules say: the strictest holds.

Each restriction gives an array over days: held or not. What cannot be known holds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.table import Table
from advisor.series.quantity import Kind, show
from advisor.site.events import Certainty, tasks_of
from advisor.site.fields import WEEKDAYS
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.shelf import Product, Shelf
from advisor.site.sums import Sums

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Restriction:
    """A hold that no rule wrote: on which days it holds, and why."""

    name: str
    held: Bools
    sentence: str
    source: str
    unknown: Bools
    value: str = ""
    limit: str = ""
    origin: str = ""

    @classmethod
    def sure(cls, name: str, held: Bools, sentence: str, source: str) -> Restriction:
        return cls(name, held, sentence, source, np.zeros_like(held))


def bans(site: Site, lawn: Lawn, product: Product, days: list[date]) -> Iterator[Restriction]:
    """Closed seasons for a nutrient that the product carries."""
    carried = {name for name, grams in product.nutrients_per(1.0).items() if grams > 0}
    for ban in site.bans:
        caught = sorted(carried & set(ban.nutrients))
        if caught:
            held = np.array([ban.covers(lawn.name, day) for day in days])
            yield Restriction.sure(
                "closed-season",
                held,
                f"{ban.title}: no {' or '.join(caught)} from {_day(ban.first)} to"
                f" {_day(ban.last)}.",
                ban.source or "local code, as the site file states it",
            )


def _day(month_day: tuple[int, int]) -> str:
    months = "January February March April May June July August September October November December"
    return f"{month_day[1]} {months.split()[month_day[0] - 1]}"


def label_holds(
    site: Site, lawn: Lawn, shelf: Shelf, product: Product, table: Table, sums: Sums
) -> Iterator[Restriction]:
    """What the product's own label forbids on each day."""
    yield from _interval(site, shelf, product, table)
    yield from _interval_of_others(site, lawn, shelf, product, table, sums)
    units = site.units
    if product.air_max_c is not None:
        column = table.number("air_max")
        yield _above(
            "label-heat", column.low, column.high, product.air_max_c,
            f"The label forbids {product.shown} above"
            f" {show(product.air_max_c, Kind.TEMPERATURE, units)}.",
        )  # fmt: skip
    if product.rain_hold_mm is not None:
        rain = table.number("rain")
        low, high = (_with_next_day(side) for side in (rain.low, rain.high))
        yield _above(
            "label-rain", low, high, product.rain_hold_mm,
            f"More than {show(product.rain_hold_mm, Kind.WATER, units)} of rain may come that"
            f" day or the next and carry {product.shown} off.",
        )  # fmt: skip


def _with_next_day(values: NDArray[np.float64]) -> NDArray[np.float64]:
    out = values.copy()
    out[:-1] += values[1:]
    out[-1] += values[-1]
    return out


def _above(
    name: str, low: NDArray[np.float64], high: NDArray[np.float64], limit: float, sentence: str
) -> Restriction:
    sure = low > limit + 1e-9
    held = ~(high <= limit + 1e-9)
    return Restriction(name, held, sentence, "the product's label", held & ~sure)


def _interval(site: Site, shelf: Shelf, product: Product, table: Table) -> Iterator[Restriction]:
    """The label's interval, counted for every task whose nutrient or ingredient it carries.

    What was only perhaps done counts as done: `days since` is then a range, and its lower end
    decides.
    """
    if product.interval_days is None:
        return
    for task in sorted(tasks_of(product, shelf)):
        since = table.since.get(task)
        if since is None:
            continue
        held = ~(since.low >= product.interval_days - 1e-9)
        unsure = held & (since.high >= product.interval_days - 1e-9)
        yield Restriction(
            "too-soon",
            held,
            f"Too soon: {product.shown} wants"
            f" {show(product.interval_days, Kind.DURATION, site.units)} after the last {task}.",
            "the product's label",
            unsure,
        )


def _interval_of_others(
    site: Site, lawn: Lawn, shelf: Shelf, product: Product, table: Table, sums: Sums
) -> Iterator[Restriction]:
    """The interval of what lies on the lawn already: its label speaks as well, and it may ask for
    longer than this product's own."""
    tasks = tasks_of(product, shelf)
    axis = np.array([day.toordinal() for day in table.days])
    for event in sums.events(lawn.name):
        other = shelf.get(event.product or "")
        if other is None or other.interval_days is None or not tasks & event.tasks:
            continue
        if (other.interval_days, other.name) <= (product.interval_days or 0, product.name):
            continue  # this product's own interval is as long
        gone = axis - event.day.toordinal()
        held = (gone >= 0) & (gone < other.interval_days)
        if not held.any():
            continue
        yield Restriction(
            "too-soon",
            held,
            f"Too soon: {other.shown} was put down, and its label wants"
            f" {show(other.interval_days, Kind.DURATION, site.units)} before more of the same.",
            "the label of what was put down",
            held & (event.certainty is Certainty.PERHAPS),
        )


def watering_allowed(site: Site, days: list[date]) -> Bools:
    """Days on which the site's rules permit sprinklers."""
    allowed = site.watering.weekdays
    if not allowed:
        return np.ones(len(days), dtype=bool)
    return np.array([WEEKDAYS[day.weekday()] in allowed for day in days])

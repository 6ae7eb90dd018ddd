"""What a product's label forbids on each day, and what already lies on the lawn.

What was only perhaps done counts as done, and what cannot be known holds.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.table import Table
from advisor.language.dates import day_text, separated
from advisor.language.words import later, tell
from advisor.plan.lying import LABEL, NOT_ANSWERED, lying
from advisor.plan.restrict import Bools, Restriction, ahead, watering_allowed
from advisor.series.quantity import Kind, show
from advisor.site.events import tasks_of
from advisor.site.free_time import FIRST_HOUR, SHORTEST
from advisor.site.lawns import Lawn
from advisor.site.named import task_written
from advisor.site.place import Site
from advisor.site.shelf import Product, Shelf
from advisor.site.sums import Sums

Floats = NDArray[np.float64]

DRY = 0.1
"""Rain of a day that still leaves it dry [mm]."""

WATER_IN_DAYS = 7
"""Days within which a product has to be watered in (Arkansas extension: within a week)."""

EARLIEST_DONE = 60 * (FIRST_HOUR + SHORTEST)
"""When work may be over at the earliest [minutes after midnight]."""

NOT_FORECAST = later("the weather of that day is not known")


@dataclass(frozen=True)
class Labelled:
    """A product in the light of one lawn's facts and sums."""

    site: Site
    lawn: Lawn
    shelf: Shelf
    product: Product
    table: Table
    sums: Sums

    def restrictions(self) -> Iterator[Restriction]:
        yield from self._interval()
        yield from lying(self.site, self.lawn, self.shelf, self.product, self.table.days, self.sums)
        yield from self._weather()

    def _interval(self) -> Iterator[Restriction]:
        """The label's interval, for every task whose nutrient or ingredient the product carries."""
        interval = self.product.interval_days
        if interval is None:
            return
        for task in sorted(tasks_of(self.product, self.shelf)):
            since = self.table.since.get(task)
            if since is None:
                continue
            held = ~(since.low >= interval - 1e-9)
            left = interval - float(since.low[self.table.today])
            yield Restriction(
                "too-soon",
                held,
                self._too_soon(task, interval, left),
                tell(LABEL),
                held & (since.high >= interval - 1e-9),
                tell(NOT_ANSWERED),
            )

    def _too_soon(self, task: str, interval: float, left: float) -> str:
        """That the label's interval [days] is not over, and when it is, where that is known."""
        product, name, days = self.product.shown, task_written(task), self._days(interval)
        if not 0 < left < math.inf:
            return tell(
                "Too soon: {product} wants {days} after the last {task}.",
                product=product,
                days=days,
                task=name,
            )
        return tell(
            "Too soon: {product} wants {days} after the last {task}, so not before {day}.",
            product=product,
            days=days,
            task=name,
            day=self._day(left),
        )

    def _weather(self) -> Iterator[Restriction]:
        product, units = self.product, self.site.units
        rain = self.table.number("rain")
        if product.air_max_c is not None:
            column = self.table.number("air_max")
            limit = show(product.air_max_c, Kind.TEMPERATURE, units)
            yield _above(
                "label-heat", column.low, column.high, product.air_max_c,
                tell(
                    "The label forbids {product} above {limit}.",
                    product=product.shown, limit=limit,
                ),
            )  # fmt: skip
        if product.rain_hold_mm is not None:
            limit = show(product.rain_hold_mm, Kind.WATER, units)
            yield _above(
                "label-rain", *ahead(rain.low, rain.high, 2), product.rain_hold_mm,
                tell(
                    "More than {limit} of rain may come that day or the next; {product} would be"
                    " carried off.",
                    product=product.shown, limit=limit,
                ),
            )  # fmt: skip
        if product.dry_hours is not None:
            yield _above(
                "label-dry", *ahead(rain.low, rain.high, dry_days(product.dry_hours)), DRY,
                tell(
                    "{product} has to stay dry for {hours} hours, and rain may come.",
                    product=product.shown, hours=separated(f"{product.dry_hours:g}"),
                ),
            )  # fmt: skip
        if product.water_in_mm is not None:
            low, _ = ahead(rain.low, rain.high, WATER_IN_DAYS)
            held = ~(low >= product.water_in_mm - 1e-9) & ~self._sprinklers_may_run()
            wanted = show(product.water_in_mm, Kind.WATER, units)
            if self.lawn.irrigated:
                sentence = tell(
                    "{product} has to be watered in with {depth}: no sprinklers may run within"
                    " {days} days of it, and that much rain is not in sight.",
                    product=product.shown,
                    depth=wanted,
                    days=WATER_IN_DAYS,
                )
            else:
                sentence = tell(
                    "{product} has to be watered in with {depth}: this lawn has no irrigation, and"
                    " that much rain is not in sight.",
                    product=product.shown,
                    depth=wanted,
                )
            yield Restriction.sure("water-in", held, sentence, tell(LABEL))

    def _sprinklers_may_run(self) -> Bools:
        """Days that sprinklers may follow in time to water something in."""
        days = self.table.days
        if not self.lawn.irrigated:
            return np.zeros(len(days), dtype=bool)
        # Past the last day of the table the law is the same, whatever the weather.
        later = [days[-1] + timedelta(n) for n in range(1, WATER_IN_DAYS)]
        allowed = watering_allowed(self.site, [*days, *later], self.lawn.name)
        return np.array(
            [
                allowed[n + 1 : n + WATER_IN_DAYS].any() or (allowed[n] and self._hours_left(day))
                for n, day in enumerate(days)
            ],
            dtype=bool,
        )

    def _hours_left(self, day: date) -> bool:
        """Whether hours of a permitted day may be left once work is done on it, at the earliest."""
        spans = self.site.watering.spans(day, self.lawn.name)
        return spans is None or any(last > EARLIEST_DONE for _, last in spans)

    def _day(self, ahead: float) -> str:
        """The day so many days from today."""
        today = self.table.days[self.table.today]
        return day_text(today + timedelta(math.ceil(ahead)), self.site.units)

    def _days(self, days: float) -> str:
        return show(days, Kind.DURATION, self.site.units)


def dry_days(hours: float) -> int:
    """Days that must stay dry for so many hours after work: it is done by day, so half a day stays
    within it, and more reaches into the next."""
    return 1 + math.ceil(max(0.0, hours - 12) / 24)


def _above(name: str, low: Floats, high: Floats, limit: float, sentence: str) -> Restriction:
    sure = low > limit + 1e-9
    held = ~(high <= limit + 1e-9)
    return Restriction(name, held, sentence, tell(LABEL), held & ~sure, tell(NOT_FORECAST))

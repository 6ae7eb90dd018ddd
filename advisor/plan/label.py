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
from advisor.plan.restrict import Bools, Restriction, ahead, watering_allowed
from advisor.plan.words import day_text
from advisor.series.quantity import Kind, show
from advisor.site.events import Certainty, Event, tasks_of
from advisor.site.free_time import FIRST_HOUR, SHORTEST
from advisor.site.lawns import Lawn
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

LABEL = "the product's label"
NOT_ANSWERED = "whether it was done is not known"
NOT_FORECAST = "the weather of that day is not known"


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
        for event in self.sums.events(self.lawn.name):
            yield from self._of_event(event)
        yield from self._weather()

    def _days_from(self, event: Event) -> NDArray[np.int64]:
        axis = np.array([day.toordinal() for day in self.table.days], dtype=np.int64)
        return axis - event.day.toordinal()

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
            first = f", so not before {self._day(left)}" if 0 < left < math.inf else ""
            yield Restriction(
                "too-soon",
                held,
                f"Too soon: {self.product.shown} wants {self._days(interval)} after the last"
                f" {task}{first}.",
                LABEL,
                held & (since.high >= interval - 1e-9),
                NOT_ANSWERED,
            )

    def _of_event(self, event: Event) -> Iterator[Restriction]:
        """What one thing on the lawn, done, perhaps done or planned, forbids for this product."""
        other = self.shelf.get(event.product or "")
        gone = self._days_from(event)
        perhaps = event.certainty is Certainty.PERHAPS
        if tasks_of(self.product, self.shelf) & event.tasks:
            theirs = other.interval_days if other is not None else None
            own = self.product.interval_days
            longest = max(theirs or 0.0, own or 0.0)
            if perhaps and theirs is None and own is None:
                # No label says how long: then until it is answered.
                yield self._hold(gone >= 0, perhaps, "It was advised, and nobody has said whether"
                                 " it was done.", "nothing is advised twice")  # fmt: skip
            elif theirs is not None and other is not None and theirs > (own or 0.0):
                held = (gone >= 0) & (gone < theirs)
                yield self._hold(held, perhaps, f"Too soon: {other.shown} lies on the lawn, and"
                                 f" its label wants {self._days(theirs)} before more of the same.",
                                 "the label of what was put down")  # fmt: skip
            if event.certainty is Certainty.PLANNED:
                held = (gone < 0) & (gone > -longest)
                yield self._hold(held, False, "The same is planned for a day soon after.",
                                 LABEL)  # fmt: skip
        yield from self._of_seed(event, other, gone, perhaps)

    def _of_seed(
        self, event: Event, other: Product | None, gone: NDArray[np.int64], perhaps: bool
    ) -> Iterator[Restriction]:
        """Seed and what keeps seed from sprouting, in either order."""
        if "overseed" in self.product.serves and other is not None:
            wait, what = other.seeding_interval_days, other.shown
        elif "overseed" in event.tasks:
            wait, what = self.product.seeding_interval_days, "seed"
        else:
            return
        if wait is not None:
            yield self._hold(
                np.abs(gone) < wait, perhaps,
                f"The label wants {self._days(wait)} between {what} and"
                f" {'seed' if what != 'seed' else self.product.shown}.", LABEL,
            )  # fmt: skip

    def _weather(self) -> Iterator[Restriction]:
        product, units = self.product, self.site.units
        rain = self.table.number("rain")
        if product.air_max_c is not None:
            column = self.table.number("air_max")
            limit = show(product.air_max_c, Kind.TEMPERATURE, units)
            yield _above(
                "label-heat", column.low, column.high, product.air_max_c,
                f"The label forbids {product.shown} above {limit}.",
            )  # fmt: skip
        if product.rain_hold_mm is not None:
            limit = show(product.rain_hold_mm, Kind.WATER, units)
            yield _above(
                "label-rain", *ahead(rain.low, rain.high, 2), product.rain_hold_mm,
                f"More than {limit} of rain may come that day or the next;"
                f" {product.shown} would be carried off.",
            )  # fmt: skip
        if product.dry_hours is not None:
            yield _above(
                "label-dry", *ahead(rain.low, rain.high, dry_days(product.dry_hours)), DRY,
                f"{product.shown} has to stay dry for {product.dry_hours:g} hours, and rain may"
                " come.",
            )  # fmt: skip
        if product.water_in_mm is not None:
            low, _ = ahead(rain.low, rain.high, WATER_IN_DAYS)
            held = ~(low >= product.water_in_mm - 1e-9) & ~self._sprinklers_may_run()
            wanted = show(product.water_in_mm, Kind.WATER, units)
            why = (
                f"no sprinklers may run within {WATER_IN_DAYS} days of it"
                if self.lawn.irrigated
                else "this lawn has no irrigation"
            )
            yield Restriction.sure(
                "water-in", held, f"{product.shown} has to be watered in with {wanted}: {why}, and"
                " that much rain is not in sight.", LABEL,
            )  # fmt: skip

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

    def _hold(self, held: Bools, perhaps: bool, sentence: str, source: str) -> Restriction:
        name = "perhaps-done" if perhaps else "too-soon"
        return Restriction(name, held, sentence, source, held & perhaps, NOT_ANSWERED)

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
    return Restriction(name, held, sentence, LABEL, held & ~sure, NOT_FORECAST)

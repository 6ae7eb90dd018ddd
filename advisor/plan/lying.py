"""What lies on a lawn, done, perhaps done or planned, and forbids more: no weather in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from advisor.language.words import later, tell
from advisor.plan.restrict import Bools, Restriction
from advisor.series.quantity import Kind, show
from advisor.site.events import Certainty, Event, tasks_of
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.shelf import Product, Shelf
from advisor.site.sums import Sums

LABEL = later("the product's label")
NOT_ANSWERED = later("whether it was done is not known")
ADVISED_ONCE = later("nothing is advised twice")


def lying(
    site: Site, lawn: Lawn, shelf: Shelf, product: Product, days: Sequence[date], sums: Sums
) -> Iterator[Restriction]:
    """What each thing that was or is to be put down on a lawn forbids for a product on `days`: the
    longer interval of two labels, seed, and advice that nobody has answered."""
    on = _Lying(site, shelf, product, days)
    for event in sums.events(lawn.name):
        yield from on.of_event(event)


@dataclass(frozen=True)
class _Lying:
    site: Site
    shelf: Shelf
    product: Product
    days: Sequence[date]

    def of_event(self, event: Event) -> Iterator[Restriction]:
        other = self.shelf.get(event.product or "")
        gone = self._days_from(event)
        perhaps = event.certainty is Certainty.PERHAPS
        if tasks_of(self.product, self.shelf) & event.tasks:
            theirs = other.interval_days if other is not None else None
            own = self.product.interval_days
            longest = max(theirs or 0.0, own or 0.0)
            if perhaps and theirs is None and own is None:
                # No label says how long: then until it is answered.
                said = tell("It was advised, and nobody has said whether it was done.")
                hold = self._hold(gone >= 0, perhaps, said, tell(ADVISED_ONCE))
                yield replace(hold, until_answered=True)
            elif theirs is not None and other is not None and theirs > (own or 0.0):
                held = (gone >= 0) & (gone < theirs)
                said = tell(
                    "Too soon: {product} lies on the lawn, and its label wants {days} before more"
                    " of the same.",
                    product=other.shown,
                    days=self._days(theirs),
                )
                yield self._hold(held, perhaps, said, tell("the label of what was put down"))
            if event.certainty is Certainty.PLANNED:
                held = (gone < 0) & (gone > -longest)
                said = tell("The same is planned for a day soon after.")
                yield self._hold(held, False, said, tell(LABEL))
        yield from self._of_seed(event, other, gone, perhaps)

    def _of_seed(
        self, event: Event, other: Product | None, gone: NDArray[np.int64], perhaps: bool
    ) -> Iterator[Restriction]:
        """Seed and what keeps seed from sprouting, in either order."""
        if "overseed" in self.product.serves and other is not None:
            wait = other.seeding_interval_days
            if wait is not None:
                said = tell(
                    "The label wants {days} between {product} and seed.",
                    days=self._days(wait),
                    product=other.shown,
                )
                yield self._hold(np.abs(gone) < wait, perhaps, said, tell(LABEL))
        elif "overseed" in event.tasks:
            wait = self.product.seeding_interval_days
            if wait is not None:
                said = tell(
                    "The label wants {days} between seed and {product}.",
                    days=self._days(wait),
                    product=self.product.shown,
                )
                yield self._hold(np.abs(gone) < wait, perhaps, said, tell(LABEL))

    def _days_from(self, event: Event) -> NDArray[np.int64]:
        axis = np.array([day.toordinal() for day in self.days], dtype=np.int64)
        return axis - event.day.toordinal()

    def _hold(self, held: Bools, perhaps: bool, sentence: str, source: str) -> Restriction:
        name = "perhaps-done" if perhaps else "too-soon"
        return Restriction(name, held, sentence, source, held & perhaps, tell(NOT_ANSWERED))

    def _days(self, days: float) -> str:
        return show(days, Kind.DURATION, self.site.units)

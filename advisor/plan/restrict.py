"""What local law forbids, whatever the rules say: the strictest holds.

Each restriction gives an array over days: held or not. What cannot be known holds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.shelf import Product

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Restriction:
    """A hold that no rule wrote: on which days it holds, and why."""

    name: str
    held: Bools
    sentence: str
    source: str
    unknown: Bools
    missing: str = ""
    """What could not be known, where `unknown`."""

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


def watering_allowed(site: Site, days: list[date]) -> Bools:
    """Days on which the site's rules permit sprinklers."""
    return np.array([site.watering.allows(day) for day in days], dtype=bool)

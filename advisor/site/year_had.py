"""What a lawn has had in the year so far, and how long ago each task was done, for people."""

from __future__ import annotations

import math
from collections.abc import Iterator

from advisor.language.words import tell
from advisor.series.quantity import Kind, show, show_small
from advisor.site.sums import Sums
from advisor.site.words import TASKS

NUTRIENTS = ("nitrogen", "phosphorus", "potassium", "iron")


def year_had(had: Sums, lawn: str, substance: str) -> tuple[float, float]:
    """g/m2 of a substance in the year of the sums' day, up to that day: (low, high)."""
    return had.total(lawn, substance, had.today.year, upto=had.today)


def substances_had(had: Sums, lawn: str) -> tuple[str, ...]:
    """Nutrients and actives that the lawn has had this year, surely or perhaps; nitrogen always."""
    actives = {name for product in had.shelf.products for name in product.actives}

    def had_some(name: str) -> bool:
        low, high = year_had(had, lawn, name)
        return low > 0 or 0 < high < math.inf

    return tuple(
        name for name in (*NUTRIENTS, *sorted(actives)) if name == "nitrogen" or had_some(name)
    )


def had_text(low: float, high: float, units: str) -> str:
    """A sum that lies between two ends [g/m2]."""
    least = show_small(low, units)
    if low == high:
        return least
    if math.isinf(high):
        return tell("at least {least}; how much more cannot be told", least=least)
    return tell("{least}, perhaps {most}", least=least, most=show_small(high, units))


def tasks_since(had: Sums, lawn: str) -> Iterator[tuple[str, str]]:
    """Each task that was surely done, and the days since then as a phrase."""
    for task in TASKS:
        low, high = had.days_since(lawn, task, [had.today])
        least, most = float(low[0]), float(high[0])
        if math.isinf(most):
            continue
        days = show(most, Kind.DURATION)
        yield (
            task,
            days if least == most else tell("{least} to {days}", least=f"{least:.0f}", days=days),
        )

"""How many forecasts of an ensemble fulfil what an action needs, and when too few do.

The principle: an ensemble may hold, and never opens. The lead forecast decides; where rain would
spoil a product and fewer than half of the members surely spare it, the day is not taken. An
ensemble that is missing, stale or too short says nothing, and then nothing is held by it.

Probability from an ensemble is the share of its members in which the event occurs (from memory:
WMO guidelines on ensemble prediction); one half is where an event is no longer the likelier one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from advisor.language.dates import separated
from advisor.language.words import later, tell
from advisor.plan.label import DRY, dry_days
from advisor.plan.restrict import Restriction
from advisor.series.ensemble import FEWEST_MEMBERS, Ensemble
from advisor.series.quantity import Kind, show
from advisor.site.place import Site
from advisor.site.shelf import Product

STALE_AFTER = timedelta(hours=30)
"""An ensemble older than this says nothing: it is asked for twice a day [judgement]."""

ENOUGH = 0.5
"""Share of the members that must surely spare a product that rain would spoil [judgement]."""

PRINCIPLE = later("principle of the plan: an ensemble may hold, and never opens")


@dataclass(frozen=True)
class Need:
    """Rain wanted between two instants: at most `mm`, or, if `at_least`, no less."""

    first: datetime
    last: datetime
    mm: float
    at_least: bool = False


@dataclass(frozen=True)
class Count:
    """Of `members`, those that are `fulfilling`, which surely bring what is needed, and those that
    `may` be: all but the ones that surely do not."""

    members: int
    fulfilling: int
    may: int

    @property
    def too_few(self) -> bool:
        return self.fulfilling < ENOUGH * self.members


def counted(ensemble: Ensemble | None, needs: Sequence[Need], now: datetime) -> Count | None:
    """How many members fulfil all of the needs; None where there are none to count by.

    With fewer than `FEWEST_MEMBERS` known over all of the stretches nothing is said.
    """
    if ensemble is None or not needs or now - ensemble.source.fetched_at > STALE_AFTER:
        return None
    known = np.ones(ensemble.members, dtype=bool)
    good, perhaps = known.copy(), known.copy()
    for need in needs:
        totals = ensemble.rain(need.first, need.last)
        known &= np.isfinite(totals.high)
        sure, may = totals.at_least(need.mm) if need.at_least else totals.at_most(need.mm)
        good, perhaps = good & sure, perhaps & may
    if known.sum() < FEWEST_MEMBERS:
        return None
    return Count(ensemble.members, int(good.sum()), int(perhaps.sum()))


def too_unsure(
    ensemble: Ensemble | None,
    days: Sequence[date],
    zone: ZoneInfo,
    now: datetime,
    length: int,
    mm: float,
) -> NDArray[np.bool_]:
    """Days, shape (days,), from which on fewer than half of the members surely keep the rain of
    `length` days to `mm`. Of today only the hours that are left count; no past day is held."""
    held = np.zeros(len(days), dtype=bool)
    if ensemble is None:
        return held
    for i, day in enumerate(days):
        if midnight(day + timedelta(1), zone) <= now:
            continue
        first = max(midnight(day, zone), now)
        need = Need(first, midnight(day + timedelta(length), zone), mm)
        found = counted(ensemble, [need], now)
        held[i] = found is not None and found.too_few
    return held


def unsure_rain(
    ensemble: Ensemble | None, product: Product, site: Site, days: Sequence[date], now: datetime
) -> Iterator[Restriction]:
    """Days on which too few forecasts spare a product that the rain of its label's limits spoils:
    the same limits, over the same days, that the lead forecast is held to."""
    zone = site.place.zone_info
    if product.rain_hold_mm is not None:
        held = too_unsure(ensemble, days, zone, now, 2, product.rain_hold_mm)
        limit = show(product.rain_hold_mm, Kind.WATER, site.units)
        yield Restriction.sure(
            "unsure-rain",
            held,
            tell(
                "Fewer than half of the ensemble's forecasts keep the rain of that day and the next"
                " to {limit}; {product} would be carried off.",
                limit=limit,
                product=product.shown,
            ),
            tell(PRINCIPLE),
        )
    if product.dry_hours is not None:
        held = too_unsure(ensemble, days, zone, now, dry_days(product.dry_hours), DRY)
        yield Restriction.sure(
            "unsure-dry",
            held,
            tell(
                "Fewer than half of the ensemble's forecasts leave it dry for the {hours} hours"
                " that {product} needs.",
                hours=separated(f"{product.dry_hours:g}"),
                product=product.shown,
            ),
            tell(PRINCIPLE),
        )


def midnight(day: date, zone: ZoneInfo) -> datetime:
    """The instant (UTC) at which a local day begins."""
    return datetime.combine(day, time(), zone).astimezone(UTC)

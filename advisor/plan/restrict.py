"""What local law forbids, whatever the rules say: the strictest holds.

Each restriction gives an array over days: held or not. What cannot be known holds.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.stated import spared
from advisor.conditions.table import Table
from advisor.plan.storms import storms
from advisor.series.quantity import Kind, show
from advisor.series.watches import Watches
from advisor.site.events import tasks_of
from advisor.site.law import Ban, Ordinance
from advisor.site.law_told import away_text, season_text
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.shelf import PHOSPHORUS_IN_P2O5, Product, Shelf
from advisor.site.sums import Sums
from advisor.site.under_law import distance_law, laws_on

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]

BY_LAW = frozenset({
    "closed-season", "slow-release-by-law", "new-turf-by-law", "heavy-rain-by-law", "storm-watch",
})  # fmt: skip
"""The names of what the law holds."""

PHOSPHATE_AT_ONCE = "the law's limit for phosphate at once"
PHOSPHATE_YEAR = "the law's limit for phosphate in a year"

LOCAL_CODE = "local code, as the site file states it"


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


def bans(
    site: Site, lawn: Lawn, product: Product, days: Sequence[date], sums: Sums | None = None
) -> Iterator[Restriction]:
    """Closed seasons for what the product carries or serves. `sums` tell what frees phosphorus;
    without them nothing does."""
    shelf = sums.shelf if sums is not None else Shelf((product,))
    carried = {name for name, grams in product.nutrients_per(1.0).items() if grams > 0}
    serves = tasks_of(product, shelf)
    for ban in site.bans:
        caught = sorted(carried & {*ban.nutrients, *ban.actives}) + sorted(serves & set(ban.tasks))
        if not caught:
            continue
        covers = np.array([ban.covers(lawn.name, day) for day in days], dtype=bool)
        free = spared(ban, lawn, sums, days) if sums is not None else np.zeros_like(covers)
        held = covers & ~free if caught == ["phosphorus"] else covers
        yield Restriction.sure(
            "closed-season",
            held,
            f"{ban.title}: no {' or '.join(caught)} {season_text(ban.first, ban.last)}"
            f"{_unless(ban, caught)}.",
            ban.source or LOCAL_CODE,
        )


def _unless(ban: Ban, caught: Sequence[str]) -> str:
    """What would free phosphorus, where that alone is caught."""
    if not ban.unless or list(caught) != ["phosphorus"]:
        return ""
    ways = {"soil-test": "a soil test shows that it is low", "new-turf": "the turf is new"}
    return f" unless {' or '.join(ways[way] for way in ban.unless)}"


def lasting(
    site: Site, lawn: Lawn, product: Product, days: Sequence[date], sums: Sums
) -> Iterator[Restriction]:
    """What the law forbids whatever the weather: closed seasons, too little slow-release nitrogen,
    new turf."""
    yield from bans(site, lawn, product, days, sums)
    for law, caught in _laws(site, lawn, product):
        if law.slow_release is not None and product.nitrogen_fraction > 0:
            short = product.slow_release < law.slow_release - 1e-9
            yield Restriction.sure(
                "slow-release-by-law",
                np.full(len(days), short),
                f"{law.title}: at least {law.slow_release:.0%} of the nitrogen has to be"
                f" slow-release; of {product.shown} it is {product.slow_release:.0%}.",
                law.stands_in,
            )
        if law.after_seeding_days is not None:
            yield _after_seeding(site, lawn, law, law.after_seeding_days, caught, days, sums)


def _laws(site: Site, lawn: Lawn, product: Product) -> Iterator[tuple[Ordinance, str]]:
    """The ordinances on a lawn that speak of what the product carries, with that in words."""
    carried = {name for name, g in product.nutrients_per(1.0).items() if g > 0}
    for law in laws_on(site.ordinances, lawn):
        caught = sorted(carried & set(law.nutrients))
        if caught:
            yield law, " or ".join(caught)


def _after_seeding(
    site: Site,
    lawn: Lawn,
    law: Ordinance,
    wait: float,
    caught: str,
    days: Sequence[date],
    sums: Sums,
) -> Restriction:
    """No nutrients for a time after seed or sod; what was perhaps sown counts as sown."""
    low, high = sums.days_since(lawn.name, "overseed", days)
    held, sure = ~(low >= wait - 1e-9), high < wait - 1e-9
    axis = np.array([day.toordinal() for day in days], dtype=np.int64)
    laid = [day for day, sod, _ in sums.new_grass(lawn.name) if sod]
    if lawn.established is not None:
        laid.append(lawn.established)
    for day in laid:
        gone = axis - day.toordinal()
        fresh = (gone >= 0) & (gone < wait - 1e-9)
        held, sure = held | fresh, sure | fresh
    shown = show(wait, Kind.DURATION, site.units)
    return Restriction(
        "new-turf-by-law",
        held,
        f"{law.title}: no {caught} for {shown} after seeding or sodding.",
        law.stands_in,
        held & ~sure,
        f"whether {lawn.shown} was seeded of late: answer what was advised, or add"
        f" `last overseed` with its date for {lawn.name}",
    )


@dataclass(frozen=True)
class UnderLaw:
    """A product on one lawn, in the light of the law, the lawn's facts and what is known of
    storms."""

    site: Site
    lawn: Lawn
    product: Product
    table: Table
    sums: Sums
    now: datetime
    watches: Watches | None = None

    def restrictions(self) -> Iterator[Restriction]:
        yield from lasting(self.site, self.lawn, self.product, self.table.days, self.sums)
        for law, caught in _laws(self.site, self.lawn, self.product):
            yield from self._of(law, caught)

    def _of(self, law: Ordinance, caught: str) -> Iterator[Restriction]:
        if law.heavy_rain_mm is not None:
            rain = self.table.number("rain")
            low, high = ahead(rain.low, rain.high, 2)
            limit = law.heavy_rain_mm - 1e-9
            held = ~(high < limit)
            shown = show(law.heavy_rain_mm, Kind.WATER, self.site.units)
            yield Restriction(
                "heavy-rain-by-law",
                held,
                f"{law.title}: no {caught} where {shown} of rain or more may come within 24 hours.",
                law.stands_in,
                held & ~(low >= limit),
                "the rain of that day and the next is not known",
            )
        if law.storms:
            yield self._storms(law, caught)

    def _storms(self, law: Ordinance, caught: str) -> Restriction:
        found = storms(
            self.site, self.lawn.name, self.sums, self.table.days, self.table.today, self.now,
            self.watches,
        )  # fmt: skip
        named = f" ({found.named})" if found.named else ""
        return Restriction(
            "storm-watch",
            found.held,
            f"{law.title}: no {caught} while a storm, flood or tropical watch or warning is in"
            f" force{named}.",
            law.stands_in,
            found.unknown,
            found.missing,
        )


def ahead(low: Floats, high: Floats, days: int) -> tuple[Floats, Floats]:
    """Totals over `days` days from each day; what lies past the axis may be anything."""
    total_low, total_high = np.zeros_like(low), np.zeros_like(high)
    for shift in range(min(days, len(low))):
        stop = len(low) - shift
        total_low[:stop] += low[shift:]
        total_high[:stop] += high[shift:]
        total_high[stop:] = np.inf
    return total_low, total_high


def law_limits(
    product: Product, lawn: Lawn, site: Site, sums: Sums, day: date
) -> Iterator[tuple[float, str]]:
    """Rates [g/m2 of product] that the law's limits for phosphate allow on a day, each with what it
    comes from; -inf where it cannot be told. Its limits for nitrogen are the lawn's own already,
    see `under_law`."""
    phosphorus = product.nutrients_per(1.0)["phosphorus"]
    if phosphorus <= 0:
        return
    # A rate by volume carries its weight per litre.
    grams = 1.0
    if product.measured_in == "L":
        grams = (product.density_kg_l or math.inf) * 1000
    for law in laws_on(site.ordinances, lawn):
        if law.phosphate_once_g_m2 is not None:
            once = law.phosphate_once_g_m2 * PHOSPHORUS_IN_P2O5
            yield once / phosphorus / grams, PHOSPHATE_AT_ONCE
        if law.phosphate_year_g_m2 is None:
            continue
        _, used = sums.total(lawn.name, "phosphorus", day.year)
        if math.isinf(used):
            why = f"it cannot be told how much phosphorus {lawn.shown} has had in {day.year}"
            yield -math.inf, why
        else:
            left = max(0.0, law.phosphate_year_g_m2 * PHOSPHORUS_IN_P2O5 - used)
            yield left / phosphorus / grams, PHOSPHATE_YEAR


def keep_away(site: Site, lawn: Lawn) -> tuple[str, ...]:
    """The step that keeps a treatment away from water, where a law states a distance."""
    law = distance_law(site.ordinances, lawn)
    if law is None:
        return ()
    distance = away_text(law.distance_m(lawn.deflector), site.units)
    shield = ""
    if lawn.deflector and law.from_water_guarded_m is not None and law.from_water_m is not None:
        full = away_text(law.from_water_m, site.units)
        shield = f", the deflector (or drop spreader) toward it; {full} without one"
    return (
        f"Stay at least {distance} from the edge of any water, ditch or drain{shield}"
        f" ({law.title}); local code stands above this page.",
    )


def go_words(site: Site, lawn: Lawn, product: Product | None) -> tuple[str, ...]:
    """What the law adds to the line to check that morning, for a product on a lawn."""
    if product is None:
        return ()
    laws = [law for law, _ in _laws(site, lawn, product)]
    words = []
    if storms_forbid(site, lawn, product):
        words.append("no storm, flood or tropical watch or warning in force")
    heavy = [law.heavy_rain_mm for law in laws if law.heavy_rain_mm is not None]
    if heavy:
        limit = show(min(heavy), Kind.WATER, site.units)
        words.append(f"less than {limit} of rain expected within 24 hours")
    return tuple(words)


def storms_forbid(site: Site, lawn: Lawn, product: Product | None) -> bool:
    """Whether the law forbids a product on a lawn while a storm watch or warning is in force."""
    return product is not None and any(law.storms for law, _ in _laws(site, lawn, product))


def watering_allowed(site: Site, days: Sequence[date], lawn: str | None = None) -> Bools:
    """Days on which the site's rules permit sprinklers on a lawn; on all lawns at once where none
    is named."""
    return np.array([site.watering.allows(day, lawn) for day in days], dtype=bool)


def watering_barred(site: Site, lawn: str, day: date, shown: str) -> tuple[str, str]:
    """Why sprinklers may not run on a day (`shown` is how it is written), and where that stands."""
    rules = site.watering.barring(day, lawn) or ()
    if len(rules) > 1:
        return f"Your watering rules leave no hour of {shown}.", _sources(site, lawn, day)
    named = f" ({rules[0].title})" if rules and rules[0].title else ""
    if rules and rules[0].forbidden:
        return f"No watering is allowed on {shown}{named}.", _sources(site, lawn, day)
    return f"{shown} is not one of your watering days{named}.", _sources(site, lawn, day)


def _sources(site: Site, lawn: str, day: date) -> str:
    rules = site.watering.barring(day, lawn) or ()
    return "; ".join(dict.fromkeys(r.source for r in rules if r.source)) or "local code"

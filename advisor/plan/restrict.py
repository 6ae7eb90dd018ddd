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
from advisor.language.listing import either
from advisor.language.words import later, tell
from advisor.plan.storms import storms
from advisor.series.quantity import Kind, show
from advisor.series.watches import Watches
from advisor.site.events import tasks_of
from advisor.site.law import Ban, Ordinance, WateringTimes
from advisor.site.law_told import away_text, season_text
from advisor.site.lawns import Lawn
from advisor.site.named import caught_by_law
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

PHOSPHATE_AT_ONCE = later("the law's limit for phosphate at once")
PHOSPHATE_YEAR = later("the law's limit for phosphate in a year")

LOCAL_CODE = later("local code, as the site file states it")


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
    until_answered: bool = False
    """Whether it holds for no other reason than that nobody has said what became of an advice."""

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
            _closed(ban, caught),
            ban.source or tell(LOCAL_CODE),
        )


def _closed(ban: Ban, caught: Sequence[str]) -> str:
    """What a closed season forbids; and what would free phosphorus, where that alone is caught."""
    words = {
        "law": ban.title,
        "what": either([caught_by_law(name) for name in caught]),
        "season": season_text(ban.first, ban.last),
    }
    if not ban.unless or list(caught) != ["phosphorus"]:
        return tell("{law}: no {what} {season}.", **words)
    ways = {
        "soil-test": tell("a soil test shows that it is low"),
        "new-turf": tell("the turf is new"),
    }
    freed = either([ways[way] for way in ban.unless])
    return tell("{law}: no {what} {season} unless {freed}.", freed=freed, **words)


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
                tell(
                    "{law}: at least {least} of the nitrogen has to be slow-release; of {product}"
                    " it is {share}.",
                    law=law.title,
                    least=f"{law.slow_release:.0%}",
                    product=product.shown,
                    share=f"{product.slow_release:.0%}",
                ),
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
            yield law, either([caught_by_law(name) for name in caught])


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
        tell(
            "{law}: no {what} for {days} after seeding or sodding.",
            law=law.title,
            what=caught,
            days=shown,
        ),
        law.stands_in,
        held & ~sure,
        tell(
            "whether {lawn} was seeded of late: answer what was advised, or add `last overseed`"
            " with its date for {name}",
            lawn=lawn.shown,
            name=lawn.name,
        ),
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
                tell(
                    "{law}: no {what} where {depth} of rain or more may come within 24 hours.",
                    law=law.title,
                    what=caught,
                    depth=shown,
                ),
                law.stands_in,
                held & ~(low >= limit),
                tell("the rain of that day and the next is not known"),
            )
        if law.storms:
            yield self._storms(law, caught)

    def _storms(self, law: Ordinance, caught: str) -> Restriction:
        found = storms(
            self.site, self.lawn.name, self.sums, self.table.days, self.table.today, self.now,
            self.watches,
        )  # fmt: skip
        words = {"law": law.title, "what": caught, "named": found.named}
        sentence = tell(
            "{law}: no {what} while a storm, flood or tropical watch or warning is in force.",
            **words,
        )
        if found.named:
            sentence = tell(
                "{law}: no {what} while a storm, flood or tropical watch or warning is in force"
                " ({named}).",
                **words,
            )
        return Restriction(
            "storm-watch",
            found.held,
            sentence,
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
) -> Iterator[tuple[float, str, bool]]:
    """Rates [g/m2 of product] that the law's limits for phosphate allow on a day, each with what it
    comes from and whether it is one at once; -inf where it cannot be told. Its limits for nitrogen
    are the lawn's own already, see `under_law`."""
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
            yield once / phosphorus / grams, tell(PHOSPHATE_AT_ONCE), True
        if law.phosphate_year_g_m2 is None:
            continue
        _, used = sums.total(lawn.name, "phosphorus", day.year)
        if math.isinf(used):
            yield (
                -math.inf,
                tell(
                    "it cannot be told how much phosphorus {lawn} has had in {year}",
                    lawn=lawn.shown,
                    year=day.year,
                ),
                False,
            )
        else:
            left = max(0.0, law.phosphate_year_g_m2 * PHOSPHORUS_IN_P2O5 - used)
            yield left / phosphorus / grams, tell(PHOSPHATE_YEAR), False


def keep_away(site: Site, lawn: Lawn) -> tuple[str, ...]:
    """The step that keeps a treatment away from water, where a law states a distance."""
    law = distance_law(site.ordinances, lawn)
    if law is None:
        return ()
    words = {"distance": away_text(law.distance_m(lawn.deflector), site.units), "law": law.title}
    if lawn.deflector and law.from_water_guarded_m is not None and law.from_water_m is not None:
        return (
            tell(
                "Stay at least {distance} from the edge of any water, ditch or drain, the deflector"
                " (or drop spreader) toward it; {full} without one ({law}); local code stands above"
                " this page.",
                full=away_text(law.from_water_m, site.units),
                **words,
            ),
        )
    return (
        tell(
            "Stay at least {distance} from the edge of any water, ditch or drain ({law}); local"
            " code overrides this page.",
            **words,
        ),
    )


def go_words(site: Site, lawn: Lawn, product: Product | None) -> tuple[str, ...]:
    """What the law adds to the line to check that morning, for a product on a lawn."""
    if product is None:
        return ()
    laws = [law for law, _ in _laws(site, lawn, product)]
    words = []
    if storms_forbid(site, lawn, product):
        words.append(tell("no storm, flood or tropical watch or warning in force"))
    heavy = [law.heavy_rain_mm for law in laws if law.heavy_rain_mm is not None]
    if heavy:
        limit = show(min(heavy), Kind.WATER, site.units)
        words.append(tell("less than {limit} of rain expected within 24 hours", limit=limit))
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
    return _why_barred(rules, shown), _sources(site, lawn, day)


def not_a_watering_day(site: Site, lawn: str, day: date) -> bool:
    """Whether sprinklers may not run on a day for no other reason than that it is none of the days
    on which they may; `watering_barred` then begins with the day."""
    rules = site.watering.barring(day, lawn) or ()
    return len(rules) < 2 and not (rules and rules[0].forbidden)


def _why_barred(rules: Sequence[WateringTimes], shown: str) -> str:
    if len(rules) > 1:
        return tell("Your watering rules leave no hour of {day}.", day=shown)
    title = rules[0].title if rules else ""
    if rules and rules[0].forbidden:
        if title:
            return tell("No watering is allowed on {day} ({law}).", day=shown, law=title)
        return tell("No watering is allowed on {day}.", day=shown)
    if title:
        return tell("{day} is not one of your watering days ({law}).", day=shown, law=title)
    return tell("{day} is not one of your watering days.", day=shown)


def _sources(site: Site, lawn: str, day: date) -> str:
    rules = site.watering.barring(day, lawn) or ()
    return "; ".join(dict.fromkeys(r.source for r in rules if r.source)) or tell("local code")

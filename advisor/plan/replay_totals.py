"""What a replayed season came to on each lawn: applications, water, nutrients, against the year's
limits. Once from what the owner did, and once from the journal: the two are one."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from advisor.language.dates import separated
from advisor.language.words import tell
from advisor.plan.replay_model import DoneLine, LawnTotals, Substance, YearLimit
from advisor.plan.replay_owner import Deed
from advisor.series.quantity import Kind, show, show_small
from advisor.site.events import Certainty
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.shelf import Shelf
from advisor.site.sums import Sums
from advisor.site.words import TASKS, WATERING

PRODUCT = "product:"


@dataclass(frozen=True)
class Tally:
    """What one lawn had in a span of days: how often something was put down, water [mm], and of
    each substance (see `site.events.Event`) what was surely and what was perhaps put down; infinite
    where nobody knows how much."""

    applications: int
    water_mm: float
    surely: Mapping[str, float]
    perhaps: Mapping[str, float]


def from_deeds(deeds: Iterable[Deed], lawn: Lawn, shelf: Shelf) -> Tally:
    """What the obeying owner's deeds on a lawn come to, by the labels."""
    applications, water, found = 0, 0.0, dict[str, float]()
    for deed in deeds:
        if deed.lawn != lawn.name:
            continue
        water += deed.water_mm
        product = shelf.get(deed.product) if deed.product else None
        if product is None or deed.amount is None:
            continue
        applications += 1
        own, grams = product.in_its_measure(deed.amount), product.grams(deed.amount)
        brings = {} if grams is None else product.nutrients_per(grams / lawn.treated_m2)
        if own is not None:
            brings |= {PRODUCT + product.name: own * 1000 / lawn.treated_m2}
        for name, value in brings.items():
            if value > 0:
                found[name] = found.get(name, 0.0) + value
    return Tally(applications, water, found, found)


def from_journal(counted: Sums, lawn: Lawn, first: date, last: date) -> Tally:
    """What the journal says of a lawn from `first` to `last`."""
    applications, surely, perhaps = 0, dict[str, float](), dict[str, float]()
    for event in counted.events(lawn.name):
        if not first <= event.day <= last:
            continue
        done = event.certainty is Certainty.DONE
        if done and event.product is not None and event.tasks != {WATERING}:
            applications += 1
        for name, value in event.grams_per_m2.items():
            perhaps[name] = perhaps.get(name, 0.0) + value
            if done and not math.isinf(value):
                surely[name] = surely.get(name, 0.0) + value
    days = [first + timedelta(n) for n in range((last - first).days + 1)]
    water = float(np.sum(counted.irrigation(lawn.name, days)))
    return Tally(applications, water, surely, perhaps)


def done_by_deeds(deeds: Iterable[Deed], site: Site) -> Iterator[DoneLine]:
    """What the obeying owner did, by day."""
    for deed in sorted(deeds, key=lambda one: one.day):
        if deed.amount is None:
            what = show(deed.water_mm, Kind.WATER, site.units)
        else:
            amount = show(deed.amount.value, deed.amount.kind, site.units)
            what = tell("{amount} of {product}", amount=amount, product=deed.product)
        yield DoneLine(
            day=deed.day, lawn=deed.lawn, task=deed.task, product=deed.product, what=what,
            water_mm=deed.water_mm,
        )  # fmt: skip


def done_by_journal(counted: Sums, site: Site, first: date, last: date) -> list[DoneLine]:
    """What the journal says was done from `first` to `last`, by day."""
    days = [first + timedelta(n) for n in range((last - first).days + 1)]
    found = []
    for lawn in site.lawns:
        for event in counted.events(lawn.name):
            if event.day in days and event.certainty is Certainty.DONE and event.product:
                task = next((task for task in TASKS if task in event.tasks), "feed")
                found.append(DoneLine(day=event.day, lawn=lawn.name, task=task,
                                      product=event.product, what=event.text))  # fmt: skip
        for day, mm in zip(days, counted.irrigation(lawn.name, days).tolist(), strict=True):
            if mm > 0:
                what = show(mm, Kind.WATER, site.units)
                found.append(
                    DoneLine(day=day, lawn=lawn.name, task=WATERING, what=what, water_mm=mm)
                )
    return sorted(found, key=lambda one: one.day)


def lawn_totals(
    site: Site, lawn: Lawn, shelf: Shelf, tally: Tally, counted: Sums, first: date, last: date
) -> LawnTotals:
    """A lawn's totals for the document; the years' limits from the whole journal."""
    litres = tally.water_mm * lawn.area_m2
    if site.units == "us":
        volume = tell("{number} gal", number=separated(f"{litres / 3.785411784:,.0f}"))
    else:
        volume = tell("{number} m³", number=separated(f"{litres / 1000:.1f}"))
    return LawnTotals(
        lawn=lawn.name,
        title=lawn.shown,
        applications=tally.applications,
        water_mm=tally.water_mm,
        water_m3=litres / 1000,
        water_text=tell(
            "{depth} ({volume})",
            depth=show(tally.water_mm, Kind.WATER, site.units),
            volume=volume,
        ),
        substances=tuple(
            _substance(name, tally, shelf, site.units) for name in _in_order(tally.perhaps)
        ),
        years=tuple(_limits(site, lawn, shelf, tally, counted, first, last)),
    )


_NUTRIENTS = ("nitrogen", "phosphorus", "potassium", "iron")


def _in_order(names: Iterable[str]) -> list[str]:
    """Nutrients as on a label, then active ingredients, then products."""

    def place(name: str) -> tuple[int, bool, str]:
        known = _NUTRIENTS.index(name) if name in _NUTRIENTS else len(_NUTRIENTS)
        return known, name.startswith(PRODUCT), name

    return sorted(names, key=place)


def _substance(name: str, tally: Tally, shelf: Shelf, units: str) -> Substance:
    surely, perhaps = tally.surely.get(name, 0.0), tally.perhaps[name]
    text = _shown(name, surely, shelf, units)
    if math.isinf(perhaps):
        text = tell("{amount}, and nobody knows how much more", amount=text)
    elif perhaps > surely + 1e-9:
        text = tell(
            "{amount}, perhaps {more}", amount=text, more=_shown(name, perhaps, shelf, units)
        )
    return Substance(
        name=name,
        g_per_m2=surely,
        perhaps_g_per_m2=None if math.isinf(perhaps) else perhaps,
        text=text,
    )


def _shown(name: str, grams: float, shelf: Shelf, units: str) -> str:
    product = shelf.get(name.removeprefix(PRODUCT)) if name.startswith(PRODUCT) else None
    if product is not None and product.measured_in == "L":
        return show(grams / 1000, Kind.VOLUME_PER_AREA, units)
    return show_small(grams, units)


def _limits(
    site: Site, lawn: Lawn, shelf: Shelf, tally: Tally, counted: Sums, first: date, last: date
) -> Iterable[YearLimit]:
    """What each calendar year has had up to the replay's end of what is limited."""
    for year in range(first.year, last.year + 1):
        limits = [("nitrogen", lawn.nitrogen_limit_g_m2)]
        for name in _in_order(tally.perhaps):
            product = shelf.get(name.removeprefix(PRODUCT)) if name.startswith(PRODUCT) else None
            if product is not None and product.rate_year is not None:
                by_volume = product.measured_in == "L"
                limits.append((name, product.rate_year.value * (1000 if by_volume else 1)))
        for name, limit in limits:
            had, at_most = counted.total(lawn.name, name, year, upto=last)
            words = {
                "had": _shown(name, had, shelf, site.units),
                "limit": _shown(name, limit, shelf, site.units),
            }
            text = tell("{had} of {limit}", **words)
            if at_most > had + 1e-9:
                text = tell("{had} surely of {limit}", **words)
            yield YearLimit(
                year=year,
                name=name,
                g_per_m2=had,
                limit_g_per_m2=limit,
                text=text,
            )

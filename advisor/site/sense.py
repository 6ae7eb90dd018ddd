"""The second pass over an owner's tables: whether the fields of one make sense together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

from pydantic import BaseModel

from advisor.site.amounts import Amount
from advisor.site.fields import NAME, WEEKDAYS, word_hint
from advisor.site.free_time import FreeTime
from advisor.site.irrigation import SprinklerZone
from advisor.site.law_sense import check_law
from advisor.site.lawns import Lawn
from advisor.site.place import WeatherFrom
from advisor.site.problem import nearest
from advisor.site.reading import Raw, good_tables, quietly, tables
from advisor.site.sense_mail import at_most_one, check_mail
from advisor.site.sense_nitrogen import check_nitrogen
from advisor.site.shape import check_shape
from advisor.site.shelf import LABEL_WORDS, Product, Shelf
from advisor.site.toml_lines import Path

RESERVED = ("all", "journal")
"""Words of the journal that no lawn may be called by."""

Model = TypeVar("Model", bound=BaseModel)


def check_site(raw: Raw) -> tuple[str, ...]:
    """Note what does not make sense in site.toml; give the names of its lawns.

    Each table is judged on its own, so that a mistake in one hides nothing in another.
    """
    names = _unique_names(raw, "lawn")
    for index, name in enumerate(names):
        if name in RESERVED:
            raw.at(("lawn", index, "name"), f"a lawn cannot be called “{name}”", "Right: front")
    for path, lawn in good_tables(Lawn, raw, "lawn"):
        _check_lawn(raw, path, lawn)
    check_law(raw, names)
    _check_zones(raw, names)
    check_spreaders(raw)
    weather = quietly(WeatherFrom, raw.data.get("weather"))
    if weather is not None:
        at_most_one(raw, ("weather",), "key", weather)
    check_mail(raw)
    free = quietly(FreeTime, raw.data.get("free"))
    if free is not None:
        _check_free(raw, free)
    return tuple(name for name in names if name)


def check_products(raw: Raw) -> Shelf:
    """The shelf of the file's values; every mistake of shape and sense is noted in `raw`."""
    for key in raw.data:
        if key != "product":
            hint = nearest(key, ["product"]) or "A product is a table [[product]]."
            raw.at_key((key,), f"no key is called “{key}” here", hint)
    tables = raw.data.get("product", [])
    if not isinstance(tables, list):
        raw.at_key(("product",), "[product] stands for one of several", "Write it as [[product]].")
        tables = []
    names = _unique_names(raw, "product")
    good: list[Product] = []
    broken: list[str] = [] if tables else [name for name in names if name]
    for index, table in enumerate(tables):
        path: Path = ("product", index)
        before = _errors(raw)
        product = check_shape(Product, table, raw, path)
        if product is not None:
            _check_product(raw, path, product)
        if product is not None and _errors(raw) == before and names.count(names[index]) == 1:
            good.append(product)
        elif names[index]:
            broken.append(names[index])
    return Shelf(tuple(good), tuple(dict.fromkeys(broken)))


def _errors(raw: Raw) -> int:
    return sum(not problem.warning for problem in raw.problems)


def _unique_names(raw: Raw, key: str) -> list[str]:
    """The name of each table of an array, empty where it has none; repeats are noted."""
    names: list[str] = []
    for index, table in enumerate(tables(raw, key)):
        name = table.get("name") if isinstance(table, dict) else None
        good = name if isinstance(name, str) and NAME.fullmatch(name) else ""
        if good and good in names:
            raw.at((key, index, "name"), f"two {key}s are called “{good}”", "A name stands once.")
        names.append(good)
    return names


def check_spreaders(raw: Raw) -> None:
    """The journal knows a spreader or sprayer by its name alone, so no two may share one."""
    spreaders = _unique_names(raw, "spreader")
    for index, name in enumerate(_unique_names(raw, "sprayer")):
        if name and name in spreaders:
            what = f"a spreader is called “{name}” already"
            raw.at(("sprayer", index, "name"), what, "A name stands once.")


def _check_lawn(raw: Raw, path: Path, lawn: Lawn) -> None:
    if lawn.setback_m2 >= lawn.area_m2:
        raw.at(
            (*path, "setback"),
            "setback: it must be less than the lawn's area",
            "It is the part of the area where nothing is put down.",
        )
    if lawn.soluble_once_g_m2 > lawn.nitrogen_once_g_m2 and "soluble_once" in raw_keys(raw, path):
        raw.at(
            (*path, "soluble_once"),
            "soluble_once: it cannot be more than nitrogen_once",
            "The soluble part is a part of the nitrogen of one application.",
        )


def _check_zones(raw: Raw, lawns: Sequence[str]) -> None:
    """Note zones of no lawn, two of one name on a lawn, and what contradicts the lawn's table."""
    tables = {lawn.name: lawn for _, lawn in good_tables(Lawn, raw, "lawn")}
    seen: set[tuple[str, str]] = set()
    for path, zone in good_tables(SprinklerZone, raw, "zone"):
        if zone.lawn not in lawns:
            hint = word_hint(zone.lawn, [name for name in lawns if name])
            raw.at((*path, "lawn"), f"no lawn is called “{zone.lawn}”", hint)
            continue
        if (zone.lawn, zone.name) in seen:
            what = f"two zones of {zone.lawn} are called “{zone.name}”"
            raw.at((*path, "name"), what, "A name stands once on a lawn.")
        seen.add((zone.lawn, zone.name))
        lawn = tables.get(zone.lawn)
        if lawn is not None and not lawn.irrigated:
            what = f"{zone.lawn} has a zone, but it says irrigated = false"
            raw.at((*path, "lawn"), what, "Take one of the two out.")
        if lawn is not None and lawn.sprinklers_mm_h is not None:
            what = f"{zone.lawn} says sprinklers, so how fast it is watered would stand twice"
            raw.at((*path, "lawn"), what, "Take sprinklers out of the lawn; its zones have rates.")


def raw_keys(raw: Raw, path: Path) -> Sequence[str]:
    """The keys that the owner wrote in the table at `path`."""
    table: Any = raw.data
    for part in path:
        table = table[part]
    return list(table)


def _check_free(raw: Raw, free: FreeTime) -> None:
    for name in WEEKDAYS:
        if ("free", name) in raw.spots.keys and not getattr(free, name):
            others = ", ".join(f'"{day}"' for day in WEEKDAYS if day != name)
            raw.at_key(
                ("free", name),
                f"{name} has no hours in its list",
                f"A day on which you cannot work is left out: weekdays = [{others}]",
            )
    for name in free.own_hours():
        if free.weekdays and name not in free.weekdays:
            raw.at_key(
                ("free", name),
                f"{name} has hours, but is not among your weekdays",
                f'Write it there too: weekdays = [..., "{name}"]',
            )


def _check_product(raw: Raw, path: Path, product: Product) -> None:
    if "feed" in product.serves and product.nitrogen_fraction == 0:
        raw.at(
            (*path, "serves"),
            f"{product.name} serves feed, but its analysis has no nitrogen",
            'Write: analysis = "24-0-6"',
        )
    if "iron" in product.serves and product.iron == 0:
        raw.at((*path, "serves"), f"{product.name} serves iron, but has none", 'Write: iron = "2%"')
    weights = [product.iron, *product.actives.values()]
    if product.analysis:
        weights += [product.analysis.nitrogen, product.analysis.phosphate, product.analysis.potash]
    if sum(weights) > 1:
        raw.at_key(path, f"what is in {product.name} adds up to more than 100 %")
    for active in product.actives_year_g_m2:
        if active not in product.actives:
            hint = word_hint(active, product.actives) if product.actives else ""
            raw.at_key((*path, "actives_year", active), f"{active} is not in actives", hint)
    check_nitrogen(raw, path, product)
    _check_rates(raw, path, product)
    for key in product.missing_label_figures():
        raw.at_key(
            path,
            f"{product.name} will not be advised: {key} is not stated",
            f"Look up on the label {LABEL_WORDS[key]}.",
            warning=True,
        )


def _check_rates(raw: Raw, path: Path, product: Product) -> None:
    rate, year = product.rate, product.rate_year
    if product.form == "granular" and rate is not None and product.measured_in == "L":
        raw.at(
            (*path, "rate"), "rate: granules are weighed", 'Write a weight: rate = "3 lb/1000 ft2"'
        )
    if product.form == "granular" and product.carrier_l_m2 is not None:
        raw.at((*path, "carrier"), "carrier: granules take no water to carry", "Leave it out.")
    if rate is None or year is None:
        return
    if rate.kind is not year.kind:
        raw.at(
            (*path, "rate_year"),
            f"rate_year is a {year.kind} and rate a {rate.kind}",
            "Write both by weight or both by volume.",
        )
    elif _less(year, rate):
        raw.at(
            (*path, "rate_year"),
            "rate_year: it is less than one application's rate",
            "Look both up on the label.",
        )


def _less(first: Amount, second: Amount) -> bool:
    # The two may be written in different units; rounding is no mistake.
    return first.value < second.value * (1 - 1e-9)

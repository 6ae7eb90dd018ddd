"""What a dose costs, and how many bags or bottles to have: from the shelf's `bag` and `price`."""

from __future__ import annotations

import math
from dataclasses import dataclass

from advisor.site.shelf import Product


@dataclass(frozen=True)
class Cost:
    """In the money of the shelf's price, which is not told which it is. `per_kg_nitrogen` is None
    for a product without nitrogen; those of phosphate (P2O5) and potash (K2O) are for one that has
    them and no nitrogen, with the whole price for each."""

    whole: float
    per_m2: float
    per_kg_nitrogen: float | None
    per_kg_phosphate: float | None = None
    per_kg_potash: float | None = None


def bag_in_measure(product: Product) -> float | None:
    """What one bag or bottle holds, in kg or L as the product is measured; None where not told."""
    return product.in_its_measure(product.bag) if product.bag is not None else None


def bags(product: Product, amount: float) -> int | None:
    """Whole bags that an amount [kg or L] takes; None where the shelf tells none."""
    bag = bag_in_measure(product)
    return None if bag is None else math.ceil(amount / bag - 1e-9)


def left_over(product: Product, amount: float) -> float | None:
    """What stays in those bags [kg or L]."""
    bag, count = bag_in_measure(product), bags(product, amount)
    return None if bag is None or count is None else max(0.0, count * bag - amount)


def covered_m2(product: Product, rate: float) -> float | None:
    """The area [m2] that one bag covers at a rate of product [g/m2, of a liquid by volume L/m2]."""
    bag = bag_in_measure(product)
    if bag is None or rate <= 0:
        return None
    return bag / rate * (1.0 if product.measured_in == "L" else 1000.0)


def of(product: Product, amount: float, area_m2: float) -> Cost | None:
    """What an amount [kg or L] on an area costs; None without the bag's size and its price.

    It is the share of the bag that is used up: what is left over is not lost. A unit of nitrogen
    costs the price divided by what the bag holds of it; without nitrogen so does one of phosphate
    or potash, as the label states them.
    """
    bag = bag_in_measure(product)
    if bag is None or product.price is None or product.bag is None:
        return None
    whole = amount / bag * product.price
    grams = product.grams(product.bag)
    label = product.analysis
    if grams is None or label is None:
        return Cost(whole, whole / area_m2, None)

    price, bag_kg = product.price, grams / 1000

    def per_kg(share: float) -> float | None:
        return price / (bag_kg * share) if share > 0 else None

    if label.nitrogen > 0:
        return Cost(whole, whole / area_m2, per_kg(label.nitrogen))
    return Cost(whole, whole / area_m2, None, per_kg(label.phosphate), per_kg(label.potash))

"""What a dose costs, what it takes from bags and brings to a lawn, in words."""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce

from advisor.language.dates import separated
from advisor.language.listing import listed
from advisor.language.words import tell, tell_many
from advisor.plan.model import Dose
from advisor.plan.names import substance_text
from advisor.series.quantity import FOOT, GALLON, POUND, Kind, convert
from advisor.site.amounts import Amount
from advisor.site.shelf import Product


def cost_text(dose: Dose, units: str) -> str:
    """What a dose costs, per area and per unit of what it brings; empty where the shelf does not
    tell."""
    if dose.cost is None or dose.cost_per_m2 is None:
        return ""
    per, area = (1000 * FOOT**2, "1000 ft²") if units == "us" else (100.0, "100 m²")
    prices = [tell("{price} per {unit}", price=money(dose.cost_per_m2 * per), unit=area)]
    scale, unit = (POUND, "lb") if units == "us" else (1.0, "kg")
    for per_kg, what in (
        (dose.cost_per_kg_nitrogen, "nitrogen"),
        (dose.cost_per_kg_phosphate, "P2O5"),
        (dose.cost_per_kg_potash, "K2O"),
    ):
        if per_kg is not None:
            prices.append(
                tell(
                    "{price} per {unit} of {substance}",
                    price=money(per_kg * scale),
                    unit=unit,
                    substance=substance_text(what),
                )
            )
    return tell("{cost}, that is {prices}", cost=money(dose.cost), prices=_all_of(prices))


def _all_of(prices: Sequence[str]) -> str:
    """`a and b and c`, since the numbers in them have commas of their own."""
    return reduce(lambda some, last: listed((some, last)), prices)


def money(price: float) -> str:
    """A sum in the money of the shelf."""
    return separated(f"{price:,.2f}")


def bags_text(product: Product, count: int, left: str, units: str) -> str:
    """How many bags or bottles to have, and what stays in them."""
    words = {"size": pack_text(product.bag, units) if product.bag else "", "left": left}
    if product.form == "liquid":
        return tell_many(
            "{count} bottle of {size}; {left} left over",
            "{count} bottles of {size}; {left} left over",
            count,
            **words,
        )
    return tell_many(
        "{count} bag of {size}; {left} left over",
        "{count} bags of {size}; {left} left over",
        count,
        **words,
    )


def covers_text(product: Product, area: str) -> str:
    """What one bag or bottle covers."""
    if product.form == "liquid":
        return tell("one bottle covers {area} at this rate", area=area)
    return tell("one bag covers {area} at this rate", area=area)


def pack_text(pack: Amount, units: str) -> str:
    """What a bag or bottle holds, for people."""
    if pack.kind is Kind.MASS:
        unit = "lb" if units == "us" else "kg"
    elif units == "us":
        unit = "gal" if pack.value >= GALLON - 1e-9 else "fl oz"
    else:
        unit = "L"
    return f"{separated(f'{convert(pack.value, pack.kind, unit):.4g}')} {unit}"


def mass_text(grams: float, units: str) -> str:
    """What a whole lawn gets of a substance [g]."""
    if units == "us":
        unit = "lb" if grams >= 500 * POUND else "oz"
    else:
        unit = "kg" if grams >= 1000 else "g"
    number = f"{convert(grams / 1000, Kind.MASS, unit):,.{0 if unit == 'g' else 2}f}"
    return f"{separated(number)} {unit}"

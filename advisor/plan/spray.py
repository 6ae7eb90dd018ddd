"""The water that a spray is carried in: how much to mix, and how it parts into tanks.

The dose is the dose: water never makes it more. The label's spray volume (`carrier`) says how much
spray goes on the area, water and product together; a sprayer whose measured output is another gives
the ground another amount, so that no tank is told for it until it is set right.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from advisor.plan.weighing import Weighed, weighed
from advisor.series.quantity import Kind, convert, pretty_unit
from advisor.site.shelf import Product
from advisor.site.spreaders import ACCEPTED, Sprayer

LOOK_UP = (
    "How much water to carry stands on the label; write it into the shelf as carrier, such as"
    ' carrier = "1 gal/1000 ft2".'
)
MEASURE = (
    "Measure what the sprayer puts out first, with water: spray 340 ft² (1/128 acre) at your pace,"
    " then catch what it gives in the same time; each fl oz is a gallon to the acre (common"
    " practice). Write it into site.toml as output."
)


@dataclass(frozen=True)
class Mix:
    """The spray for one lawn. `tanks` is 0 where none can be told, `note` then says why.

    `total_l`: water and product together; `product_each`: what goes into each tank, rounded down,
    so that all tanks together hold no more than the dose.
    """

    total_l: float
    text: str
    tanks: int = 0
    product_each: Weighed | None = None
    note: str = ""


def mixed(
    product: Product, amount: Weighed, area_m2: float, sprayer: Sprayer | None, units: str
) -> Mix | None:
    """The spray of a dose on an area; None for granules, and without the label's spray volume."""
    carrier = product.carrier_l_m2
    if product.form == "granular" or carrier is None or amount.value <= 0:
        return None
    total = carrier * area_m2
    whole = f"{amount.text} in {spray_text(total, units)} of spray in all"
    if sprayer is None:
        return Mix(total, whole)
    if sprayer.output_l_m2 is None:
        return Mix(total, whole, note=MEASURE)
    off = sprayer.output_l_m2 / carrier
    if abs(off - 1) > ACCEPTED + 1e-9:
        pace = "faster, or take a smaller" if off > 1 else "slower, or take a larger"
        note = (
            f"{sprayer.shown} puts out {output_text(sprayer.output_l_m2, units)}, and the label"
            f" wants {output_text(carrier, units)}: walk {pace} nozzle, and measure it anew"
            " before you mix."
        )
        return Mix(total, whole, note=note)
    tanks = max(1, math.ceil(total / sprayer.tank_l - 1e-9))
    each = weighed(amount.value / tanks, amount.kind, units)
    if tanks == 1:
        return Mix(total, f"{whole}, one tank", 1, each)
    parts = f"{tanks} tanks of {spray_text(total / tanks, units)} with {each.text} in each"
    return Mix(total, f"{whole}: {parts}", tanks, each)


def spray_text(litres: float, units: str) -> str:
    """A volume of spray for people."""
    unit, digits = ("gal", 2) if units == "us" else ("L", 1)
    return f"{convert(litres, Kind.VOLUME, unit):,.{digits}f} {unit}"


def output_text(l_m2: float, units: str) -> str:
    """Spray per area for people."""
    unit, digits = ("gal/1000 ft2", 2) if units == "us" else ("L/100 m2", 1)
    return f"{convert(l_m2, Kind.VOLUME_PER_AREA, unit):,.{digits}f} {pretty_unit(unit)}"


def catch_text(rate: float, carrier: float | None, units: str) -> str:
    """What a sprayer put out [L/m2], held against the label's spray volume."""
    shown = f"The sprayer puts out {output_text(rate, units)} ({per_acre_text(rate, units)})"
    if carrier is None:
        return f"{shown}. {LOOK_UP}"
    off = rate / carrier
    shown += f"; the label wants {output_text(carrier, units)}"
    if abs(off - 1) <= ACCEPTED + 1e-9:
        return f"{shown}: within {ACCEPTED:.0%}. Write it into site.toml as output."
    pace = "faster, or take a smaller" if off > 1 else "slower, or take a larger"
    return f"{shown}: walk {pace} nozzle, and measure it anew."


def per_acre_text(l_m2: float, units: str) -> str:
    """The same for the large unit of labels."""
    unit = "gal/acre" if units == "us" else "L/ha"
    return f"{convert(l_m2, Kind.VOLUME_PER_AREA, unit):,.0f} {unit}"

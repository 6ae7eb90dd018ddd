"""The water that a spray is carried in: how much to mix, and how it parts into tanks.

The dose is the dose: water never makes it more. The label's spray volume (`carrier`) says how much
spray goes on the area, water and product together; a sprayer whose measured output is another gives
the ground another amount, so that no tank is told for it until it is set right.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from advisor.language.dates import separated
from advisor.language.words import later, tell
from advisor.plan.weighing import Weighed, weighed
from advisor.series.quantity import Kind, convert, pretty_unit
from advisor.site.shelf import Product
from advisor.site.spreaders import ACCEPTED, Sprayer

LOOK_UP = later(
    "How much water to carry stands on the label; write it into the shelf as carrier, such as"
    ' carrier = "1 gal/1000 ft2".'
)
MEASURE = later(
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
    words = {"amount": amount.text, "spray": spray_text(total, units)}
    whole = tell("{amount} in {spray} of spray in all", **words)
    if sprayer is None:
        return Mix(total, whole)
    if sprayer.output_l_m2 is None:
        return Mix(total, whole, note=tell(MEASURE))
    off = sprayer.output_l_m2 / carrier
    if abs(off - 1) > ACCEPTED + 1e-9:
        return Mix(total, whole, note=_off_text(sprayer.shown, sprayer.output_l_m2, carrier, units))
    tanks = max(1, math.ceil(total / sprayer.tank_l - 1e-9))
    each = weighed(amount.value / tanks, amount.kind, units)
    if tanks == 1:
        return Mix(total, tell("{amount} in {spray} of spray in all, one tank", **words), 1, each)
    text = tell(
        "{amount} in {spray} of spray in all: {count} tanks of {tank} with {each} in each",
        count=tanks,
        tank=spray_text(total / tanks, units),
        each=each.text,
        **words,
    )
    return Mix(total, text, tanks, each)


def _off_text(sprayer: str, output: float, carrier: float, units: str) -> str:
    """That a sprayer puts out more or less than the label wants [L/m2], and what to do."""
    words = {
        "sprayer": sprayer,
        "output": output_text(output, units),
        "wanted": output_text(carrier, units),
    }
    if output > carrier:
        return tell(
            "{sprayer} puts out {output}, and the label wants {wanted}: walk faster, or take a"
            " smaller nozzle, and measure it anew before you mix.",
            **words,
        )
    return tell(
        "{sprayer} puts out {output}, and the label wants {wanted}: walk slower, or take a larger"
        " nozzle, and measure it anew before you mix.",
        **words,
    )


def spray_text(litres: float, units: str) -> str:
    """A volume of spray for people."""
    unit, digits = ("gal", 2) if units == "us" else ("L", 1)
    return f"{separated(f'{convert(litres, Kind.VOLUME, unit):,.{digits}f}')} {unit}"


def output_text(l_m2: float, units: str) -> str:
    """Spray per area for people."""
    unit, digits = ("gal/1000 ft2", 2) if units == "us" else ("L/100 m2", 1)
    number = f"{convert(l_m2, Kind.VOLUME_PER_AREA, unit):,.{digits}f}"
    return f"{separated(number)} {pretty_unit(unit)}"


def catch_text(rate: float, carrier: float | None, units: str) -> str:
    """What a sprayer put out [L/m2], held against the label's spray volume."""
    words = {"output": output_text(rate, units), "per_acre": per_acre_text(rate, units)}
    if carrier is None:
        shown = tell("The sprayer puts out {output} ({per_acre}).", **words)
        return f"{shown} {tell(LOOK_UP)}"
    words["wanted"] = output_text(carrier, units)
    off = rate / carrier
    if abs(off - 1) <= ACCEPTED + 1e-9:
        return tell(
            "The sprayer puts out {output} ({per_acre}); the label wants {wanted}: within {share}."
            " Write it into site.toml as output.",
            share=f"{ACCEPTED:.0%}",
            **words,
        )
    if off > 1:
        return tell(
            "The sprayer puts out {output} ({per_acre}); the label wants {wanted}: walk faster, or"
            " take a smaller nozzle, and measure it anew.",
            **words,
        )
    return tell(
        "The sprayer puts out {output} ({per_acre}); the label wants {wanted}: walk slower, or take"
        " a larger nozzle, and measure it anew.",
        **words,
    )


def per_acre_text(l_m2: float, units: str) -> str:
    """The same for the large unit of labels."""
    unit = "gal/acre" if units == "us" else "L/ha"
    return f"{separated(f'{convert(l_m2, Kind.VOLUME_PER_AREA, unit):,.0f}')} {unit}"

"""How a dose is put down: in order, each caution beside the step that it belongs to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from advisor.plan.spray import LOOK_UP, Mix
from advisor.plan.spreading import correction_text
from advisor.plan.staining import staining_step
from advisor.plan.weighing import Weighed
from advisor.series.quantity import Kind, show
from advisor.site.lawns import Lawn
from advisor.site.shelf import Product
from advisor.site.spreaders import Correction, Sprayer, Spreader

BOUND = "sprinklers only on the days and in the hours that your watering rules allow"
"""Of watering in, where such rules cover a lawn; a plan names the day instead."""

RESERVE = 0.05
"""What each pass keeps back of its own half, for missed strips and edges [judgement]: as much as a
spreader may be off."""


@dataclass(frozen=True)
class Way:
    """For what a dose goes down, with what, and what the journal tells of that."""

    task: str
    spreader: Spreader | None = None
    correction: Correction | None = None
    sprayer: Sprayer | None = None
    away: tuple[str, ...] = ()
    """How far to stay from water, as the law says it."""
    sprinklers_bound: bool = False
    """Whether the law says on which days or in which hours sprinklers may run."""


@dataclass(frozen=True)
class Passes:
    """Two passes at half rate, and the part of each that is kept back until the last.

    `each`: kg of a pass, half of the dose to the gram; `rate_g_m2` what it brings; `reserve` is
    within it.
    """

    each: float
    each_text: str
    rate_g_m2: float
    reserve: Weighed


def passes(product: Product, amount: Weighed, area_m2: float) -> Passes | None:
    """The passes of a dose of granules; None for a spray."""
    if product.form != "granular":
        return None
    each = amount.value / 2
    reserve = amount.share(RESERVE / 2)
    return Passes(each, amount.half(), each * 1000 / area_m2, reserve)


def steps(
    product: Product, lawn: Lawn, units: str, spread: Passes | None, mix: Mix | None, way: Way
) -> tuple[str, ...]:
    """What to do, in order."""
    return tuple(_steps(product, lawn, units, spread, mix, way))


def _steps(
    product: Product, lawn: Lawn, units: str, spread: Passes | None, mix: Mix | None, way: Way
) -> Iterator[str]:
    if product.is_pesticide:
        yield (
            f"Read the label first (signal word: {product.signal_word}): it is the law, and stands"
            " above this page. Wear long sleeves, long trousers, closed shoes and"
            " chemical-resistant gloves at the least."
        )
    else:
        yield "Read the label first; it stands above this page. Wear gloves."
    if lawn.setback_m2:
        yield (
            f"Leave out the setback of {show(lawn.setback_m2, Kind.AREA, units)} from water;"
            " it is not in the dose."
        )
    yield from way.away
    if spread is not None:
        yield from _spreading(spread, units, way)
    else:
        yield from _spraying(product, mix)
    yield from staining_step(product)
    if product.water_in_mm is not None:
        bound = f"; {BOUND}" if way.sprinklers_bound else ""
        yield (
            f"Water in with {show(product.water_in_mm, Kind.WATER, units)}, by rain or"
            f" sprinkler, unless the label says otherwise{bound}."
        )
    if product.dry_hours is not None:
        yield f"Keep it dry for {show(product.dry_hours / 24, Kind.DURATION, unit='hours')}."
    if product.reentry:
        when = product.reentry.rstrip(".")
        link = " " if when.startswith("until ") else ": "
        yield f"Keep people and pets off{link}{when}."
    elif product.form == "granular":
        yield "Keep people and pets off until it is watered in and the grass is dry."
    if way.task == "pre-emergent" and product.seeding_interval_days is not None:
        wait = show(product.seeding_interval_days, Kind.DURATION, units)
        yield f"No seed will come up for {wait} after it."


def _spreading(spread: Passes, units: str, way: Way) -> Iterator[str]:
    if way.spreader is not None and way.correction is not None:
        yield correction_text(way.spreader, way.correction, spread.rate_g_m2, units)
    yield f"Two passes at right angles, {spread.each_text} each at half rate."
    if spread.reserve.value > 0:
        yield (
            f"Of each pass keep back {spread.reserve.text} for missed strips and edges; it is part"
            " of the pass, and nothing goes on top of it."
        )
    yield (
        "Sweep what lies on paving back onto the grass before any water comes; nothing into a"
        " drain or gutter."
    )


def _spraying(product: Product, mix: Mix | None) -> Iterator[str]:
    yield (
        "Mix with eye protection on, as the label says: water first, then the product, then the"
        " rest of the water. Nothing else into the tank unless its label names it and a little of"
        " both in a jar stays even."
    )
    yield f"Mix no more than {mix.text}." if mix is not None else LOOK_UP
    if mix is not None and mix.note:
        yield mix.note
    yield "Spray evenly with a coarse nozzle; not in wind, not toward water or flowers."
    if product.is_pesticide:
        yield (
            "Rinse an emptied container three times into the tank, and do with it what the label"
            " says; what is left in the tank goes onto the same lawn, as part of the dose, and"
            " never into a drain."
        )

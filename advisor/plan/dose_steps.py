"""How a dose is put down: in order, each caution beside the step that it belongs to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from advisor.language.words import later, tell, tell_as
from advisor.plan.spray import LOOK_UP, Mix
from advisor.plan.spreading import correction_text
from advisor.plan.staining import staining_step
from advisor.plan.weighing import Weighed
from advisor.series.quantity import Kind, show
from advisor.site.lawns import Lawn
from advisor.site.shelf import Product
from advisor.site.spreaders import Correction, Sprayer, Spreader

BOUND = later("sprinklers only on the days and in the hours that your watering rules allow")
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
        yield tell(
            "Read the label first (signal word: {word}): it is the law, and overrides this page."
            " Wear long sleeves, long trousers, closed shoes and chemical-resistant gloves at the"
            " least.",
            word=product.signal_word,
        )
    else:
        yield tell("Read the label first; it overrides this page. Wear gloves.")
    if lawn.setback_m2:
        yield tell(
            "Leave out the setback of {area} from water; it is not in the dose.",
            area=show(lawn.setback_m2, Kind.AREA, units),
        )
    yield from way.away
    if spread is not None:
        yield from _spreading(spread, units, way)
    else:
        yield from _spraying(product, mix)
    yield from staining_step(product)
    if product.water_in_mm is not None:
        depth = show(product.water_in_mm, Kind.WATER, units)
        if way.sprinklers_bound:
            yield tell(
                "Water in with {depth}, by rain or sprinkler, unless the label says otherwise;"
                " {bound}.",
                depth=depth,
                bound=tell(BOUND),
            )
        else:
            yield tell(
                "Water in with {depth}, by rain or sprinkler, unless the label says otherwise.",
                depth=depth,
            )
    if product.dry_hours is not None:
        hours = show(product.dry_hours / 24, Kind.DURATION, unit="hours")
        yield tell("Keep it dry for {time}.", time=hours)
    if product.reentry:
        when = product.reentry.rstrip(".")
        # The label's own words may go on from ours.
        until = tell_as("first word of an owner's words on when to walk on it again", "until")
        if when.startswith(f"{until} "):
            yield tell("Keep people and pets off {until}.", until=when)
        else:
            yield tell("Keep people and pets off: {when}.", when=when)
    elif product.form == "granular":
        yield tell("Keep people and pets off until it is watered in and the grass is dry.")
    if way.task == "pre-emergent" and product.seeding_interval_days is not None:
        wait = show(product.seeding_interval_days, Kind.DURATION, units)
        yield tell("No seed will come up for {time} after it.", time=wait)


def _spreading(spread: Passes, units: str, way: Way) -> Iterator[str]:
    if way.spreader is not None and way.correction is not None:
        yield correction_text(way.spreader, way.correction, spread.rate_g_m2, units)
    yield tell("Two passes at right angles, {amount} each at half rate.", amount=spread.each_text)
    if spread.reserve.value > 0:
        yield tell(
            "Of each pass keep back {amount} for missed strips and edges; it is part of the pass,"
            " and nothing goes on top of it.",
            amount=spread.reserve.text,
        )
    yield tell(
        "Sweep what lies on paving back onto the grass before any water comes; nothing into a"
        " drain or gutter."
    )


def _spraying(product: Product, mix: Mix | None) -> Iterator[str]:
    yield tell(
        "Mix with eye protection on, as the label says: water first, then the product, then the"
        " rest of the water. Nothing else into the tank unless its label names it and a little of"
        " both in a jar stays even."
    )
    yield tell(LOOK_UP) if mix is None else tell("Mix no more than {mix}.", mix=mix.text)
    if mix is not None and mix.note:
        yield mix.note
    yield tell("Spray evenly with a coarse nozzle; not in wind, not toward water or flowers.")
    if product.is_pesticide:
        yield tell(
            "Rinse an emptied container three times into the tank, and do with it what the label"
            " says; what is left in the tank goes onto the same lawn, as part of the dose, and"
            " never into a drain."
        )

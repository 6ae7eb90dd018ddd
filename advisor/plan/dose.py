"""From a label to what is weighed for one lawn: the least of label, law and what the year leaves.

Rounded down, never up: the little that keeps a last pass even comes from within the dose.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from advisor.plan.model import Burn, Delivery, Dose
from advisor.plan.restrict import PHOSPHATE_AT_ONCE, keep_away, law_limits
from advisor.plan.staining import staining_step
from advisor.series.quantity import Kind, convert, pretty_unit, show, show_small
from advisor.site.amounts import Amount
from advisor.site.events import substances
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.shelf import LABEL_WORDS, Product, Shelf
from advisor.site.sums import Sums

LEAST_SHARE = 0.5
"""Less than this share of a full dose is not worth a trip [judgement]."""

LABEL_RATE = "the label's rate"
AT_ONCE = (
    "the limit for nitrogen at once",
    "the limit for quick nitrogen at once",
    PHOSPHATE_AT_ONCE,
)


@dataclass(frozen=True)
class Refusal:
    """Why a product may not be put down, as a sentence, and what would mend it."""

    why: str
    unknown: bool = False


@dataclass(frozen=True)
class Measured:
    """A dose with the event that putting it down would be; once a day is chosen for it, with why
    it is this product and how likely it burns."""

    dose: Dose
    grams_per_m2: dict[str, float]
    why: tuple[str, ...] = ()
    burn: Burn | None = None


def measure(
    product: Product, lawn: Lawn, site: Site, sums: Sums, day: date, *, task: str
) -> Measured | Refusal:
    """The dose of a product for a lawn on a day, or why there is none.

    The rate is the least of: the label's rate, what the label's yearly limit leaves, for nitrogen
    the lawn's limit at once (in all, and of soluble nitrogen) and what its year leaves.
    """
    if product.restricted_use:
        return Refusal(f"{product.shown} is for licensed people only; ask a licensed applicator")
    missing = product.missing_label_figures()
    if missing:
        return Refusal(
            f"{product.shown}: look up on its label and write into the shelf: "
            + ", ".join(LABEL_WORDS[key] for key in missing),
            unknown=True,
        )
    if product.rate is None:
        return Refusal(f"{product.shown}: the shelf lacks the label's rate", unknown=True)
    limits: list[tuple[float, str]] = [(product.rate.value, LABEL_RATE)]
    for limit, reason in _limits(product, lawn, sums.shelf, sums, day):
        if math.isinf(limit) and limit < 0:
            return Refusal(reason, unknown=True)
        limits.append((limit, reason))
    rate, limited_by = min(limits, key=lambda pair: pair[0])
    # A label may state more than may be put down at once; the full dose is the lesser of the two.
    full = min(limit for limit, reason in limits if reason in (LABEL_RATE, *AT_ONCE))
    if rate < LEAST_SHARE * full:
        return Refusal(f"{limited_by} leaves too little of {product.shown} for a dose this year")
    dose = _dose(product, lawn, site, rate, limited_by, task)
    if dose.amount == 0:
        return Refusal(f"{lawn.shown} is too small to weigh out a dose of {product.shown} for")
    kind = Kind.VOLUME if dose.amount_unit == "L" else Kind.MASS
    return Measured(dose, substances(product, Amount(dose.amount, kind), dose.area_m2))


def _limits(
    product: Product, lawn: Lawn, shelf: Shelf, sums: Sums, day: date
) -> Iterator[tuple[float, str]]:
    """Rates that must not be passed [g/m2, or L/m2 where the label's rate is by volume], with what
    each comes from. -inf marks a limit that cannot be worked out.
    """
    brings = _brings(product, 1.0)
    nitrogen = brings.get("nitrogen", 0.0)
    if nitrogen > 0:
        yield lawn.nitrogen_once_g_m2 / nitrogen, AT_ONCE[0]
        soluble = nitrogen * (1 - product.slow_release)
        if soluble > 0:
            yield lawn.soluble_once_g_m2 / soluble, AT_ONCE[1]
        _, used = sums.total(lawn.name, "nitrogen", day.year)
        if math.isinf(used):
            yield (
                -math.inf,
                f"it cannot be told how much nitrogen {lawn.shown} has had in {day.year}: the"
                f" journal begins later; add `last feed` with its date for {lawn.name}",
            )
        else:
            left = max(0.0, lawn.nitrogen_limit_g_m2 - used)
            yield left / nitrogen, "the year's limit for nitrogen"
    yield from law_limits(product, lawn, sums.site, sums, day)
    for active in product.actives:
        _, used = sums.total(lawn.name, active, day.year)
        if math.isinf(used):
            yield (
                -math.inf,
                f"it cannot be told how much {active} {lawn.shown} has had in {day.year}",
            )
            continue
        # Every label on the shelf that carries it has a say; the strictest holds.
        yearly = [
            limit
            for other in shelf.products
            if active in other.actives
            for limit in _yearly(other, active)
        ]
        left = max(0.0, min(yearly, default=math.inf) - used)
        yield left / brings[active], f"the year's limit for {active}"
    if product.rate_year is not None:
        _, used_up = sums.total(lawn.name, f"product:{product.name}", day.year)
        if math.isinf(used_up):
            yield (
                -math.inf,
                f"it cannot be told how much {product.shown} {lawn.shown} has had in {day.year}",
            )
        else:
            if product.measured_in == "L":
                used_up /= 1000  # the sums count a liquid in mL/m2
            yield max(0.0, product.rate_year.value - used_up), "the label's yearly limit"


def _yearly(product: Product, active: str) -> Iterator[float]:
    """The yearly limits for an active ingredient that one label states [g/m2]."""
    if active in product.actives_year_g_m2:
        yield product.actives_year_g_m2[active]
    if product.rate_year is not None:
        grams = product.grams(product.rate_year)
        if grams is not None:
            yield grams * product.actives[active]


def _brings(product: Product, rate: float) -> dict[str, float]:
    """What a rate of product [g/m2 or L/m2, as its label has it] brings [g/m2 of each]."""
    assert product.rate is not None
    grams = product.grams(Amount(rate, product.rate.kind))
    # A product by volume without a density carries nothing that is counted by weight: the shelf
    # refuses one that does (`missing_label_figures`).
    return {} if grams is None else product.nutrients_per(grams)


def _dose(
    product: Product, lawn: Lawn, site: Site, rate: float, limited_by: str, task: str
) -> Dose:
    liquid = product.measured_in == "L"
    kind, per_area = (
        (Kind.VOLUME, Kind.VOLUME_PER_AREA) if liquid else (Kind.MASS, Kind.MASS_PER_AREA)
    )
    area = lawn.treated_m2
    per_rate = 1.0 if liquid else 0.001  # L/m2 to L, g/m2 to kg
    exact = rate * area * per_rate
    unit, step, digits = _scale(exact, site.units, liquid)
    shown = _floor(convert(exact, kind, unit), step)
    amount = shown / convert(1.0, kind, unit)
    half = f"{shown / 2:,.{digits + 1}f}".rstrip("0").rstrip(".") + f" {unit}"
    return Dose(
        product=product.name,
        title=product.shown,
        analysis=product.analysis.text if product.analysis else None,
        amount=amount,
        amount_unit="L" if liquid else "kg",
        amount_text=f"{shown:,.{digits}f} {unit}",
        area_m2=area,
        area_text=show(area, Kind.AREA, site.units),
        rate_text=_rate_text(rate, per_area, site.units),
        limited_by=limited_by,
        delivers=tuple(
            Delivery(substance=name, g_per_m2=grams, text=f"{show_small(grams, site.units)} {name}")
            for name, grams in _brings(product, amount / area / per_rate).items()
            if grams > 0
        ),
        steps=_steps(product, lawn, site, half, task),
    )


def _floor(value: float, step: float) -> float:
    return math.floor(value / step + 1e-9) * step


def _scale(exact: float, units: str, liquid: bool) -> tuple[str, float, int]:
    """The unit, the finest step and the digits for an amount in kg or L: what a kitchen or a shed
    can weigh or measure, and no coarser than a hundredth or so of it."""
    if units == "us":
        if liquid:
            return ("fl oz", 0.1, 1)
        return ("lb", 0.1, 1) if exact >= 0.9 else ("oz", 0.1, 1)
    if liquid:
        return ("mL", 5.0, 0) if exact >= 0.5 else ("mL", 1.0, 0)
    return ("kg", 0.01, 2) if exact >= 1 else ("g", 1.0, 0)


def _rate_text(rate: float, kind: Kind, units: str) -> str:
    """The rate, never shown above what it is."""
    unit = {
        ("us", Kind.MASS_PER_AREA): "lb/1000 ft2",
        ("us", Kind.VOLUME_PER_AREA): "fl oz/1000 ft2",
        ("metric", Kind.MASS_PER_AREA): "g/m2",
        ("metric", Kind.VOLUME_PER_AREA): "mL/100 m2",
    }[units, kind]
    value = convert(rate, kind, unit)
    digits = 2 if value < 10 else 1
    return f"{_floor(value, 10.0**-digits):,.{digits}f} {pretty_unit(unit)}"


def _steps(product: Product, lawn: Lawn, site: Site, half: str, task: str) -> tuple[str, ...]:
    """How to put it down, in order, each caution beside the step that it belongs to."""
    steps = []
    if product.is_pesticide:
        word = f" (signal word: {product.signal_word})"
        steps.append(
            f"Read the label first{word}: it is the law, and stands above this page. Wear long"
            " sleeves, long trousers, closed shoes and chemical-resistant gloves at the least."
        )
    else:
        steps.append("Read the label first; it stands above this page. Wear gloves.")
    if lawn.setback_m2:
        steps.append(
            f"Leave out the setback of {show(lawn.setback_m2, Kind.AREA, site.units)} from water;"
            " it is not in the dose."
        )
    steps += keep_away(site, lawn)
    if product.form == "granular":
        steps.append(
            f"Two passes at right angles, {half} each at half rate; keep the last handful of each"
            " for the edges."
        )
        steps.append(
            "Sweep what lies on paving back onto the grass before any water comes; nothing into a"
            " drain or gutter."
        )
    else:
        steps.append("Spray evenly with a coarse nozzle; not in wind, not toward water or flowers.")
    steps += staining_step(product)
    if product.water_in_mm is not None:
        steps.append(
            f"Water in with {show(product.water_in_mm, Kind.WATER, site.units)}, by rain or"
            " sprinkler, unless the label says otherwise."
        )
    if product.dry_hours is not None:
        steps.append(
            f"Keep it dry for {show(product.dry_hours / 24, Kind.DURATION, unit='hours')}."
        )
    if product.reentry:
        when = product.reentry.rstrip(".")
        link = " " if when.startswith("until ") else ": "
        steps.append(f"Keep people and pets off{link}{when}.")
    elif product.form == "granular":
        steps.append("Keep people and pets off until it is watered in and the grass is dry.")
    if task == "pre-emergent" and product.seeding_interval_days is not None:
        wait = show(product.seeding_interval_days, Kind.DURATION, site.units)
        steps.append(f"No seed will come up for {wait} after it.")
    return tuple(steps)

"""From a label to what is weighed for one lawn: the least of label, law and what the year leaves.

Rounded down, never up: the little that keeps a last pass even comes from within the dose.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from enum import Enum

from advisor.language.listing import enumerated
from advisor.language.words import tell
from advisor.plan import cost, spray
from advisor.plan.dose_steps import Way, passes, steps
from advisor.plan.model import Burn, Delivery, Dose
from advisor.plan.names import substance_text
from advisor.plan.release import release_text
from advisor.plan.restrict import keep_away, law_limits
from advisor.plan.weighing import Weighed, rate_text, weighed
from advisor.series.quantity import Kind, show, show_small
from advisor.site.amounts import Amount
from advisor.site.events import substances
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.shelf import LABEL_WORDS, Product, Shelf
from advisor.site.spreaders import Sprayer, Spreader, checks, correction, usual_spreader
from advisor.site.sums import Sums

LEAST_SHARE = 0.5
"""Less than this share of a full dose is not worth a trip [judgement]."""


class Limit(Enum):
    """What kind of limit sets a rate."""

    LABEL = "the label's rate"
    NITROGEN = "nitrogen at once"
    AT_ONCE = "of something else at once"
    YEAR = "what a year leaves"
    ASKED = "what was asked for"


@dataclass(frozen=True)
class _Most:
    """A rate that must not be passed [g/m2, or L/m2 where the label's rate is by volume]; -inf
    where it cannot be worked out. `text` is what it comes from, or why it cannot."""

    rate: float
    limit: Limit
    text: str


@dataclass(frozen=True)
class Refusal:
    """Why a product may not be put down, as a sentence, and what would mend it."""

    why: str
    unknown: bool = False
    passes: bool = False
    """Whether it is so on that day alone."""


@dataclass(frozen=True)
class Measured:
    """A dose with the event that putting it down would be and what sets its rate; once a day is
    chosen for it, with why it is this product and how likely it burns."""

    dose: Dose
    weighed: Weighed
    grams_per_m2: dict[str, float]
    limit: Limit
    why: tuple[str, ...] = ()
    burn: Burn | None = None


def measure(
    product: Product,
    lawn: Lawn,
    site: Site,
    sums: Sums,
    day: date,
    *,
    task: str,
    asked: float | None = None,
    tool: Spreader | Sprayer | None = None,
) -> Measured | Refusal:
    """The dose of a product for a lawn on a day, or why there is none.

    The rate is the least of: the label's rate, what the label's yearly limit leaves, for nitrogen
    the lawn's limit at once (in all, and of soluble nitrogen) and what its year leaves; and of what
    is `asked` for [g/m2, or L/m2 where the label's rate is by volume], which may lower it only.
    `tool` is what it goes down with; not given, it is the usual one.
    """
    if product.restricted_use:
        return Refusal(
            tell(
                "{product} is for licensed people only; ask a licensed applicator",
                product=product.shown,
            )
        )
    missing = product.missing_label_figures()
    if missing:
        return Refusal(
            tell(
                "{product}: look up on its label and write into the shelf: {figures}",
                product=product.shown,
                figures=enumerated([tell(LABEL_WORDS[key]) for key in missing]),
            ),
            unknown=True,
        )
    if product.rate is None:
        return Refusal(
            tell("{product}: the shelf lacks the label's rate", product=product.shown), unknown=True
        )
    limits = [_Most(product.rate.value, Limit.LABEL, tell("the label's rate"))]
    for limit in _limits(product, lawn, sums.shelf, sums, day):
        if math.isinf(limit.rate) and limit.rate < 0:
            return Refusal(limit.text, unknown=True)
        limits.append(limit)
    least = min(limits, key=lambda one: one.rate)
    # A label may state more than may be put down at once; the full dose is the lesser of the two.
    full = min(one.rate for one in limits if one.limit is not Limit.YEAR)
    if full <= 0:
        return Refusal(
            tell("{limit} is nothing at all for {lawn}", limit=least.text, lawn=lawn.shown)
        )
    if least.rate < LEAST_SHARE * full:
        return Refusal(
            tell(
                "{limit} leaves too little of {product} for a dose this year",
                limit=least.text,
                product=product.shown,
            )
        )
    if asked is not None and asked < least.rate:
        least = _Most(asked, Limit.ASKED, tell("what you asked for"))
    way = replace(
        _way(product, site, sums, day, task, tool),
        away=tuple(keep_away(site, lawn)),
        sprinklers_bound=lawn.irrigated and _bound(site, lawn),
    )
    liquid = product.measured_in == "L"
    per_rate = 1.0 if liquid else 0.001  # L/m2 to L, g/m2 to kg
    kind = Kind.VOLUME if liquid else Kind.MASS
    amount = weighed(least.rate * lawn.treated_m2 * per_rate, kind, site.units)
    dose = _dose(product, lawn, site, least, amount, way)
    if dose.amount == 0:
        return Refusal(
            tell(
                "{lawn} is too small to weigh out a dose of {product} for",
                lawn=lawn.shown,
                product=product.shown,
            )
        )
    brings = substances(product, Amount(amount.value, kind), dose.area_m2)
    return Measured(dose, amount, brings, least.limit)


def _bound(site: Site, lawn: Lawn) -> bool:
    """Whether some rule on watering covers a lawn, in whatever season."""
    return any(not rule.lawns or lawn.name in rule.lawns for rule in site.watering_rules)


def _limits(product: Product, lawn: Lawn, shelf: Shelf, sums: Sums, day: date) -> Iterator[_Most]:
    """What limits the rate beside the label's own."""
    brings = _brings(product, 1.0)
    nitrogen = brings.get("nitrogen", 0.0)
    if nitrogen > 0:
        yield _Most(
            lawn.nitrogen_once_g_m2 / nitrogen,
            Limit.NITROGEN,
            tell("the limit for nitrogen at once"),
        )
        soluble = nitrogen * (1 - product.slow_release)
        if soluble > 0:
            yield _Most(
                lawn.soluble_once_g_m2 / soluble,
                Limit.AT_ONCE,
                tell("the limit for quick nitrogen at once"),
            )
        _, used = sums.total(lawn.name, "nitrogen", day.year)
        if math.isinf(used):
            yield _Most(
                -math.inf,
                Limit.YEAR,
                tell(
                    "it cannot be told how much nitrogen {lawn} has had in {year}: the journal"
                    " begins later; add `last feed` with its date for {name}",
                    lawn=lawn.shown,
                    year=day.year,
                    name=lawn.name,
                ),
            )
        else:
            left = max(0.0, lawn.nitrogen_limit_g_m2 - used)
            yield _Most(left / nitrogen, Limit.YEAR, tell("the year's limit for nitrogen"))
    for rate, text, at_once in law_limits(product, lawn, sums.site, sums, day):
        yield _Most(rate, Limit.AT_ONCE if at_once else Limit.YEAR, text)
    for active in product.actives:
        _, used = sums.total(lawn.name, active, day.year)
        if math.isinf(used):
            yield _Most(-math.inf, Limit.YEAR, _not_told(active, lawn, day))
            continue
        left = max(0.0, strictest_year(shelf, active) - used)
        yield _Most(
            left / brings[active],
            Limit.YEAR,
            tell("the year's limit for {substance}", substance=active),
        )
    if product.rate_year is not None:
        _, used_up = sums.total(lawn.name, f"product:{product.name}", day.year)
        if math.isinf(used_up):
            yield _Most(-math.inf, Limit.YEAR, _not_told(product.shown, lawn, day))
        else:
            if product.measured_in == "L":
                used_up /= 1000  # the sums count a liquid in mL/m2
            left = max(0.0, product.rate_year.value - used_up)
            yield _Most(left, Limit.YEAR, tell("the label's yearly limit"))


def _not_told(what: str, lawn: Lawn, day: date) -> str:
    return tell(
        "it cannot be told how much {substance} {lawn} has had in {year}",
        substance=what,
        lawn=lawn.shown,
        year=day.year,
    )


def strictest_year(shelf: Shelf, active: str) -> float:
    """The most of an active ingredient in a year [g/m2]: every label on the shelf that carries it
    has a say, and the strictest holds. Infinite where none states one."""
    stated = [
        limit
        for product in shelf.products
        if active in product.actives
        for limit in _yearly(product, active)
    ]
    return min(stated, default=math.inf)


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


def tool_for(
    product: Product, site: Site, sums: Sums, day: date, tool: Spreader | Sprayer | None = None
) -> Spreader | Sprayer | None:
    """With what a product goes down: the one that is named, else the usual one."""
    if product.form != "granular":
        if isinstance(tool, Sprayer):
            return tool
        return site.sprayers[0] if len(site.sprayers) == 1 else None
    if isinstance(tool, Spreader):
        return tool
    return usual_spreader(site, sums.journal, product.name, day)


def _way(
    product: Product, site: Site, sums: Sums, day: date, task: str, tool: Spreader | Sprayer | None
) -> Way:
    """With what it goes down, and what the journal tells of that."""
    used = tool_for(product, site, sums, day, tool)
    if isinstance(used, Sprayer):
        return Way(task, sprayer=used)
    if used is None:
        return Way(task)
    found = checks(site, sums.journal, day)
    return Way(task, used, correction(found, used.name, product.name))


def _dose(
    product: Product,
    lawn: Lawn,
    site: Site,
    most: _Most,
    amount: Weighed,
    way: Way,
) -> Dose:
    liquid = amount.kind is Kind.VOLUME
    area = lawn.treated_m2
    money = cost.of(product, amount.value, area)
    mix = spray.mixed(product, amount, area, way.sprayer, site.units)
    return Dose(
        product=product.name,
        title=product.shown,
        analysis=product.analysis.text if product.analysis else None,
        amount=amount.value,
        amount_unit="L" if liquid else "kg",
        amount_text=amount.text,
        area_m2=area,
        area_text=show(area, Kind.AREA, site.units),
        rate_text=rate_text(most.rate, liquid, site.units),
        limited_by=most.text,
        delivers=tuple(
            Delivery(
                substance=name,
                g_per_m2=grams,
                text=tell(
                    "{amount} {substance}",
                    amount=show_small(grams, site.units),
                    substance=substance_text(name),
                ),
            )
            for name, grams in _brings(
                product, amount.value / area * (1 if liquid else 1000)
            ).items()
            if grams > 0
        ),
        nitrogen=release_text(product),
        steps=steps(product, lawn, site.units, passes(product, amount, area), mix, way),
        bags=cost.bags(product, amount.value),
        cost=money.whole if money else None,
        cost_per_m2=money.per_m2 if money else None,
        cost_per_kg_nitrogen=money.per_kg_nitrogen if money else None,
        cost_per_kg_phosphate=money.per_kg_phosphate if money else None,
        cost_per_kg_potash=money.per_kg_potash if money else None,
        carrier_text=mix.text if mix else "",
    )

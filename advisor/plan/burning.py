"""The burn that a product's dose risks on a lawn, day by day: told beside it, held where high."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.table import Table
from advisor.conditions.vocabulary import STATES
from advisor.language.words import later, tell
from advisor.plan.dose import Measured, measure
from advisor.plan.model import Burn
from advisor.plan.restrict import Restriction
from advisor.series.quantity import Kind, show
from advisor.site.amounts import Amount
from advisor.site.lawns import Lawn
from advisor.site.nitrogen import FORMS, Slow
from advisor.site.place import Site
from advisor.site.shelf import Product
from advisor.site.sums import Sums
from advisor.site.words import COOL
from advisor.turf.burn import (
    HOT_AIR,
    SOLUBLE,
    SOURCES,
    TOO_HOT_AIR,
    WARM_AIR,
    Cause,
    Load,
    Risk,
    burn_risk,
)
from advisor.turf.ranges import AIR
from advisor.turf.salt import salt

Risks = Mapping[Cause, NDArray[np.int8]]

DRY_STATES = ("drought-stressed", "summer-dormant")
NOT_FORECAST = later("the highest temperature of that day is not known")


def burns(
    product: Product, lawn: Lawn, site: Site, sums: Sums, table: Table
) -> Iterator[Restriction]:
    """A hold for each cause from which the product's dose is likely to burn on some day."""
    if product.nitrogen_fraction == 0 and product.analysis is None:
        return
    # A new year may leave more than this one: the greater dose of the days in sight counts.
    doses = [
        found
        for day in (table.days[table.today], table.days[-1])
        if isinstance(
            found := measure(product, lawn, site, sums, day, task=product.serves[0]), Measured
        )
    ]
    if not doses:
        return
    load = load_of(product, max(doses, key=lambda one: one.dose.amount))
    air = table.number("air_max")
    worst = _risks(load, lawn, table, air.high)
    surely = _risks(load, lawn, table, np.maximum(air.low, AIR[0]))
    for cause, risks in worst.items():
        held = risks >= Risk.HIGH
        if held.any():
            sure = surely[cause] >= Risk.HIGH
            yield Restriction(
                f"burn-{cause.name.lower()}",
                held,
                tell(
                    "{product} would be likely to burn the grass: {cause}.",
                    product=product.shown,
                    cause=_phrase(cause, load, site, lawn),
                ),
                SOURCES[cause],
                held & ~sure,
                tell(NOT_FORECAST),
            )


def burn_of(
    product: Product, lawn: Lawn, site: Site, table: Table, measured: Measured, day: int
) -> tuple[Risk, Burn | None]:
    """The risk of a dose on the day of index `day`, and how it is told."""
    load = load_of(product, measured)
    found = {
        cause: Risk(int(risks[day]))
        for cause, risks in _risks(load, lawn, table, table.number("air_max").high).items()
    }
    risk = max(found.values())
    causes = [cause for cause, one in found.items() if one is risk]
    if risk is Risk.LOW:
        if load.soluble_g_m2 == 0:
            return risk, None
        most = show(SOLUBLE, Kind.MASS_PER_AREA, site.units)
        told = tell(
            "Low: {amount} of quick nitrogen, and {most} are commonly the most at once.",
            amount=_soluble(load, site),
            most=most,
        )
        return risk, Burn(risk="low", text=told, source=SOURCES[Cause.NITROGEN])
    phrases = "; ".join(_phrase(cause, load, site, lawn) for cause in causes)
    if risk is Risk.HIGH:
        text = tell("High: {causes}. {remedy}", causes=phrases, remedy=_remedy(product))
    else:
        text = tell("Some: {causes}. {remedy}", causes=phrases, remedy=_remedy(product))
    return risk, Burn(
        risk="high" if risk is Risk.HIGH else "some",
        text=text,
        source="; ".join(dict.fromkeys(SOURCES[cause] for cause in causes)),
    )


def load_of(product: Product, measured: Measured) -> Load:
    """What a dose brings at once."""
    dose = measured.dose
    kind = Kind.VOLUME if dose.amount_unit == "L" else Kind.MASS
    grams = (product.grams(Amount(dose.amount, kind)) or 0.0) / dose.area_m2
    quick = {
        form: share for form, share in product.nitrogen.items() if FORMS[form].slow is Slow.NONE
    }
    untold = product.soluble_fraction - sum(quick.values())
    quick["not told"] = max(0.0, untold)
    label = product.analysis
    sprayed = product.form == "liquid" and product.water_in_mm is None
    return Load(
        soluble_g_m2=grams * product.soluble_fraction,
        salt_g_m2=grams
        * salt(
            quick,
            label.phosphate if label else 0.0,
            label.potash if label else 0.0,
            product.materials,
        ),
        iron_g_m2=grams * product.iron,
        sprayed=sprayed,
        on_leaves=product.form == "granular" and product.dry_hours is not None,
    )


def _risks(load: Load, lawn: Lawn, table: Table, air: NDArray[np.float64]) -> Risks:
    codes = table.words["grass"].codes
    dry = np.isin(codes, [STATES.index(state) for state in DRY_STATES])
    known = np.where(np.isfinite(air), air, np.nan)
    return burn_risk(load, known, dry, cool_season=lawn.grass_class == COOL)


def _soluble(load: Load, site: Site) -> str:
    return show(load.soluble_g_m2, Kind.MASS_PER_AREA, site.units)


def _phrase(cause: Cause, load: Load, site: Site, lawn: Lawn) -> str:
    amount = _soluble(load, site)
    match cause:
        case Cause.NITROGEN:
            return tell("{amount} of quick nitrogen at once", amount=amount)
        case Cause.SALT:
            salted = show(load.salt_g_m2, Kind.MASS_PER_AREA, site.units)
            return tell("as salty as {amount} of sodium nitrate", amount=salted)
        case Cause.HEAT if lawn.grass_class == COOL:
            return tell(
                "{amount} of quick nitrogen in air above {warm} and above all {hot}",
                amount=amount,
                warm=show(WARM_AIR, Kind.TEMPERATURE, site.units),
                hot=show(HOT_AIR, Kind.TEMPERATURE, site.units),
            )
        case Cause.HEAT:
            return tell(
                "{amount} of quick nitrogen in air above {hot}",
                amount=amount,
                hot=show(TOO_HOT_AIR, Kind.TEMPERATURE, site.units),
            )
        case Cause.DROUGHT:
            return tell("{amount} of quick nitrogen on grass that is short of water", amount=amount)
        case Cause.LEAVES:
            return tell("{amount} of quick nitrogen that dries on the leaves", amount=amount)
        case Cause.IRON:
            iron = show(load.iron_g_m2, Kind.MASS_PER_AREA, site.units)
            return tell(
                "{amount} of iron on the leaves, which may turn dark for a while", amount=iron
            )


def _remedy(product: Product) -> str:
    if product.form == "granular" and product.dry_hours is None:
        return tell("Only on dry leaves; water it in the same day.")
    if product.form == "granular":
        return tell("Not in the heat of the day; water it in as soon as the label lets you.")
    return tell("Spray in the cool of the day, with all the water that the label allows.")

"""What a year has had on a lawn, before a dose and with it, beside each limit that there is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Literal

from advisor.language.words import tell, tell_as
from advisor.plan.dose import strictest_year
from advisor.plan.dose_sheet import YearSum
from advisor.plan.names import substance_text
from advisor.series.quantity import Kind, show, show_small
from advisor.site.lawns import Lawn
from advisor.site.shelf import PHOSPHORUS_IN_P2O5, Product
from advisor.site.sums import Sums
from advisor.site.under_law import laws_on

_PRODUCT = "product:"


def year_sums(
    brings: Mapping[str, float], product: Product, lawn: Lawn, sums: Sums
) -> Iterator[YearSum]:
    """The sums of all that a dose brings (see `events.Event`) in the year of the sums' day. What
    was perhaps done counts. The product itself is told where its label limits the year."""
    for substance, added in brings.items():
        itself = substance.startswith(_PRODUCT)
        if itself and product.rate_year is None:
            continue
        unit: Literal["g/m2", "mL/m2"] = "g/m2"
        if itself and product.measured_in == "L":
            unit = "mL/m2"
        name = product.shown if itself else substance
        limit = _product_limit(product) if itself else year_limit(substance, lawn, sums)
        _, before = sums.total(lawn.name, substance, sums.today.year)
        shown = name if itself else substance_text(name)
        yield _told(name, shown, unit, before, added, limit, sums.site.units)


def year_limit(substance: str, lawn: Lawn, sums: Sums) -> float | None:
    """The most of a nutrient or active ingredient on a lawn in a year [g/m2]: the lawn's, the
    law's, or the strictest label's on the shelf; None where there is no limit."""
    if substance == "nitrogen":
        return lawn.nitrogen_limit_g_m2
    if substance == "phosphorus":
        phosphate = [law.phosphate_year_g_m2 for law in laws_on(sums.site.ordinances, lawn)]
        stated = [limit for limit in phosphate if limit is not None]
        return min(stated) * PHOSPHORUS_IN_P2O5 if stated else None
    most = strictest_year(sums.shelf, substance)
    return None if math.isinf(most) else most


def _product_limit(product: Product) -> float | None:
    """The most of a product in a year, in the unit of the sums."""
    if product.rate_year is None:
        return None
    return product.rate_year.value * (1000 if product.measured_in == "L" else 1)


def _told(
    name: str,
    shown: str,
    unit: Literal["g/m2", "mL/m2"],
    before: float,
    added: float,
    limit: float | None,
    units: str,
) -> YearSum:
    def text(value: float) -> str:
        if unit == "g/m2":
            return show_small(value, units)
        return show(value / 1000, Kind.VOLUME_PER_AREA, units)

    known = not math.isinf(before)
    after = before + added
    words = {"substance": shown, "after": text(after if known else added)}
    if known:
        words["had"] = text(before) if before else tell_as("amount", "none")
    if limit is not None:
        words["limit"] = text(limit)
    match known, limit is not None:
        case True, True:
            said = tell(
                "{substance}: {had} before it, {after} after, of {limit} in the year", **words
            )
        case True, False:
            said = tell("{substance}: {had} before it, {after} after", **words)
        case False, True:
            said = tell(
                "{substance}: nobody knows how much before it, {after} more after, of {limit} in"
                " the year",
                **words,
            )
        case _:
            said = tell("{substance}: nobody knows how much before it, {after} more after", **words)
    return YearSum(
        substance=name,
        unit=unit,
        before=before if known else None,
        after=after if known else None,
        limit=limit,
        text=said,
    )

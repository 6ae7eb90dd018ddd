"""What a year has had on a lawn, before a dose and with it, beside each limit that there is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Literal

from advisor.plan.dose import strictest_year
from advisor.plan.dose_sheet import YearSum
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
    limits = _limits(product, lawn, sums)
    for substance, added in brings.items():
        itself = substance.startswith(_PRODUCT)
        if itself and product.rate_year is None:
            continue
        unit: Literal["g/m2", "mL/m2"] = "g/m2"
        if itself and product.measured_in == "L":
            unit = "mL/m2"
        name = product.shown if itself else substance
        _, before = sums.total(lawn.name, substance, sums.today.year)
        yield _told(name, unit, before, added, limits.get(substance), sums.site.units)


def _limits(product: Product, lawn: Lawn, sums: Sums) -> dict[str, float]:
    """The most of each in a year, in the unit of the sums."""
    limits = {"nitrogen": lawn.nitrogen_limit_g_m2}
    phosphate = [law.phosphate_year_g_m2 for law in laws_on(sums.site.ordinances, lawn)]
    stated = [limit for limit in phosphate if limit is not None]
    if stated:
        limits["phosphorus"] = min(stated) * PHOSPHORUS_IN_P2O5
    for active in product.actives:
        most = strictest_year(sums.shelf, active)
        if not math.isinf(most):
            limits[active] = most
    if product.rate_year is not None:
        scale = 1000 if product.measured_in == "L" else 1
        limits[f"{_PRODUCT}{product.name}"] = product.rate_year.value * scale
    return limits


def _told(
    name: str,
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
    if known:
        had = text(before) if before else "none"
        said = f"{name}: {had} before it, {text(after)} after"
    else:
        said = f"{name}: nobody knows how much before it, {text(added)} more after"
    return YearSum(
        substance=name,
        unit=unit,
        before=before if known else None,
        after=after if known else None,
        limit=limit,
        text=said + (f", of {text(limit)} in the year" if limit is not None else ""),
    )

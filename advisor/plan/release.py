"""Whether a product's nitrogen is released in the soil of a lawn as it is, and how that is told."""

from __future__ import annotations

from advisor.conditions.table import Table
from advisor.language.words import tell
from advisor.series.quantity import Kind, show
from advisor.site.nitrogen import FORMS
from advisor.site.shelf import Product
from advisor.turf.nitrogen_forms import RELEASES, slow_forms, works_at

DEPTH_M = 0.1016
"""Four inches, the depth at which most sources tell soil temperature [m]."""

HALF = 0.5
"""With half of its nitrogen quick a product feeds in any soil that grass grows in [judgement]."""


def released(product: Product, table: Table, day: int) -> bool | None:
    """Whether most of a product's nitrogen is released on the day of index `day`: quick nitrogen
    always, slow nitrogen as its forms are. None where label or soil do not tell."""
    if product.slow_release <= HALF or product.nitrogen_fraction == 0:
        return True
    soil = table.number("soil_temp", DEPTH_M)
    bounds = float(soil.low[day]), float(soil.high[day])
    forms = slow_forms(product.nitrogen, product.materials)
    if not forms:
        return None
    told = [works_at(form, bounds) for form in forms]
    if all(told):
        return True
    return False if any(one is False for one in told) else None


def release_text(product: Product) -> str:
    """The slow-release share of a product's nitrogen, and what releases it, as a sentence; empty
    for a product without nitrogen."""
    if product.nitrogen_fraction == 0:
        return ""
    if product.slow_release == 0:
        return tell("All of it counts as quick.")
    share = show(product.slow_release, Kind.FRACTION, "us")
    forms = slow_forms(product.nitrogen, product.materials)
    if len(forms) != 1:
        return tell("{share} of it is slow-release.", share=share)
    release = RELEASES[forms[0]]
    weeks = release.weeks.value
    words = {
        "share": share,
        "form": tell(FORMS[forms[0]].shown),
        "needs": tell(release.needs.value),
    }
    if weeks is None:
        return tell("{share} of it is slow-release: {form}, released {needs}.", **words)
    return tell(
        "{share} of it is slow-release: {form}, released {needs}, over {least} to {most} weeks.",
        least=f"{weeks[0]:.0f}",
        most=f"{weeks[1]:.0f}",
        **words,
    )

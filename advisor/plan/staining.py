"""What a product leaves on paving, as a step of putting it down."""

from __future__ import annotations

from advisor.language.words import tell
from advisor.site.shelf import Product


def staining_step(product: Product) -> tuple[str, ...]:
    """The step about stains, beside that of sweeping; none where nothing stains.

    Iron granules left on concrete and then wetted make rust spots (Shaddox and Unruh 2018), so they
    come off before any water; that a spray is rinsed off while it is wet is judgement.
    """
    if product.iron <= 0 and "iron" not in product.materials:
        return ()
    if product.form == "granular":
        return (
            tell(
                "It has iron in it, which leaves rust spots on concrete, stone and paving once it"
                " gets wet: blow or sweep it off dry, before dew, rain or sprinklers."
            ),
        )
    return (
        tell(
            "It has iron in it, which stains concrete, stone and paving: keep the spray off them,"
            " and rinse what falls there onto the grass while it is wet."
        ),
    )

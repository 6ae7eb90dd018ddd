"""Limits for nitrogen at once, slow-release shares and salt, against laws and extension."""

from __future__ import annotations

from published import COMPUTED, RECALLED, How, Published

from advisor.series.quantity import Kind, Written, convert
from advisor.site.grass_limits import NITROGEN_ONCE_G_M2, SOLUBLE_ONCE_G_M2
from advisor.site.nitrogen import slow_share
from advisor.site.shelf import Product
from advisor.turf.burn import CEILING, IRON, SOLUBLE
from advisor.turf.label import nutrient_delivered, product_rate
from advisor.turf.salt import SALTS

US = "lb/1000 ft2"
MARYLAND = "Maryland AG 8-803.5 and New Jersey 58:10A-62"
FLORIDA = "Florida rule 5E-1.003 of 2007"
RADER = "Salt index after Rader 1943, per unit of nutrient"


def pounds(g_m2: float) -> float:
    return convert(g_m2, Kind.MASS_PER_AREA, US)


def label(percent: float, slow: float | None = None, **forms: float) -> Product:
    """A label with so much nitrogen, its slow-release share or its forms stated, all in percent."""
    stated: dict[str, object] = {"slow_release": f"{slow}%"} if slow is not None else {}
    if forms:
        stated["nitrogen"] = {name.replace("_", "-"): f"{v}%" for name, v in forms.items()}
    return Product.model_validate(
        {"name": "bag", "serves": ["feed"], "form": "granular", "analysis": f"{percent:g}-0-0"}
        | stated
    )


def soluble(product: Product, nitrogen: float) -> float:
    """Pounds of quick nitrogen on 1000 ft2 with so many pounds of nitrogen of a product."""
    wanted = Written(nitrogen, US).as_kind(Kind.MASS_PER_AREA)
    rate = product_rate(wanted, 100 * product.nitrogen_fraction)
    return pounds(float(nutrient_delivered(rate, 100 * product.soluble_fraction)))


def row(
    source: str, quantity: str, printed: str, ours: float, unit: str = US, how: How = How.READ
) -> Published:
    return Published(
        quantity=quantity, source=source, printed=printed, unit=unit, how=how, ours=lambda: ours
    )


VALUES = (
    row(MARYLAND, "most nitrogen at once, default of a lawn", ".9", pounds(NITROGEN_ONCE_G_M2)),
    row(MARYLAND, "most soluble nitrogen at once, default of a lawn", ".7",
        pounds(SOLUBLE_ONCE_G_M2)),
    row(MARYLAND, "soluble nitrogen above which a burn is told", ".7", pounds(SOLUBLE)),
    row(FLORIDA, "soluble nitrogen above which a burn is told", ".7", pounds(SOLUBLE)),
    row("Purdue and Illinois extension", "nitrogen at once above which a burn is held for", "1.0",
        pounds(CEILING)),
    row("Label arithmetic", "soluble nitrogen of 0.75 lb N from 30 % N, 35 % of it slow", ".4875",
        soluble(label(30, slow=35), 0.75), how=COMPUTED),
    row("Label arithmetic", "the same label, its forms stated: 19.5 % urea, 10.5 % coated urea",
        ".4875", soluble(label(30, urea=19.5, coated_urea=10.5), 0.75), how=COMPUTED),
    row("Label arithmetic", "most nitrogen with 0.7 lb soluble, half slow", "1.4",
        0.7 / soluble(label(24, slow=50), 1.0), how=COMPUTED),
    row("Florida counties and cities", "slow-release share of 12 % urea and 12 % coated urea", "50",
        100 * slow_share(0.24, {"urea": 0.12, "coated-urea": 0.12}, None), unit="%", how=COMPUTED),
    row("Florida extension, a few lb/acre, taken as three",
        "iron in a spray above which leaves may blacken", "3",
        convert(IRON, Kind.MASS_PER_AREA, "lb/acre"), unit="lb/acre", how=RECALLED),
    *(
        row(RADER, f"{name.replace('-', ' ')}, {nutrient}", printed, SALTS[name].per(nutrient),
            unit="per 1 %", how=RECALLED)
        for name, nutrient, printed in (
            ("urea", "nitrogen", "1.618"),
            ("ammonium-sulfate", "nitrogen", "3.25"),
            ("ammonium-nitrate", "nitrogen", "2.99"),
            ("calcium-nitrate", "nitrogen", "4.41"),
            ("potassium-nitrate", "nitrogen", "5.33"),
            ("sodium-nitrate", "nitrogen", "6.06"),
            ("natural-organic", "nitrogen", ".70"),
            ("ammonium-phosphate", "nitrogen", "1.61"),
            ("potassium-chloride", "potash", "1.94"),
            ("potassium-sulfate", "potash", ".85"),
        )
    ),
)  # fmt: skip

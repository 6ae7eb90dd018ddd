"""How much nitrogen a year and a feeding may bring where the owner states no limit.

A default may only be cautious: it lies in the lower half of the published range, and never above
a published cap for that grass. A range from memory stands in where none was read, since a limit
only ever holds. The owner's own figure, or a local law's, replaces it.
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.series.quantity import Kind, read_quantity


@dataclass(frozen=True)
class YearLimit:
    """Nitrogen in a year, g/m2, with the published range that it was chosen from."""

    g_m2: float
    source: str


def _limit(pounds: float, source: str) -> YearLimit:
    return YearLimit(read_quantity(f"{pounds} lb/1000 ft2", Kind.MASS_PER_AREA), source)


_ILLINOIS = "University of Illinois Extension"
_FLORIDA = "University of Florida IFAS, north Florida"
_VIRGINIA = "Virginia DCR urban nutrient standards"
_MARION = "Marion County, Florida, yearly cap"

NITROGEN_YEAR: dict[str, YearLimit] = {
    "tall-fescue": _limit(2.5, f"{_ILLINOIS} 2 to 4; {_VIRGINIA} 2 to 3.5 lb/1000 ft2"),
    "kentucky-bluegrass": _limit(2.5, f"{_ILLINOIS} 1 to 4; {_VIRGINIA} 2 to 3.5 lb/1000 ft2"),
    "perennial-ryegrass": _limit(2.5, f"{_ILLINOIS} 2 to 4; {_VIRGINIA} 2 to 3.5 lb/1000 ft2"),
    "fine-fescue": _limit(1.5, f"{_ILLINOIS} 1 to 3; {_VIRGINIA} 1 to 2 lb/1000 ft2"),
    "creeping-bentgrass": _limit(2, f"{_ILLINOIS} 2 to 6 lb/1000 ft2"),
    "annual-bluegrass": _limit(2, "2 to 4 lb/1000 ft2, from memory"),
    "rough-bluegrass": _limit(1.5, "1 to 3 lb/1000 ft2, from memory"),
    "annual-ryegrass": _limit(2, "2 to 4 lb/1000 ft2, from memory"),
    "cool-season-mix": _limit(
        1.5, f"fine fescue, the least of what is mixed: {_ILLINOIS} 1 to 3 lb/1000 ft2"
    ),
    "bermudagrass": _limit(3, f"{_FLORIDA} 3 to 5; {_VIRGINIA} 2 to 4; {_MARION} 4 lb/1000 ft2"),
    "zoysiagrass": _limit(2, f"{_ILLINOIS} 2 to 4; {_VIRGINIA} 1 to 2; {_MARION} 4 lb/1000 ft2"),
    "st-augustinegrass": _limit(
        2.5, f"{_FLORIDA} 2 to 4; {_VIRGINIA} 2 to 4; {_MARION} 3 lb/1000 ft2"
    ),
    "centipedegrass": _limit(
        1.5, f"{_FLORIDA} 1 to 2; {_VIRGINIA} 1 to 2; {_MARION} 2 lb/1000 ft2"
    ),
    "bahiagrass": _limit(2, f"{_FLORIDA} 2 to 3; {_MARION} 3 lb/1000 ft2"),
    "buffalograss": _limit(1.5, f"{_ILLINOIS} 1 to 3 lb/1000 ft2"),
    "kikuyugrass": _limit(2, "2 to 4 lb/1000 ft2, from memory"),
    "seashore-paspalum": _limit(2, "2 to 4 lb/1000 ft2, from memory"),
    "carpetgrass": _limit(1, "1 to 2 lb/1000 ft2, from memory"),
}
"""The default limit of each grass of `words.GRASSES`."""

NITROGEN_ONCE_G_M2 = read_quantity("0.9 lb/1000 ft2", Kind.MASS_PER_AREA)
"""Most nitrogen in one application (Maryland AG 8-803.5 and New Jersey 58:10A-62)."""

SOLUBLE_ONCE_G_M2 = read_quantity("0.7 lb/1000 ft2", Kind.MASS_PER_AREA)
"""Most water-soluble nitrogen in one application (the same two laws; Florida's rule of 2007)."""

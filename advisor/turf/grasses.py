"""What each grass needs and bears, a source beside every value.

A grass of which a source says nothing of its own has its class's value, and the source then says
so. What is remembered makes no grass grow sooner, or bear more, than its class.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Generic, TypeVar

from advisor.site.words import COOL, GRASSES, WARM

T_co = TypeVar("T_co", covariant=True)
Range = tuple[float, float]


@dataclass(frozen=True)
class Sourced(Generic[T_co]):
    """A value and where it was read, or that it is remembered or judged."""

    value: T_co
    source: str


@dataclass(frozen=True)
class Turfgrass:
    """One grass, or a class of grasses.

    Temperatures in Celsius: of the soil as five-day means at 10 cm, `heat` of the air as a
    three-day mean of daily highs, `optimum_c` of the air as a mean of a week to a month.
    """

    heights_m: Sourced[Range]
    """Least and greatest height at which it is mown."""
    p_table: Sourced[float]
    """Share of the available water that is used before stress, at 5 mm/d."""
    dormant_below: Sourced[float]
    greens_from: Sourced[float]
    active_from: Sourced[float]
    heat_above: Sourced[float]
    heat_until: Sourced[float]
    optimum_c: Sourced[float]
    """Mean air temperature of the most growth."""
    spread_c: Sourced[float]
    """Width of the bell of growth about it."""
    held: Sourced[bool]
    """Whether heat above the optimum costs no growth."""
    days_to_emerge: Sourced[Range | None]
    """Days from seed to seedlings in warm, moist soil; None: seldom grown from seed."""

    def mown_at_m(self, stated: float | None = None) -> float:
        """The height at which it is mown [m]: as the owner states it, else mid-range."""
        return sum(self.heights_m.value) / 2 if stated is None else stated


_MEMORY = "from memory"
_FLORIDA = "University of Florida IFAS"
_GEORGIA = "University of Georgia Extension"
_NC_STATE = "NC State list, by way of Delaware extension 2005"
_WOODS = "Woods 2014, after Gelernter and Stowell 2005"


def _heights(low_in: float, high_in: float, source: str) -> Sourced[Range]:
    return Sourced((low_in * 0.0254, high_in * 0.0254), source)


def _emerges(soonest: int, latest: int) -> Sourced[Range | None]:
    return Sourced((soonest, latest), _MEMORY)


CLASSES: dict[str, Turfgrass] = {
    COOL: Turfgrass(
        heights_m=_heights(2.5, 4, "extension mowing table, bluegrass with fescue 2.5 to 4 in"),
        p_table=Sourced(0.40, "FAO-56 Table 22"),
        dormant_below=Sourced(4.4, f"shoot growth stops at 40 F soil: {_NC_STATE}"),
        greens_from=Sourced(6.0, "43 F, judgement: well above the soil at which growth stops"),
        active_from=Sourced(10.0, "vigorous green-up above 50 F soil: Rutgers"),
        heat_above=Sourced(32.2, f"shoot growth stops at 90 F: {_NC_STATE}"),
        heat_until=Sourced(29.4, "carbon is lost by day above 80 to 85 F: Nebraska extension"),
        optimum_c=Sourced(20.0, _WOODS),
        spread_c=Sourced(5.5, _WOODS),
        held=Sourced(False, _WOODS),
        days_to_emerge=Sourced((5, 28), f"its quickest to its slowest grass, {_MEMORY}"),
    ),
    WARM: Turfgrass(
        heights_m=_heights(1, 3, "judgement: what most of its grasses bear"),
        p_table=Sourced(0.50, "FAO-56 Table 22"),
        dormant_below=Sourced(10.0, f"dormancy at 50 F soil: {_NC_STATE}"),
        greens_from=Sourced(12.8, "first new shoots at about 55 F soil: NC State"),
        active_from=Sourced(18.3, "steady green-up at 65 F soil at 4 in: NC State"),
        heat_above=Sourced(48.0, f"shoot growth stops at 120 F, above any air: {_NC_STATE}"),
        heat_until=Sourced(46.0, "judgement: heat alone never stresses it"),
        optimum_c=Sourced(31.0, _WOODS),
        spread_c=Sourced(7.0, _WOODS),
        held=Sourced(True, "later form of Gelernter and Stowell 2005"),
        days_to_emerge=Sourced((7, 28), f"its quickest to its slowest grass, {_MEMORY}"),
    ),
}
"""What holds for a class of grasses."""


def _inherited(grass_class: str) -> Turfgrass:
    """The row of a class, each source of it saying that it speaks of the class."""
    row = CLASSES[grass_class]
    said = f"{grass_class} grass as a class"
    return replace(
        row,
        **{
            field.name: Sourced(value.value, f"{said}: {value.source}")
            for field in fields(row)
            for value in (getattr(row, field.name),)
        },
    )


_COOL, _WARM = _inherited(COOL), _inherited(WARM)

TURFGRASSES: dict[str, Turfgrass] = {
    "tall-fescue": replace(
        _COOL,
        heights_m=_heights(2.5, 4, "extension mowing table, 2.5 to 4 in; another ends at 3 in"),
        days_to_emerge=_emerges(7, 14),
    ),
    "kentucky-bluegrass": replace(
        _COOL, heights_m=_heights(2.5, 3.5, _MEMORY), days_to_emerge=_emerges(14, 28)
    ),
    "perennial-ryegrass": replace(
        _COOL, heights_m=_heights(2, 3, _MEMORY), days_to_emerge=_emerges(5, 10)
    ),
    "fine-fescue": replace(
        _COOL,
        heights_m=_heights(2.5, 4, "extension mowing table, 2.5 to 4 in"),
        optimum_c=Sourced(
            20.0, f"{COOL} grass as a class: {_WOODS}, who puts it lower without a number"
        ),
        days_to_emerge=_emerges(7, 14),
    ),
    "creeping-bentgrass": replace(
        _COOL,
        heights_m=_heights(0.5, 1, f"as a lawn, {_MEMORY}"),
        days_to_emerge=_emerges(7, 14),
    ),
    "annual-bluegrass": replace(
        _COOL,
        heights_m=_heights(1, 2, f"as a lawn, {_MEMORY}"),
        optimum_c=Sourced(18.0, "Woods 2014: 18 C, lower than its class"),
        days_to_emerge=Sourced(None, f"it sows itself, {_MEMORY}"),
    ),
    "rough-bluegrass": replace(
        _COOL, heights_m=_heights(1.5, 2.5, _MEMORY), days_to_emerge=_emerges(7, 21)
    ),
    "annual-ryegrass": replace(
        _COOL, heights_m=_heights(1.5, 2.5, _MEMORY), days_to_emerge=_emerges(5, 10)
    ),
    "cool-season-mix": _COOL,
    "bermudagrass": replace(
        _WARM,
        heights_m=_heights(1, 2, f"common bermudagrass: {_GEORGIA}"),
        days_to_emerge=_emerges(7, 21),
    ),
    "zoysiagrass": replace(
        _WARM,
        heights_m=_heights(0.5, 2.5, f"{_GEORGIA} 0.5 to 2 in; {_FLORIDA} 2 to 2.5 in"),
        days_to_emerge=_emerges(14, 21),
    ),
    "st-augustinegrass": replace(
        _WARM,
        heights_m=_heights(2, 4, f"{_GEORGIA} 2 to 3 in; {_FLORIDA} 3.5 to 4 in"),
        days_to_emerge=Sourced(None, f"it is laid as sod or plugs, {_MEMORY}"),
    ),
    "centipedegrass": replace(
        _WARM,
        heights_m=_heights(1, 2, f"{_GEORGIA} 1 to 2 in; {_FLORIDA} 1.5 to 2 in"),
        # Its cold-sensitive shoots stay behind the class's; the later end only holds.
        active_from=Sourced(21.1, f"65 to 70 F soil, the later of the two, {_MEMORY}"),
        days_to_emerge=_emerges(14, 28),
    ),
    "bahiagrass": replace(
        _WARM, heights_m=_heights(3, 4, f"{_FLORIDA} 3 to 4 in"), days_to_emerge=_emerges(14, 28)
    ),
    "buffalograss": replace(
        _WARM, heights_m=_heights(2, 3, _MEMORY), days_to_emerge=_emerges(14, 28)
    ),
    "kikuyugrass": replace(
        _WARM,
        heights_m=_heights(1, 2, _MEMORY),
        optimum_c=Sourced(
            31.0, f"{WARM} grass as a class: {_WOODS}, who puts it lower without a number"
        ),
        days_to_emerge=_emerges(10, 21),
    ),
    "seashore-paspalum": replace(
        _WARM,
        heights_m=_heights(0.5, 2, _MEMORY),
        days_to_emerge=Sourced(None, f"it is mostly laid as sod or sprigs, {_MEMORY}"),
    ),
    "carpetgrass": replace(
        _WARM, heights_m=_heights(1, 2, _MEMORY), days_to_emerge=_emerges(10, 21)
    ),
}
"""Every grass of `words.GRASSES`."""


def turfgrass(name: str) -> Turfgrass:
    """What is known of a grass, or of a class of grasses.

    Parameters
    ----------
    name : str
        A grass of `words.GRASSES`, or "cool-season" or "warm-season".

    Raises
    ------
    ValueError
        There is no such grass.
    """
    row = TURFGRASSES.get(name) or CLASSES.get(name)
    if row is None:
        raise ValueError(f"name must be one of {', '.join((*CLASSES, *GRASSES))}, not {name}")
    return row

"""The quantities that the owner's tables hold, each kept in the unit used inside.

The bounds only catch what cannot be meant (a lawn of 1 mm2, a root of 30 ft).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated

from pydantic import BeforeValidator

from advisor.series.quantity import (
    INSIDE,
    Kind,
    QuantityError,
    Written,
    example,
    read_quantity,
    read_written,
)
from advisor.site.fields import WrongTextError, as_text


@dataclass(frozen=True)
class Amount:
    """A value with its kind, where a label may use either of two; in the unit of `INSIDE`."""

    value: float
    kind: Kind

    @property
    def unit(self) -> str:
        return INSIDE[self.kind]


def read_in(text: str, kind: Kind, low: float, high: float, right: str = "") -> float:
    """Read a quantity that has to lie in [low, high], both in the unit inside."""
    try:
        value = read_quantity(text, kind)
    except QuantityError as error:
        raise WrongTextError(str(error), error.column) from None
    if not low <= value <= high:
        raise WrongTextError(f"{text.strip()} cannot be right here; write it like {right}")
    return value


def quantity(kind: Kind, low: float, high: float, right: str = "") -> Callable[[object], float]:
    """A reader of one quantity of `kind` that must lie in [low, high] (unit inside)."""
    shown = right or example(kind)

    def read(value: object) -> float:
        return read_in(as_text(value, f'"{shown}"'), kind, low, high, shown)

    return read


def _fraction(low: float, high: float, right: str) -> Callable[[object], float]:
    def read(value: object) -> float:
        text = as_text(value, f'"{right}"')
        # Without the sign, 0.38 could be meant as a share or as percent.
        if not text.rstrip().endswith(("%", "percent")):
            raise WrongTextError(f'a percentage with its sign was expected, such as "{right}"')
        return read_in(text, Kind.FRACTION, low, high, right)

    return read


def either(*kinds: Kind) -> Callable[[object], object]:
    """A reader of a quantity above zero that may be of any of `kinds`; gives an `Amount`."""
    right = " or ".join(f'"{example(kind)}"' for kind in kinds)

    def read(value: object) -> object:
        if isinstance(value, Amount):
            return value
        return read_amount(as_text(value, right), *kinds)

    return read


def read_amount(text: str, *kinds: Kind) -> Amount:
    """A text as one quantity above zero of the first of `kinds` that its unit can stand for."""
    right = " or ".join(example(kind) for kind in kinds)
    try:
        written, end = read_written(text)
        kind = next((kind for kind in kinds if kind in written.kinds()), kinds[0])
        value = read_quantity(text, kind)
    except QuantityError as error:
        raise WrongTextError(f"{error}; here {right}", error.column) from None
    if value <= 0 or text[end:].strip():
        raise WrongTextError(f"{text.strip()} cannot be right here; write it like {right}")
    return Amount(value, kind)


def written_amount(written: Written, *kinds: Kind) -> Amount | None:
    """What was written as an amount of the first of `kinds` that its unit can stand for."""
    kind = next((kind for kind in kinds if kind in written.kinds()), None)
    return None if kind is None else Amount(written.as_kind(kind), kind)


_DENSITY = re.compile(r"\s*([0-9.]+)\s*(kg/L|g/mL|lb/gal)\s*")
_KG_PER_L = {"kg/L": 1.0, "g/mL": 1.0, "lb/gal": 0.45359237 / 3.785411784}


def _density(value: object) -> float:
    text = as_text(value, '"10.4 lb/gal"')
    match = _DENSITY.fullmatch(text)
    if match is None or not re.fullmatch(r"[0-9]+(\.[0-9]+)?", match[1]):
        raise WrongTextError(
            'a weight per volume was expected, such as "10.4 lb/gal" or "1.25 kg/L"'
        )
    density = float(match[1]) * _KG_PER_L[match[2]]
    if not 0.5 <= density <= 2.5:
        raise WrongTextError(f"{text.strip()} cannot be the weight of a bottled product")
    return density


def dry_hours(value: object) -> float:
    """Hours, from a number or a duration; WrongTextError otherwise."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        if not 0 < value <= 240:
            raise WrongTextError("from 1 to 240 hours were expected")
        return float(value)
    days = read_in(as_text(value, '"4 hours"'), Kind.DURATION, 1 / 1440, 10, "4 hours")
    return days * 24


AreaM2 = Annotated[float, BeforeValidator(quantity(Kind.AREA, 1, 1e6))]
SetbackM2 = Annotated[float, BeforeValidator(quantity(Kind.AREA, 0, 1e6))]
DistanceM = Annotated[float, BeforeValidator(quantity(Kind.LENGTH, 0, 100, "10 ft"))]
ShoreM = Annotated[float, BeforeValidator(quantity(Kind.LENGTH, 0, 5000, "60 ft"))]
ElevationM = Annotated[float, BeforeValidator(quantity(Kind.LENGTH, -500, 9000, "850 ft"))]
RootsM = Annotated[float, BeforeValidator(quantity(Kind.LENGTH, 0.02, 2))]
MownAtM = Annotated[float, BeforeValidator(quantity(Kind.LENGTH, 0.005, 0.15, "3 in"))]
NutrientGM2 = Annotated[
    float, BeforeValidator(quantity(Kind.MASS_PER_AREA, 0, 60, "0.9 lb/1000 ft2"))
]
ActiveGM2 = Annotated[
    float, BeforeValidator(quantity(Kind.MASS_PER_AREA, 1e-9, 1e4, "1.5 lb/acre"))
]
WaterMm = Annotated[float, BeforeValidator(quantity(Kind.WATER, 0, 100))]
HourlyWaterMm = Annotated[float, BeforeValidator(quantity(Kind.WATER, 0.5, 200, "0.9 in"))]
Celsius = Annotated[float, BeforeValidator(quantity(Kind.TEMPERATURE, -20, 60, "85 F"))]
WindMS = Annotated[float, BeforeValidator(quantity(Kind.SPEED, 0, 40))]
IntervalDays = Annotated[float, BeforeValidator(quantity(Kind.DURATION, 0, 3660))]
Share = Annotated[float, BeforeValidator(_fraction(0, 1, "50%"))]
Percent = Annotated[float, BeforeValidator(_fraction(1e-9, 1, "0.38%"))]
Evenness = Annotated[float, BeforeValidator(_fraction(0, 1, "62%"))]
Slope = Annotated[float, BeforeValidator(_fraction(0, 1, "4%"))]
KgPerL = Annotated[float, BeforeValidator(_density)]
RateAmount = Annotated[Amount, BeforeValidator(either(Kind.MASS_PER_AREA, Kind.VOLUME_PER_AREA))]
PackAmount = Annotated[Amount, BeforeValidator(either(Kind.MASS, Kind.VOLUME))]
SwathM = Annotated[float, BeforeValidator(quantity(Kind.LENGTH, 0.2, 20, "8 ft"))]
HopperKg = Annotated[float, BeforeValidator(quantity(Kind.MASS, 0.2, 1000, "30 lb"))]
TankL = Annotated[float, BeforeValidator(quantity(Kind.VOLUME, 0.2, 2000, "4 gal"))]
SprayLM2 = Annotated[
    float, BeforeValidator(quantity(Kind.VOLUME_PER_AREA, 1e-3, 2, "1 gal/1000 ft2"))
]


DryHours = Annotated[float, BeforeValidator(dry_hours)]

"""Amounts as they are weighed or measured out, and rates as they are set: always rounded down."""

from __future__ import annotations

import math
from dataclasses import dataclass

from advisor.language.dates import separated
from advisor.series.quantity import Kind, convert, pretty_unit


@dataclass(frozen=True)
class Weighed:
    """An amount that a scale or a measuring cup can give: `value` in kg or L, `shown` the same in
    `unit`, and how finely it is written."""

    value: float
    shown: float
    unit: str
    digits: int
    kind: Kind
    units: str

    @property
    def text(self) -> str:
        return f"{separated(f'{self.shown:,.{self.digits}f}')} {self.unit}"

    def half(self) -> str:
        """Half of it to the last digit, so that two of them are the whole."""
        number = f"{self.shown / 2:,.{self.digits + 1}f}"
        return f"{separated(number.rstrip('0').rstrip('.'))} {self.unit}"

    def share(self, share: float) -> Weighed:
        """A part of it, rounded down."""
        return weighed(self.value * share, self.kind, self.units)


def weighed(exact: float, kind: Kind, units: str) -> Weighed:
    """An amount [kg or L by `kind`], rounded down to what can be weighed or measured out."""
    unit, step, digits = _scale(exact, units, liquid=kind is Kind.VOLUME)
    shown = floor_to(convert(exact, kind, unit), step)
    return Weighed(shown / convert(1.0, kind, unit), shown, unit, digits, kind, units)


def floor_to(value: float, step: float) -> float:
    """The next multiple of a step at or below a value."""
    return math.floor(value / step + 1e-9) * step


def _scale(exact: float, units: str, liquid: bool) -> tuple[str, float, int]:
    """The unit, the finest step and the digits for an amount in kg or L: what a kitchen or a shed
    can weigh or measure. Of a small amount a step is much; it is rounded down."""
    if units == "us":
        if liquid:
            return ("fl oz", 0.1, 1)
        return ("lb", 0.1, 1) if exact >= 0.9 else ("oz", 0.1, 1)
    if liquid:
        return ("mL", 5.0, 0) if exact >= 0.5 else ("mL", 1.0, 0)
    return ("kg", 0.01, 2) if exact >= 1 else ("g", 1.0, 0)


def rate_text(rate: float, liquid: bool, units: str) -> str:
    """A rate [g/m2, of a liquid L/m2], never shown above what it is."""
    kind = Kind.VOLUME_PER_AREA if liquid else Kind.MASS_PER_AREA
    unit = {
        ("us", Kind.MASS_PER_AREA): "lb/1000 ft2",
        ("us", Kind.VOLUME_PER_AREA): "fl oz/1000 ft2",
        ("metric", Kind.MASS_PER_AREA): "g/m2",
        ("metric", Kind.VOLUME_PER_AREA): "mL/100 m2",
    }[units, kind]
    value = convert(rate, kind, unit)
    digits = 2 if value < 10 else 1
    number = f"{floor_to(value, 10.0**-digits):,.{digits}f}"
    return f"{separated(number)} {pretty_unit(unit)}"

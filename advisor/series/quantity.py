"""Quantities as people write them (`12.5 in`, `3 lb/1000 ft2`, `18 C`) and as the code counts them.

A unit word alone does not say what kind of quantity stands before us: `5 F` may be a temperature
or a difference of temperatures, `2 in` a length or a depth of rain. So text is first read into a
`Written` (number and unit), and the place where it stands decides its `Kind`.

Inside, every kind has one unit, the SI one that agronomy uses (see `INSIDE`).
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from advisor.language.dates import separated
from advisor.language.words import tell


class Kind(StrEnum):
    """What is measured. Two kinds never mix, even where they share a unit word."""

    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "difference of temperatures"
    LENGTH = "length"
    WATER = "depth of water"
    AREA = "area"
    MASS = "mass"
    VOLUME = "volume"
    MASS_PER_AREA = "mass per area"
    VOLUME_PER_AREA = "volume per area"
    SPEED = "speed"
    DURATION = "duration"
    DEGREE_DAYS = "degree-days"
    FRACTION = "fraction"
    RADIATION = "radiation"
    PRESSURE = "pressure"
    NUMBER = "number"


INSIDE: dict[Kind, str] = {
    Kind.TEMPERATURE: "C",
    Kind.TEMPERATURE_DIFFERENCE: "C",
    Kind.LENGTH: "m",
    Kind.WATER: "mm",
    Kind.AREA: "m2",
    Kind.MASS: "kg",
    Kind.VOLUME: "L",
    Kind.MASS_PER_AREA: "g/m2",
    Kind.VOLUME_PER_AREA: "L/m2",
    Kind.SPEED: "m/s",
    Kind.DURATION: "days",
    Kind.DEGREE_DAYS: "C.d",
    Kind.FRACTION: "",
    Kind.RADIATION: "MJ/m2",
    Kind.PRESSURE: "kPa",
    Kind.NUMBER: "",
}
"""The unit in which each kind is held in the program."""

FOOT = 0.3048
POUND = 0.45359237
OUNCE = POUND / 16
FLUID_OUNCE = 0.0295735295625
GALLON = 3.785411784
THOUSAND_SQUARE_FEET = 1000 * FOOT**2

_SCALES: dict[str, dict[Kind, float]] = {
    "C": {Kind.TEMPERATURE_DIFFERENCE: 1.0},
    "F": {Kind.TEMPERATURE_DIFFERENCE: 5 / 9},
    "m": {Kind.LENGTH: 1.0},
    "cm": {Kind.LENGTH: 0.01, Kind.WATER: 10.0},
    "mm": {Kind.LENGTH: 0.001, Kind.WATER: 1.0},
    "in": {Kind.LENGTH: 0.0254, Kind.WATER: 25.4},
    "ft": {Kind.LENGTH: FOOT},
    "yd": {Kind.LENGTH: 3 * FOOT},
    "m2": {Kind.AREA: 1.0},
    "ha": {Kind.AREA: 10_000.0},
    "ft2": {Kind.AREA: FOOT**2},
    "acre": {Kind.AREA: 43_560 * FOOT**2},
    "kg": {Kind.MASS: 1.0},
    "g": {Kind.MASS: 0.001},
    "lb": {Kind.MASS: POUND},
    "oz": {Kind.MASS: OUNCE},
    "L": {Kind.VOLUME: 1.0},
    "mL": {Kind.VOLUME: 0.001},
    "fl oz": {Kind.VOLUME: FLUID_OUNCE},
    "gal": {Kind.VOLUME: GALLON},
    "g/m2": {Kind.MASS_PER_AREA: 1.0},
    "kg/ha": {Kind.MASS_PER_AREA: 0.1},
    "kg/100 m2": {Kind.MASS_PER_AREA: 10.0},
    "lb/1000 ft2": {Kind.MASS_PER_AREA: 1000 * POUND / THOUSAND_SQUARE_FEET},
    "oz/1000 ft2": {Kind.MASS_PER_AREA: 1000 * OUNCE / THOUSAND_SQUARE_FEET},
    "lb/acre": {Kind.MASS_PER_AREA: 1000 * POUND / (43_560 * FOOT**2)},
    "L/m2": {Kind.VOLUME_PER_AREA: 1.0},
    "L/100 m2": {Kind.VOLUME_PER_AREA: 0.01},
    "mL/100 m2": {Kind.VOLUME_PER_AREA: 0.00001},
    "fl oz/1000 ft2": {Kind.VOLUME_PER_AREA: FLUID_OUNCE / THOUSAND_SQUARE_FEET},
    "gal/1000 ft2": {Kind.VOLUME_PER_AREA: GALLON / THOUSAND_SQUARE_FEET},
    "gal/acre": {Kind.VOLUME_PER_AREA: GALLON / (43_560 * FOOT**2)},
    "L/ha": {Kind.VOLUME_PER_AREA: 0.0001},
    "m/s": {Kind.SPEED: 1.0},
    "km/h": {Kind.SPEED: 1 / 3.6},
    "mph": {Kind.SPEED: 0.44704},
    "minutes": {Kind.DURATION: 1 / 1440},
    "hours": {Kind.DURATION: 1 / 24},
    "days": {Kind.DURATION: 1.0},
    "weeks": {Kind.DURATION: 7.0},
    "C.d": {Kind.DEGREE_DAYS: 1.0},
    "F.d": {Kind.DEGREE_DAYS: 5 / 9},
    "C.h": {Kind.DEGREE_DAYS: 1 / 24},
    "F.h": {Kind.DEGREE_DAYS: 5 / 9 / 24},
    "%": {Kind.FRACTION: 0.01},
    "MJ/m2": {Kind.RADIATION: 1.0},
    "kPa": {Kind.PRESSURE: 1.0},
    "": {Kind.NUMBER: 1.0, Kind.FRACTION: 1.0},
}

_SAME_WORD = {
    "°C": "C", "°F": "F", "degC": "C", "degF": "F",
    "inch": "in", "inches": "in", "foot": "ft", "feet": "ft", "metre": "m", "metres": "m",
    "m²": "m2", "ft²": "ft2", "sq ft": "ft2", "l": "L", "ml": "mL", "floz": "fl oz",
    "minute": "minutes", "min": "minutes", "hour": "hours", "h": "hours", "day": "days",
    "d": "days", "week": "weeks", "lbs": "lb", "lb/1000ft2": "lb/1000 ft2",
    "oz/1000ft2": "oz/1000 ft2", "fl oz/1000ft2": "fl oz/1000 ft2", "lb/1000 ft²": "lb/1000 ft2",
    "fl oz/1000 ft²": "fl oz/1000 ft2", "oz/1000 ft²": "oz/1000 ft2", "g/m²": "g/m2",
    "kg/100 m²": "kg/100 m2", "L/100 m²": "L/100 m2", "MJ/m²": "MJ/m2", "percent": "%",
}  # fmt: skip

UNITS: tuple[str, ...] = (*sorted((u for u in _SCALES if u), key=len, reverse=True),)
"""Every unit word, longest first, as they are spelled when the program writes them."""

_PRETTY = {"F": "°F", "C": "°C", "ft2": "ft²", "m2": "m²", "F.d": "°F·d", "C.d": "°C·d"}


def pretty_unit(unit: str) -> str:
    """A unit word as people see it: `lb/1000 ft²`, `°F`."""
    return _PRETTY.get(unit, unit.replace("ft2", "ft²").replace("m2", "m²"))


# What the program shows to people may be copied back into a file.
_SAME_WORD |= {pretty_unit(unit): unit for unit in UNITS if pretty_unit(unit) != unit}

_SPELLINGS = sorted({*UNITS, *_SAME_WORD}, key=len, reverse=True)
_NUMBER = r"[-+]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_WRITTEN = re.compile(
    rf"\s*(?P<number>{_NUMBER})\s*(?P<unit>{'|'.join(re.escape(u) for u in _SPELLINGS)})?"
    r"(?![A-Za-z0-9²/°%])"
)

_COMMA = re.compile(rf"\s*{_NUMBER},[0-9][0-9,.]*")


class QuantityError(ValueError):
    """A quantity that cannot be read, or is of another kind than the place it stands in wants.

    `column` counts from 0 within the text that was given.
    """

    def __init__(self, message: str, column: int = 0) -> None:
        super().__init__(message)
        self.column = column


def with_article(kind: Kind) -> str:
    """`a mass`, `an area`."""
    return f"an {kind}" if kind[0] in "aeiou" else f"a {kind}"


@dataclass(frozen=True)
class Written:
    """A number and its unit word, before anything decides what kind of quantity it is."""

    number: float
    unit: str

    def kinds(self) -> frozenset[Kind]:
        """Every kind that this unit word can stand for."""
        kinds = frozenset(_SCALES[self.unit])
        return kinds | {Kind.TEMPERATURE} if self.unit in ("C", "F") else kinds

    def as_kind(self, kind: Kind) -> float:
        """The value in the unit that the program uses for `kind` (see `INSIDE`).

        Raises QuantityError when the unit cannot stand for that kind.
        """
        if kind is Kind.TEMPERATURE and self.unit in ("C", "F"):
            return self.number if self.unit == "C" else (self.number - 32) / 1.8
        scale = _SCALES[self.unit].get(kind)
        if scale is None:
            if not self.unit:
                raise QuantityError(f"{self} has no unit; write it like {example(kind)}")
            is_kind = " or ".join(with_article(one) for one in sorted(self.kinds()))
            raise QuantityError(
                f"{self} is {is_kind}; here {with_article(kind)} is wanted, such as {example(kind)}"
            )
        return self.number * scale

    def __str__(self) -> str:
        # The shortest digits that read back as the same number, and never an exponent.
        number = format(Decimal(repr(self.number)), "f").removesuffix(".0")
        return f"{number}{self.unit}" if self.unit == "%" else f"{number} {self.unit}".strip()


def read_written(text: str, position: int = 0) -> tuple[Written, int]:
    """Read a number and the unit right after it from `text`; return them and where they end.

    Raises QuantityError when no number stands at `position`, and for a comma inside a number,
    which one reader takes for thousands and another for the decimal point.
    """
    comma = _COMMA.match(text, position)
    if comma is not None:
        raise QuantityError(
            f"“{comma.group().strip()}” can be read in two ways; write the number without a comma",
            position,
        )
    match = _WRITTEN.match(text, position)
    if match is None:
        bare = re.match(rf"\s*{_NUMBER}\s*", text[position:])
        if bare is None:
            raise QuantityError("a number was expected", position)
        word = re.match(r"\S+", text[position + bare.end() :])
        raise QuantityError(
            f"no unit is called “{word.group() if word else ''}”", position + bare.end()
        )
    unit = match["unit"] or ""
    number = float(match["number"])
    if math.isinf(number):
        raise QuantityError("the number is too large", position)
    return Written(number, _SAME_WORD.get(unit, unit)), match.end()


def read_quantity(text: str, kind: Kind) -> float:
    """Read a whole text as one quantity of `kind`, in the unit that the program uses inside.

    Raises QuantityError, naming what is wrong and a right example.
    """
    try:
        written, end = read_written(text)
    except QuantityError as error:
        raise QuantityError(f"{error}; write it like {example(kind)}", error.column) from None
    rest = text[end:].strip()
    end = len(text) - len(text[end:].lstrip())
    if rest and not written.unit:
        close = difflib.get_close_matches(rest, units_of(kind), n=1)
        raise QuantityError(
            f"no unit is called “{rest}”"
            + (f"; did you mean “{close[0]}”?" if close else f"; write it like {example(kind)}"),
            end,
        )
    if rest:
        raise QuantityError(f"“{rest}” is left over; write it like {example(kind)}", end)
    return written.as_kind(kind)


def units_of(kind: Kind) -> tuple[str, ...]:
    """The unit words that can stand for `kind`, in no order of worth."""
    return tuple(unit for unit in UNITS if kind in Written(1.0, unit).kinds())


_EXAMPLES: dict[Kind, str] = {
    Kind.TEMPERATURE: "50 F",
    Kind.TEMPERATURE_DIFFERENCE: "5 F",
    Kind.LENGTH: "6 in",
    Kind.WATER: "0.5 in",
    Kind.AREA: "4200 ft2",
    Kind.MASS: "5.4 lb",
    Kind.VOLUME: "6 fl oz",
    Kind.MASS_PER_AREA: "3 lb/1000 ft2",
    Kind.VOLUME_PER_AREA: "6 fl oz/1000 ft2",
    Kind.SPEED: "10 mph",
    Kind.DURATION: "30 days",
    Kind.DEGREE_DAYS: "200 F.d",
    Kind.FRACTION: "50%",
    Kind.RADIATION: "20 MJ/m2",
    Kind.PRESSURE: "1.5 kPa",
    Kind.NUMBER: "3",
}


def example(kind: Kind) -> str:
    """A right example of a quantity of this kind, for messages."""
    return _EXAMPLES[kind]


_SHOWN: dict[str, dict[Kind, tuple[str, int]]] = {
    "us": {
        Kind.TEMPERATURE: ("F", 0),
        Kind.TEMPERATURE_DIFFERENCE: ("F", 1),
        Kind.LENGTH: ("in", 1),
        Kind.WATER: ("in", 2),
        Kind.AREA: ("ft2", 0),
        Kind.MASS: ("lb", 1),
        Kind.VOLUME: ("fl oz", 1),
        Kind.MASS_PER_AREA: ("lb/1000 ft2", 2),
        Kind.VOLUME_PER_AREA: ("fl oz/1000 ft2", 1),
        Kind.SPEED: ("mph", 0),
        Kind.DEGREE_DAYS: ("F.d", 0),
    },
    "metric": {
        Kind.TEMPERATURE: ("C", 1),
        Kind.TEMPERATURE_DIFFERENCE: ("C", 1),
        Kind.LENGTH: ("cm", 0),
        Kind.WATER: ("mm", 1),
        Kind.AREA: ("m2", 0),
        Kind.MASS: ("kg", 2),
        Kind.VOLUME: ("mL", 0),
        Kind.MASS_PER_AREA: ("g/m2", 1),
        Kind.VOLUME_PER_AREA: ("mL/100 m2", 0),
        Kind.SPEED: ("km/h", 0),
        Kind.DEGREE_DAYS: ("C.d", 0),
    },
}
_SHOWN_EITHER: dict[Kind, tuple[str, int]] = {
    Kind.DURATION: ("days", 0),
    Kind.FRACTION: ("%", 0),
    Kind.RADIATION: ("MJ/m2", 1),
    Kind.PRESSURE: ("kPa", 2),
    Kind.NUMBER: ("", 1),
}


def convert(value: float, kind: Kind, unit: str) -> float:
    """A value held inside, in another unit of its kind. Raises KeyError for a foreign unit."""
    if kind is Kind.TEMPERATURE:
        return value if unit == "C" else value * 1.8 + 32
    return value / _SCALES[unit][kind]


def show(
    value: float,
    kind: Kind,
    units: str = "us",
    *,
    unit: str | None = None,
    beside: float | None = None,
) -> str:
    """A value as its reader wants it: `52 °F`, `0.42 in`, `12 %`, `9 days`.

    `units` is the site's choice, "us" or "metric"; `unit` overrides it. With `beside`, a limit of
    the same kind, digits are added until the two read differently (or are the same): rounding must
    not seem to contradict a verdict.
    """
    written, unit_word = shown(value, kind, units, unit=unit, beside=beside)
    if unit_word == "days":
        return tell("{count} day" if written == "1" else "{count} days", count=written)
    if unit_word == "hours":
        return tell("{count} hours", count=written)
    return f"{written} {pretty_unit(unit_word)}".rstrip()


def shown(
    value: float,
    kind: Kind,
    units: str = "us",
    *,
    unit: str | None = None,
    beside: float | None = None,
) -> tuple[str, str]:
    """The two parts of `show`: the number, and its unit word as a file has it; without a unit for
    what is unknown or has no bound."""
    if value != value:
        return tell("unknown"), ""
    usual, digits = _SHOWN[units].get(kind) or _SHOWN_EITHER[kind]
    chosen = unit if unit is not None else usual
    if chosen == "hours":
        digits = 1
    number = convert(value, kind, chosen)
    if beside is not None and beside == beside and abs(beside) != float("inf"):
        other = convert(beside, kind, chosen)
        while (
            digits < 6
            and f"{number:.{digits}f}" == f"{other:.{digits}f}"
            and abs(number - other) > 1e-6
        ):
            digits += 1
    if abs(number) == float("inf"):
        return tell("no bound"), ""
    text = f"{number:,.{digits}f}"
    if float(text.replace(",", "")) == 0:
        text = text.lstrip("-")
    if chosen == "hours":
        text = text.removesuffix(".0")
    return separated(text), chosen


def show_small(grams_per_m2: float, units: str) -> str:
    """Mass per area where it may be an active ingredient: in ounces (or kg/ha) when little."""
    text = show(grams_per_m2, Kind.MASS_PER_AREA, units)
    if grams_per_m2 == 0 or not text.startswith(separated("0.0")):
        return text
    unit = "oz/1000 ft2" if units == "us" else "kg/ha"
    return show(grams_per_m2, Kind.MASS_PER_AREA, units, unit=unit)

"""Quantities that stand as words in a rule's sentence, told in the owner's units.

A rule is written once, and its settings and numbers are shown in the units of the site. A depth or
a temperature that is a word of its sentence (`soil at 2 in`, `above 40 F`) follows them here. What
is of the site's units already stays as it is written.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from advisor.series.quantity import Kind, convert, read_quantity, show

_US: tuple[tuple[str, Kind], ...] = (
    # `in` is a word too, so a length in inches is known by what stands before it.
    (r"(?<=\bat )(?P<most>\d+(?:\.\d+)?) (?P<unit>in)\b", Kind.LENGTH),
    (r"(?<![\w.])(?:(?P<least>-?\d+) to )?(?P<most>-?\d+(?:\.\d+)?) (?P<unit>F)\b",
     Kind.TEMPERATURE),
    (r"(?<![\w.])(?:(?P<least>\d+) to )?(?P<most>\d+(?:\.\d+)?) (?P<unit>mph)\b", Kind.SPEED),
)  # fmt: skip
_METRIC: tuple[tuple[str, Kind], ...] = (
    (r"(?<=\bat )(?P<most>\d+(?:\.\d+)?) (?P<unit>cm|mm)\b", Kind.LENGTH),
    (r"(?<![\w.])(?:(?P<least>-?\d+) to )?(?P<most>-?\d+(?:\.\d+)?) (?P<unit>C)\b",
     Kind.TEMPERATURE),
    (r"(?<![\w.])(?:(?P<least>\d+) to )?(?P<most>\d+(?:\.\d+)?) (?P<unit>km/h)", Kind.SPEED),
)  # fmt: skip
_OTHERS = {
    units: [(re.compile(pattern), kind) for pattern, kind in table]
    for units, table in (("us", _METRIC), ("metric", _US))
}
_HALF_AN_INCH = re.compile(r"\bhalf an inch\b", re.IGNORECASE)


def in_own_units(text: str, units: str) -> str:
    """A piece of a sentence with its quantities in the units of the site, "us" or "metric"."""
    for pattern, kind in _OTHERS[units]:
        text = pattern.sub(_told(kind, units), text)
    return _HALF_AN_INCH.sub("13 mm", text) if units == "metric" else text


def _told(kind: Kind, units: str) -> Callable[[re.Match[str]], str]:
    def told(found: re.Match[str]) -> str:
        parts = found.groupdict()
        most = _shown(f"{parts['most']} {parts['unit']}", kind, units)
        if parts.get("least") is None:
            return most
        least = _shown(f"{parts['least']} {parts['unit']}", kind, units)
        return f"{least.partition(' ')[0]} to {most}"

    return told


def _shown(written: str, kind: Kind, units: str) -> str:
    value = read_quantity(written, kind)
    if kind is Kind.LENGTH and units == "metric" and value < 0.05:
        return f"{convert(value, kind, 'mm'):.0f} mm"
    return show(value, kind, units)

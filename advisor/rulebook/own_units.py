"""Quantities that stand as words in a rule's sentence, told in the owner's units.

A rule is written once, and its settings and numbers are shown in the units of the site. A depth or
a temperature that is a word of its sentence (`soil at 2 in`, `above 40 F`) follows them here. What
is of the site's units already stays as it is written.

In the catalogue a sentence has each such quantity in braces, as a placeholder that is called what
the rule writes: `{2 in}`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from advisor.language.words import later, tell
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
_HALF_AN_INCH_TOLD = (later("half an inch"), later("Half an inch"))
_HALF_IN_METRIC = "13 mm"


def in_own_units(text: str, units: str) -> str:
    """A piece of a sentence with its quantities in the units of the site, "us" or "metric"."""
    for pattern, kind in _OTHERS[units]:
        text = pattern.sub(_told(kind, units), text)
    return _HALF_AN_INCH.sub(_HALF_IN_METRIC, text) if units == "metric" else text


def in_braces(text: str, units: str) -> tuple[str, Mapping[str, str]]:
    """A whole sentence with each of its quantities in braces, and what each is in the units of the
    site."""
    found: dict[str, str] = {}

    def braced(match: re.Match[str]) -> str:
        found[match[0]] = _in_words(match[0], units)
        return f"{{{match[0]}}}"

    for pattern, _ in (*_US, *_METRIC):
        text = re.sub(pattern, braced, text)
    return _HALF_AN_INCH.sub(braced, text), found


def _in_words(written: str, units: str) -> str:
    """A quantity that a sentence has as a word."""
    if _HALF_AN_INCH.fullmatch(written):
        return _HALF_IN_METRIC if units == "metric" else tell(written)
    # "at" is what tells a length in inches from the word
    return in_own_units(f"at {written}", units).removeprefix("at ")


def _told(kind: Kind, units: str) -> Callable[[re.Match[str]], str]:
    def told(found: re.Match[str]) -> str:
        parts = found.groupdict()
        most = _shown(f"{parts['most']} {parts['unit']}", kind, units)
        if parts.get("least") is None:
            return most
        least = _shown(f"{parts['least']} {parts['unit']}", kind, units)
        return tell("{low} to {high}", low=least.partition(" ")[0], high=most)

    return told


def _shown(written: str, kind: Kind, units: str) -> str:
    value = read_quantity(written, kind)
    if kind is Kind.LENGTH and units == "metric" and value < 0.05:
        return f"{convert(value, kind, 'mm'):.0f} mm"
    return show(value, kind, units)

"""Which kinds of quantity a part of a line may have, before its place has decided on one.

`5 F` may be a temperature or a difference, `2 in` a length or a depth of water. Sums tell them
apart: a temperature plus a difference is a temperature, two temperatures can only be subtracted.
"""

from __future__ import annotations

from collections.abc import Iterable

from advisor.rulebook.book import Setting
from advisor.series.quantity import Kind

Kinds = frozenset[Kind]

PREFERRED: tuple[Kind, ...] = (Kind.TEMPERATURE, Kind.WATER, Kind.NUMBER)
"""Taken first where a line leaves the kind open."""

FACTORS: Kinds = frozenset({Kind.NUMBER, Kind.FRACTION})
"""What something may be multiplied with or divided by."""


def choose(kinds: Kinds) -> Kind:
    """One kind of several, always the same."""
    return min(kinds, key=lambda k: (k not in PREFERRED, k not in FACTORS, k.value))


def named(kinds: Iterable[Kind]) -> str:
    """Kinds as a person reads them: `a temperature or a difference of temperatures`."""
    return " or ".join(f"{'an' if k.value[0] in 'aeiou' else 'a'} {k}" for k in sorted(kinds))


def of_setting(setting: Setting) -> Kinds:
    """A setting in F or C is a temperature, unless it is marked `apart`."""
    kinds = setting.written.kinds()
    if Kind.TEMPERATURE not in kinds:
        return kinds
    return frozenset({Kind.TEMPERATURE_DIFFERENCE if setting.apart else Kind.TEMPERATURE})


def sums(left: Kinds, right: Kinds, minus: bool) -> list[tuple[Kind, Kind, Kind]]:
    """Every way to read a sum: kind of the left, of the right and of the whole."""
    heat, apart = Kind.TEMPERATURE, Kind.TEMPERATURE_DIFFERENCE
    ways: list[tuple[Kind, Kind, Kind]] = []
    for a in sorted(left):
        for b in sorted(right):
            if a is heat and b is apart:
                ways.append((a, b, heat))
            elif a is heat and b is heat and minus:
                ways.append((a, b, apart))
            elif a is apart and b is heat and not minus:
                ways.append((a, b, heat))
            elif a is b and a is not heat:
                ways.append((a, b, a))
    return ways


def scales(left: Kinds, right: Kinds, divided: bool) -> list[tuple[Kind, Kind, Kind]]:
    """Every way to read a product or a quotient: kinds of the left, the right and the whole.

    A temperature has no natural zero, so it cannot be scaled.
    """
    ways: list[tuple[Kind, Kind, Kind]] = [
        (a, b, a)
        for a in sorted(left)
        for b in sorted(right & FACTORS)
        if a is not Kind.TEMPERATURE
    ]
    if not divided:
        ways += [
            (a, b, b)
            for a in sorted(left & FACTORS)
            for b in sorted(right)
            if b is not Kind.TEMPERATURE and b not in FACTORS
        ]
    return ways

"""Phrases in a row, with the joints of the language that is spoken."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.language.words import tell


def enumerated(texts: Sequence[str]) -> str:
    """`a, b, c`; empty for none."""
    found = ""
    for text in texts:
        found = tell("{some}, {more}", some=found, more=text) if found else text
    return found


def listed(texts: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`; empty for none."""
    some, last = enumerated(texts[:-1]), "".join(texts[-1:])
    return tell("{some} and {last}", some=some, last=last) if some else last


def either(texts: Sequence[str]) -> str:
    """`a`, `a or b`, `a, b or c`; empty for none."""
    some, last = enumerated(texts[:-1]), "".join(texts[-1:])
    return tell("{some} or {last}", some=some, last=last) if some else last

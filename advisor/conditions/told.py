"""A fact of the vocabulary in words: what it is measured in, and between which values it lies."""

from __future__ import annotations

import math

from advisor.conditions.vocabulary import LAW, PRESSURE, SEEDING, STAGES, FactWord
from advisor.language.words import tell_as
from advisor.series.quantity import Kind, show

DAY = 25 / 24
"""Days of the longest day by the clock: a duration that never exceeds it is told in hours."""


_SHARED = {STAGES: "stage", PRESSURE: "pressure", SEEDING: "seeding", LAW: "law"}
"""What the words of several facts are words of."""


def context_of(fact: FactWord) -> str:
    """What the words that a fact may be are told as."""
    return _SHARED.get(fact.words, fact.name)


def word_text(fact: FactWord, word: str) -> str:
    """A word that a fact may be, for people."""
    return tell_as(context_of(fact), word)


def kind_text(fact: FactWord) -> str:
    """`temperature`, or the words that it may be."""
    return "one of " + ", ".join(fact.words) if fact.words else str(fact.kind)


def range_text(fact: FactWord, units: str | None) -> str:
    """`-76 °F to 140 °F`; with metric beside it where `units` is None and the two differ. Empty
    for a fact that is a word."""
    if fact.kind is None:
        return ""
    if units is not None:
        return _between(fact, fact.kind, units)
    us, metric = (_between(fact, fact.kind, system) for system in ("us", "metric"))
    return us if us == metric else f"{us} ({metric})"


def _between(fact: FactWord, kind: Kind, units: str) -> str:
    unit = unit_of(fact)
    low = show(fact.low, kind, units, unit=unit)
    if math.isinf(fact.high):
        return f"from {low} up"
    return f"{low} to {show(fact.high, kind, units, unit=unit)}"


def unit_of(fact: FactWord) -> str | None:
    """The unit to show a fact in, where that is not the usual one of its kind."""
    return "hours" if fact.kind is Kind.DURATION and fact.high <= DAY else None


def depths_text(fact: FactWord, units: str | None) -> str:
    """`at 0.8 in to 11.8 in`; empty for a fact without depths."""
    if fact.depths is None:
        return ""
    both = ("us", "metric") if units is None else (units,)
    us, *metric = (
        " to ".join(show(depth, Kind.LENGTH, system) for depth in fact.depths) for system in both
    )
    return f"at {us}{f' ({metric[0]})' if metric else ''}"


def remarks(fact: FactWord) -> list[str]:
    """What else a rule's writer should know, as sentences without a stop."""
    found = []
    if fact.hourly and fact.daily:
        found.append(f"Hour by hour: {fact.hourly}")
    if not fact.daily:
        found.append("For hour rules only")
    if fact.additive:
        found.append("May be added up over days")
    if fact.changed_by is not None:
        found.append(f"Changed by {fact.changed_by.value} while a plan is made")
    return found

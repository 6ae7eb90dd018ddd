"""Right lines, to stand in a message beside a wrong one.

An example leans on nothing that a file would have to hold besides it: no setting, no let.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from advisor.conditions.vocabulary import FACTS, FactWord
from advisor.series.quantity import Kind, convert, example, read_quantity, units_of


@dataclass(frozen=True)
class Shown:
    """What an example is about: an expression, and the value that it is compared with.

    `fact` is what a trial would take; `is_word` where the value is one of a fact's words.
    """

    expression: str
    value: str
    fact: str = ""
    is_word: bool = False


SOIL = Shown("soil_temp at 2 in", "50 F", "soil_temp at 2 in")
MEAN = Shown("mean of soil_temp at 2 in over the 5 days to it", "50 F")
SINCE = Shown("days since feed", "30 days", "days since feed")
COUNTED = Shown("number of days with (rain more than 0.1 in) over the 7 days to it", "3 days")
HEAT = Shown("spring_heat", "200 F.d", "spring_heat")
RISE = Shown("rise of air_max over the 3 days to it", "10 F")
APART = Shown("air_max minus air_min", "20 F")
WARMER = Shown("air_min plus 5 F", "50 F")
HALVED = Shown("rain divided by 2", "0.5 in")

_KINDS = {
    Kind.TEMPERATURE: SOIL,
    Kind.TEMPERATURE_DIFFERENCE: APART,
    Kind.DURATION: SINCE,
    Kind.NUMBER: HALVED,
}


def about(fact: FactWord) -> Shown:
    """An example about one fact."""
    if not fact.daily:
        return SOIL
    if fact.kind is None:
        return Shown(fact.name, fact.words[0], fact.name, is_word=True)
    spelled = fact.name if fact.depths is None else f"{fact.name} at 2 in"
    return Shown(spelled, _value(fact, fact.kind), spelled)


def over_days(fact: FactWord) -> Shown:
    """An example about one fact over some days."""
    one = about(fact)
    if one.is_word:
        return one
    function = "total" if fact.additive else "mean"
    return Shown(f"{function} of {one.expression} over the 5 days to it", one.value, one.fact)


_READS = re.compile(
    r"(?P<count>number of)|(?P<since>days since)"
    r"|(?P<over>(?:mean|total|lowest|highest|rise) of\s+)?(?P<name>[a-z][a-z0-9_]*)"
)


def suits(text: str) -> Shown | None:
    """An example about the first thing that a part of a line reads."""
    for found in _READS.finditer(text):
        if found["count"]:
            return COUNTED
        if found["since"]:
            return SINCE
        fact = FACTS.get(found["name"])
        if found["over"]:
            return over_days(fact) if fact else MEAN
        if fact is not None:
            return about(fact)
    return None


def of_kind(kind: Kind) -> Shown:
    """An example with a quantity of this kind."""
    known = _KINDS.get(kind)
    if known is None:
        facts = (fact for fact in FACTS.values() if fact.kind is kind and fact.daily)
        known = next((about(fact) for fact in facts), SOIL)
    return known


def _value(fact: FactWord, kind: Kind) -> str:
    usual = example(kind)
    if fact.low < read_quantity(usual, kind) < fact.high:
        return usual
    unit = usual.partition(" ")[2]
    if unit == "days":
        unit = "hours"
    assert unit in units_of(kind)
    return f"{convert((fact.low + fact.high) / 2, kind, unit):.0f} {unit}"


def right_line(keyword: str, name: str = "", shown: Shown | None = None) -> str:
    """A line that begins with `keyword` and is right; `name` is what the wrong one names, if that
    may stay."""
    if keyword in _HEADS:
        usual, rest = _HEADS[keyword]
        return f"{keyword} {name or usual}{rest}"
    return f"{keyword:<7} {_rest(keyword, name, shown)}"


_HEADS = {
    # A name that no shipped rule has: copied as it stands, the line must not take one's place.
    "opens": ("my-rule", " for feed"),
    "holds": ("my-rule", " for feed"),
    "notes": ("my-rule", " for feed"),
    "waters": ("my-rule", " for watering"),
    "setting": ("my-setting", " = 50 F"),
    "trial": ("spring-barrier", ""),
    "off": ("spring-barrier", ""),
}
_TEXTS = {
    "on": "cool-season, bermudagrass",
    "says": "The soil is warm.",
    "source": "FAO-56 (Allen et al. 1998), equation 82",
    "answer": "yes",
}


def _rest(keyword: str, name: str, shown: Shown | None) -> str:
    if keyword == "says" and name:
        return f"It comes to {{{name}}}."
    if keyword in _TEXTS:
        return _TEXTS[keyword]
    if keyword == "let":
        one = MEAN if shown is None or shown.is_word else shown
        return f"{name or 'warmth'} be {one.expression}"
    if keyword == "take":
        one = shown if shown is not None and shown.fact else SOIL
        return f"{one.fact} = {one.value}"
    one = shown or (HEAT if keyword == "until" else SOIL)
    return f"{one.expression} {'is' if one.is_word else 'at least'} {one.value}"

"""How the lawns stand, and where rules and numbers come from, each once."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.digest.parts import Row, StandView
from advisor.digest.saying import Saying, once
from advisor.digest.words import sentence, state_text
from advisor.language.sentences import capitalised
from advisor.language.words import later, tell
from advisor.plan.model import Condition, LawnPlan, Verdict

_LEFT_OUT = frozenset({"air_max", "water_use", "daylight"})
"""Not shown: today's highest stands with the coming days, and the others decide by themselves."""

_CRABGRASS = ("crabgrass_by_soil", "crabgrass_by_air")
"""Its two signals: a plan has both only where they disagree."""

UNKNOWN_STATE = "unknown"
"""The state of a lawn without weather, as the plan has it."""

_SHORT = {"growth": later("Growth"), "depletion": later("Missing water")}


def stands(say: Saying) -> tuple[StandView, ...]:
    """Each lawn: what its grass does, and its figures; not one of which nothing can be told."""
    found = (
        StandView(
            lawn.title, sentence(state_text(lawn.state)), tuple(row for row, _ in _shown(lawn))
        )
        for lawn in say.plan.lawns
        if lawn.conditions or lawn.state != UNKNOWN_STATE
    )
    return tuple(found)


def notes(say: Saying) -> tuple[Row, ...]:
    """Notes that come with no verdict, each with the lawns that have it."""
    found: dict[str, list[str]] = {}
    for lawn in say.plan.lawns:
        for note in once(lawn.notes):
            found.setdefault(note, []).append(lawn.title)
    return tuple(Row(capitalised(say.places(lawns)), note) for note, lawns in found.items())


def sources(say: Saying) -> tuple[Row, ...]:
    """The source of every rule that advises something."""
    return once(
        Row(action.rule, action.source)
        for lawn in say.plan.lawns
        for action in lawn.actions
        if action.source and action.verdict is not Verdict.WAIT
    )


def figures(lawn: LawnPlan) -> frozenset[str]:
    """The values that stand with a lawn's figures, as they are written there."""
    stand = {condition.name for _, condition in _shown(lawn)}
    if "depletion" in stand:
        stand.add("stress_line")
    return frozenset(shown_value(one) for one in lawn.conditions if one.name in stand)


def _shown(lawn: LawnPlan) -> Iterator[tuple[Row, Condition]]:
    named = {condition.name: condition for condition in lawn.conditions}
    stress = named.get("stress_line") if "depletion" in named else None
    for condition in lawn.conditions:
        if condition.name in _LEFT_OUT or condition is stress:
            continue
        if condition.name == "heat_load" and condition.number == 0:
            continue
        # Water that is lacking now stands as missing water, and days that nobody knows nowhere.
        if condition.name == "days_to_stress" and not condition.number and not condition.span:
            continue
        if condition.name in _CRABGRASS and not named.keys() >= set(_CRABGRASS):
            continue
        value = shown_value(condition)
        if condition.name == "depletion" and stress is not None:
            past = condition.number is not None and stress.number is not None
            if past and condition.number > stress.number:  # type: ignore[operator]
                value = tell(
                    "{missing}, past the {limit} where stress begins",
                    missing=value, limit=shown_value(stress),
                )  # fmt: skip
            else:
                value = tell("{missing} of {limit} to stress", missing=value,
                             limit=shown_value(stress))  # fmt: skip
        short = _SHORT.get(condition.name)
        yield Row(tell(short) if short else condition.title, value), condition


def shown_value(condition: Condition) -> str:
    """An estimate is called one where its number stands."""
    if not condition.estimate or tell("estimate") in condition.value:
        return condition.value
    return tell("{value} (estimate)", value=condition.value)

"""How the lawns stand, and where rules and numbers come from, each once."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.digest import evidence
from advisor.digest.parts import Row, StandView
from advisor.digest.saying import Saying, once
from advisor.digest.words import state_text
from advisor.plan.model import Condition, LawnPlan

_LEFT_OUT = frozenset({"air_max", "water_use", "daylight"})
"""Not shown: today's highest stands with the coming days, and the others decide by themselves."""

_CRABGRASS = ("crabgrass_by_soil", "crabgrass_by_air")
"""Its two signals: a plan has both only where they disagree."""

_SHORT = {"growth": "Growth", "depletion": "Missing water"}


def stands(say: Saying) -> tuple[StandView, ...]:
    return tuple(
        StandView(
            lawn.title,
            (Row("Grass", state_text(lawn.state)), *(row for row, _ in _shown(lawn))),
        )
        for lawn in say.plan.lawns
    )


def notes(say: Saying) -> tuple[Row, ...]:
    """Notes that come with no verdict, each with the lawns that have it."""
    found: dict[str, list[str]] = {}
    for lawn in say.plan.lawns:
        for note in once(lawn.notes):
            found.setdefault(note, []).append(lawn.title)
    return tuple(Row(_capital(say.places(lawns)), note) for note, lawns in found.items())


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def sources(say: Saying) -> tuple[Row, ...]:
    """The source of every rule that decided something."""
    return once(
        Row(action.rule, action.source)
        for lawn in say.plan.lawns
        for action in lawn.actions
        if action.source and action.rule not in ("", "none")
    )


def origins(say: Saying) -> tuple[Row, ...]:
    """Where the numbers that are shown come from; numbers of one origin stand together."""
    found: dict[str, list[str]] = {}
    weather = say.plan.weather
    # The provider is named once, near the end.
    named = f" of {weather.provider}"
    for lawn in say.plan.lawns:
        for about, origin in _origins(lawn):
            for part in _parts(origin.replace(named, "")):
                found.setdefault(part, []).append(about)
    together: dict[tuple[str, ...], list[str]] = {}
    for part, subjects in found.items():
        together.setdefault(once(subjects), []).append(part)
    return tuple(Row(", ".join(subjects), "; ".join(parts)) for subjects, parts in together.items())


def figures(lawn: LawnPlan) -> frozenset[str]:
    """The values that stand with a lawn's figures, as they are written there."""
    return frozenset(
        value for row, _ in _shown(lawn) for value in (row.text, *row.text.split(" of ", 1))
    ) | frozenset(
        _value(condition) for condition in lawn.conditions if condition.name == "stress_line"
    )


def _origins(lawn: LawnPlan) -> Iterator[tuple[str, str]]:
    for row, condition in _shown(lawn):
        yield row.label, condition.origin
    known = {part for _, condition in _shown(lawn) for part in _parts(condition.origin)}
    for action in lawn.actions:
        fresh = evidence.shown(action, lawn.state)
        for one in evidence.deciding(action):
            told = evidence.told_by(action.because, one) and not known.issuperset(
                _parts(one.origin)
            )
            if one.margin is not None and (one in fresh or told):
                yield evidence.subject(one), one.origin


def _shown(lawn: LawnPlan) -> Iterator[tuple[Row, Condition]]:
    named = {condition.name: condition for condition in lawn.conditions}
    stress = named.get("stress_line") if "depletion" in named else None
    for condition in lawn.conditions:
        if condition.name in _LEFT_OUT or condition is stress:
            continue
        if condition.name == "heat_load" and condition.number == 0:
            continue
        # Water that is lacking now stands as missing water, and days that nobody knows nowhere.
        if condition.name == "days_to_stress" and (
            condition.number == 0 or condition.value.startswith(("at least", "unknown"))
        ):
            continue
        if condition.name in _CRABGRASS and not named.keys() >= set(_CRABGRASS):
            continue
        value = _value(condition)
        if condition.name == "depletion" and stress is not None:
            past = condition.number is not None and stress.number is not None
            if past and condition.number > stress.number:  # type: ignore[operator]
                value = f"{value}, past the {_value(stress)} where stress begins"
            else:
                value = f"{value} of {_value(stress)} to stress"
        yield Row(_SHORT.get(condition.name, condition.title), value), condition


def _value(condition: Condition) -> str:
    """An estimate is called one where its number stands."""
    marked = condition.estimate and "estimate" not in condition.value
    return f"{condition.value} (estimate)" if marked else condition.value


def _parts(origin: str) -> Iterator[str]:
    """An origin's parts, which semicolons divide; those within brackets stay."""
    depth, start = 0, 0
    for place, char in enumerate(origin):
        depth += (char == "(") - (char == ")")
        if char == ";" and depth == 0:
            yield origin[start:place].strip()
            start = place + 1
    if origin[start:].strip():
        yield origin[start:].strip()

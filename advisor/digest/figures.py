"""The three numbers that carry the verdict."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.digest import evidence
from advisor.digest.parts import Figure
from advisor.digest.saying import Saying
from advisor.digest.standing import shown_value
from advisor.language.words import tell
from advisor.plan.model import Action, LawnPlan, Verdict
from advisor.series.quantity import Kind, show
from advisor.site.irrigation import SPRINKLERS

MOST = 3

_CARRYING = ("depletion", "growth", "soil_temp", "nitrogen_year")
"""Figures of a lawn that stand in where the reason's own do not make three."""


def carrying(say: Saying) -> tuple[Figure, ...]:
    """The numbers that the headline's reason rests on and does not name with their limits; where
    they are fewer than three, what else stands behind it: how the lawn is today."""
    found: list[Figure] = []
    leading = say.leading()[:1]
    if not leading and not say.plan.ask:
        # A quiet week has no reason of its own: how things stand is what there is to see.
        quiet = (list(_standing(lawn, "", say)) for lawn in say.plan.lawns)
        return tuple(next(quiet, [])[:MOST])
    for lawn, action in leading:
        if action.verdict is Verdict.WAIT and not say.told(action.because):
            return ()  # the headline asks a question, which rests on no number
        if given_whole(say):
            found += _water(say, action)
        else:
            found += _deciding(action)
        for figure in _standing(lawn, action.because, say):
            if all(figure.value != other.value or figure.about != other.about for other in found):
                found.append(figure)
    return tuple(found[:MOST])


def given_whole(say: Saying) -> bool:
    """Whether the top is about one watering, of which the figures tell all."""
    leading = say.leading()
    return (
        len(leading) == 1 and leading[0][1].water_mm is not None and len(leading[0][1].zones) < MOST
    )


def _water(say: Saying, action: Action) -> Iterator[Figure]:
    """How much, and how long that takes: the sentence has what is missing."""
    if action.water_mm is not None:
        yield Figure(show(action.water_mm, Kind.WATER, say.units), tell("water to give"), "")
    for zone in action.zones:
        minutes = tell("{count} min", count=f"{zone.minutes:.0f}")
        which = tell("your sprinklers") if zone.name == SPRINKLERS else zone.title
        yield Figure(minutes, which, zone.text if zone.runs > 1 else "")


def _deciding(action: Action) -> Iterator[Figure]:
    """The numbers that decided; those that the sentence has told with their limits come last."""
    fresh = evidence.shown(action)
    told = [one for one in evidence.deciding(action) if one not in fresh]
    for one in (*fresh, *told):
        # Of several tests that would do, one that held is told with its own limit.
        single = not evidence.is_choice(one) or (one.holds and one.bound is not None)
        if one.margin is not None and one.value and single:
            yield Figure(
                evidence.value_text(one), evidence.subject(one), evidence.limit_text(action, one)
            )


def _standing(lawn: LawnPlan, sentence: str, say: Saying) -> Iterator[Figure]:
    """How a lawn is, as far as a sentence does not name it; with its name, where there are more."""
    named = {condition.name: condition for condition in lawn.conditions}
    for name in _CARRYING:
        condition = named.get(name)
        if condition is None or condition.number is None:
            continue
        if evidence.has(sentence, condition.value):
            continue
        stress = named.get("stress_line")
        limit = ""
        if name == "depletion" and stress is not None and stress.number is not None:
            limit = tell("stress begins at {limit}", limit=stress.value)
        about = _about(name, condition.title)
        if len(say.plan.lawns) > 1:
            about = tell("{about}, {lawn}", about=about, lawn=lawn.title)
        yield Figure(shown_value(condition), about, limit)


def _about(name: str, title: str) -> str:
    if name == "depletion":
        return tell("water missing")
    return title

"""Which of a rule's conditions decided, each in one short line."""

from __future__ import annotations

import re

from advisor.language.words import tell
from advisor.plan.model import Action, Evidence, Verdict

_STATE = re.compile(r"(?:not )?grass is ")
"""How a condition on the state of the grass begins, in the language of rules."""


def deciding(action: Action) -> tuple[Evidence, ...]:
    """The conditions that made the verdict.

    What is done rests on what holds. What is held rests on what holds or is not known; a window
    that is shut rests on what fails or is not known; an `until` that does not hold says nothing.
    """
    found = action.evidence
    if action.verdict is not Verdict.WAIT:
        return tuple(one for one in found if one.holds)
    if action.not_before is not None:  # a window that is about to open wants nothing
        return ()
    if any(one.holds is False for one in found):
        return tuple(
            one
            for one in found
            if one.holds is None or (one.holds is False and one.keyword != "until" and _off(one))
        )
    return found


def shown(action: Action) -> tuple[Evidence, ...]:
    """The deciding conditions that are not told already: by the action's own sentence, or as what
    the grass does, which stands with its lawn.
    """
    return tuple(
        one
        for one in deciding(action)
        if not told_by(action.because, one) and not (one.value and _STATE.match(one.text))
    )


def lines(action: Action) -> tuple[str, ...]:
    """A line for each condition that is `shown` with a number of its own: not words, choices, and
    values that the sentence names without their limit."""
    return tuple(
        _line(action, one)
        for one in shown(action)
        if one.margin is not None
        and not is_choice(one)
        and not (one.value and has(action.because, one.value))
    )


def told_by(sentence: str, one: Evidence) -> bool:
    """Whether a sentence has the value and the limit, or quotes what is not known."""
    quoted = one.text.replace("_", " ").casefold() in sentence.replace("_", " ").casefold()
    if one.value is None:
        return quoted
    limit = one.bound
    return has(sentence, one.value) and (quoted or not limit or has(sentence, limit))


def subject(one: Evidence) -> str:
    """What a condition is about: `warmth` of `warmth at least 50 F or …`."""
    return one.about or one.text.replace("_", " ")


def _off(one: Evidence) -> bool:
    """Whether it misses its limit by something: none that is not less than none tells nothing."""
    return not one.just_at


def is_choice(one: Evidence) -> bool:
    """Whether it has several tests, any of which would do: its text has their limits."""
    return " or " in one.text


def value_text(one: Evidence) -> str:
    """What was found; an estimate is called one."""
    if not one.value:
        return tell("not known")
    word = tell("estimate")
    if one.estimate and word not in one.value:
        return tell("{value} (estimate)", value=one.value)
    return one.value


def limit_text(action: Action, one: Evidence) -> str:
    """What it was held against, with what that does: `wants at least 50 °F`, `holds while …`."""
    held = action.verdict is Verdict.WAIT and not any(e.holds is False for e in action.evidence)
    # A choice has its limits in its text, and a word that is asked for is its own limit.
    open_choice = is_choice(one) and not (one.holds and one.bound is not None)
    said = open_choice or (one.margin is None and one.value == one.limit)
    named = held and one.margin is None and one.value is not None
    if not one.limit or said or named:
        return ""
    if held:
        return tell("holds while {limit}", limit=one.limit)
    return tell("wants {limit}", limit=one.limit)


def _line(action: Action, one: Evidence) -> str:
    limit = limit_text(action, one)
    told = tell("{about}: {value}", about=subject(one), value=value_text(one))
    return tell("{told}, {limit}", told=told, limit=limit) if limit else told


def has(sentence: str, part: str) -> bool:
    """Whether a sentence names a value, as a word or number of its own."""
    return re.search(rf"(?<![\w.,]){re.escape(part)}(?!\w)", sentence, re.IGNORECASE) is not None

"""Which of a rule's conditions decided, each in one short line."""

from __future__ import annotations

import re

from advisor.plan.model import Action, Evidence, Verdict

LEAD_LINES = 3
"""Lines of evidence that stand under a reason to do something."""

NOT_KNOWN = "not known"

_MORE = re.compile(r"^(?:at least|at most|more than|less than|not) ")
_COMPARED = re.compile(r"(?:not )?(.+?) (?:is|at least|at most|more than|less than|between) .+")


def deciding(action: Action) -> tuple[Evidence, ...]:
    """The conditions that made the verdict.

    What is done rests on what holds. What is held rests on what holds or is not known; a window
    that is shut rests on what fails or is not known; an `until` that does not hold says nothing.
    """
    found = action.evidence
    if action.verdict is not Verdict.WAIT:
        return tuple(one for one in found if one.holds)
    if action.because.startswith("Not before "):  # a window that is about to open wants nothing
        return ()
    if any(one.holds is False for one in found):
        return tuple(
            one
            for one in found
            if one.holds is None or (one.holds is False and one.keyword != "until" and _off(one))
        )
    return found


def shown(action: Action, state: str) -> tuple[Evidence, ...]:
    """The deciding conditions that are not told already: by the action's own sentence, or by the
    `state` of its grass.
    """
    return tuple(
        one
        for one in deciding(action)
        if not told_by(action.because, one)
        and not (subject(one) == "grass" and one.value == state.replace(" ", "-"))
    )


def lines(
    action: Action, state: str, most: int | None = None, brief: bool = False
) -> tuple[str, ...]:
    """A line for each condition that is `shown`.

    Where there are more than `most`, words go before numbers. `brief` leaves out words, choices,
    and values that the sentence names without their limit.
    """
    held = action.verdict is Verdict.WAIT and not any(e.holds is False for e in action.evidence)
    fresh = list(shown(action, state))
    if brief:
        fresh = [
            one
            for one in fresh
            if one.margin is not None
            and " or " not in one.text
            and not (one.value and _has(action.because, one.value))
        ]
    kept = sorted(fresh, key=lambda one: (one.margin is None, " or " in one.text))[:most]
    return tuple(_line(one, held) for one in fresh if one in kept)


def told_by(sentence: str, one: Evidence) -> bool:
    """Whether a sentence has the value and the limit, or quotes what is not known."""
    quoted = one.text.replace("_", " ").casefold() in sentence.replace("_", " ").casefold()
    if one.value is None:
        return quoted
    limit = quantity(one.limit)
    return _has(sentence, one.value) and (quoted or not limit or _has(sentence, limit))


def quantity(limit: str | None) -> str:
    """A limit without the words before it: `0.75 in` of `at least 0.75 in`."""
    return _MORE.sub("", limit or "")


def subject(one: Evidence) -> str:
    """What a condition is about: `warmth` of `warmth at least 50 F or …`."""
    found = _COMPARED.fullmatch(one.text.split(" or ")[0])
    return (found[1] if found else one.text).replace("_", " ")


def _off(one: Evidence) -> bool:
    """Whether it misses its limit by something: none that is not less than none tells nothing."""
    return not (one.margin or "").startswith("just at")


def _line(one: Evidence, held: bool) -> str:
    choice = " or " in one.text
    about = one.text.replace("_", " ") if choice else subject(one)
    value = one.value or NOT_KNOWN
    if "estimate" in one.origin and "estimate" not in value:
        value += " (estimate)"
    # A choice has its limits in its text, and a word that is asked for is its own limit.
    said = choice or (one.margin is None and value == one.limit)
    named = held and one.margin is None and one.value is not None
    if not one.limit or said or named:
        return f"{about}: {value}"
    return f"{about}: {value}, {'holds while' if held else 'wants'} {one.limit}"


def _has(sentence: str, part: str) -> bool:
    return re.search(rf"(?<![\w.,]){re.escape(part)}(?!\w)", sentence, re.IGNORECASE) is not None

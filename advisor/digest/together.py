"""What several lawns share, told once; where they differ, it says whose is which."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from advisor.digest.saying import once
from advisor.language.listing import listed
from advisor.language.words import tell

_NUMBER = re.compile(r"\d+(?:[.,]\d+)*")
_STOPS = frozenset(".,;:")


def differing(pairs: Iterable[tuple[str, str]]) -> str:
    """Of (whose, text): one text if it is the same for all, else each with whose it is behind."""
    found = _gathered(pairs)
    if len(found) == 1:
        return next(iter(found))
    return "; ".join(f"{text} ({listed(once(names))})" for text, names in found.items())


def apart(pairs: Iterable[tuple[str, str]], members: int) -> tuple[str, ...]:
    """Texts, each once; with whose it is in front where not all the members have it."""
    return tuple(
        text if len(names) >= members or not any(names) else f"{listed(once(names))}: {text}"
        for text, names in _gathered(pairs).items()
    )


def steps(lists: Sequence[tuple[str, tuple[str, ...]]]) -> tuple[str, ...]:
    """The steps of all as one list, in an order that keeps each one's own.

    Steps that differ in one number only are told once with everyone's number; another that not
    all have says whose it is. Where no one order keeps to all, each has a list of its own.
    """
    keyed = [(name, _keyed(own)) for name, own in lists]
    order: list[tuple[str, int]] = []
    for _, own in keyed:
        fresh: list[tuple[str, int]] = []
        for key in own:
            if key in order:
                place = order.index(key)
                order[place:place] = fresh
                fresh = []
            else:
                fresh.append(key)
        order += fresh
    if any(sorted(own, key=order.index) != list(own) for _, own in keyed):
        return tuple(f"{name}: {step}" for name, own in lists for step in own)
    out: list[str] = []
    for key in order:
        having = [(name, own[key]) for name, own in keyed if key in own]
        alike = _gathered(having)
        joined = _one_number(alike) if len(alike) > 1 and len(having) == len(lists) else ""
        out += [joined] if joined else apart(having, len(lists))
    return tuple(out)


def _keyed(own: tuple[str, ...]) -> dict[tuple[str, int], str]:
    """Steps by what they say without their numbers; the second of a kind is the second for all."""
    found: dict[tuple[str, int], str] = {}
    for step in own:
        shape = _NUMBER.sub("#", step)
        found[(shape, sum(known == shape for known, _ in found))] = step
    return found


def _one_number(alike: dict[str, list[str]]) -> str:
    """Steps that differ in one number, as one: `6.3 lb (Front lawn) or 4.2 lb (Back lawn)`."""
    words = [step.split() for step in alike]
    places = [n for n, word in enumerate(words[0]) if any(one[n] != word for one in words)]
    if len(places) != 1:
        return ""
    # The number goes with its unit, if a word follows it in the same breath.
    start = places[0]
    alone = words[0][start][-1] in _STOPS or start + 1 == len(words[0])
    end = start + (1 if alone else 2)
    phrases = [" ".join(one[start:end]) for one in words]
    stop = phrases[0][-1] if phrases[0][-1] in _STOPS else ""
    each = ""
    for phrase, names in zip(phrases, alike.values(), strict=True):
        one = f"{phrase.removesuffix(stop)} ({listed(once(names))})"
        each = tell("{some} or {last}", some=each, last=one) if each else one
    return " ".join((*words[0][:start], each + stop, *words[0][end:]))


def _gathered(pairs: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, text in pairs:
        if text:
            found.setdefault(text, []).append(name)
    return found

"""What a condition is about, in words: `soil warmth` of `soil_warmth at least 50 F or …`."""

from __future__ import annotations

import re

from advisor.language.words import tell_as

SUBJECT = "what a condition is about"
"""The context of these words in the catalogue, which knows the facts and what the shipped rules
name; what an owner names stays in the owner's words."""

_COMPARED = re.compile(r"(?:not )?(.+?) (?:is|at least|at most|more than|less than|between) .+")


def subject(text: str) -> str:
    """Of a condition as its file has it, with its settings or without."""
    return tell_as(SUBJECT, plain_subject(text))


def plain_subject(text: str) -> str:
    """The same as the file names it."""
    found = _COMPARED.fullmatch(text.split(" or ")[0])
    return as_words(found[1] if found else text)


def as_words(name: str) -> str:
    """A name of a rule file as words."""
    return name.replace("_", " ")

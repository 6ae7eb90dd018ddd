"""Letters that change with a text's place: at the start of a sentence, or within one."""

from __future__ import annotations

from advisor.language.speaking import SOURCE, spoken
from advisor.language.words import tell


def capitalised(text: str) -> str:
    """With a capital at its start."""
    return text[:1].upper() + text[1:]


def decapitalised(text: str) -> str:
    """For within a sentence: without the capital at its start where English is spoken. Other
    languages write some words with one wherever they stand, and keep it."""
    return text[:1].lower() + text[1:] if spoken() == SOURCE else text


def as_sentence(phrase: str) -> str:
    """A phrase that says all of a sentence but its capital and its stop."""
    return tell("{sentence}.", sentence=capitalised(phrase))

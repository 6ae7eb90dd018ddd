"""Which language is spoken while a text is made.

A decision and a digest are made as a whole in one language, so it is not handed from function to
function: whoever makes the whole says `with speaking(site.language)`, and is a function of its
arguments as before. English, the language that the messages are written in, is spoken otherwise.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Literal, get_args

Language = Literal["en", "de"]

LANGUAGES: tuple[Language, ...] = get_args(Language)
SOURCE: Language = "en"
"""The language of the messages in the code and in the shipped rules."""

_spoken: ContextVar[Language] = ContextVar("language", default=SOURCE)


@contextmanager
def speaking(language: Language) -> Iterator[None]:
    """Texts made within are in that language. ValueError for one that is not spoken here."""
    if language not in LANGUAGES:
        raise ValueError(f"no language is called {language!r}")
    before = _spoken.set(language)
    try:
        yield
    finally:
        _spoken.reset(before)


def spoken() -> Language:
    """The language of texts made now."""
    return _spoken.get()

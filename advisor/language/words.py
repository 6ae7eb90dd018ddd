"""Words for people: a message as it stands in the code, in the language that is spoken.

A message is a whole sentence or a whole phrase with named placeholders, never a piece of one: the
order of words is the translator's. What is filled in may hold braces of its own.
"""

from __future__ import annotations

from functools import cache
from gettext import GNUTranslations, NullTranslations
from importlib import resources

from advisor.language.speaking import SOURCE, Language, spoken

DOMAIN = "swardcast"


def tell(message: str, /, **values: object) -> str:
    """The message, with `{name}` filled in from `values`. KeyError for a name that is not given."""
    language = spoken()
    found = message if language == SOURCE or not message else _catalogue(language).gettext(message)
    return found.format_map(values) if values else found


def tell_many(one: str, other: str, count: int, /, **values: object) -> str:
    """The form for `count` things, which is `{count}` in it: `{count} day`, `{count} days`."""
    found = _catalogue(spoken()).ngettext(one, other, count)
    return found.format_map({"count": count, **values})


def tell_as(context: str, message: str, /, **values: object) -> str:
    """As `tell`, for a message that other languages say in several ways: `context` is which one."""
    language = spoken()
    found = message if language == SOURCE else _catalogue(language).pgettext(context, message)
    return found.format_map(values) if values else found


def later(message: str) -> str:
    """The message as it is, to be told with `tell` where it is used: constants outlive a language,
    and this marks them for the catalogue."""
    return message


@cache
def _catalogue(language: Language) -> NullTranslations:
    if language == SOURCE:
        return NullTranslations()
    folder = resources.files("advisor.language") / "locale" / language / "LC_MESSAGES"
    with (folder / f"{DOMAIN}.mo").open("rb") as file:
        return GNUTranslations(file)

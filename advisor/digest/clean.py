"""Text that is safe to show: what people wrote, on its way into a mail, a page or a terminal."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from pydantic import BaseModel

LONGEST_TEXT = 1200
"""Characters that one text may have; what is longer is cut and ends in an ellipsis."""

LONGEST_NAME = 120
"""The same for a title or a name."""

_NAMES = frozenset({"title", "lawn_title", "name", "id", "task", "grass", "zone"})

# Terminal commands go as a whole, so that no "[31m" is left behind: CSI, then OSC and its like.
_ESCAPE = re.compile(
    r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]"
    r"|(?:\x1b[\]PX^_]|[\x9d\x90\x98\x9e\x9f])[^\x07\x1b\x9c]*(?:\x07|\x1b\\|\x9c)?"
    r"|\x1b[ -/]*[0-~]?"
)
_SPACES = re.compile(r"\s+")
_JOINERS = "\u200c\u200d"  # needed inside words of some scripts, and inside emoji

Part = TypeVar("Part", bound="BaseModel")


def clean_text(text: str, limit: int = LONGEST_TEXT) -> str:
    """One line in NFC, without control, surrogate, bidi or invisible format characters.

    Every run of white space becomes one space. At most `limit` characters (limit >= 1).
    """
    kept = "".join(filter(_visible, _SPACES.sub(" ", _ESCAPE.sub("", text))))
    line = _SPACES.sub(" ", unicodedata.normalize("NFC", kept)).strip()
    return line if len(line) <= limit else line[: limit - 1].rstrip() + "…"


def clean_lines(text: str, limit: int = LONGEST_TEXT) -> str:
    """As `clean_text`, but line breaks stay; empty lines go. `limit` is for the whole."""
    lines = (clean_text(line, limit) for line in text[: 4 * limit].splitlines())
    whole = "\n".join(line for line in lines if line)
    return whole if len(whole) <= limit else whole[: limit - 1].rstrip() + "…"


def cleaned(part: Part) -> Part:
    """The same document with every text in it clean (the lines of `problems` stay lines).

    Values are not checked again: a document that was built without checks is made safe too.
    """
    changes = {name: _clean_value(name, getattr(part, name)) for name in type(part).model_fields}
    return part.model_copy(update=changes)


def safe_url(url: str) -> str:
    """A web address as it is, or the empty text for any other scheme or an odd character."""
    return url if re.fullmatch(r"https?://[^\s\"'<>\\]+", url) else ""


def _visible(char: str) -> bool:
    if char in _JOINERS:
        return True
    category = unicodedata.category(char)
    # Cc control, Cf format (bidi, zero width, tags), Cs surrogate, Co private, Cn not assigned.
    return category[0] != "C"


def _clean_value(name: str, value: object) -> object:
    # A word of a fixed set (a verdict) is a str too, and must stay what it is.
    if type(value) is str:
        if name == "problems":
            return clean_lines(value)
        return clean_text(value, LONGEST_NAME if name in _NAMES else LONGEST_TEXT)
    # a slow import, for nothing where only texts are cleaned
    from pydantic import BaseModel

    if isinstance(value, BaseModel):
        return cleaned(value)
    if isinstance(value, tuple):
        return tuple(_clean_value(name, one) for one in value)
    return value

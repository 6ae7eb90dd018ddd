"""Exit codes, the same for every command."""

from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """What a command's exit code says; each member's text is its line in the README."""

    DONE = 0, "done"
    PROBLEMS = 1, "problems were found"
    WORDS = 2, "the call's words were wrong"
    NO_FORECAST = 69, "no forecast is to be had"
    LATER = 75, "try again later"
    SITE = 78, "the site's files are wrong"
    INTERRUPTED = 130, "interrupted from the keyboard"

    meaning: str

    def __new__(cls, code: int, meaning: str) -> Exit:
        member = int.__new__(cls, code)
        member._value_ = code
        member.meaning = meaning
        return member

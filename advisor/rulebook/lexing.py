"""One line of a rule file as tokens.

A unit is only looked for right after a number, so no word can be both an operator and a unit;
operators of several words (`at least`) become one token.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, cast

from lark import Token

from advisor.rulebook.examples import APART, HALVED
from advisor.rulebook.fault import LineError, one_of
from advisor.rulebook.kinds import named
from advisor.series.quantity import UNITS, Kind, QuantityError, Written, read_written, units_of
from advisor.site.problem import nearest

DEEPEST = 20
"""Most parentheses, or `not`s, inside one another."""

PHRASES: dict[tuple[str, ...], str] = {
    ("at", "least"): "MORE",
    ("at", "most"): "MORE",
    ("more", "than"): "MORE",
    ("less", "than"): "MORE",
    ("divided", "by"): "SCALE",
    ("days", "since"): "_SINCE",
    ("number", "of"): "_NUMBER_OF",
    ("over", "the"): "_OVER",
    ("hour", "by", "hour"): "HOURLY",
    ("everything", "put", "down"): "EVERYTHING",
}
WORDS: dict[str, str] = {
    "for": "_FOR",
    "be": "_BE",
    "or": "_OR",
    "and": "_AND",
    "not": "_NOT",
    "is": "_IS",
    "between": "_BETWEEN",
    "plus": "ADD",
    "minus": "ADD",
    "times": "SCALE",
    "of": "_OF",
    "with": "_WITH",
    "it": "_IT",
    "at": "_AT",
    "apart": "APART",
    **dict.fromkeys(("mean", "total", "lowest", "highest", "rise"), "FUNCTION"),
    **dict.fromkeys(("before", "to", "from", "after"), "SIDE"),
}
SIGNS: dict[str, str] = {",": "_COMMA", "/": "_SLASH", "(": "_LPAR", ")": "_RPAR", "=": "_EQUALS"}

_IN_WORDS = {
    ">=": "at least", "=>": "at least", "≥": "at least", "<=": "at most", "≤": "at most",
    ">": "more than", "<": "less than", "==": "is", "+": "plus", "*": "times", "×": "times",
    "-": "minus", "–": "minus", "÷": "divided by", "|": "or", "&": "and", "!": "not",
}  # fmt: skip
_WORD = re.compile(r"[A-Za-z_][A-Za-z0-9_-]*")
_SETTING = re.compile(r"\$([A-Za-z_][A-Za-z0-9_-]*)")
_NUMBER = re.compile(r"[-+]?\.?\d")
_DIGITS = re.compile(r"[-+.,\d]+")
_UNIT = re.compile(r"(?=[^\s,()])[^\s,()/]*(?:/10+\s+[^\s,()]+|[^\s,()]*)")
_MOST = 1e9
_BEGUN_BY: dict[str, list[tuple[str, re.Pattern[str], str]]] = {}
for _phrase, _kind in PHRASES.items():
    _whole = re.compile(r"\s+".join(_phrase) + r"(?![\w-])")
    _BEGUN_BY.setdefault(_phrase[0], []).append((" ".join(_phrase), _whole, _kind))
_EVERY_WORD = {*WORDS, *(word for phrase in PHRASES for word in phrase), "once", "until", "while"}


@dataclass(frozen=True)
class Unread(Written):
    """A number whose unit does not exist; the unit stands in columns `first` to `last`.

    `number` is not read. It goes with every kind: its place decides what it should have been.
    """

    first: int
    last: int

    def kinds(self) -> frozenset[Kind]:
        return frozenset(Kind)

    def as_kind(self, kind: Kind) -> float:  # noqa: ARG002
        raise QuantityError(f"no unit is called “{self.unit}”")


def quantity(token: Token, kind: Kind) -> float:
    """The value of a quantity as `kind`. Raises LineError where it is none."""
    written = cast(Written, token.value)
    try:
        return written.as_kind(kind)
    except QuantityError as error:
        column, end = token.column or 1, token.end_column or 2
        what, units, near = str(error), units_of(kind), ""
        if isinstance(written, Unread):
            column, end, near = written.first, written.last, nearest(written.unit, units)
        elif not written.unit:
            what = f"{written} has no unit, and {named([kind])} is wanted here"
        else:
            what = f"{written} is {named(written.kinds())}, and {named([kind])} is wanted here"
        hint = (
            f"{named([kind]).capitalize()} is written in {one_of(units)}."
            if units
            else "Write a plain number."
        )
        shown = APART if kind is Kind.TEMPERATURE_DIFFERENCE else None
        place = column, end - column
        raise LineError(what, *place, hint, near=near, shown=shown, kind=kind) from None


def tokens(text: str, start: int) -> list[Token]:
    """Tokens of `text` from index `start` to a comment or the end, with columns from 1.

    Raises LineError for what is no word of the language at all.
    """
    found: list[Token] = []
    depth = nots = 0
    at = start
    while at < len(text) and text[at] != "#":
        if text[at].isspace():
            at += 1
            continue
        token = _one(text, at)
        found.append(token)
        depth += (token.type == "_LPAR") - (token.type == "_RPAR")
        nots = nots + 1 if token.type == "_NOT" else 0
        if max(depth, nots) > DEEPEST:
            raise LineError(
                f"more than {DEEPEST} parentheses or “not”s inside one another",
                at + 1,
                len(token),
                "Name a part of it with a “let” line.",
            )
        at = (token.end_column or at + 2) - 1
    return found


def _token(kind: str, value: Any, at: int, end: int) -> Token:
    return Token(kind, value, start_pos=at, column=at + 1, end_column=end + 1)


def _one(text: str, at: int) -> Token:
    if _NUMBER.match(text, at):
        return _quantity(text, at)
    if setting := _SETTING.match(text, at):
        return _token("SETTING", setting[1], at, setting.end())
    if word := _WORD.match(text, at):
        return _word(text, word)
    for sign in (text[at : at + 2], text[at]):
        if sign in _IN_WORDS:
            what, hint = f"“{sign}” is not used in rules", f"Write “{_IN_WORDS[sign]}”."
            shown = HALVED if _IN_WORDS[sign] == "divided by" else None
            raise LineError(what, at + 1, len(sign), hint, shown=shown)
    if text[at] in SIGNS:
        return _token(SIGNS[text[at]], text[at], at, at + 1)
    sign = text[at] if text[at].isprintable() else f"U+{ord(text[at]):04X}"
    hint = "A line is made of words, numbers with units, and $settings."
    raise LineError(f"the character “{sign}” is not used in rules", at + 1, hint=hint)


def _quantity(text: str, at: int) -> Token:
    try:
        written, end = read_written(text, at)
    except QuantityError as error:
        unit = _UNIT.match(text, error.column)
        if error.column == at or unit is None:  # the number itself
            spelled = _DIGITS.match(text, at)
            width = len(spelled[0]) if spelled else 1
            hint = "Write the digits 0 to 9, and a point before a fraction."
            raise LineError(str(error), at + 1, width, hint) from None
        return _unread(at, unit)
    if abs(written.number) > _MOST:
        hint = "A number has nine digits at most before its point."
        raise LineError("this number is too large", at + 1, end - at, hint)
    while text[end - 1].isspace():
        end -= 1
    after = end + len(text[end:]) - len(text[end:].lstrip())
    if not written.unit and (word := _WORD.match(text, after)) and word[0] not in _EVERY_WORD:
        # After a bare number stands an operator, or else a unit that does not exist.
        near = nearest(word[0], sorted(_EVERY_WORD))
        if not near or nearest(word[0], UNITS):
            return _unread(at, _UNIT.match(text, after) or word)
        what = f"“{word[0]}” cannot stand here"
        raise LineError(what, after + 1, len(word[0]), "A unit or an operator fits.", near=near)
    return _token("QUANTITY", written, at, end)


def _unread(at: int, unit: re.Match[str]) -> Token:
    value = Unread(0.0, unit[0], unit.start() + 1, unit.end() + 1)
    return _token("QUANTITY", value, at, unit.end())


def _word(text: str, word: re.Match[str]) -> Token:
    at = word.start()
    for phrase, whole, kind in _BEGUN_BY.get(word[0], ()):
        if found := whole.match(text, at):
            return _token(kind, phrase, at, found.end())
    return _token(WORDS.get(word[0], "WORD"), word[0], at, word.end())

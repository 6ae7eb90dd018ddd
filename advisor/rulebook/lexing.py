"""One line of a rule file as tokens.

A unit is only looked for right after a number, so no word can be both an operator and a unit;
operators of several words (`at least`) become one token.
"""

from __future__ import annotations

import re
from typing import Any

from lark import Token

from advisor.rulebook.fault import LineError
from advisor.series.quantity import UNITS, QuantityError, read_written
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
_MOST = 1e9
_BEGUN_BY: dict[str, list[tuple[str, re.Pattern[str], str]]] = {}
for _phrase, _kind in PHRASES.items():
    _whole = re.compile(r"\s+".join(_phrase) + r"(?![\w-])")
    _BEGUN_BY.setdefault(_phrase[0], []).append((" ".join(_phrase), _whole, _kind))
_EVERY_WORD = {*WORDS, *(word for phrase in PHRASES for word in phrase), "once", "until", "while"}


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
                hint="Name a part of it with a “let” line.",
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
            hint = f"Write “{_IN_WORDS[sign]}”."
            raise LineError(f"“{sign}” is not used in rules", at + 1, len(sign), hint)
    if text[at] in SIGNS:
        return _token(SIGNS[text[at]], text[at], at, at + 1)
    shown = text[at] if text[at].isprintable() else f"U+{ord(text[at]):04X}"
    raise LineError(f"the character “{shown}” is not used in rules", at + 1)


def _quantity(text: str, at: int) -> Token:
    try:
        written, end = read_written(text, at)
    except QuantityError as error:
        word = re.match(r"[^\s,()]*", text[error.column :])
        spelled = word[0] if word else ""
        hint = nearest(spelled, UNITS) or "Write a number and its unit, such as 50 F."
        raise LineError(str(error), error.column + 1, max(1, len(spelled)), hint) from None
    if abs(written.number) > _MOST:
        raise LineError("this number is too large", at + 1, end - at, "Write it like 50 F.")
    while text[end - 1].isspace():
        end -= 1
    after = end + len(text[end:]) - len(text[end:].lstrip())
    if not written.unit and (word := _WORD.match(text, after)):
        _must_be_known(word)
    return _token("QUANTITY", written, at, end)


def _must_be_known(word: re.Match[str]) -> None:
    """After a bare number stands an operator, or else a unit that does not exist."""
    if word[0] not in _EVERY_WORD:
        hint = nearest(word[0], UNITS) or nearest(word[0], sorted(_EVERY_WORD))
        hint = hint or "Write it like 50 F, 0.5 in or 30 days."
        raise LineError(f"no unit is called “{word[0]}”", word.start() + 1, len(word[0]), hint)


def _word(text: str, word: re.Match[str]) -> Token:
    at = word.start()
    for phrase, whole, kind in _BEGUN_BY.get(word[0], ()):
        if found := whole.match(text, at):
            return _token(kind, phrase, at, found.end())
    return _token(WORDS.get(word[0], "WORD"), word[0], at, word.end())

"""The grammar of single lines, and what to say where a line does not follow it.

The file has been split into lines before, so each line gives its own error and the next is read.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

from lark import Lark, Token, Tree
from lark.exceptions import UnexpectedToken
from lark.lexer import Lexer

from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.examples import over_days, right_line
from advisor.rulebook.fault import Line, LineError, one_of
from advisor.rulebook.lexing import PHRASES, SIGNS, WORDS, tokens
from advisor.site.problem import nearest

_GRAMMAR = r"""
setting: WORD _EQUALS QUANTITY [APART]
head: WORD _FOR tasks [HOURLY]
tasks: EVERYTHING | WORD (_COMMA WORD)*
grasses: WORD (_COMMA WORD)*
let: WORD _BE sum
either: test (_OR test)*
take: (fact | since) _EQUALS [MORE] (QUANTITY | WORD) [window]

?test: _NOT test -> negated
     | sum MORE sum -> compare
     | sum _BETWEEN sum _AND sum -> between
     | WORD _IS WORD (_SLASH WORD)* -> is_word
?sum: term | sum ADD term -> added
?term: part | term SCALE part -> scaled
?part: QUANTITY -> quantity
     | SETTING -> setting_value
     | fact | since | spell | count
     | _LPAR sum _RPAR
fact: WORD [_AT QUANTITY]
since: _SINCE WORD
spell: FUNCTION _OF fact window
count: _NUMBER_OF WORD _WITH _LPAR test _RPAR window
window: _OVER QUANTITY SIDE _IT

%declare WORD QUANTITY SETTING APART EVERYTHING HOURLY MORE ADD SCALE FUNCTION SIDE
%declare _EQUALS _FOR _COMMA _BE _OR _AND _NOT _BETWEEN _IS _SLASH _LPAR _RPAR _AT _SINCE _OF
%declare _NUMBER_OF _WITH _OVER _IT
"""
STARTS = ("setting", "head", "grasses", "let", "either", "take")

Syntax = Tree[Token]


class _Ready(Lexer):
    """Hands tokens that are already made to the parser."""

    def __init__(self, _conf: object) -> None:
        pass

    def lex(self, ready: Any, _parser_state: Any = None) -> Iterator[Token]:
        yield from ready


@cache
def _parser() -> Lark:
    return Lark(_GRAMMAR, parser="lalr", lexer=_Ready, start=list(STARTS))


_SPELLED = {"WORD": "a name", "QUANTITY": "a quantity such as 50 F", "SETTING": "a $setting"}
for _phrase, _kind in PHRASES.items():
    _SPELLED[_kind] = (
        _SPELLED.get(_kind, "") + ("/" if _kind in _SPELLED else "") + " ".join(_phrase)
    )
for _spelling, _kind in (*WORDS.items(), *((sign, kind) for sign, kind in SIGNS.items())):
    _SPELLED[_kind] = _SPELLED.get(_kind, "") + ("/" if _kind in _SPELLED else "") + _spelling


def parse(line: Line, start: str) -> Syntax:
    """The rest of a line, read from the grammar's rule `start`.

    Raises LineError with the column, what was expected and the nearest word.
    """
    ready = tokens(line.text, line.start)
    try:
        parsed = _parser().parse(ready, start=start)
    except UnexpectedToken as error:
        raise _fault(line, start, ready, error) from None
    return parsed


def _fault(line: Line, start: str, ready: list[Token], error: UnexpectedToken) -> LineError:
    expected = sorted(error.accepts or error.expected)
    words = [w for kind in expected for w in _SPELLED.get(kind, "").split("/") if w]
    if error.token.type == "$END":
        end = len(line.text[: line.start].rstrip())
        if ready:
            end = (ready[-1].end_column or 1) - 1
        return LineError("the line ends too early", end + 1, 1, f"{_listed(words)} should follow.")
    spelled = str(error.token)
    column = error.token.column or 1
    width = (error.token.end_column or column + 1) - column
    near = _near(line.text[: column - 1].split(), line.text[column - 1 :].split(), words)
    what = f"“{spelled}” cannot stand here"
    if error.token.type not in ("WORD", "QUANTITY", "SETTING") and expected == ["WORD"]:
        what = f"“{spelled}” is a word of the rule language"
        return LineError(
            what, column, width, "A name is wanted here.", example=right_line(line.keyword)
        )
    hint = f"{_listed(words)} was expected." if words else "The line should end here."
    if mended := _known_slip(line, start, ready, error.token, expected):
        hint, example = mended
        return LineError(what, column, width, hint, example=example)
    return LineError(what, column, width, hint, near=near)


def _known_slip(
    line: Line, start: str, ready: list[Token], token: Token, expected: list[str]
) -> tuple[str, str] | None:
    """What to write, and an example where the usual one would not do, for slips of which it is
    plain what was meant."""
    if start == "either" and token.type == "_AND":
        return "Begin a new line with “and”; within a line there is only “or”.", ""
    if start == "either" and token.type == "_COMMA" and "_SLASH" in expected:
        return "Put “/” between the words that it may be.", ""
    if start == "either" and token.type == "_OVER":
        hint = "A window stands with what it is of: a mean, total, lowest, highest or rise."
        return hint, right_line(line.keyword, shown=over_days(FACTS["rain"]))
    if expected == ["SIDE"]:
        hint = "A window ends in “to it”, “before it”, “from it” or “after it”."
        return hint, right_line(line.keyword, shown=over_days(FACTS["rain"]))
    if start in ("setting", "head") and token.type == "WORD" and ready.index(token) == 1:
        joined = replace(line, text=f"{line.keyword} {ready[0]}-{token}", start=len(line.keyword))
        return "A name is one word; its parts are joined by hyphens.", right_line(
            line.keyword, joined.named
        )
    return None


def _near(before: list[str], after: list[str], words: list[str]) -> str:
    """The nearest operator; one of two words may have been begun by the word before."""
    phrases = [" ".join(phrase) for phrase in PHRASES]
    return (
        nearest(" ".join(after[:2]), [w for w in words if " " in w])
        or nearest(" ".join([*before[-1:], *after[:1]]), phrases)
        or nearest(after[0], [w for w in words if w.isalpha()])
    )


def _listed(words: list[str]) -> str:
    names = [w for w in dict.fromkeys(words) if w.startswith("a ")]
    shown = names + [f"“{w}”" for w in dict.fromkeys(words) if w not in names]
    told = one_of(shown)
    if len(shown) > 6:
        told = ", ".join([*shown[:6], "…"])
    return told[:1].upper() + told[1:]

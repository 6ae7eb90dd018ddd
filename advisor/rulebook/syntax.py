"""Taking a parsed line apart: its branches, its words, and where they stand."""

from __future__ import annotations

from typing import cast

from lark import Token, Tree

from advisor.rulebook.grammar import Syntax
from advisor.series.quantity import Written


def sub(tree: Syntax, index: int) -> Syntax:
    return cast(Syntax, tree.children[index])


def token_of(tree: Syntax, index: int) -> Token:
    return cast(Token, tree.children[index])


def written_of(tree: Syntax) -> Written:
    return cast(Written, token_of(tree, 0).value)


def at(token: Token) -> tuple[int, int]:
    column = token.column or 1
    return column, (token.end_column or column + 1) - column


def tokens_in(tree: Syntax) -> list[Token]:
    found: list[Token] = []
    for child in tree.children:
        if isinstance(child, Tree):
            found += tokens_in(child)
        elif child is not None:
            found.append(child)
    return found


def place_of(tree: Syntax) -> tuple[int, int]:
    found = tokens_in(tree)
    column = min(t.column or 1 for t in found)
    return column, max(t.end_column or 1 for t in found) - column

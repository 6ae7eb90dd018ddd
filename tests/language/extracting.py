"""Every message of the project: from the code, the templates, the rules and their vocabulary."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from jinja2.ext import babel_extract

from advisor.conditions.told import context_of
from advisor.conditions.vocabulary import FACTS, SINCE
from advisor.rulebook.explain import written
from advisor.rulebook.own_units import in_braces
from advisor.rulebook.subject import SUBJECT, as_words, plain_subject
from advisor.service.folders import shipped_book

ROOT = Path(__file__).parents[2]
TEMPLATES = ROOT / "advisor" / "digest" / "templates"

KEYWORDS = {"tell": 1, "tell_many": 2, "tell_as": 2, "later": 1}
"""How many of a call's arguments, from the first, are words of the catalogue."""


class Message(NamedTuple):
    """One message. `where` is a file, from the top of the project."""

    id: str
    where: str
    context: str | None = None
    plural: str | None = None


class NotLiteralError(ValueError):
    """A call whose words no extraction can read."""


def messages() -> Iterator[Message]:
    """Every message that the project tells, in the order in which it is found."""
    for path in sorted((ROOT / "advisor").rglob("*.py")):
        yield from in_python(path.read_text(encoding="utf-8"), str(path.relative_to(ROOT)))
    for path in sorted(TEMPLATES.glob("*.j2")):
        yield from in_template(path)
    yield from in_rules()
    yield from in_vocabulary()


def in_python(text: str, where: str) -> Iterator[Message]:
    """The words of each call. One whose words are a name is told elsewhere as `later`."""
    for node in ast.walk(ast.parse(text)):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
            continue
        number = KEYWORDS.get(node.func.id)
        if number is None:
            continue
        if len(node.args) < number:
            raise NotLiteralError(f"{where}:{node.lineno}: {node.func.id} lacks its words")
        found = [list(_literals(argument, where)) for argument in node.args[:number]]
        yield from _as_messages(node.func.id, found, where)


def _literals(argument: ast.expr, where: str) -> Iterator[str]:
    """The constants that an argument may be; none where it is a name or is looked up."""
    match argument:
        case ast.Constant(value=str(text)):
            yield text
        case ast.IfExp():
            yield from _literals(argument.body, where)
            yield from _literals(argument.orelse, where)
        case ast.JoinedStr() | ast.BinOp():
            raise NotLiteralError(f"{where}:{argument.lineno}: words are put together in the call")
        case ast.Call(func=ast.Name(id="later")) | ast.Name() | ast.Attribute() | ast.Subscript():
            return  # marked where it is written
        case ast.Call():
            return  # told by a name of a rule or of the vocabulary
        case _:
            raise NotLiteralError(f"{where}:{argument.lineno}: no words that can be read")


def _as_messages(call: str, found: list[list[str]], where: str) -> Iterator[Message]:
    if call == "tell_many":
        yield from (Message(one, where, None, other) for one, other in zip(*found, strict=True))
    elif call == "tell_as":
        yield from (
            Message(text, where, context) for context in found[0] for text in found[1] if text
        )
    else:
        yield from (Message(text, where) for text in found[0] if text)


def in_template(path: Path) -> Iterator[Message]:
    where = str(path.relative_to(ROOT))
    options = {"trim_blocks": "true", "lstrip_blocks": "true", "silent": "false"}
    with path.open("rb") as file:
        for _, call, words, _ in babel_extract(file, list(KEYWORDS), [], options):
            texts = [words] if isinstance(words, str) else list(words)
            texts = texts[: KEYWORDS[call]]
            if len(texts) < KEYWORDS[call] or not all(isinstance(text, str) for text in texts):
                raise NotLiteralError(f"{where}: {call} lacks its words")
            yield from _as_messages(call, [[str(text)] for text in texts], where)


def in_rules() -> Iterator[Message]:
    """What the shipped rules say, with their quantities in braces, and what they are about."""
    for rule in shipped_book().rules.values():
        where = f"rules/{rule.file.rpartition('/')[2]}"
        yield Message(in_braces(written(rule), "us")[0], where)
        for name, _ in rule.lets:
            yield Message(as_words(name), where, SUBJECT)
        for condition in rule.conditions:
            yield Message(plain_subject(condition.text), where, SUBJECT)


def in_vocabulary() -> Iterator[Message]:
    """Facts by name and by meaning, and the words that they may be."""
    where = "advisor/conditions/vocabulary.py"
    for fact in FACTS.values():
        yield Message(as_words(fact.name), where, SUBJECT)
        yield Message(fact.meaning, where)
        for word in fact.words:
            yield Message(word, where, context_of(fact))
    for name in SINCE:
        yield Message(f"days since {name}", where, SUBJECT)

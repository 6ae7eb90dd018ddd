"""A trial from its block: what it takes for given, and the answer it wants."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import cast

from lark import Token

from advisor.conditions.table import UNKNOWN_WORD
from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.blocks import Block
from advisor.rulebook.book import Answer, Take, Trial
from advisor.rulebook.build import Builder
from advisor.rulebook.examples import SINCE, about, right_line
from advisor.rulebook.fault import Line, LineError, listed, unknown
from advisor.rulebook.grammar import Syntax, parse
from advisor.rulebook.read_window import of_hours
from advisor.rulebook.spans import span
from advisor.rulebook.syntax import at, token_of
from advisor.rulebook.tree import TODAY, FactValue, More, Since, Window
from advisor.series.quantity import Kind, Written, show
from advisor.site.problem import Problem


@dataclass
class ReadTrial:
    """`trial` is None where it is broken."""

    trial: Trial | None = None
    problems: list[Problem] = field(default_factory=list)


def read_trial(block: Block, name: str, hourly: bool | None) -> ReadTrial:
    """Read the block of a trial of the rule `name`. Whether there is one is the caller's to check.

    `hourly`: whether its rule is asked hour by hour; None where it could not be read.
    """
    head, found = block.head, ReadTrial()
    takes: list[Take] = []
    answers: list[Answer] = []
    given = [line for line in block.body if line.keyword == "answer"]
    for line in block.body:
        try:
            if line.keyword == "take":
                takes.append(_take(line, hourly))
            elif line is not given[0]:
                raise LineError("a second “answer”", line.keyword_column, 6, "Keep one.")
            else:
                answers.append(_answer(line))
        except LineError as fault:
            found.problems.append(line.problem(fault))
    if not given:
        what, hint = "this trial has no “answer” line", listed([a.value for a in Answer])
        found.problems.append(head.whole(what, hint, example=right_line("answer")))
    if answers and not found.problems and not block.broken:
        found.trial = Trial(name, tuple(takes), answers[0], head.file, head.number, block.own)
    return found


def _answer(line: Line) -> Answer:
    said = " ".join(line.text[line.start :].split("#", 1)[0].split())
    if said not in tuple(Answer):
        column = line.text.index(line.rest, line.start) + 1
        raise unknown(f"“{said}” is no answer", column, said, [a.value for a in Answer])
    return Answer(said)


def _take(line: Line, hourly: bool | None) -> Take:
    fact, bound, value, when = cast(
        "tuple[Syntax, Token | None, Token, Syntax | None]", tuple(parse(line, "take").children)
    )
    builder = Builder({}, {}, hourly=hourly is not False)
    days = builder.window(when) if when is not None else TODAY
    place = (value.column or 1, (value.end_column or 2) - (value.column or 1))
    name = cast(Token, fact.children[0])
    hours = _of_the_hour(fact, when, hourly)
    if fact.data == "fact" and FACTS.get(str(name)) and FACTS[str(name)].words:
        return _word(name, fact, bound, value, days, hours)
    number = builder.build(fact, Kind.DURATION)
    assert isinstance(number, FactValue | Since)  # the grammar lets nothing else through
    if value.type != "QUANTITY":
        hint = "A number and its unit is wanted here."
        shown = about(FACTS[str(name)]) if isinstance(number, FactValue) else SINCE
        raise LineError(f"{name} is a number, not a word", *place, hint, shown=shown)
    amount = builder.constant(value, number.kind).value
    least, most = span(number)
    if not least - 1e-9 <= amount <= most + 1e-9:
        ends = f"{show(least, number.kind)} and {show(most, number.kind)}"
        what = f"{name} is never {cast(Written, value.value)}"
        shown = about(FACTS[str(name)]) if isinstance(number, FactValue) else SINCE
        raise LineError(what, *place, f"It lies between {ends}.", shown=shown)
    if bound is None:
        return Take(number, amount, amount, UNKNOWN_WORD, days, hours)
    if bound not in (More.AT_LEAST, More.AT_MOST):
        column = bound.column or 1
        what, hint = f"a trial cannot take “{bound}”", "Write “at least” or “at most”."
        raise LineError(what, column, len(bound), hint)
    low, high = (amount, most) if bound == More.AT_LEAST else (least, amount)
    return Take(number, low, high, UNKNOWN_WORD, days, hours)


def _of_the_hour(fact: Syntax, when: Syntax | None, hourly: bool | None) -> bool:
    """Whether a take sets hours: a window of hours, or in an hour rule what has a value by the
    hour. Raises LineError where the fact is not told for that."""
    name = cast(Token, fact.children[0])
    word = FACTS.get(str(name)) if fact.data == "fact" else None
    of_hour = word is not None and bool(word.hourly)
    if when is not None and of_hours(when) and not of_hour:
        what = f"{name} is told for days, so its window is counted in days"
        raise LineError(what, *at(token_of(when, 0)), "Write “days”.")
    hours = of_hours(when) if when is not None else hourly is not False and of_hour
    if word is not None and not word.daily and not hours:
        what = f"{name} is told for hours, not for days"
        hint = "It may be taken in a trial of an hour rule, of the hour or over hours."
        raise LineError(what, *at(name), hint)
    return hours


def _word(
    name: Token, fact: Syntax, bound: Token | None, value: Token, days: Window, hours: bool
) -> Take:
    words = FACTS[str(name)].words
    depth = cast("Token | None", fact.children[1])
    for wrong in (depth, bound):
        if wrong is not None:
            place = wrong.column or 1, len(wrong)
            shown = about(FACTS[str(name)])
            raise LineError(f"{name} is a word", *place, listed(words), shown=shown)
    spelled = str(value)
    if spelled not in words:
        example = right_line("take", shown=about(FACTS[str(name)]))
        what, column = f"{name} is never “{spelled}”", value.column or 1
        raise unknown(what, column, spelled, words, example=example)
    return Take(str(name), 0.0, 0.0, words.index(spelled), days, hours)

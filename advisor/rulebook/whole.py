"""What is wrong with a rule as a whole, though each of its lines is right."""

from __future__ import annotations

from collections.abc import Sequence

from lark import Token

from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.book import Condition, Keyword
from advisor.rulebook.clashes import partner, unfit
from advisor.rulebook.examples import about, right_line
from advisor.rulebook.fault import Line, LineError
from advisor.rulebook.tree import Not, Test, fact_name, reads
from advisor.site.problem import Problem


def contradictions(conditions: Sequence[Condition], lines: Sequence[Line]) -> list[Problem]:
    """What is wrong with conditions that are right one by one, each from a line of `lines`."""
    while_, once, until = (
        [(c.test.tests, line) for c, line in zip(conditions, lines, strict=True) if c.keyword is k]
        for k in Keyword
    )
    for group in (while_, while_[:1] + once, until):
        tests = [test for test, _ in group]
        late = unfit(tests)
        if late is not None:
            early = partner(tests, late)
            against = "those above it" if early is None else f"line {group[early][1].number}"
            what = f"this and {against} can never hold together"
            hint = "Leave one of them out, or change it."
            return [_whole_condition(group[late][1], what, hint, conditions)]
    shut = _never([test for test, _ in until])
    for word, group in (("while", while_), ("once", while_[:1] + once if once else [])):
        # A window is shut on the very day on which it opens, if “until” holds then.
        if shut and group and unfit([*(test for test, _ in group), *shut]) is not None:
            what = f"“until” holds whenever “{word}” does, so this window never opens"
            hint = "It should hold only after the window was open."
            return [_whole_condition(until[0][1], what, hint, conditions)]
    return []


def _never(until: Sequence[Sequence[Test]]) -> list[list[Test]]:
    """Lines that say that not all of some lines hold; none where that is no plain line."""
    if not until:
        return []
    if len(until) == 1:
        return [[Not(test)] for test in until[0]]
    return [[Not(line[0]) for line in until]] if all(len(line) == 1 for line in until) else []


def _whole_condition(line: Line, what: str, hint: str, conditions: Sequence[Condition]) -> Problem:
    said = line.text[line.start :].split("#", 1)[0]
    column = line.start + len(said) - len(said.lstrip()) + 1
    # A right line is about a fact that no other line of the rule is about.
    read = {fact_name(leaf) for condition in conditions for leaf, _ in reads(condition.test)}
    shown = next((about(fact) for fact in FACTS.values() if fact.name not in read), None)
    return line.problem(LineError(what, column, len(said.strip()), hint, shown=shown))


def unused_let(name: Token, line: Line) -> Problem:
    """A warning of a let that nothing uses."""
    what, hint = f"nothing uses the let “{name}”", "Use it, or take its line out."
    example = right_line("says", name)
    fault = LineError(what, name.column or 1, len(name), hint, example=example)
    return line.problem(fault, warning=True)

"""What is called a contradiction is one: against every mixture of values, one by one."""

from __future__ import annotations

import operator
from collections.abc import Callable
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.book import RuleFile
from advisor.rulebook.read import read_rulebook

Day = dict[str, float | str]
Said = tuple[str, Callable[[Day], bool]]
"""A test as a rule writes it, and as Python has it."""

MORE = {
    "at least": operator.ge,
    "at most": operator.le,
    "more than": operator.gt,
    "less than": operator.lt,
}
LIMITS = (1, 2, 3)
VALUES = (0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5)
"""Below, at, between and above the limits: nothing else can matter."""

WORDS = FACTS["soil"].words
UNITS = {"rain": "mm", "wind": "m/s"}
DAYS: list[Day] = [
    {"rain": rain, "wind": wind, "soil": soil}
    for rain, wind, soil in product(VALUES, VALUES, WORDS)
]


@st.composite
def said(draw: st.DrawFn) -> Said:
    how = draw(st.integers(0, 5))
    if how == 0:
        text, holds = draw(said())
        return f"not {text}", lambda day: not holds(day)
    if how == 1:
        words = draw(st.lists(st.sampled_from(WORDS), min_size=1, max_size=3, unique=True))
        return f"soil is {' / '.join(words)}", lambda day: day["soil"] in words
    fact = draw(st.sampled_from(["rain", "wind"]))
    if how == 2:
        low, high = sorted([draw(st.sampled_from(LIMITS)), draw(st.sampled_from(LIMITS))])
        text = f"{fact} between {low} {UNITS[fact]} and {high} {UNITS[fact]}"
        return text, lambda day: low <= float(day[fact]) <= high
    word, limit = draw(st.sampled_from([*MORE])), draw(st.sampled_from(LIMITS))
    if how == 3:
        turned = f"{limit} {UNITS[fact]} {word} {fact}"
        return turned, lambda day: MORE[word](limit, float(day[fact]))
    return f"{fact} {word} {limit} {UNITS[fact]}", lambda day: MORE[word](float(day[fact]), limit)


LINES = st.lists(st.lists(said(), min_size=1, max_size=3), min_size=1, max_size=4)


def told(lines: list[list[Said]]) -> list[str]:
    texts = [" or ".join(text for text, _ in tests) for tests in lines]
    rule = "notes n for x\nwhile " + "\nand ".join(texts) + "\nsays x\nsource y"
    return [problem.what for problem in read_rulebook([RuleFile("a", rule)]).problems]


@given(LINES)
def test_lines_that_are_said_to_clash_never_hold_together(lines: list[list[Said]]) -> None:
    if any("never hold together" in what for what in told(lines)):
        for day in DAYS:
            assert not all(any(holds(day) for _, holds in tests) for tests in lines)


@given(LINES)
def test_lines_of_one_test_each_that_never_hold_together_are_always_told(
    lines: list[list[Said]],
) -> None:
    """Nothing hides where no “or” stands between two facts."""
    lines = [tests[:1] for tests in lines]
    if not any(all(tests[0][1](day) for tests in lines) for day in DAYS):
        assert told(lines)


@given(st.lists(said(), min_size=2, max_size=4))
def test_of_alternatives_one_always_holds_exactly_where_that_is_told(tests: list[Said]) -> None:
    always = all(any(holds(day) for _, holds in tests) for day in DAYS)
    assert any("always holds" in what for what in told([tests])) == always

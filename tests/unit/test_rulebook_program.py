"""A book worked out together says what its rules say part by part, on any table."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_array_equal
from test_rulebook_evaluate import (
    DAYS,
    codes_of,
    known_or_not,
    numbers_of,
    table,
    tests_of,
    week,
)

from advisor.conditions.table import UNKNOWN_WORD, Column, Table, Words
from advisor.conditions.vocabulary import FACTS, SINCE
from advisor.rulebook.book import Condition, Keyword, Rule, Rulebook, RuleFile, RuleKind
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.program import program_of
from advisor.rulebook.read import read_rulebook
from advisor.rulebook.tree import (
    Compare,
    Constant,
    Either,
    FactValue,
    More,
    Since,
    Spell,
    Test,
    within,
)
from advisor.series.quantity import Kind
from advisor.shipped import shipped

more = st.sampled_from(More)
since = st.builds(
    Compare,
    st.sampled_from([Since("feed"), Since("lime")]),
    more,
    st.integers(0, 9).map(lambda days: Constant(float(days), Kind.DURATION)),
)
pairs = st.builds(Compare, numbers_of, more, numbers_of)
lines = st.lists(st.one_of(tests_of, tests_of, since, pairs), min_size=1, max_size=3).map(
    lambda tests: Either(tuple(tests))
)


@st.composite
def books(draw: st.DrawFn) -> Rulebook:
    """A few rules, with and without a latch, that share some of their lines."""
    pool = draw(st.lists(lines, min_size=1, max_size=5))
    rules = {}
    for number in range(draw(st.integers(1, 4))):
        words = [Keyword.WHILE, *draw(st.lists(st.sampled_from(Keyword), max_size=3))]
        conditions = tuple(
            Condition(word, word.value, "", draw(st.sampled_from(pool)), 1) for word in words
        )
        name = f"r{number}"
        rules[name] = Rule(name, RuleKind.OPENS, ("feed",), (), "", "", "", 1, conditions)
    return Rulebook(rules, {}, (), ())


def assert_same(book: Rulebook, asked: Table) -> None:
    """Verdicts, latches, truths of all lines, and bounds of all numbers."""
    together, plain = Evaluator(book, asked, "us"), Evaluator(book, asked, "us")
    for rule in book.rules.values():
        found, expected = together.says(rule), plain.plainly(rule)
        shape = found.yes.shape
        for one, other in zip(found, expected, strict=True):
            assert (one is None) == (other is None)
            if one is not None:
                assert_array_equal(one, np.broadcast_to(other, shape))
        for node in (n for c in rule.conditions for n in within(c.test)):
            if isinstance(node, Test):
                for one, other in zip(together.truth(node), plain.truth(node), strict=True):
                    assert_array_equal(one, np.broadcast_to(other, shape))
            elif not isinstance(node, Constant):
                for one, other in zip(together.interval(node), plain.interval(node), strict=True):
                    # Sums may be added up in another order.
                    np.testing.assert_allclose(one, np.broadcast_to(other, shape), atol=1e-9)


@settings(max_examples=100)
@given(
    books(), week(known_or_not(-10, 20)), week(known_or_not(0, 20)), week(known_or_not(0, 9)),
    codes_of, st.booleans(),
)  # fmt: skip
def test_random_books_on_random_days(book, temps, rains, fed, codes, lacking) -> None:
    """With gaps, bounds, words, and facts that the table lacks."""
    numbers = {"air_temp": temps, "rain": rains}
    if lacking:
        del numbers["rain"]
    assert_same(book, table(numbers, {} if lacking else {"grass": codes}, {"feed": fed}))


@settings(max_examples=30)
@given(books(), week(known_or_not(-10, 20)), week(known_or_not(0, 20)), codes_of)
def test_many_lawns_at_once(book, temps, rains, codes) -> None:
    """Some facts are of each lawn, some the same for all."""
    asked = table({"air_temp": temps, "rain": rains}, {"grass": codes})
    low, high = asked.numbers["air_temp"].low, asked.numbers["air_temp"].high
    ends = (np.stack([end, end + 1, end[::-1]]) for end in (low, high))
    assert_same(book, replace(asked, numbers={**asked.numbers, "air_temp": Column(*ends)}))


@settings(max_examples=30)
@given(books(), week(known_or_not(-10, 20)), st.lists(st.booleans(), min_size=DAYS, max_size=DAYS))
def test_nan_is_no_bound(book, temps, missing) -> None:
    asked = table({"air_temp": temps})
    low, high = asked.numbers["air_temp"].low, asked.numbers["air_temp"].high
    holes = Column(np.where(missing, np.nan, low), np.where(missing, np.nan, high))
    assert_same(book, replace(asked, numbers={"air_temp": holes}))


def shipped_book() -> Rulebook:
    files = sorted(shipped("rules").glob("*.rules"))
    return read_rulebook([RuleFile(file.name, file.read_text(encoding="utf-8")) for file in files])


def made_up(days: int, unknown: float) -> Table:
    """All facts, anywhere in their ranges, of which a share is unknown."""
    rng = np.random.default_rng(days)

    def column(low: float, high: float) -> Column:
        values = rng.uniform(low, min(high, low + 60), days)
        values[rng.random(days) < unknown] = np.nan
        return Column.of(values)

    def word(count: int) -> Words:
        codes = rng.integers(0, count, days)
        return Words(np.where(rng.random(days) < unknown, UNKNOWN_WORD, codes).astype(np.int8))

    soil = column(0, 25)
    return Table(
        [date(2026, 1, 1) + timedelta(n) for n in range(days)],
        {n: column(f.low, f.high) for n, f in FACTS.items() if f.kind and not f.depths},
        lambda _name, _depth: soil,
        {name: word(len(fact.words)) for name, fact in FACTS.items() if fact.words},
        {task: column(0, 200) for task in SINCE},
        days // 2,
        days,
    )


@pytest.mark.parametrize("unknown", [0.0, 0.1, 1.0])
def test_the_shipped_rulebook_on_a_year(unknown: float) -> None:
    book = shipped_book()
    days = {name: rule for name, rule in book.rules.items() if not rule.hourly}
    assert_same(replace(book, rules=days), made_up(365, unknown))


def test_a_book_is_laid_out_once_and_equal_parts_have_one_row() -> None:
    book = shipped_book()
    program = program_of(book)
    assert program_of(book) is program
    tests = [
        test
        for rule in book.rules.values()
        if not rule.hourly
        for condition in rule.conditions
        for test in condition.test.tests
    ]
    spells = {n for test in tests for n in within(test) if isinstance(n, Spell)}
    facts = {n for test in tests for n in within(test) if isinstance(n, FactValue | Since)}
    assert len(program.leaves) == len(facts)
    assert program.numbers >= len(spells) + len(facts)
    assert len(set(program.row_of.values())) == program.numbers


def test_a_rule_of_another_book_is_asked_by_itself() -> None:
    text = "notes r for x\n while rain more than 1 mm\n says x\n source y"
    one, other = (read_rulebook([RuleFile("a", text)]) for _ in range(2))
    asked = table({"rain": [(2.0, 2.0)] * 3}, days=3)
    assert Evaluator(one, asked, "us").says(other.rules["r"]).yes.all()

"""What rules say: against a slow evaluator of single days, and against every way to fill gaps."""

from __future__ import annotations

import math
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.conditions.table import Column, Table, Words
from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.book import Rulebook, RuleFile
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.read import read_rulebook
from advisor.rulebook.tree import (
    Added,
    Between,
    Compare,
    Constant,
    Count,
    Either,
    FactValue,
    Function,
    Is,
    More,
    Not,
    Number,
    Scaled,
    Since,
    Spell,
    Test,
    Window,
)
from advisor.series.quantity import Kind

NO_BOOK = Rulebook({}, {}, (), ())
DAYS = 9
Bounds = tuple[float, float]


def table(
    numbers: dict[str, list[Bounds]] | None = None,
    words: dict[str, list[int]] | None = None,
    since: dict[str, list[Bounds]] | None = None,
    days: int = DAYS,
) -> Table:
    """A table from bounds a day; `soil_temp` is the same at every depth."""

    def column(bounds: list[Bounds]) -> Column:
        return Column(np.array([b[0] for b in bounds]), np.array([b[1] for b in bounds]))

    columns = {name: column(bounds) for name, bounds in (numbers or {}).items()}
    return Table(
        days=[date(2026, 3, 1) + timedelta(n) for n in range(days)],
        numbers=columns,
        at_depth=lambda name, _depth: columns[name],
        words={
            name: Words(np.array(codes, dtype=np.int8)) for name, codes in (words or {}).items()
        },
        since={task: column(bounds) for task, bounds in (since or {}).items()},
        today=days // 2,
        forecast_end=days,
    )


# A slow reference: one day at a time, plain floats.

UNKNOWN = (-math.inf, math.inf)


class Reference:
    """Evaluates a tree for one day by the words of the language, without arrays."""

    def __init__(self, numbers: dict[str, list[Bounds]], words: dict[str, list[int]]) -> None:
        self.numbers, self.words = numbers, words

    def number(self, node: Number, day: int) -> Bounds:
        if isinstance(node, Constant):
            return node.value, node.value
        if isinstance(node, FactValue):
            known = self.numbers.get(node.name, [])
            return known[day] if 0 <= day < len(known) else UNKNOWN
        if isinstance(node, Since):
            return UNKNOWN
        if isinstance(node, Added):
            a, b = self.number(node.left, day), self.number(node.right, day)
            return (a[0] - b[1], a[1] - b[0]) if node.minus else (a[0] + b[0], a[1] + b[1])
        if isinstance(node, Scaled):
            a, factor = self.number(node.left, day), self.number(node.right, day)[0]
            factor = 1 / factor if node.divided else factor
            ends = [0.0 if factor == 0 else end * factor for end in a]
            return min(ends), max(ends)
        around = range(day + node.window.first, day + node.window.last + 1)
        if isinstance(node, Count):
            said = [self.test(node.test, d) if 0 <= d < DAYS else None for d in around]
            return float(said.count(True)), float(len(said) - said.count(False))
        return self.spell(node, [self.number(node.fact, d) for d in around])

    def spell(self, node: Spell, seen: list[Bounds]) -> Bounds:
        if node.function is Function.MEAN:
            exact = [low for low, high in seen if low == high]
            if len(exact) / len(seen) < 0.8 - 1e-12:
                return UNKNOWN
            return (sum(exact) / len(exact),) * 2
        if node.function is Function.RISE:
            return seen[-1][0] - seen[0][1], seen[-1][1] - seen[0][0]
        word = FACTS[node.fact.name]
        lows = [word.low if low == -math.inf else low for low, _ in seen]
        highs = [word.high if high == math.inf else high for _, high in seen]
        combine = {Function.TOTAL: sum, Function.LOWEST: min, Function.HIGHEST: max}
        return combine[node.function](lows), combine[node.function](highs)

    def test(self, test: Test, day: int) -> bool | None:
        if isinstance(test, Not):
            inner = self.test(test.test, day)
            return None if inner is None else not inner
        if isinstance(test, Either):
            said = [self.test(part, day) for part in test.tests]
            return True if True in said else None if None in said else False
        if isinstance(test, Is):
            code = self.words[test.fact][day] if test.fact in self.words else -1
            return None if code < 0 else code in test.codes
        if isinstance(test, Between):
            above = self.compare(test.value, More.AT_LEAST, test.low, day)
            below = self.compare(test.value, More.AT_MOST, test.high, day)
            return False if False in (above, below) else None if None in (above, below) else True
        return self.compare(test.left, test.more, test.right, day)

    def compare(self, left: Number, more: More, right: Number, day: int) -> bool | None:
        """By all corners of the two intervals: settled where they agree."""
        corners = set()
        for a in self.number(left, day):
            for b in self.number(right, day):
                gap = 0.0 if a == b else a - b
                corners.add(
                    {
                        More.AT_LEAST: gap >= -1e-9,
                        More.AT_MOST: gap <= 1e-9,
                        More.MORE_THAN: gap > 1e-9,
                        More.LESS_THAN: gap < -1e-9,
                    }[more]
                )
        return corners.pop() if len(corners) == 1 else None


TEMP = FactValue("air_temp", Kind.TEMPERATURE)
RAIN = FactValue("rain", Kind.WATER)
whole = st.integers(-10, 20).map(float)
windows = st.tuples(st.integers(-4, 3), st.integers(1, 6)).map(
    lambda pair: Window(pair[0], pair[0] + pair[1] - 1)
)


def constant(value: float) -> Constant:
    return Constant(value, Kind.NUMBER)


facts = st.sampled_from([TEMP, RAIN])
spells = st.builds(
    lambda function, fact, window: Spell(function, fact, window, fact.kind),
    st.sampled_from(Function),
    facts,
    windows,
)


def grown(numbers: st.SearchStrategy[Number]) -> st.SearchStrategy[Number]:
    scale = st.sampled_from([-2.0, 0.0, 0.5, 1.0, 4.0]).map(constant)
    return st.one_of(
        st.builds(lambda a, b, m: Added(a, b, m, Kind.NUMBER), numbers, numbers, st.booleans()),
        st.builds(lambda a, b: Scaled(a, b, False, Kind.NUMBER), numbers, scale),
        st.builds(lambda a: Scaled(a, constant(4.0), True, Kind.NUMBER), numbers),
    )


numbers_of = st.recursive(st.one_of(facts, spells, whole.map(constant)), grown, max_leaves=4)
words_of = st.sets(st.integers(0, 5), min_size=1, max_size=5).map(
    lambda codes: Is("grass", ("x",) * len(codes), tuple(sorted(codes)))
)
plain_tests = st.one_of(
    st.builds(Compare, numbers_of, st.sampled_from(More), numbers_of),
    st.builds(Between, numbers_of, whole.map(constant), whole.map(constant)),
    words_of,
)


def wider(tests: st.SearchStrategy[Test]) -> st.SearchStrategy[Test]:
    counts = st.builds(Count, tests, windows)
    return st.one_of(
        tests.map(Not),
        st.lists(tests, min_size=1, max_size=3).map(lambda parts: Either(tuple(parts))),
        st.builds(
            lambda count, more, n: Compare(count, more, constant(float(n))),
            counts,
            st.sampled_from(More),
            st.integers(0, 6),
        ),
    )


tests_of = st.recursive(plain_tests, wider, max_leaves=4)


def known_or_not(low: int, high: int) -> st.SearchStrategy[Bounds]:
    value = st.integers(low, high).map(float)
    bounded = st.tuples(value, value).map(lambda pair: (min(pair), max(pair)))
    return st.one_of(value.map(lambda v: (v, v)), st.just(UNKNOWN), bounded)


def week(values: st.SearchStrategy[Bounds]) -> st.SearchStrategy[list[Bounds]]:
    return st.lists(values, min_size=DAYS, max_size=DAYS)


codes_of = st.lists(st.integers(-1, 5), min_size=DAYS, max_size=DAYS)


@settings(max_examples=150, deadline=None)
@given(tests_of, week(known_or_not(-10, 20)), week(known_or_not(0, 20)), codes_of)
def test_arrays_say_what_a_slow_evaluator_of_single_days_says(
    test: Test, temps: list[Bounds], rains: list[Bounds], codes: list[int]
) -> None:
    """Random expressions on random days, with gaps and bounds, day by day."""
    numbers = {"air_temp": temps, "rain": rains}
    truth = Evaluator(NO_BOOK, table(numbers, {"grass": codes}), "us").truth(test)
    slow = Reference(numbers, {"grass": codes})
    for day in range(DAYS):
        said = slow.test(test, day)
        assert (bool(truth.yes[day]), bool(truth.no[day])) == (said is True, said is False)


def has_mean(test: Test) -> bool:
    return "MEAN" in repr(test)


@settings(max_examples=100, deadline=None)
@given(
    tests_of.filter(lambda t: not has_mean(t)),
    week(known_or_not(-10, 20)),
    week(known_or_not(0, 20)),
    codes_of,
    st.data(),
)
def test_nothing_that_turns_out_overturns_an_answer(
    test: Test,
    temps: list[Bounds],
    rains: list[Bounds],
    codes: list[int],
    data: st.DataObject,
) -> None:
    """Fill every gap in any way: what was answered stays. (A mean may skip one day of five.)"""
    before = Evaluator(
        NO_BOOK, table({"air_temp": temps, "rain": rains}, {"grass": codes}), "us"
    ).truth(test)

    def fill(bounds: Bounds, name: str) -> Bounds:
        low, high = max(bounds[0], FACTS[name].low), min(bounds[1], FACTS[name].high)
        value = data.draw(st.integers(math.ceil(low), math.floor(high)))
        return float(value), float(value)

    numbers = {
        "air_temp": [fill(b, "air_temp") for b in temps],
        "rain": [fill(b, "rain") for b in rains],
    }
    words = [data.draw(st.integers(0, 5)) if code < 0 else code for code in codes]
    after = Evaluator(NO_BOOK, table(numbers, {"grass": words}), "us").truth(test)
    assert not np.any(before.yes & after.no)
    assert not np.any(before.no & after.yes)
    assert not np.any(before.yes & before.no)


@settings(max_examples=50, deadline=None)
@given(tests_of, week(known_or_not(-10, 20)), week(known_or_not(0, 20)), codes_of)
def test_many_lawns_at_once_say_what_each_says_alone(
    test: Test, temps: list[Bounds], rains: list[Bounds], codes: list[int]
) -> None:
    """A leading axis of lawns changes nothing."""
    alone = Evaluator(NO_BOOK, table({"air_temp": temps, "rain": rains}, {"grass": codes}), "us")
    two = table({"air_temp": temps, "rain": rains}, {"grass": codes})
    low, high = two.numbers["air_temp"].low, two.numbers["air_temp"].high
    stacked = Column(np.stack([low, low]), np.stack([high, high]))
    both = Evaluator(
        NO_BOOK,
        Table(
            two.days,
            {**two.numbers, "air_temp": stacked},
            two.at_depth,
            two.words,
            two.since,
            two.today,
            two.forecast_end,
        ),
        "us",
    )
    expected, found = alone.truth(test), both.truth(test)
    assert np.array_equal(np.broadcast_to(found.yes, (2, DAYS)), np.stack([expected.yes] * 2))
    assert np.array_equal(np.broadcast_to(found.no, (2, DAYS)), np.stack([expected.no] * 2))


# Whole rules, from their text


def rules(*conditions: str, kind: str = "notes", task: str = "x") -> Rulebook:
    lines = "\n".join(f"  {line}" for line in conditions)
    book = read_rulebook([RuleFile("a", f"{kind} r for {task}\n{lines}\n  says x\n  source y")])
    assert book.problems == ()
    return book


def said(book: Rulebook, asked: Table) -> str:
    """One letter a day: y, n, or ? for unknown."""
    verdicts = Evaluator(book, asked, "us").says(book.rules["r"])
    return "".join(
        "y" if yes else "n" if no else "?"
        for yes, no in zip(verdicts.yes, verdicts.no, strict=True)
    )


def exact(*values: float | None) -> list[Bounds]:
    return [UNKNOWN if v is None else (v, v) for v in values]


@pytest.mark.parametrize("limit", [53.0, 60.0, 64.4])
def test_a_mean_of_its_own_limit_is_at_least_that_and_not_more(limit: float) -> None:
    """Five days of exactly the limit miss it by some 1e-15 in SI units."""
    soil = {"soil_temp": exact(*[(limit - 32) / 1.8] * 5)}
    warmth = "mean of soil_temp at 2 in over the 5 days to it"
    asked = table(soil, days=5)
    assert said(rules(f"while {warmth} at least {limit} F"), asked)[-1] == "y"
    assert said(rules(f"while {warmth} more than {limit} F"), asked)[-1] == "n"
    assert said(rules(f"while {warmth} less than {limit} F"), asked)[-1] == "n"
    assert said(rules(f"while {warmth} between 40 F and {limit} F"), asked)[-1] == "y"


def test_a_total_with_a_gap_is_settled_by_what_is_known() -> None:
    """15 mm known of 3 days: more than 10 mm whatever the gap brought; more than 20 mm unknown."""
    rain = {"rain": exact(15, None, 0)}
    total = "while total of rain over the 3 days to it more than"
    assert said(rules(f"{total} 10 mm"), table(rain, days=3)) == "yyy"
    assert said(rules(f"{total} 20 mm"), table(rain, days=3)) == "???"
    assert said(rules(f"{total} 1210 mm"), table(rain, days=3)) == "??n"


def test_a_mean_needs_four_of_five_days() -> None:
    mean = "while mean of air_temp over the 5 days to it more than 5 C"
    assert said(rules(mean), table({"air_temp": exact(9, 9, None, 9, 9, None)}, days=6)) == "????y?"


def test_a_fact_that_the_table_lacks_is_unknown_everywhere() -> None:
    empty = table(days=3)
    for test in ("rain more than 1 mm", "soil_temp at 2 in more than 5 C", "grass is active",
                 "days since feed more than 9 days"):  # fmt: skip
        assert said(rules(f"while {test}"), empty) == "???"


def test_unknown_shuts_a_window_makes_a_hold_hold_and_asks_for_no_water() -> None:
    """It comes down on a side only at the top: a `not` inside must not turn it into yes."""
    empty = table(days=2)
    opens = rules("while not rain more than 1 mm", kind="opens", task="feed")
    holds = rules("while not rain more than 1 mm", kind="holds", task="feed")
    waters = rules("while not rain more than 1 mm", kind="waters", task="watering")
    assert not Evaluator(opens, empty, "us").says(opens.rules["r"]).open.any()
    assert Evaluator(holds, empty, "us").says(holds.rules["r"]).held.all()
    assert not Evaluator(waters, empty, "us").says(waters.rules["r"]).yes.any()


def test_a_broken_hold_holds_on_every_day() -> None:
    book = read_rulebook([RuleFile("a", "holds r for feed\n while rian\n says x\n source y")])
    verdicts = Evaluator(book, table(days=4), "us").says(book.rules["r"])
    assert verdicts.held.tolist() == [True] * 4
    assert Evaluator(book, table(days=4), "us").explain(book.rules["r"], 1).verdict is None


def test_days_since_between_two_dates_is_settled_where_both_agree() -> None:
    """Perhaps done 10 days ago, else 100: more than 5 and not more than 120, but 30 is open."""
    since = {"feed": [(10.0, 100.0)]}
    found = [
        said(rules(f"while days since feed more than {n} days"), table(since=since, days=1))
        for n in (5, 30, 120)
    ]
    assert found == ["y", "?", "n"]


def test_a_false_spring_opens_one_window() -> None:
    """Soil crosses 50 F three times; with `once` the window stays until 60 F and then is over."""
    soil = [8, 11, 8, 11, 8, 12, 16, 11, 12]
    book = rules(
        "while daylight is lengthening",
        "once soil_temp at 2 in at least 50 F",
        "until soil_temp at 2 in more than 60 F",
        kind="opens",
        task="feed",
    )
    asked = table({"soil_temp": exact(*soil)}, {"daylight": [0] * 9}, days=9)
    assert said(book, asked) == "nyyyyynnn"


def test_without_once_until_shuts_in_the_same_way() -> None:
    book = rules(
        "while soil_temp at 2 in at least 50 F",
        "until soil_temp at 2 in more than 60 F",
        kind="opens",
        task="feed",
    )
    asked = table({"soil_temp": exact(8, 11, 8, 11, 16, 11, 11)}, days=7)
    assert said(book, asked) == "nynynnn"


def test_latches_of_many_lawns_are_walked_each_for_itself() -> None:
    book = rules(
        "while soil_temp at 2 in at least 50 F",
        "until soil_temp at 2 in more than 60 F",
        kind="opens",
        task="feed",
    )
    asked = table(days=4)
    soil = Column.of(np.array([[11.0, 16, 11, 11], [11, 11, 11, 16]]))
    many = Table(asked.days, {}, lambda _n, _d: soil, {}, {}, 2, 4)
    verdicts = Evaluator(book, many, "us").says(book.rules["r"])
    assert verdicts.open.tolist() == [[True, False, False, False], [True, True, True, False]]

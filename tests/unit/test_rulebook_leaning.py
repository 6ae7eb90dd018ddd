"""Rules that lean on facts which a lawn's days never tell, and what they do then."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.conditions.hours import HourFacts
from advisor.conditions.table import Column, Table, Words
from advisor.rulebook.book import Keyword, Rulebook, RuleFile, RuleKind
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.latch import PATIENCE
from advisor.rulebook.leaning import Grown, Lacking, Then, leaning
from advisor.rulebook.read import read_rulebook

DAYS = 10
AHEAD = 8
"""Index of the first day that the forecast does not reach."""

Bounds = tuple[float, float]
NOTHING = (-np.inf, np.inf)


def column(*days: Bounds) -> Column:
    rows = [*days, *[NOTHING] * (DAYS - len(days))]
    return Column(np.array([low for low, _ in rows]), np.array([high for _, high in rows]))


def known(value: float, day: int = 3) -> Column:
    """Known on one day alone."""
    return column(*[NOTHING] * day, (value, value))


def table(
    numbers: Mapping[str, Column] = {},
    words: Mapping[str, int] = {},
    since: Mapping[str, Column] = {},
    soil: Mapping[float, Column] = {},
    forecast_end: int = AHEAD,
) -> Table:
    codes = {name: np.full(DAYS, -1, dtype=np.int8) for name in words}
    for name, code in words.items():
        codes[name][2] = code
    return Table(
        [date(2025, 4, 1) + timedelta(n) for n in range(DAYS)],
        numbers,
        lambda _name, depth: soil[depth],
        {name: Words(array) for name, array in codes.items()},
        since,
        2,
        forecast_end,
    )


def book(*rules: str) -> Rulebook:
    text = "\n".join(f"{rule}\n  says x\n  source y" for rule in rules)
    found = read_rulebook([RuleFile("a.rules", text)])
    assert found.problems == ()
    return found


def lean(asked: Table, *rules: str, units: str = "us") -> tuple[Lacking, ...]:
    lawn = Grown("front", "tall-fescue", "cool-season", asked)
    return leaning(book(*rules), [lawn], units)


def facts(asked: Table, *rules: str) -> list[str]:
    return [lacking.fact for lacking in lean(asked, *rules)]


# What is lacking


def test_a_fact_that_is_known_on_one_day_is_not_lacking() -> None:
    rule = "notes n for x\n while wind more than 3 mph"
    assert facts(table({"wind": known(2.0)}), rule) == []
    assert facts(table({"wind": column()}), rule) == ["wind"]
    assert facts(table(), rule) == ["wind"]


def test_what_is_known_only_beyond_the_forecast_is_lacking() -> None:
    rule = "notes n for x\n while wind more than 3 mph"
    assert facts(table({"wind": known(2.0, AHEAD)}), rule) == ["wind"]
    assert facts(table({"wind": known(2.0, AHEAD - 1)}), rule) == []


def test_a_bound_tells_something_and_the_fact_s_own_range_nothing() -> None:
    """Rain lies between 0 and 600 mm whatever is known."""
    rule = "notes n for x\n while total of rain over the 2 days to it more than 3 mm"
    assert facts(table({"rain": column((0.0, 600.0))}), rule) == ["rain"]
    assert facts(table({"rain": column((1.0, 600.0))}), rule) == []


def test_days_since_are_told_by_a_journal_that_begins() -> None:
    """Before its first line nothing is known: from then on it is so many days at least."""
    rule = "notes n for x\n while days since feed more than 3 days"
    assert facts(table(since={"feed": column((0.0, np.inf))}), rule) == ["days since feed"]
    assert facts(table(since={"feed": column((5.0, np.inf))}), rule) == []
    assert facts(table(), rule) == ["days since feed"]


def test_words_that_are_never_known_are_lacking() -> None:
    rule = "notes n for x\n while soil is frozen / dry"
    assert facts(table(words={"soil": -1}), rule) == ["soil"]
    assert facts(table(words={"soil": 0}), rule) == []


def test_each_depth_is_a_fact_of_its_own_in_the_owner_s_units() -> None:
    rule = "notes n for x\n while soil_temp at 2 in more than soil_temp at 4 in"
    asked = table(soil={0.0508: column(), 0.1016: known(9.0)})
    assert facts(asked, rule) == ["soil_temp at 2 in"]
    (lacking,) = lean(asked, rule, units="metric")
    assert lacking.fact == "soil_temp at 5.08 cm"


def test_frost_is_lacking_only_where_no_half_of_the_year_has_it() -> None:
    """In spring nothing tells of autumn's frost, though past years are there."""
    rule = "notes n for x\n while autumn_frost more than 50%"
    assert facts(table({"spring_frost": known(0.5)}), rule) == []
    assert facts(table(), rule) == ["autumn_frost"]


def test_a_stage_is_lacking_only_where_a_whole_year_does_not_tell_it() -> None:
    """Annual bluegrass sprouts in autumn; in spring nobody knows yet."""
    rule = "notes n for x\n while crabgrass_by_soil is major\n and cool_seeding is open"
    assert facts(table(), rule) == []
    year = [date(2025, 1, 1) + timedelta(n) for n in range(370)]
    codes = np.full(370, -1, dtype=np.int8)
    asked = replace(table(), days=year, words={"cool_seeding": Words(codes)}, forecast_end=365)
    assert facts(asked, rule) == ["crabgrass_by_soil", "cool_seeding"]


def test_a_table_of_a_few_days_tells_of_nothing() -> None:
    assert facts(table(forecast_end=6), "notes n for x\n while wind more than 3 mph") == []


def test_rules_for_another_grass_and_by_the_hour_are_left_out() -> None:
    other = "notes n for x\n on warm-season\n while wind more than 3 mph"
    hourly = "holds n for feed hour by hour\n while wind more than 3 mph"
    assert facts(table(), other) == []
    assert facts(table(), hourly) == []


# What a rule does then


@pytest.mark.parametrize(
    ("rule", "then"),
    [
        ("opens r for feed\n while wind more than 3 mph", Then.SHUT),
        ("opens r for feed\n while growth more than 0.2\n and wind more than 3 mph", Then.SHUT),
        ("opens r for feed\n while growth more than 0.2 or wind more than 3 mph", Then.OTHERS),
        ("opens r for feed\n while growth more than 0.2\n once wind more than 3 mph", Then.SHUT),
        ("opens r for feed\n while growth more than 0.2\n until wind more than 3 mph", Then.SHUT),
        (
            "opens r for feed\n while growth more than 0.2\n"
            " until growth more than 0.9 or wind more than 3 mph",
            Then.SHUT,
        ),
        ("holds r for feed\n while wind more than 3 mph", Then.HOLDS),
        ("holds r for feed\n while growth more than 0.2\n and wind more than 3 mph", Then.OTHERS),
        ("holds r for feed\n while growth more than 0.2 or wind more than 3 mph", Then.HOLDS),
        ("holds r for feed\n while not wind more than 3 mph", Then.HOLDS),
        ("holds r for watering\n while wind more than 3 mph", Then.NEITHER),
        ("waters r for watering\n while wind more than 3 mph", Then.NEITHER),
        ("notes r for x\n while wind more than 3 mph", Then.SILENT),
        (
            "notes r for x\n while number of days with (wind more than 3 mph) over the 3 days to it"
            " at least 1 day",
            Then.SILENT,
        ),
    ],
)
def test_what_a_rule_does_without_wind(rule: str, then: Then) -> None:
    asked = table({"growth": known(0.5)})
    assert [dict(lacking.rules) for lacking in lean(asked, rule)] == [{"r": then}]


SIDES = ["wind more than 3 mph", "not wind more than 3 mph", "growth more than 0.5",
         "not growth more than 0.5", "wind plus gust more than 8 mph", "soil is dry",
         "mean of gust over the 2 days to it more than 3 mph",
         "number of days with (not gust more than 3 mph) over the 3 days to it"
         " at least 2 days"]  # fmt: skip
LINES = st.lists(st.sampled_from(SIDES), min_size=1, max_size=3, unique=True).map(" or ".join)
FRACTIONS = st.lists(st.floats(0, 1), min_size=DAYS, max_size=DAYS)


def ended(rules: Rulebook, asked: Table, day: int) -> bool:
    """Whether it was told shortly before a day that the window is at its end."""
    until = Evaluator(rules, asked, "us").under(rules.rules["r"], Keyword.UNTIL)
    return bool(np.any(until.yes[day - PATIENCE : day]))


@given(
    head=st.sampled_from(
        ["opens r for feed", "holds r for feed", "waters r for watering", "notes r for x"]
    ),
    lines=st.lists(LINES, min_size=1, max_size=3),
    until=st.none() | LINES,
    growth=FRACTIONS,
    gust=st.none() | FRACTIONS,
    soil=st.sampled_from([-1, 0, 3]),
)
def test_what_is_said_of_a_rule_is_what_it_does(
    head: str,
    lines: Sequence[str],
    until: str | None,
    growth: list[float],
    gust: list[float] | None,
    soil: int,
) -> None:
    """Whatever the other facts are, on every day, by the evaluator."""
    text = f"{head}\n while " + "\n and ".join(lines)
    if until is not None and head.startswith("opens"):
        text += f"\n until {until}"
    numbers = {"growth": column(*((v, v) for v in growth))}
    if gust is not None:
        numbers["gust"] = column(*((10 * v, 10 * v) for v in gust))
    asked = table(numbers, {"soil": soil})
    rules = read_rulebook([RuleFile("a.rules", f"{text}\n says x\n source y")])
    assume(not rules.problems)  # lines that contradict each other are refused
    (rule,) = rules.rules.values()
    says = Evaluator(rules, asked, "us").says(rule)
    for lacking in leaning(rules, [Grown("a", "tall-fescue", "cool-season", asked)], "us"):
        then = lacking.rules["r"]
        if then is Then.HOLDS:
            assert bool(np.all(says.held))
        elif then is not Then.OTHERS:
            open_days = [day for day in range(DAYS) if says.yes[day]]
            # a latch does for a few days without `until`, once that was told or the table begins
            assert all(day < PATIENCE or ended(rules, asked, day) for day in open_days)
            assert not open_days or until is not None
        if rule.kind is RuleKind.HOLDS:
            assert then in (Then.HOLDS, Then.OTHERS)


# How it is told


def test_rules_stand_by_what_they_do_and_lawns_by_name() -> None:
    rules = book(
        "opens a for feed\n while wind more than 3 mph",
        "holds b for feed\n while wind more than 9 mph",
        "opens c for feed\n on warm-season\n while wind more than 4 mph",
        "notes d for x\n while gust more than 4 mph",
    )
    lawns = [
        Grown("front", "tall-fescue", "cool-season", table({"gust": known(1.0)})),
        Grown("back", "zoysiagrass", "warm-season", table()),
        Grown("side", "zoysiagrass", "warm-season", table({"gust": known(1.0)})),
    ]
    wind, gust = leaning(rules, lawns, "us")
    assert str(wind) == "wind is not known here on any day (lawns: front, back, side)"
    assert wind.then == ("Windows that stay shut: a, c. Holds that hold whatever they speak of: b.")
    assert str(gust) == "gust is not known here on any day (lawn: back)"
    assert gust.then == "Notes that stay silent: d."


def hours(**columns: Column) -> HourFacts:
    """Hours of which only what is given is known; the sun's height always is."""
    told = {"wind": column(), "gust": column(), "rain": column(), **columns}
    nothing = Words(np.full(DAYS, -1, dtype=np.int8))
    words = {"leaf": nothing, "inversion": nothing, "sun": Words(np.zeros(DAYS, dtype=np.int8))}
    zero = np.zeros(DAYS, dtype=np.int64)
    return HourFacts([datetime(2025, 4, 1, tzinfo=UTC)] * DAYS, zero, zero, told, words)


@pytest.mark.parametrize(
    ("condition", "fact", "then"),
    [
        ("wind more than 3 mph", "", None),
        ("gust more than 3 mph", "gust", Then.HOLDS),
        ("leaf is wet", "leaf", Then.HOLDS),
        ("sun is up", "", None),
        ("wind more than 3 mph\n  and gust more than 5 mph", "gust", Then.OTHERS),
        ("air_max at least 5 C", "air_max", Then.HOLDS),
        ("total of gust over the 3 hours to it at least 5 mph".replace("total", "mean"), "gust",
         Then.HOLDS),
    ],
)  # fmt: skip
def test_an_hour_rule_leans_on_hours_and_else_on_days(
    condition: str, fact: str, then: Then | None
) -> None:
    rule = f"holds r for spray hour by hour\n  while {condition}"
    lawn = Grown("front", "tall-fescue", "cool-season", table(), hours(wind=known(3.0)))
    found = leaning(book(rule), [lawn], "us")
    assert [(lacking.fact, lacking.rules["r"]) for lacking in found] == (
        [(fact, then)] if fact else []
    )


def test_without_hours_nothing_is_said_of_hour_rules() -> None:
    assert lean(table(), "holds r for spray hour by hour\n  while leaf is wet") == ()

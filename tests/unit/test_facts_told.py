"""The vocabulary in words, in order and in both systems; and each fact's value of today."""

from __future__ import annotations

import pytest
from plan_cases import GENEROUS, NOW, book, files, given, lawn, opens, weather

from advisor.conditions.themes import THEMES, by_theme
from advisor.conditions.told import depths_text, kind_text, range_text, remarks
from advisor.conditions.vocabulary import FACTS, SINCE
from advisor.digest.vocabulary import render_facts
from advisor.digest.words import columns
from advisor.plan.asked import views
from advisor.plan.facts_today import Today, facts_today
from advisor.site.load import SiteFiles


def test_each_fact_has_its_theme_and_only_one() -> None:
    named = [name for names in THEMES.values() for name in names]
    assert sorted(named) == sorted(FACTS)


def test_the_journal_stands_before_the_law_and_has_all_it_records() -> None:
    found = by_theme()
    assert list(found)[-2:] == ["journal", "law"]
    assert [fact.name for fact in found["journal"]] == [f"days since {name}" for name in SINCE]


@pytest.mark.parametrize(
    ("name", "units", "text"),
    [
        ("air_temp", "us", "-76 °F to 140 °F"),
        ("air_temp", "metric", "-60.0 °C to 60.0 °C"),
        ("air_temp", None, "-76 °F to 140 °F (-60.0 °C to 60.0 °C)"),
        ("humidity", None, "0 % to 100 %"),
        ("daylight_hours", "us", "0 hours to 24 hours"),
        ("leaf_wetness", "us", "0 hours to 25 hours"),
        ("days_to_frost", "us", "0 days to 400 days"),
        ("grass", "us", ""),
    ],
)
def test_between_which_values_a_fact_lies(name: str, units: str | None, text: str) -> None:
    """By the vocabulary's own bounds."""
    assert range_text(FACTS[name], units) == text


def test_what_else_is_told_of_a_fact() -> None:
    assert kind_text(FACTS["rain"]) == "depth of water"
    assert kind_text(FACTS["irrigation"]) == "one of sprinklers, none"
    assert depths_text(FACTS["soil_temp"], "metric") == "at 2 cm to 30 cm"
    assert depths_text(FACTS["soil_temp"], None) == "at 0.8 in to 11.8 in (2 cm to 30 cm)"
    assert depths_text(FACTS["rain"], None) == ""
    assert remarks(FACTS["rain"]) == [
        "Hour by hour: rain and melted snow of the hour",
        "May be added up over days",
    ]
    assert remarks(FACTS["sun"]) == ["For hour rules only"]
    assert remarks(FACTS["depletion"]) == ["Changed by watering while a plan is made"]


def test_the_text_names_every_fact_and_keeps_its_width() -> None:
    lines = render_facts(None).splitlines()
    heads = {line.partition(":")[0] for line in lines if line and line[0] != " "}
    assert heads >= {*FACTS, *(f"days since {name}" for name in SINCE)}
    assert max(columns(line) for line in lines) <= 80


def today(
    read: SiteFiles | None = None, rules: str = "", **columns: float | None
) -> dict[str, tuple[Today, ...]]:
    made = given(read or files(), book(rules or opens()), weather(**columns))
    return dict(facts_today(views(made, NOW)))


def test_a_value_has_its_bounds_and_its_origin() -> None:
    """4 m/s are 8.9 mph."""
    (gust,) = today(gust=4.0)["gust"]
    assert (gust.value, gust.origin) == ("9 mph", "forecast of made-up weather")
    assert gust.low == gust.high == pytest.approx(4.0)


def test_what_is_not_known_is_said_to_be() -> None:
    found = today(gust=None)
    for name in ("gust", "phosphorus_test", "grass_height"):
        (value,) = found[name]
        assert (value.value, value.origin, value.low, value.high) == ("unknown", "", None, None)


def test_a_bound_is_told_as_one() -> None:
    """The journal began on 1 January, 132 days ago, and knows no lime."""
    (lime,) = today()["days since lime"]
    assert (lime.value, lime.low, lime.high) == ("at least 132 days", 132, None)


def test_soil_is_told_at_the_depths_that_rules_read() -> None:
    deep = "holds a for feed\n while soil_temp at 3 in less than 2 C\n says A.\n source made up"
    assert [value.depth for value in today(rules=deep)["soil_temp"]] == ["3 in"]
    assert [value.depth for value in today()["soil_temp"]] == ["2 in", "4 in"]


def test_every_day_fact_is_told_and_no_hour_fact() -> None:
    found = today()
    assert set(found) == {
        *(name for name, fact in FACTS.items() if fact.daily),
        *(f"days since {name}" for name in SINCE),
    }


def test_lawns_with_the_same_value_share_a_line() -> None:
    two = files(
        lawn(more=GENEROUS + '\nmown_at = "3 in"'),
        lawn("back", grass="bermudagrass", more=GENEROUS),
    )
    text = render_facts("us", today(two))
    assert "  Now: 9 mph on both lawns (forecast of made-up weather)." in text
    assert "  Now: 3.0 in on front" in text
    assert "on back" in text

"""What an owner's rules change: which rules differ, and on which days they say otherwise."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from advisor.conditions.hours import HourFacts
from advisor.conditions.table import Column, Table
from advisor.rulebook.book import Rulebook, RuleFile
from advisor.rulebook.differs import Days, Why, changes, differences, runs
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.hours import HourEvaluator, by_the_hour
from advisor.rulebook.read import read_rulebook

DAYS, END = 10, 8
NAN = float("nan")

SHIPPED = """\
setting windy = 10 m/s
setting cold = 2 C

opens calm for feed
  while   gust at most $windy
  says    Calm, below {windy}.
  source  invented

holds frost for feed
  while   air_min less than $cold
  says    Frost.
  source  invented

notes damp for feed
  while   humidity more than 90%
  says    Damp.
  source  invented
"""

CALM = SHIPPED.split("\n\n")[1]


def book(own: str) -> Rulebook:
    return read_rulebook([RuleFile("a.rules", SHIPPED)], own=[RuleFile("my.rules", own)])


def no_hours(_asked: Evaluator) -> HourEvaluator:
    raise AssertionError("no rule here is asked by hours")


def table(**columns: list[float]) -> Table:
    """Days 8 and 9 lie beyond the forecast."""
    usual: dict[str, list[float]] = {
        "gust": [4, 8, 12, 12, 12, 8, 12, 4, 4, 4],
        "air_min": [3, 1, 1, 3, 5, 5, 5, 5, NAN, NAN],
        "humidity": [0.5] * DAYS,
    }
    numbers = {name: Column.of(np.array(v, float)) for name, v in (usual | columns).items()}
    return Table(
        days=[date(2026, 3, 1) + timedelta(n) for n in range(DAYS)],
        numbers=numbers,
        at_depth=lambda name, _depth: numbers[name],
        words={},
        since={},
        today=5,
        forecast_end=END,
    )


@pytest.mark.parametrize(
    ("own", "expected"),
    [
        ("", []),
        ("setting windy = 10 m/s", []),
        ("setting windy = 36 km/h", [("calm", Why.SETTING, ("windy",))]),
        ("setting cold = 3 C", [("frost", Why.SETTING, ("cold",))]),
        ("off frost", [("frost", Why.OFF, ())]),
        (CALM.replace("$windy", "9 m/s"), [("calm", Why.REPLACED, ())]),
        (CALM.replace("calm", "still"), [("still", Why.ADDED, ())]),
        (
            "off damp\n" + CALM + "\nsetting windy = 9 m/s",
            [("calm", Why.REPLACED, ("windy",)), ("damp", Why.OFF, ())],
        ),
    ],
)
def test_a_rule_that_is_not_the_shipped_one_is_found(
    own: str, expected: list[tuple[str, Why, tuple[str, ...]]]
) -> None:
    """With the reason; an owner's setting that is the shipped one changes nothing."""
    found = changes(book(""), book(own))
    assert [(change.name, change.why, change.settings) for change in found] == expected


def days(*yes: tuple[int, int], unknown: tuple[tuple[int, int], ...] = ()) -> Days:
    return Days(yes, unknown)


@pytest.mark.parametrize(
    ("own", "shipped", "changed"),
    [
        ("setting windy = 5 m/s", days((0, 1), (5, 5), (7, 7)), days((0, 0), (7, 7))),
        ("setting windy = 20 m/s", days((0, 1), (5, 5), (7, 7)), days((0, 7))),
        ("setting cold = 1 C", days((1, 2)), days()),
        ("off frost", days((1, 2)), None),
        ("holds gale for feed\n while gust more than 10 m/s\n says G.\n source i", None,
         days((2, 4), (6, 6))),
    ],
)  # fmt: skip
def test_the_days_before_and_after(own: str, shipped: Days | None, changed: Days | None) -> None:
    """Up to the end of the forecast, read off the made-up gusts and frosts by eye."""
    (found,) = differences(book(""), book(own), table(), lambda _rule: True, no_hours)
    assert (found.shipped, found.own) == (shipped, changed)


def test_what_cannot_be_told_stands_apart() -> None:
    """From the first day that is known on: before it there was no weather to look at."""
    gaps = table(air_min=[NAN, NAN, 3, 1, NAN, 3, 3, NAN, NAN, NAN])
    (found,) = differences(book(""), book("setting cold = 0 C"), gaps, lambda _rule: True, no_hours)
    assert found.shipped == days((3, 3), unknown=((4, 4), (7, 7)))
    assert found.own == days(unknown=((4, 4), (7, 7)))


def test_a_rule_of_which_nothing_can_be_told_is_unknown_throughout() -> None:
    nothing = table(air_min=[NAN] * DAYS)
    (found,) = differences(
        book(""), book("setting cold = 0 C"), nothing, lambda _rule: True, no_hours
    )
    assert found.own == days(unknown=((0, END - 1),))


def test_a_rule_for_other_grass_is_left_out() -> None:
    own = book("setting cold = 0 C\nsetting windy = 9 m/s")
    found = differences(book(""), own, table(), lambda rule: rule.name == "calm", no_hours)
    assert [difference.change.name for difference in found] == ["calm"]


@pytest.mark.parametrize(
    ("marked", "expected"),
    [
        ("", ()),
        ("....", ()),
        ("####", ((0, 3),)),
        ("#..#", ((0, 0), (3, 3))),
        (".##.#", ((1, 2), (4, 4))),
    ],
)
def test_stretches_of_days(marked: str, expected: tuple[tuple[int, int], ...]) -> None:
    assert runs(np.array([sign == "#" for sign in marked], dtype=bool)) == expected


def test_an_hour_rule_is_compared_by_the_hours_to_come() -> None:
    """Wind of 6, 8, 10, ... m/s over eight hours, of which the first is over."""
    rule = (
        "setting gale = 11 m/s\n\nholds drift for spray hour by hour\n"
        "  while wind more than $gale\n"
        "  says It blows.\n  source invented\n"
    )
    own = [RuleFile("my.rules", "setting gale = 9 m/s")]
    before = read_rulebook([RuleFile("a.rules", rule)])
    after = read_rulebook([RuleFile("a.rules", rule)], own=own)
    start = datetime(2026, 3, 6, tzinfo=UTC)
    facts = HourFacts(
        [start + timedelta(hours=n) for n in range(8)],
        np.full(8, 5),
        np.arange(8),
        {"wind": Column.of(np.arange(6.0, 22.0, 2.0))},
        {},
    )

    def hourly(asked: Evaluator) -> HourEvaluator:
        return by_the_hour(asked, facts, ZoneInfo("UTC"), 1)

    (found,) = differences(before, after, table(), lambda _rule: True, hourly)
    assert (found.shipped, found.own) == (None, None)
    assert (found.shipped_hours, found.own_hours) == (5, 6)

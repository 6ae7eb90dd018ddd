"""What a window is without its journal: which conditions are left out, and what they wanted."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from plan_cases import book

from advisor.conditions.table import Column, Table
from advisor.plan.weather_alone import LONG_AGO, alone, alone_name, book_alone, journal_runs_on
from advisor.rulebook.book import Rule, RuleKind
from advisor.service.folders import shipped_book


def rule(*conditions: str) -> Rule:
    lines = "\n  and     ".join(conditions)
    text = f"opens spell for feed\n  while   {lines}\n  says    It.\n  source  made up\n"
    return book(text).rules["spell"]


@pytest.mark.parametrize(
    ("condition", "wants"),
    [
        ("days since pale at most 21 days", ("pale",)),
        ("days since pale less than 21 days", ("pale",)),
        ("days since pale between 2 days and 21 days", ("pale",)),
        ("21 days at least days since pale", ("pale",)),
        ("days since pale less than days since green", ("pale",)),
        ("days since aeration more than days since thatch", ("thatch",)),
        ("not days since pale more than 21 days", ("pale",)),
    ],
)
def test_what_asks_for_something_lately_is_left_out(condition: str, wants: tuple[str, ...]) -> None:
    found = alone(rule("air_max at least 20 C", condition))
    assert found is not None
    assert found.wants == wants and found.after is None
    assert [c.text for c in found.rule.conditions] == ["air_max at least 20 C"]


@pytest.mark.parametrize(
    "condition",
    ["days since feed more than 30 days", "days since grubs at least 1 days", "rain at most 1 mm"],
)
def test_what_time_or_weather_brings_stays(condition: str) -> None:
    found = alone(rule("air_max at least 20 C", condition))
    assert found is not None
    assert len(found.rule.conditions) == 2 and found.wants == ()


def test_a_second_half_follows_its_own_task() -> None:
    found = alone(rule("air_max at least 20 C", "days since feed between 42 days and 63 days"))
    assert found is not None and found.after == (42, 63) and found.wants == ()


@pytest.mark.parametrize(
    "conditions",
    [
        ("days since pale at most 21 days",),
        ("lime_test is needed", "days since lime more than 9 days"),
    ],
)
def test_without_weather_it_is_no_window(conditions: tuple[str, ...]) -> None:
    assert alone(rule(*conditions)) is None


def test_the_shipped_book_is_asked_whole() -> None:
    """Each window with weather in it is there; each day hold is there; notes are not."""
    shipped = shipped_book()
    asked, windows = book_alone(shipped)
    assert "spring-barrier" in windows and windows["spring-barrier"].wants == ()
    assert windows["spring-barrier-second"].after == (42, 63)
    assert windows["overseed-thin"].wants == ("thin",)
    assert alone_name("overseed-thin") in asked.rules
    assert alone_name("spring-barrier") not in asked.rules
    holds = {n for n, r in shipped.rules.items() if r.kind is RuleKind.HOLDS and not r.hourly}
    assert holds <= set(asked.rules)
    assert not any(r.kind is RuleKind.NOTES for r in asked.rules.values())


def table(low: float, high: float) -> Table:
    column = Column(np.array([low]), np.array([high]))
    return Table([date(2026, 1, 1)], {}, lambda *_: column, {}, {"feed": column}, 0, 1)


def test_days_since_goes_by_what_is_sure() -> None:
    known = journal_runs_on(table(3.0, 90.0)).since["feed"]
    assert known.low.tolist() == known.high.tolist() == [90.0]


def test_what_was_never_done_is_long_ago() -> None:
    known = journal_runs_on(table(3.0, np.inf)).since["feed"]
    assert known.low.tolist() == known.high.tolist() == [LONG_AGO]


def test_what_was_perhaps_done_counts_as_done() -> None:
    known = journal_runs_on(table(3.0, np.inf), {"feed"}).since["feed"]
    assert known.low.tolist() == known.high.tolist() == [3.0]

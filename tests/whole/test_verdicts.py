"""The digests agree, cell by cell, with verdicts.txt: what was written down before any rule.

Four of its cells were judged again later; its head says which, and why.
"""

from __future__ import annotations

from datetime import date
from functools import lru_cache
from pathlib import Path

import pytest
from demo_year import decide_on

from advisor.plan.model import Plan, Verdict
from advisor.store.database import Store

TABLE = Path(__file__).with_name("verdicts.txt")


def _cells() -> list[tuple[str, str, str, str]]:
    cells = []
    for line in TABLE.read_text(encoding="utf-8").splitlines():
        if line.strip() and not line.startswith("#"):
            day, lawn, task, verdict, reason, source = (part.strip() for part in line.split("|"))
            assert reason and source, f"a cell without its reason or source: {line}"
            cells.append((day, lawn, task, verdict))
    return cells


CELLS = _cells()


@lru_cache(maxsize=64)
def plan_on(day: str) -> Plan:
    with Store(":memory:") as store:
        return decide_on(date.fromisoformat(day), store).plan


def test_the_table_covers_the_first_of_each_month_and_twelve_awkward_days() -> None:
    days = {cell[0] for cell in CELLS}
    firsts = {f"2025-{month:02d}-01" for month in range(1, 13)}
    assert firsts <= days
    assert len(days) == 24
    assert len(CELLS) == 24 * 2 * 3


@pytest.mark.parametrize(("day", "lawn", "task", "verdict"), CELLS)
def test_the_digest_says_what_the_table_says(day: str, lawn: str, task: str, verdict: str) -> None:
    plan = plan_on(day)
    (found,) = [part for part in plan.lawns if part.name == lawn]
    said = {action.verdict for action in found.actions if action.task == task}
    assert said == {Verdict(verdict)}


def test_each_verdict_is_the_headline_on_the_first_of_some_month() -> None:
    headlines = {plan_on(f"2025-{month:02d}-01").headline.verdict for month in range(1, 13)}
    assert headlines == set(Verdict)

"""What is kept of the season ahead is told again only while all that it rests on is the same."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from plan_cases import book, moment
from season_cases import RULE, WARM, day_of, past, season_given

from advisor.plan.ahead import look_at_season
from advisor.service import coming as kept
from advisor.store.database import Store

NOW = moment(day_of(2026, WARM[0] - 50))
YEARS = past([0] * 9)


@pytest.fixture
def looks(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """Each time that the past years were asked."""
    found: list[object] = []
    look = look_at_season

    def counted(*args: object) -> object:
        found.append(args)
        return look(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(kept, "look_at_season", counted)
    return found


def test_the_same_day_asks_once_and_another_day_anew(looks: list[object]) -> None:
    with Store(":memory:") as store:
        first = kept.coming(season_given(YEARS), store, NOW)
        again = kept.coming(season_given(YEARS), store, NOW + timedelta(hours=3))
        assert first == again != () and len(looks) == 1
        kept.coming(season_given(YEARS), store, NOW + timedelta(1))
        assert len(looks) == 2


@pytest.mark.parametrize(
    ("was", "now"),
    [
        ("It is warm.", "It has turned warm."),
        ("made up", "made up anew"),
        ("at least 20 C", "at least 21 C"),
        ("  and     days since feed more", "  until   days since feed more"),
    ],
)
def test_a_rule_that_says_something_else_is_asked_anew(
    looks: list[object], was: str, now: str
) -> None:
    assert was in RULE
    with Store(":memory:") as store:
        kept.coming(season_given(YEARS), store, NOW)
        kept.coming(season_given(YEARS, book(RULE.replace(was, now))), store, NOW)
    assert len(looks) == 2


def test_another_version_of_the_program_asks_anew(
    looks: list[object], monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store(":memory:") as store:
        kept.coming(season_given(YEARS), store, NOW)
        monkeypatch.setattr(kept, "__version__", "0.0.0 of a test")
        kept.coming(season_given(YEARS), store, NOW)
    assert len(looks) == 2


def test_without_past_years_nothing_is_told_or_kept(looks: list[object]) -> None:
    with Store(":memory:") as store:
        none = replace(season_given(YEARS), past=None)
        assert kept.coming(none, store, NOW) == () and looks == []


def test_two_processes_stamp_a_garbled_journal_alike() -> None:
    """Sets have an order of their own in each process."""
    code = (
        "from plan_cases import NOW, book, files, given, opens\n"
        "from advisor.service.coming import _stamp\n"
        "lines = 'journal from 2026-01-01\\n2026-03-01 front seen wilt\\n'\n"
        "print(_stamp(given(files(journal=lines), book(opens()), None), NOW))\n"
    )
    folder = Path(__file__).parent
    found = {
        subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True,
            env={**os.environ, "PYTHONHASHSEED": seed,
                 "PYTHONPATH": f"{folder}{os.pathsep}{folder.parents[1]}"},
        ).stdout
        for seed in ("1", "2", "3")
    }  # fmt: skip
    assert len(found) == 1

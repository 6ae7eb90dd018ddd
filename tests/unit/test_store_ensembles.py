"""Ensembles in the store: the newest, those that were used, as of any moment, and small."""

from __future__ import annotations

import sqlite3
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from store_cases import START, at

from advisor.series.ensemble import Ensemble
from advisor.series.hourly import Source
from advisor.store.database import Store
from advisor.store.schema import MIGRATIONS


def made(hours: float, mm: float = 1.0, members: int = 12, length: int = 24) -> Ensemble:
    rain = np.full((members, length), mm)
    rain[0, 3] = np.nan
    return Ensemble(START, {"rain": rain}, Source("A test", at(hours)), 3)


@pytest.fixture
def store() -> Store:
    return Store(":memory:")


def moments(store: Store, *hours: float) -> list[object]:
    found = [store.ensemble("home", at(h)) for h in hours]
    return [None if one is None else one.source.fetched_at for one in found]


def test_what_is_kept_comes_back(store: Store) -> None:
    store.keep_ensemble("home", made(1, 0.37))
    found = store.ensemble("home", at(1))
    assert found is not None
    assert (found.start, found.step, found.source) == (START, 3, Source("A test", at(1)))
    assert np.array_equal(found.columns["rain"], made(1, 0.37).columns["rain"], equal_nan=True)
    assert store.ensemble("elsewhere", at(9)) is None


def test_as_of_a_moment(store: Store) -> None:
    store.keep_ensemble("home", made(12))
    store.keep_ensemble("home", made(3))  # a look back fetches an earlier one later
    assert moments(store, 2, 3, 11, 12, 99) == [None, at(3), at(3), at(12), at(12)]
    assert store.newest_ensemble("home", at(11)) == at(3)
    assert store.newest_ensemble("home", at(2)) is None


def test_only_the_newest_and_the_used_stay(store: Store) -> None:
    store.keep_ensemble("home", made(1))
    store.keep_ensemble("elsewhere", made(1))
    assert store.mark_ensemble_used("home", at(5))
    for hours in (12, 24, 36):
        store.keep_ensemble("home", made(hours))
    assert moments(store, 1, 13, 25, 36) == [at(1), at(1), at(1), at(36)]
    assert store.ensemble("elsewhere", at(1)) is not None
    assert not store.mark_ensemble_used("home", at(0))


def test_the_same_moment_twice_is_one(store: Store) -> None:
    store.keep_ensemble("home", made(1, 1.0))
    store.keep_ensemble("home", made(1, 2.0))
    found = store.ensemble("home", at(1))
    assert found is not None and found.columns["rain"][1, 0] == 2.0


def test_51_members_for_two_weeks_are_small(tmp_path: Path) -> None:
    """Rain in a fifth of the hours, to hundredths; a used one a week is then some 2 MB a year."""
    rng = np.random.default_rng(1)
    rain = np.where(rng.random((51, 336)) < 0.2, rng.gamma(0.7, 1.5, (51, 336)), 0.0).round(2)
    path = tmp_path / "store.sqlite3"
    with Store(path) as store:
        store.keep_ensemble("home", Ensemble(START, {"rain": rain}, Source("A test", at(1))))
        with store.reading() as database:
            (size,) = database.execute("SELECT length(members) FROM ensemble").fetchone()
    assert size < 40_000


def test_a_database_of_the_schema_before_goes_on(tmp_path: Path) -> None:
    """What schema 4 kept stays, and ensembles find their place beside it."""
    path = tmp_path / "state.db"
    plain = sqlite3.connect(path)
    for step in MIGRATIONS[:4]:
        for statement in step:
            plain.execute(statement)
    plain.execute(
        'INSERT INTO digest (site, "on", decided, plan, sent) VALUES (?, ?, ?, ?, ?)',
        ("home", "2026-04-05", int(at(1).timestamp()) * 1_000_000, "{}", 1),
    )
    plain.execute("PRAGMA user_version = 4")
    plain.commit()
    plain.close()
    with Store(path) as store:
        assert store.last_sent("home") == date(2026, 4, 5)
        assert store.ensemble("home", at(9)) is None
        store.keep_ensemble("home", made(1))
        assert moments(store, 2) == [at(1)]

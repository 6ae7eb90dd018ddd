"""Weather in the store: the past by the newest answer that knows it, the rest as issued."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from store_cases import Fetched, at, fetched, values

from advisor.series.hourly import COLUMNS, HOUR, Source
from advisor.store.database import Store

NAN = float("nan")


@pytest.fixture
def store() -> Iterator[Store]:
    with Store(":memory:") as opened:
        yield opened


def test_nothing_fetched_is_none(store: Store) -> None:
    assert store.series("home", at(0)) is None
    store.keep("home", fetched(5, 1, {"rain": [1.0]}))
    assert store.series("home", at(4.9)) is None
    assert store.series("elsewhere", at(9)) is None


def test_a_series_comes_back_exactly(store: Store) -> None:
    """Every column, to the last bit, with its gaps, its source and its notes."""
    rng = np.random.default_rng(7)
    columns = {name: list(rng.normal(size=60) * 10.0**i) for i, name in enumerate(COLUMNS)}
    columns["rain"][20] = columns["wind"][50] = NAN
    answer = fetched(30.5, 1, columns, notes=("Soil is odd \ud800.", "two"))
    run_id = store.keep("home", answer)
    stored = store.series("home", at(31))
    assert stored is not None
    assert (stored.run_id, stored.fetched_at) == (run_id, answer.fetched_at)
    assert stored.series.start == answer.series.start
    assert stored.series.source == Source("A test", answer.fetched_at)
    assert stored.series.notes == answer.notes
    for name in COLUMNS:
        np.testing.assert_array_equal(stored.series.column(name), answer.series.column(name))


def test_the_table_has_a_field_for_every_column(store: Store) -> None:
    """A new column of the series needs a step in the schema."""
    with store.reading() as database:
        fields = {field.name for field in database["hour"].columns}
    assert fields == {"place", "end", "fetched", "older", *COLUMNS}


def test_an_hour_that_ends_at_the_fetch_is_past(store: Store) -> None:
    store.keep("home", fetched(3, 1, {"rain": [1.0, 2.0, 3.0, 4.0]}))
    store.keep("home", fetched(3.5, 5, {"rain": [50.0]}))
    assert values(store, 3.5) == {1: 1.0, 2: 2.0, 3: 3.0, 5: 50.0}


def test_the_past_wins_over_the_forecast_of_the_same_hour(store: Store) -> None:
    store.keep("home", fetched(1, 1, {"rain": [0.0, 7.0, 7.0, 7.0]}))
    store.keep("home", fetched(3, 1, {"rain": [0.0, 1.0, 2.0, 5.0]}))
    assert values(store, 3) == {1: 0.0, 2: 1.0, 3: 2.0, 4: 5.0}


def test_a_null_never_hides_what_was_known(store: Store) -> None:
    store.keep("home", fetched(2, 1, {"rain": [1.0, 2.0]}))
    store.keep("home", fetched(4, 1, {"rain": [NAN, 2.5, NAN, 4.0]}))
    assert values(store, 4) == {1: 1.0, 2: 2.5, 4: 4.0}


def test_missing_hours_are_rows_of_unknown(store: Store) -> None:
    """The axis has no break, even when nothing was fetched for days."""
    store.keep("home", fetched(2, 1, {"rain": [1.0, 2.0]}))
    store.keep("home", fetched(50, 49, {"rain": [4.0, 5.0, 6.0]}))
    stored = store.series("home", at(50))
    assert stored is not None and stored.series.hours == 51
    assert np.isnan(stored.series.column("rain")[2:48]).all()


def test_since_limits_how_far_back(store: Store) -> None:
    store.keep("home", fetched(4, 1, {"rain": [1.0, 2.0, 3.0, 4.0, 5.0, 6.0]}))
    for since, first in [(2, 3), (1.5, 3), (5, 6), (9, 10), (-3, 1)]:
        stored = store.series("home", at(5), since=at(since))
        assert stored is not None
        assert stored.series.start == at(first - 1), since
        expected = [v for v in (1.0, 2.0, 3.0, 4.0, 5.0, 6.0) if v >= first]
        assert list(stored.series.column("rain")) == expected


def test_one_run_a_day_stays_with_the_used_and_the_newest(store: Store) -> None:
    ids = [store.keep("home", fetched(h, h + 1, {"rain": [h / 2]})) for h in (1, 5, 9, 13, 26, 28)]
    other = store.keep("elsewhere", fetched(7, 8, {"rain": [1.0]}))
    assert store.mark_used(ids[5])
    last = store.keep("home", fetched(30, 31, {"rain": [9.0]}))
    found = {as_of: store.series("home", at(as_of)) for as_of in (4, 14, 27, 29, 31)}
    runs = {as_of: stored.run_id for as_of, stored in found.items() if stored}
    assert runs == {4: ids[0], 14: ids[0], 27: ids[4], 29: ids[5], 31: last}
    assert not store.mark_used(ids[2])
    assert store.mark_used(other)


def test_the_newest_fetch_is_that_of_the_moment(store: Store) -> None:
    assert store.newest_fetch("home", at(99)) is None
    for hours in (3, 30.25):
        store.keep("home", fetched(hours, 1, {"rain": [1.0]}))
    assert store.newest_fetch("home", at(30)) == at(3)
    assert store.newest_fetch("home", at(30.25)) == at(30.25)
    assert store.newest_fetch("home", at(2)) is None


def test_the_same_fetch_kept_twice_is_one_run(store: Store) -> None:
    answer = fetched(3, 1, {"rain": [1.0, 2.0, 3.0, 4.0]})
    assert store.keep("home", answer) == store.keep("home", answer)
    assert values(store, 3) == {1: 1.0, 2: 2.0, 3: 3.0, 4: 4.0}


def test_an_answer_without_hours_ahead_or_without_anything_known(store: Store) -> None:
    store.keep("home", fetched(9, 1, {"rain": [NAN, NAN]}))
    stored = store.series("home", at(9))
    assert stored is not None and stored.series.hours == 0
    store.keep("home", fetched(10, 1, {"rain": [NAN, 2.0]}))
    assert values(store, 10) == {2: 2.0}


def test_odd_text_is_no_error(store: Store) -> None:
    """A lone surrogate, as from a file name with odd bytes, names a place like any other text."""
    store.keep("h\udce9me", fetched(1, 1, {"rain": [1.0]}))
    assert values(store, 1, place="h\udce9me") == {1: 1.0}


def test_a_long_past_stays_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "state.db"
    with Store(path) as first:
        first.keep("home", fetched(2, 1, {"rain": [1.0, 2.0, 3.0]}))
    with Store(path) as second:
        assert values(second, 2) == {1: 1.0, 2: 2.0, 3: 3.0}


CELL = st.sampled_from([0.0, 0.1, 1.5, NAN])
ANSWER = st.builds(
    lambda when, back, rain, wind: fetched(
        when / 2, max(1, when // 2 - back), {"rain": rain, "wind": [*wind, *rain][: len(rain)]}
    ),
    st.integers(1, 140),
    st.integers(0, 30),
    st.lists(CELL, min_size=1, max_size=40),
    st.lists(CELL, max_size=5),
)


def reference(
    answers: list[Fetched], as_of: datetime, name: str
) -> tuple[datetime, dict[int, float]] | None:
    """A naive second telling of the rules: which run answers, and what is known by hour.

    `answers` are in the order in which they were kept.
    """
    runs: dict[datetime, Fetched] = {}
    for newcomer in answers:
        runs[newcomer.fetched_at] = newcomer
        first_of_day = {min(t for t in runs if t.date() == day) for day in {t.date() for t in runs}}
        stay = first_of_day | {max(runs), newcomer.fetched_at}
        runs = {t: run for t, run in runs.items() if t in stay}
    usable = [t for t in runs if t <= as_of]
    if not usable:
        return None
    newest = max(usable)
    known: dict[int, float] = {}
    for answer in sorted(answers, key=lambda a: a.fetched_at):
        for end, value in zip(answer.series.ends(), answer.series.column(name), strict=True):
            ended = end <= answer.fetched_at.timestamp() and end <= newest.timestamp()
            if ended and not math.isnan(value):
                known[int(end)] = float(value)
    for end, value in zip(
        runs[newest].series.ends(), runs[newest].series.column(name), strict=True
    ):
        if end > newest.timestamp() and not math.isnan(value):
            known[int(end)] = float(value)
    return newest, known


def _distinct(answers: list[Fetched]) -> list[Fetched]:
    return list({answer.fetched_at: answer for answer in answers}.values())


@settings(max_examples=60, deadline=None)
@given(st.lists(ANSWER, min_size=1, max_size=8).map(_distinct), st.integers(0, 150))
def test_any_order_of_answers_gives_what_a_naive_model_gives(
    answers: list[Fetched], half_hours: int
) -> None:
    """Answers are kept in any order; what is read is what the rules say, hour by hour."""
    as_of = at(half_hours / 2)
    with Store(":memory:") as store:
        for answer in answers:
            store.keep("home", answer)
        stored = store.series("home", as_of)
    for name in ("rain", "wind"):
        expected = reference(answers, as_of, name)
        if expected is None:
            assert stored is None
            continue
        assert stored is not None and stored.fetched_at == expected[0]
        ends = [int(end) for end in stored.series.ends()]
        assert ends == sorted(set(ends)) and all(b - a == HOUR for a, b in pairwise(ends))
        column = stored.series.column(name)
        found = {e: float(v) for e, v in zip(ends, column, strict=True) if not math.isnan(v)}
        assert found == expected[1]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(ANSWER, min_size=2, max_size=6).map(_distinct),
    st.integers(0, 150),
)
def test_what_was_fetched_later_never_shows_in_what_lay_ahead(
    answers: list[Fetched], half_hours: int
) -> None:
    """With every run used, later runs change nothing of the hours ahead at `as_of`."""
    as_of = at(half_hours / 2)
    ahead = []
    for kept in (answers, [a for a in answers if a.fetched_at <= as_of]):
        with Store(":memory:") as store:
            for answer in kept:
                store.mark_used(store.keep("home", answer))
            stored = store.series("home", as_of)
        if stored is None:
            ahead.append(None)
            continue
        later = stored.series.ends() > stored.fetched_at.timestamp()
        ahead.append([repr(v) for v in stored.series.column("rain")[later]])
    assert ahead[0] == ahead[1]

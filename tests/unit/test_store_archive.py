"""Past weather in the store: it fills what nobody knows, and displaces nothing."""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from store_cases import START, at, fetched, values

from advisor.series.hourly import HOUR, Source
from advisor.series.years import DAY_COLUMNS, PastYears
from advisor.store.archive_log import ArchiveLog
from advisor.store.database import Store
from advisor.store.schema import MIGRATIONS

NAN = float("nan")
LONG_AGO = datetime(1980, 1, 1, tzinfo=UTC)
"""Nothing that is seen now was given up by then."""


@pytest.fixture
def store() -> Iterator[Store]:
    with Store(":memory:") as opened:
        yield opened


def unknown(store: ArchiveLog, first: float, last: float, given_up: datetime = LONG_AGO) -> list:  # type: ignore[type-arg]
    """Hours (after START) at whose end something needed is not known."""
    ends = store.unknown_hours("home", at(first), at(last), given_up)
    return [int(end - START.timestamp()) // HOUR for end in ends]


def both(**rain: list[float]) -> dict[str, list[float]]:
    return {"rain": rain["rain"], "air_temp": rain["rain"]}


def test_it_is_no_forecast_and_no_newer_answer(store: Store) -> None:
    assert store.fill("home", fetched(200, 1, both(rain=[1.0, 2.0]))) == 2
    assert store.series("home", at(999)) is None
    assert store.newest_fetch("home", at(999)) is None


def test_it_fills_what_is_unknown_and_leaves_the_rest(store: Store) -> None:
    """Hour by hour and column by column, before an answer of the forecast service or after it."""
    store.keep("home", fetched(4, 2, {"rain": [2.0, NAN, 4.0]}))
    store.fill("home", fetched(200, 1, {"rain": [9.0] * 5, "wind": [7.0] * 5}))
    assert values(store, 4) == {1: 9.0, 2: 2.0, 3: 9.0, 4: 4.0}
    assert values(store, 4, "wind") == {1: 7.0, 2: 7.0, 3: 7.0, 4: 7.0}


def test_it_gives_way_to_an_answer_given_earlier(store: Store) -> None:
    """The forecast service's own past is preferred, whenever it was given or kept."""
    store.fill("home", fetched(200, 1, {"rain": [9.0, 9.0, 9.0]}))
    store.keep("home", fetched(3, 1, {"rain": [1.0, NAN, 3.0]}))
    assert values(store, 3) == {1: 1.0, 2: 9.0, 3: 3.0}


def test_a_later_word_of_the_archive_counts(store: Store) -> None:
    store.keep("home", fetched(4, 4, {"rain": [4.0]}))
    store.fill("home", fetched(200, 1, {"rain": [8.0, 8.0, NAN]}))
    store.fill("home", fetched(300, 1, {"rain": [9.0, NAN, 9.0]}))
    assert values(store, 4) == {1: 9.0, 2: 8.0, 3: 9.0, 4: 4.0}


CELL = st.sampled_from([0.0, 0.1, 1.5, NAN])
KEPT = st.tuples(
    st.booleans(),
    st.integers(1, 60),
    st.integers(1, 20),
    st.lists(CELL, min_size=1, max_size=20),
)


@settings(max_examples=80, deadline=None)
@given(st.lists(KEPT, min_size=1, max_size=8))
def test_any_order_gives_what_a_naive_model_gives(
    kept: list[tuple[bool, int, int, list[float]]],
) -> None:
    """An hour is that of the newest answer of the forecast service that knows it; without any, of
    the newest word of the archive."""
    own: dict[int, tuple[int, float]] = {}
    archived: dict[int, float] = {}
    seen: set[int] = set()
    with Store(":memory:") as store:
        store.keep("home", fetched(100, 100, {"rain": [0.0]}))
        for archive, when, first, rain in kept:
            if archive:
                store.fill("home", fetched(100 + when, first, {"rain": rain}))
            elif when in seen:
                continue
            else:
                seen.add(when)
                store.keep("home", fetched(when, first, {"rain": rain}))
            for end, value in enumerate(rain, start=first):
                if math.isnan(value):
                    continue
                if archive:
                    archived[end] = value
                elif end <= when and own.get(end, (0, 0.0))[0] <= when:
                    own[end] = (when, value)
        expected = archived | {end: value for end, (_, value) in own.items()} | {100: 0.0}
        assert values(store, 100) == expected


def test_unknown_hours_are_those_that_lack_air_or_rain(store: Store) -> None:
    store.keep(
        "home", fetched(6, 1, {"rain": [1, NAN, 1, 1, NAN], "air_temp": [1, 1, NAN, 1, NAN]})
    )
    assert unknown(store, 0, 6) == [2, 3, 5, 6]
    assert unknown(store, 1.5, 5) == [2, 3, 5]
    assert unknown(store, 2, 4.5) == [3]
    assert unknown(store, 3, 2) == []


def test_a_hole_is_left_alone_once_it_is_given_up(store: Store) -> None:
    """From when it first was unknown, however often it is asked for again."""
    store.fill("home", fetched(200, 1, both(rain=[1.0, NAN, 3.0])))
    store.fill("home", fetched(224, 2, both(rain=[NAN])))
    assert unknown(store, 0, 4) == [2, 4]
    assert unknown(store, 0, 4, given_up=at(199.9)) == [2, 4]
    assert unknown(store, 0, 4, given_up=at(200)) == [4]


def test_a_hole_that_is_known_later_is_none(store: Store) -> None:
    store.fill("home", fetched(200, 1, both(rain=[NAN, NAN, NAN])))
    assert store.fill("home", fetched(224, 1, both(rain=[NAN, 2.0, NAN]))) == 1
    with store.reading() as database:
        rows = database.execute('SELECT "end", seen FROM hole ORDER BY "end"').fetchall()
    assert [(end - START.timestamp()) // HOUR for end, _ in rows] == [1, 3]
    assert {seen for _, seen in rows} == {at(200).timestamp() * 1e6}


def test_places_do_not_mix(store: Store) -> None:
    store.fill("away", fetched(200, 1, both(rain=[1.0, NAN])))
    assert unknown(store, 0, 2, given_up=at(999)) == [1, 2]
    assert store.from_archive("away") and not store.from_archive("home")


def test_whether_the_archive_had_a_part_in_it(store: Store) -> None:
    """One filled value is enough, also among values of the forecast service."""
    store.keep("home", fetched(2, 1, {"rain": [1.0, NAN], "wind": [2.0, 2.0]}))
    assert not store.from_archive("home")
    store.fill("home", fetched(200, 1, {"rain": [7.0, 7.0]}))
    assert store.from_archive("home")
    store.keep("home", fetched(3, 1, {"rain": [1.0, 2.0]}))
    assert not store.from_archive("home"), "all that it told has been replaced"


# Past years


def years(first: date, count: int, begin: float = 0.0, fetched_at: datetime = START) -> PastYears:
    columns = {name: begin + i + 0.001 * np.arange(count) for i, name in enumerate(DAY_COLUMNS)}
    return PastYears(first, source=Source("A test", fetched_at), **columns)


def test_past_years_come_back_exactly(store: Store) -> None:
    told = years(date(2016, 1, 1), 3653)
    told.rain[200] = told.air_min[3000] = NAN
    store.keep_years("home", told)
    found = store.past_years("home", START)
    assert found is not None
    assert (found.first, found.last, found.source) == (told.first, date(2025, 12, 31), told.source)
    for name, column in told.columns.items():
        np.testing.assert_array_equal(found.columns[name], column)
    assert store.past_years("away", START) is None
    assert store.from_archive("home")


def test_past_years_are_the_ten_before_that_of_the_moment(store: Store) -> None:
    store.keep_years("home", years(date(2014, 1, 1), (date(2027, 1, 1) - date(2014, 1, 1)).days))
    for moment, first, last in (
        (datetime(2026, 1, 1, tzinfo=UTC), date(2016, 1, 1), date(2025, 12, 31)),
        (datetime(2025, 12, 31, 23, tzinfo=UTC), date(2015, 1, 1), date(2024, 12, 31)),
        (datetime(2018, 5, 1, tzinfo=UTC), date(2014, 1, 1), date(2017, 12, 31)),
    ):
        found = store.past_years("home", moment)
        assert found is not None
        assert (found.first, found.last) == (first, last)
    assert store.past_years("home", datetime(2014, 7, 1, tzinfo=UTC)) is None


def test_a_gap_between_two_answers_is_days_that_are_not_known(store: Store) -> None:
    store.keep_years("home", years(date(2020, 1, 1), 2))
    store.keep_years("home", years(date(2020, 1, 5), 1, fetched_at=at(9)))
    found = store.past_years("home", START)
    assert found is not None
    assert np.isnan(found.rain).tolist() == [False, False, True, True, False]
    assert found.source.fetched_at == at(9)


def test_a_null_never_hides_a_day_that_was_known(store: Store) -> None:
    store.keep_years("home", years(date(2020, 1, 1), 2, 5.0))
    later = years(date(2020, 1, 1), 2, 7.0)
    later.rain[0] = NAN
    store.keep_years("home", later)
    found = store.past_years("home", START)
    assert found is not None
    assert found.rain.tolist() == [7.0, 9.001]
    assert found.air_max.tolist() == [7.0, 7.001]


def test_days_that_were_asked_for_are_not_asked_for_again(store: Store) -> None:
    """Known or not: only days without a row are."""
    first, last = date(2020, 1, 1), date(2020, 1, 9)
    assert store.unasked_days("home", first, last) == (first, last)
    told = years(date(2020, 1, 1), 9)
    for column in told.columns.values():
        column[4] = NAN
    store.keep_years("home", told)
    assert store.unasked_days("home", first, last) is None
    assert store.unasked_days("home", first, date(2020, 1, 12)) == (
        date(2020, 1, 10),
        date(2020, 1, 12),
    )
    assert store.unasked_days("away", first, last) == (first, last)


def test_a_database_of_the_schema_before_goes_on(tmp_path: Path) -> None:
    """What schema 3 kept stays, and past weather finds its place beside it."""
    path = tmp_path / "state.db"
    plain = sqlite3.connect(path)
    for step in MIGRATIONS[:3]:
        for statement in step:
            plain.execute(statement)
    plain.execute(
        'INSERT INTO hour (place, "end", fetched, rain) VALUES (?, ?, ?, ?)',
        ("home", int(at(1).timestamp()), int(at(2).timestamp()) * 1_000_000, 4.0),
    )
    plain.execute("PRAGMA user_version = 3")
    plain.commit()
    plain.close()
    with Store(path) as store:
        assert store.past_years("home", START) is None
        store.fill("home", fetched(200, 1, {"rain": [9.0, 9.0]}))
        store.keep_years("home", years(date(2025, 1, 1), 365))
        store.keep("home", fetched(3, 3, {"rain": [1.0]}))
        assert values(store, 3) == {1: 4.0, 2: 9.0, 3: 1.0}
        assert store.past_years("home", START) is not None


def test_nothing_in_it_is_nothing_done(store: Store) -> None:
    assert store.fill("home", fetched(200, 1, {})) == 0
    assert store.unasked_days("home", START.date(), START.date() - timedelta(1)) is None

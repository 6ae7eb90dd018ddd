"""Seasons found from many futures: made-up windows whose days the test knows."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from advisor.plan.seasons import FUTURE, YEAR, SeasonDays, instances, seasons

TODAY = 40


def futures(*spans: list[tuple[int, int]]) -> NDArray[np.bool_]:
    """A row a future, open on the days of the year from first to last, this year and the next."""
    out = np.zeros((len(spans), TODAY + FUTURE), dtype=np.bool_)
    for row, future in zip(out, spans, strict=True):
        for first, last in future:
            for year in (-YEAR, 0, YEAR):
                begin, stop = TODAY + first + year, TODAY + last + 1 + year
                row[max(0, begin) : max(0, stop)] = True
    out[:, :TODAY] = out[0, :TODAY]
    return out


def found(open_: NDArray[np.bool_]) -> list[SeasonDays]:
    return seasons(open_, np.ones_like(open_), TODAY)


def test_each_future_opens_once_a_season() -> None:
    (season,) = found(futures([(100, 140)], [(110, 150)], [(95, 130)]))
    assert season.opens.tolist() == [100, 110, 95]
    assert season.closes.tolist() == [140, 150, 130]
    assert not season.now and season.opened is None


def test_spring_and_autumn_are_two() -> None:
    spring, autumn = found(futures(*[[(90 + n, 140), (200 + 2 * n, 260)] for n in range(5)]))
    assert spring.opens.tolist() == [90, 91, 92, 93, 94]
    assert autumn.opens.tolist() == [200, 202, 204, 206, 208]


def test_a_pause_of_some_days_is_no_second_season() -> None:
    (season,) = found(futures(*[[(100, 120), (124, 160)]] * 4))
    assert season.opens.tolist() == [100] * 4
    assert season.closes.tolist() == [160] * 4


def test_a_future_that_never_opens_is_infinite() -> None:
    (season,) = found(futures([(100, 140)], [(101, 140)], []))
    assert season.opens.tolist() == [100, 101, np.inf]


def test_what_cannot_be_told_is_not_never() -> None:
    open_ = futures([(100, 140)], [(101, 140)], [])
    told = np.ones_like(open_)
    told[2, TODAY + 110] = False
    (season,) = seasons(open_, told, TODAY)
    assert np.isnan(season.opens[2])


def test_an_unknown_day_outside_the_season_hides_nothing() -> None:
    open_ = futures([(100, 140)], [(101, 140)], [])
    told = np.ones_like(open_)
    told[2, TODAY + 300] = False
    (season,) = seasons(open_, told, TODAY)
    assert season.opens[2] == np.inf


def test_a_season_under_way_is_open_now_since_its_first_day() -> None:
    (season,) = found(futures(*[[(-10, 30 + n)] for n in range(4)]))
    assert season.now and season.opened == -10
    assert season.closes.tolist() == [30, 31, 32, 33]


def test_a_season_that_is_over_is_told_of_next_year() -> None:
    (season,) = found(futures(*[[(-30 + n, -5)] for n in range(4)]))
    assert (season.opens - YEAR).tolist() == [-30, -29, -28, -27]


def test_the_rest_of_this_time_and_the_next_stand_side_by_side() -> None:
    ((rest, whole),) = instances((open_ := futures(*[[(-30, 20)]] * 3)), np.ones_like(open_), TODAY)
    assert rest is not None and rest.now and rest.closes.tolist() == [20] * 3
    assert whole.opens.tolist() == [YEAR - 30] * 3


@pytest.mark.parametrize("spans", [[], [(0, YEAR - 1)]])
def test_never_and_always_are_no_seasons(spans: list[tuple[int, int]]) -> None:
    assert found(futures(spans, spans, spans)) == []


@settings(max_examples=60)
@given(st.integers(10, 200), st.integers(20, 150), st.lists(st.integers(-9, 9), min_size=3))
def test_wherever_today_lies_a_season_comes_with_its_own_days(
    first: int, length: int, off: list[int]
) -> None:
    """One season a year: it is found once, and every future's own day with it."""
    open_ = futures(*[[(first + n, first + n + length)] for n in off])
    (season,) = found(open_)
    assert season.opens.tolist() == [first + n for n in off]
    assert season.closes.tolist() == [first + n + length for n in off]


@given(st.data())
def test_any_futures_can_be_looked_at(data: st.DataObject) -> None:
    """Whatever is open, an opening is an open day, and nothing before it in its part is."""
    spans = st.lists(st.tuples(st.integers(-30, 360), st.integers(0, 60)), max_size=6)
    drawn = [[(a, a + b) for a, b in data.draw(spans)] for _ in range(data.draw(st.integers(1, 5)))]
    open_ = futures(*drawn)
    for season in found(open_):
        for row, opens, closes in zip(open_, season.opens, season.closes, strict=True):
            part = row[TODAY + season.begin : TODAY + season.end]
            assert np.isfinite(opens) == part.any()
            if part.any():
                assert row[TODAY + int(opens)] and row[TODAY + int(closes)]
                assert not part[: int(opens) - season.begin].any()

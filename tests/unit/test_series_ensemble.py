"""Totals of members: bounds that hold the truth, whole steps, and unknown that is never dry."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.series.ensemble import Ensemble
from advisor.series.hourly import Source

START = datetime(2026, 5, 1, tzinfo=UTC)
SOURCE = Source("made up", START)


def of(rain: object, step: int = 1, start: datetime = START) -> Ensemble:
    return Ensemble(start, {"rain": np.array(rain, dtype=float)}, SOURCE, step)


def at(hours: float) -> datetime:
    return START + timedelta(hours=hours)


def test_totals_by_member() -> None:
    found = of([[1, 2, 3, 4], [0, 0, 0, 9]]).rain(at(1), at(3))
    assert found.low.tolist() == found.high.tolist() == [5, 0]


def test_a_missing_hour_leaves_a_bound_below_and_none_above() -> None:
    found = of([[1, np.nan, 3], [0, 0, 0]]).rain(at(0), at(3))
    assert found.low.tolist() == [4, 0] and found.high.tolist() == [np.inf, 0]
    assert found.known == 1


def test_outside_the_ensemble_is_unknown() -> None:
    for first, last in ((-1, 2), (1, 4), (9, 12), (-9, -3)):
        found = of([[0, 0, 0]]).rain(at(first), at(last))
        assert found.high.tolist() == [np.inf], (first, last)
        assert found.known == 0


def test_within_a_step_nothing_is_told_apart() -> None:
    """Three-hourly rain of 3 mm, given out as 1 mm an hour, may all have come in one of them."""
    three = of([[0, 0, 0, 1, 1, 1, 0, 0, 0]], step=3)
    inside = three.rain(at(4), at(5))
    assert (inside.low.tolist(), inside.high.tolist()) == ([0], [3])
    across = three.rain(at(2), at(7))
    assert (across.low.tolist(), across.high.tolist()) == ([3], [3])


def test_steps_count_from_midnight_gmt() -> None:
    begun = of([[1, 2, 3, 4, 5]], step=3, start=at(1))
    found = begun.rain(at(3), at(6))
    assert found.low.tolist() == found.high.tolist() == [3 + 4 + 5]


def test_a_stretch_in_a_zone_of_half_hours_touches_both_hours() -> None:
    found = of([[1, 2, 4]]).rain(at(0.5), at(1.5))
    assert (found.low.tolist(), found.high.tolist()) == ([0], [3])


RAIN = st.lists(
    st.lists(st.sampled_from([0.0, 0.0, 0.2, 1.5, np.nan]), min_size=30, max_size=30),
    min_size=1,
    max_size=5,
)


@given(RAIN, st.sampled_from([1, 2, 3, 6]), st.floats(-3, 33), st.floats(0, 20), st.floats(0, 9))
def test_the_truth_lies_within_the_bounds(
    rain: list[list[float]], step: int, first: float, length: float, mm: float
) -> None:
    """Wherever within its step the rain truly fell, and whatever an unknown hour had."""
    truth = np.nan_to_num(np.array(rain), nan=0.4)
    shifted = truth.reshape(len(rain), -1, step)
    total = shifted.sum(axis=2)
    found = of(rain, step).rain(at(first), at(first + length))
    rng = np.random.default_rng(len(rain))
    for _ in range(3):
        share = rng.dirichlet(np.full(step, 0.3), total.shape)
        fell = (total[..., None] * share).reshape(len(rain), -1)
        begins = np.arange(30)
        within = np.clip(np.minimum(begins + 1, first + length) - np.maximum(begins, first), 0, 1)
        inside = (fell * within).sum(axis=1)
        assert (found.low <= inside + 1e-6).all()
        assert (inside <= found.high + 1e-6).all()
    sure, may = found.at_most(mm)
    assert not (sure & ~may).any()
    wet, perhaps_wet = found.at_least(mm)
    assert not (wet & ~perhaps_wet).any()


@given(RAIN, st.integers(0, 29), st.integers(0, 4), st.floats(0, 9))
def test_an_unknown_hour_makes_nobody_dry(
    rain: list[list[float]], hour: int, member: int, mm: float
) -> None:
    before = of(rain).rain(at(0), at(30)).at_most(mm)[0]
    rain[member % len(rain)][hour] = np.nan
    after = of(rain).rain(at(0), at(30)).at_most(mm)[0]
    assert not (after & ~before).any()


@pytest.mark.parametrize(
    ("columns", "step", "said"),
    [
        ({}, 3, "without rain"),
        ({"rain": np.zeros(3)}, 3, "shape"),
        ({"rain": np.zeros((2, 3)), "wind": np.zeros((2, 4))}, 3, "shape"),
        ({"rain": np.zeros((2, 3)), "hail": np.zeros((2, 3))}, 3, "hail"),
        ({"rain": np.zeros((2, 3))}, 5, "step"),
    ],
)
def test_what_is_no_ensemble_is_refused(columns: dict, step: int, said: str) -> None:  # type: ignore[type-arg]
    with pytest.raises(ValueError, match=said):
        Ensemble(START, columns, SOURCE, step)


def test_it_starts_on_an_hour_and_ends_after_it_begins() -> None:
    with pytest.raises(ValueError, match="whole hour"):
        of([[0]], start=at(0.5))
    with pytest.raises(ValueError, match="ends after"):
        of([[0]]).rain(at(1), at(0))


def test_a_column_that_is_not_there_is_unknown() -> None:
    assert np.isnan(of([[0, 1]]).column("wind")).all()
    with pytest.raises(KeyError):
        of([[0]]).column("hail")

"""Counting what is yes, no or unknown: by plain rewritings, and bounds that hold the truth."""

from itertools import groupby

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.turf.heat import HOT_DAY, hot_days, warm_nights
from advisor.turf.leaf_wetness import is_wet, wetness
from advisor.turf.spells import (
    above,
    at_least,
    every,
    longest,
    some,
    total,
    trailing_mean,
    trailing_total,
)

NAN = np.nan
flags = st.lists(st.sampled_from([0.0, 1.0]), min_size=1, max_size=40)
holes = st.lists(st.booleans(), min_size=40, max_size=40)


def with_holes(truth, missing):
    return np.where(missing[: len(truth)], NAN, truth)


@pytest.mark.parametrize(
    ("one", "other", "both", "either"),
    [
        (1, 1, 1, 1), (1, 0, 0, 1), (0, 0, 0, 0), (1, NAN, NAN, 1), (0, NAN, 0, NAN),
        (NAN, NAN, NAN, NAN),
    ],
)  # fmt: skip
def test_three_valued_logic(one, other, both, either):
    for a, b in ((one, other), (other, one)):
        assert every(a, b) == pytest.approx(both, nan_ok=True)
        assert some(a, b) == pytest.approx(either, nan_ok=True)


def test_a_limit_is_reached_before_it_is_passed():
    np.testing.assert_array_equal(above([1, 2, 3, NAN], 2), [0, 0, 1, NAN])
    np.testing.assert_array_equal(at_least([1, 2, 3, NAN], 2), [0, 1, 1, NAN])


@given(flags)
def test_counts_and_runs_by_plain_rewriting(truth):
    runs = [len(list(run)) for flag, run in groupby(truth) if flag]
    assert total(truth).low == total(truth).high == sum(truth)
    assert longest(truth).low == longest(truth).high == max(runs, default=0)


@given(flags, holes, st.integers(1, 8))
def test_bounds_hold_the_truth_when_hours_are_removed(truth, missing, days):
    known = with_holes(truth, missing)
    for count in (total, longest, lambda flag: trailing_total(flag, days)):
        seen, true = count(known), count(truth)
        assert np.all(seen.low <= true.low) and np.all(true.high <= seen.high)


@given(flags, holes, st.integers(0, 39))
def test_knowing_more_never_widens_the_bounds(truth, missing, place):
    before = with_holes(truth, missing)
    after = before.copy()
    after[place % len(truth)] = truth[place % len(truth)]
    for count in (total, longest):
        assert count(before).low <= count(after).low
        assert count(after).high <= count(before).high


def test_days_before_the_first_are_unknown():
    low, high = trailing_total([1, 0, 1, NAN, 0], 3)
    np.testing.assert_array_equal(low, [1, 1, 2, 1, 1])
    np.testing.assert_array_equal(high, [3, 2, 2, 2, 2])
    np.testing.assert_array_equal(trailing_mean([1, 2, 3, NAN, 5], 2), [NAN, 1.5, 2.5, NAN, NAN])


def test_a_night_is_whole_from_noon_to_noon():
    """Wet from 20 to 8 h on each of two nights: 12 h on end, not 8 and 4."""
    hour = np.arange(72) % 24
    wet = ((hour >= 20) | (hour < 8)).astype(float)
    nights = wetness(wet[12:60].reshape(2, 24))
    assert list(nights.longest.low) == list(nights.longest.high) == [12, 12]
    days = wetness(wet.reshape(3, 24))
    assert list(days.longest.low) == [8, 8, 8] and list(days.total.low) == [12, 12, 12]


def test_one_sign_of_wetness_settles_an_hour():
    found = is_wet([0.9, 0.89, 0.5, NAN, NAN, 0.5], [0, 0, 0.1, 0.1, 0, NAN])
    np.testing.assert_array_equal(found, [1, 0, 1, 1, NAN, NAN])


def test_hot_days_and_warm_nights():
    """A day at the limit itself is not hot; one unknown day makes both bounds."""
    days = hot_days([HOT_DAY, HOT_DAY + 0.1, NAN, 35.0], HOT_DAY, 3)
    np.testing.assert_array_equal(days.low, [0, 1, 1, 2])
    np.testing.assert_array_equal(days.high, [2, 2, 2, 3])
    nights = warm_nights([[21.0, 21.2], [NAN, 10.0]], 2)
    np.testing.assert_array_equal(nights.low, [[0, 1], [0, 0]])
    np.testing.assert_array_equal(nights.high, [[1, 1], [2, 1]])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: total([0, 0.5]), "a flag must be 0, 1 or unknown, not 0.5"),
        (lambda: some(2), "a flag must be 0, 1 or unknown, not -1"),
        (lambda: longest(1), "flags must have an axis of hours or days"),
        (lambda: trailing_mean(1, 3), "values must have an axis of days"),
        (lambda: trailing_total([1], 0), "days must be at least 1, not 0"),
        (lambda: is_wet(90, 0), "humidity_fraction must lie between 0 and 1, not 90"),
        (lambda: is_wet(0.9, -1), "rain_mm must lie between 0 and 2000 mm, not -1"),
        (lambda: hot_days([95], 30, 3), "air_max must lie between -90 and 60 C, not 95"),
        (lambda: hot_days([20], 85, 3), "limit_c must lie between -90 and 60 C, not 85"),
        (lambda: warm_nights([70], 3), "air_min must lie between -90 and 60 C, not 70"),
    ],
)
def test_impossible_input_is_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()

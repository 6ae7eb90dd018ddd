"""Degree-days: the integral they stand for, their bounds, and sums with unknown days."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from advisor.turf.degree_days import (
    HORIZONTAL,
    INTERMEDIATE,
    VERTICAL,
    degree_days_modified,
    degree_days_simple,
    degree_days_single_sine,
    sum_since,
)

temperatures = st.floats(-40, 50)
gains = st.lists(st.floats(0, 40), min_size=1, max_size=30)

COUNTED = {
    HORIZONTAL: lambda air, bottom, top: min(air, top) - bottom,
    INTERMEDIATE: lambda air, bottom, top: air - bottom - 2 * max(0.0, air - top),
    VERTICAL: lambda air, bottom, top: air - bottom if air <= top else 0.0,
}


def integral(high, low, bottom, top, counted):
    """Numerical integral over half a turn, from trough to peak, split where the sine crosses."""
    mean, half = (high + low) / 2, (high - low) / 2

    def rate(angle):
        air = mean + half * np.sin(angle)
        return counted(air, bottom, top) if air > bottom else 0.0

    ends = [-np.pi / 2, np.pi / 2]
    if half > 0:
        ends += [np.arcsin((edge - mean) / half) for edge in (bottom, top) if low < edge < high]
    ends.sort()
    parts = (quad(rate, a, b)[0] for a, b in pairwise(ends))
    return sum(parts) / np.pi


@pytest.mark.parametrize("cutoff", COUNTED)
@given(temperatures, temperatures, temperatures, temperatures)
@settings(max_examples=60, deadline=None)
def test_single_sine_is_the_area_under_the_sine(cutoff, one, other, a_limit, another):
    """Against SciPy's quadrature of the day's sine, counted as each cut-off says."""
    low, high = sorted((one, other))
    bottom, top = sorted((a_limit, another))
    # The vertical cut-off jumps: a swing of a few bits about its limit says nothing.
    assume(low == high or high - low > 1e-6)
    area = max(0.0, integral(high, low, bottom, top, COUNTED[cutoff]))
    found = degree_days_single_sine(high, low, bottom, top, cutoff)
    assert found == pytest.approx(area, abs=1e-5)


@given(temperatures, temperatures, temperatures)
@settings(max_examples=60, deadline=None)
def test_without_an_upper_limit_all_above_the_base_counts(one, other, bottom):
    low, high = sorted((one, other))
    area = integral(high, low, bottom, 1e9, COUNTED[HORIZONTAL])
    assert degree_days_single_sine(high, low, bottom) == pytest.approx(area, abs=1e-5)


@given(temperatures, temperatures, temperatures, temperatures)
@settings(max_examples=100, deadline=None)
def test_the_cut_offs_keep_their_order(one, other, a_limit, another):
    """Warmth above the limit counts at the limit, or less than that."""
    low, high = sorted((one, other))
    bottom, top = sorted((a_limit, another))
    level, vertical, between, free = (
        degree_days_single_sine(high, low, bottom, top, HORIZONTAL),
        degree_days_single_sine(high, low, bottom, top, VERTICAL),
        degree_days_single_sine(high, low, bottom, top, INTERMEDIATE),
        degree_days_single_sine(high, low, bottom),
    )
    assert vertical <= level + 1e-9 and between <= level + 1e-9 and level <= free + 1e-9


@given(temperatures, temperatures, temperatures)
@settings(max_examples=100, deadline=None)
def test_single_sine_lies_between_the_mean_and_the_highest(one, other, base):
    low, high = sorted((one, other))
    sine = degree_days_single_sine(high, low, base)
    assert degree_days_simple(high, low, base) - 1e-7 <= sine
    assert sine <= max(0.0, high - base) + 1e-7


@given(temperatures, temperatures, temperatures, temperatures)
@settings(max_examples=50, deadline=None)
def test_limits_bound_a_day(one, other, a_limit, another):
    low, high = sorted((one, other))
    bottom, top = sorted((a_limit, another))
    for method in (degree_days_modified, degree_days_single_sine):
        assert 0 <= method(high, low, bottom, top) <= top - bottom + 1e-9


@given(temperatures, temperatures, temperatures, st.floats(0, 10))
@settings(max_examples=100, deadline=None)
def test_a_warmer_day_never_counts_less(one, other, base, warmer):
    low, high = sorted((one, other))
    top = base + 10
    for method in (
        lambda hi, lo: degree_days_simple(hi, lo, base),
        lambda hi, lo: degree_days_modified(hi, lo, base, top),
        lambda hi, lo: degree_days_single_sine(hi, lo, base),
        lambda hi, lo: degree_days_single_sine(hi, lo, base, top),
    ):
        assert method(high + warmer, low + warmer) >= method(high, low) - 1e-7
        assert method(high + warmer, low) >= method(high, low) - 1e-7


@given(gains, st.integers(0, 29))
@settings(max_examples=50, deadline=None)
def test_a_sum_is_the_sum_of_its_parts(days, where):
    """The days before a place, and those from it on, add up to all of them."""
    where = min(where, len(days) - 1)
    first = np.arange(len(days)) == 0
    split = first | (np.arange(len(days)) == where)
    whole, _ = sum_since(days, first)
    parts, _ = sum_since(days, split)
    before = parts[where - 1] if where else 0.0
    assert whole[-1] == pytest.approx(before + parts[-1])


@given(gains, st.sets(st.integers(0, 29)), st.booleans())
@settings(max_examples=100, deadline=None)
def test_bounds_hold_the_sum_whatever_days_are_lost(days, lost, capped):
    starts = np.arange(len(days)) % 10 == 0
    truth, same = sum_since(days, starts)
    np.testing.assert_array_equal(truth, same)
    known = np.array(days)
    known[[day for day in lost if day < len(days)]] = np.nan
    low, high = sum_since(known, starts, 40.0 if capped else np.inf)
    assert (low <= truth + 1e-9).all() and (truth <= high + 1e-9).all()
    assert np.isfinite(high).all() or not capped


def test_before_the_first_start_only_the_lower_bound_is_known():
    low, high = sum_since([3.0, 4.0, 5.0, 6.0], [False, False, True, False])
    assert low.tolist() == [3, 7, 5, 11]
    assert high.tolist() == [np.inf, np.inf, 5, 11]
    assert sum_since([3.0], [False])[1].tolist() == [np.inf]


def test_sums_of_many_places_run_beside_each_other():
    low, high = sum_since([[1.0, 2.0], [1.0, np.nan]], [True, False], [5.0, 7.0])
    assert low.tolist() == [[1, 3], [1, 1]]
    assert high.tolist() == [[1, 3], [1, 8]]


def test_five_equal_days_add_up():
    """Regression: 60 to 80 F between 55 and 90 F, five times, is 75 F d."""
    gain = degree_days_single_sine(np.full(5, 80 / 1.8), 60 / 1.8, 55 / 1.8, 90 / 1.8)
    assert 1.8 * sum_since(gain, np.arange(5) == 0)[0][-1] == pytest.approx(75.0)


def test_a_day_without_a_swing_is_counted_at_its_temperature():
    assert degree_days_single_sine(20, 20, 12, 30) == pytest.approx(8)
    assert degree_days_single_sine(12, 12, 12, 30) == pytest.approx(0, abs=1e-8)
    assert degree_days_single_sine(35, 35, 12, 30) == pytest.approx(18)
    assert degree_days_single_sine(35, 35, 12, 30, VERTICAL) == 0
    assert degree_days_single_sine(35, 35, 12, 30, INTERMEDIATE) == pytest.approx(13)


def test_unknown_days_stay_unknown():
    high, low = np.array([20.0, np.nan, 20.0]), np.array([10.0, 10.0, np.nan])
    for found in (
        degree_days_simple(high, low, 10),
        degree_days_modified(high, low, 10, 30),
        degree_days_single_sine(high, low, 10, 30),
        degree_days_single_sine(high, low, 10, 30, VERTICAL),
        degree_days_single_sine(high, low, 10),
    ):
        assert np.isfinite(found[0]) and np.isnan(found[1:]).all()


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: degree_days_simple(10, 20, 5), "tmin must not exceed tmax, as 20 does 10"),
        (lambda: degree_days_modified(20, 10, 30, 10), "base must not exceed upper"),
        (lambda: degree_days_single_sine(20, 10, 30, 10), "lower must not exceed upper"),
        (lambda: degree_days_single_sine(20, 10, 5, 30, "steep"), "cutoff must be horizontal, "),
        (lambda: sum_since([-1.0], [True]), "gains must lie between 0 and 150 C d, not -1"),
        (lambda: sum_since([1.0], [True, False]), "starts the same days"),
        (lambda: sum_since(1.0, [True]), "gains must have an axis of days"),
        (lambda: sum_since([1.0], [True], -1), "most must lie between 0 and inf"),
    ],
)
def test_impossible_numbers_are_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()

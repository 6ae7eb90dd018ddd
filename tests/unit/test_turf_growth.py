"""Growth potential and degree-days: regression, bounds, and the integral they stand for."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.site.words import COOL, WARM
from advisor.turf.growth import (
    degree_days_modified,
    degree_days_simple,
    degree_days_single_sine,
    growth_potential,
)

temperatures = st.floats(-40, 50)
TURN = (np.arange(20_000) + 0.5) / 20_000 * 2 * np.pi


def test_growth_potential_stays_as_it_is():
    """Regression: computed from the curve, not read in print."""
    cool = growth_potential([0, 5, 10, 12, 15, 18, 20, 25, 28, 30, 35], COOL)
    expected = [0.001, 0.024, 0.191, 0.347, 0.662, 0.936, 1, 0.662, 0.347, 0.191, 0.024]
    np.testing.assert_allclose(cool, expected, atol=0.0006)
    warm = growth_potential([10, 15, 18, 20, 22, 25, 28, 30, 31], WARM)
    expected = [0.011, 0.073, 0.178, 0.291, 0.438, 0.693, 0.912, 0.990, 1]
    np.testing.assert_allclose(warm, expected, atol=0.0006)


def test_heat_does_not_slow_warm_season_grass_but_does_slow_cool_season_grass():
    assert growth_potential(40, WARM) == 1
    assert growth_potential(35, COOL) < 0.1


@given(st.floats(-90, 60), st.sampled_from([COOL, WARM]))
@settings(max_examples=50, deadline=None)
def test_growth_potential_is_a_share(mean, grass):
    assert 0 <= growth_potential(mean, grass) <= 1


@given(temperatures, temperatures, temperatures, temperatures)
@settings(max_examples=100, deadline=None)
def test_single_sine_is_the_area_under_the_sine(one, other, a_limit, another):
    """Against a numerical integral of the day's sine held between the limits."""
    low, high = sorted((one, other))
    bottom, top = sorted((a_limit, another))
    day = (high + low) / 2 + (high - low) / 2 * np.sin(TURN)
    area = np.mean(np.clip(day, bottom, top) - bottom)
    assert degree_days_single_sine(high, low, bottom, top) == pytest.approx(area, abs=1e-3)


@given(temperatures, temperatures, temperatures)
@settings(max_examples=100, deadline=None)
def test_single_sine_lies_between_the_simple_methods(one, other, base):
    """Without an upper limit: at least the mean's excess, at most the day's highest's."""
    low, high = sorted((one, other))
    sine = degree_days_single_sine(high, low, base, 60)
    assert degree_days_simple(high, low, base) - 1e-7 <= sine
    assert sine <= max(0.0, high - base) + 1e-7


@given(temperatures, temperatures, temperatures, temperatures)
@settings(max_examples=50, deadline=None)
def test_limits_bound_a_day(one, other, a_limit, another):
    low, high = sorted((one, other))
    bottom, top = sorted((a_limit, another))
    for method in (degree_days_modified, degree_days_single_sine):
        assert 0 <= method(high, low, bottom, top) <= top - bottom + 1e-9


def test_five_equal_days_add_up():
    """Regression: 60 to 80 F between 55 and 90 F, five times, is 75 F d."""
    day = np.full(5, 1.0)
    found = degree_days_single_sine(80 / 1.8 * day, 60 / 1.8 * day, 55 / 1.8, 90 / 1.8)
    assert 1.8 * found.sum() == pytest.approx(75.0)


def test_a_day_without_a_swing_is_counted_at_its_temperature():
    assert degree_days_single_sine(20, 20, 12, 30) == pytest.approx(8)
    assert degree_days_single_sine(12, 12, 12, 30) == pytest.approx(0, abs=1e-8)
    assert degree_days_single_sine(35, 35, 12, 30) == pytest.approx(18)


def test_unknown_days_stay_unknown():
    high, low = np.array([20.0, np.nan, 20.0]), np.array([10.0, 10.0, np.nan])
    for found in (
        degree_days_simple(high, low, 10),
        degree_days_modified(high, low, 10, 30),
        degree_days_single_sine(high, low, 10, 30),
    ):
        assert np.isfinite(found[0]) and np.isnan(found[1:]).all()
    assert np.isnan(growth_potential([np.nan], WARM)).all()


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: growth_potential(20, "moss"), "grass_class must be cool-season or warm-season"),
        (lambda: growth_potential(200, COOL), "mean_air_c must lie between -90 and 60 C"),
        (lambda: degree_days_simple(10, 20, 5), "tmin must not exceed tmax, as 20 does 10"),
        (lambda: degree_days_modified(20, 10, 30, 10), "base must not exceed upper"),
        (lambda: degree_days_single_sine(20, 10, 30, 10), "lower must not exceed upper"),
    ],
)
def test_impossible_numbers_are_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()

"""Soil temperature: the estimate's steps and gaps, and the reading between layers."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.turf.soil_temperature import estimate_under_turf, interpolate_depth

NAN = np.nan
LAYERS = (0.0, 0.06, 0.18, 0.54)


def test_one_step_stays_as_it_is():
    """Regression: from 10 C to air of 16 under leaves, and to air of 6 without their help."""
    assert estimate_under_turf([16.0], 10.0) == pytest.approx([10.552], abs=0.0005)
    assert estimate_under_turf([6.0], 10.0) == pytest.approx([9.0])


def test_a_spring_stays_as_it_is():
    """Regression: 25 days of warming air, from 4 C."""
    fahrenheit = [38, 41, 45, 50, 48, 44, 47, 52, 55, 57, 54, 49, 51, 56, 60, 62, 58, 55, 59, 63,
                  65, 61, 60, 64, 66]  # fmt: skip
    soil = estimate_under_turf((np.array(fahrenheit) - 32) / 1.8, 4.0)
    np.testing.assert_allclose(soil[4::5], [5.15, 7.36, 9.30, 11.58, 13.81], atol=0.006)


@given(st.lists(st.floats(-40, 45), min_size=1, max_size=30), st.floats(-40, 45))
@settings(max_examples=50, deadline=None)
def test_the_soil_stays_within_what_it_has_seen(air, start):
    soil = estimate_under_turf(air, start)
    assert np.all(soil >= min(*air, start) - 1e-9) and np.all(soil <= max(*air, start) + 1e-9)


def test_a_start_that_is_not_known_is_found_in_eleven_days():
    """Their mean on the eleventh; before it nothing is claimed."""
    air = np.arange(20.0)
    soil = estimate_under_turf(air)
    assert np.isnan(soil[:10]).all()
    assert soil[10] == pytest.approx(5.0)
    assert np.isfinite(soil[10:]).all()
    assert np.isnan(estimate_under_turf(air[:10])).all()


def test_three_unknown_days_are_carried_and_a_fourth_is_not():
    air = np.array([12.0, NAN, NAN, NAN, NAN, 12.0, 12.0])
    soil = estimate_under_turf(air, 10.0)
    assert np.all(soil[1:4] == soil[0])
    assert np.isnan(soil[4:]).all()
    short = estimate_under_turf(air[[0, 1, 2, 3, 5, 6]], 10.0)
    assert np.isfinite(short).all() and short[5] > short[4] > short[3]


def test_after_a_long_gap_it_begins_anew():
    """Nine of the last eleven days known are enough, with the day itself among them."""
    air = np.concatenate([np.full(5, 8.0), np.full(20, NAN), np.full(12, 15.0)])
    soil = estimate_under_turf(air, 8.0)
    assert np.isnan(soil[8:33]).all()
    assert soil[33:] == pytest.approx(np.full(4, 15.0))


def test_sites_run_side_by_side():
    rng = np.random.default_rng(3)
    air = rng.uniform(0, 25, (2, 40))
    air[1, 5:12] = NAN
    both = estimate_under_turf(air, [5.0, NAN])
    np.testing.assert_array_equal(both[0], estimate_under_turf(air[0], 5.0))
    np.testing.assert_array_equal(both[1], estimate_under_turf(air[1]))


def test_between_two_layers_depth_decides():
    """2 in lies 5/6 of the way from the surface to 6 cm."""
    found = interpolate_depth(LAYERS, [[10.0, 16.0, 20.0, 30.0]], 0.05)
    assert found == pytest.approx([15.0])
    assert interpolate_depth(LAYERS, [10.0, 16.0, 20.0, 30.0], 0.18) == 20.0


def test_an_unknown_layer_is_bridged_by_its_neighbours():
    assert interpolate_depth(LAYERS, [10.0, NAN, 19.0, 30.0], 0.06) == pytest.approx(13.0)
    assert interpolate_depth(LAYERS, [NAN, 16.0, NAN, NAN], 0.06) == 16.0


def test_a_far_unknown_layer_does_no_harm():
    assert interpolate_depth(LAYERS, [10.0, 16.0, NAN, NAN], 0.03) == pytest.approx(13.0)


@pytest.mark.parametrize(
    ("temps", "depth"),
    [
        ([NAN, 16.0, 20.0, 30.0], 0.05),
        ([10.0, 16.0, 20.0, NAN], 0.30),
        ([10.0, 16.0, 20.0, 30.0], 0.60),
        ([NAN, NAN, NAN, NAN], 0.10),
    ],
)
def test_nothing_is_extrapolated(temps, depth):
    assert np.isnan(interpolate_depth(LAYERS, temps, depth))


@given(st.lists(st.floats(-40, 60), min_size=4, max_size=4), st.floats(0, 0.54))
@settings(max_examples=50, deadline=None)
def test_reading_between_layers_equals_numpys(temps, depth):
    """numpy.interp is the outside truth where every layer is known."""
    found = interpolate_depth(LAYERS, temps, depth)
    assert found == pytest.approx(np.interp(depth, LAYERS, temps), abs=1e-9)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: estimate_under_turf(5.0), "must have an axis of days"),
        (lambda: estimate_under_turf([70.0], 5.0), "mean_air_c must lie between -90 and 60 C"),
        (lambda: estimate_under_turf([7.0], 5.0, leaf_area=-1), "leaf_area must lie between"),
        (lambda: interpolate_depth((0, 0.1), [1.0, 2, 3], 0.05), "temps must have 2 layers"),
        (lambda: interpolate_depth((0.1, 0), [1.0, 2], 0.05), "grow from layer to layer"),
        (lambda: interpolate_depth((0, 0.1), [1.0, 2], -0.05), "depth_m must lie between 0 and"),
        (lambda: interpolate_depth((0, 0.1), [1.0, 200], 0.05), "temps must lie between -90"),
    ],
)
def test_impossible_numbers_are_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()

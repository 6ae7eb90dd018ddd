"""Soil temperature between the layers of a service."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.turf.soil_temperature import interpolate_depth

NAN = np.nan
LAYERS = (0.0, 0.06, 0.18, 0.54)


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
        (lambda: interpolate_depth((0, 0.1), [1.0, 2, 3], 0.05), "temps must have 2 layers"),
        (lambda: interpolate_depth((0.1, 0), [1.0, 2], 0.05), "grow from layer to layer"),
        (lambda: interpolate_depth((0, 0.1), [1.0, 2], -0.05), "depth_m must lie between 0 and"),
        (lambda: interpolate_depth((0, 0.1), [1.0, 200], 0.05), "temps must lie between -90"),
    ],
)
def test_impossible_numbers_are_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()

"""Heat index and label arithmetic: regression, round trips, refusals."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.turf.heat import CAUTION, heat_caution, heat_index
from advisor.turf.label import (
    nutrient_delivered,
    phosphorus_from_p2o5,
    potassium_from_k2o,
    product_rate,
)


def felt(air, humidity):
    """Heat index in F from F and percent."""
    return heat_index((np.asarray(air) - 32) / 1.8, np.asarray(humidity) / 100) * 1.8 + 32


def test_both_adjustments_and_the_first_try_stay_as_they_are():
    """Regression: 80/100 with the humid term, 95/10 with the dry one, 70/50 by the first try."""
    assert felt(80, 100) == pytest.approx(89.3, abs=0.05)
    assert felt(95, 10) == pytest.approx(89.4, abs=0.05)
    assert felt(70, 50) == pytest.approx((0.5 * (70 + 61 + 2 * 1.2 + 4.7) + 70) / 2)


def test_humidity_is_felt_and_unknown_stays_unknown():
    rising = felt(90, [20, 40, 60, 80])
    assert np.all(np.diff(rising) > 0)
    found = heat_index([np.nan, 30.0, 30.0], [0.5, np.nan, 0.5])
    assert np.isnan(found[:2]).all() and np.isfinite(found[2])


def test_caution_takes_the_stricter_of_both_charts():
    """80 and 90 F of the newer chart, 103 (not 105) for danger, 125 (not 130) for extreme."""
    fahrenheit = np.array([79.9, 80, 89.9, 90, 102.9, 103, 124.9, 125, 140])
    codes = heat_caution((fahrenheit - 32) / 1.8)
    np.testing.assert_array_equal(codes, [0, 1, 1, 2, 2, 3, 3, 4, 4])
    assert [CAUTION[int(code)] for code in codes[[0, 5, 7]]] == [
        "no caution", "danger", "extreme danger",
    ]  # fmt: skip
    np.testing.assert_array_equal(heat_caution([np.nan, 45.0]), [np.nan, 3])


@given(st.floats(-90, 60), st.floats(0, 1))
def test_whatever_is_possible_gives_a_heat_index(air, humidity):
    assert np.isfinite(heat_index(air, humidity))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: heat_index(95, 0.5), "t_c must lie between -90 and 60 C, not 95"),
        (lambda: heat_index(30, 50), "humidity_fraction must lie between 0 and 1, not 50"),
        (lambda: product_rate(5, 0), "percent must lie between 0.001 and 100 %, not 0"),
        (lambda: product_rate(-5, 10), "target must lie between 0 and 10000 g/m2, not -5"),
        (lambda: nutrient_delivered(5, 101), "percent must lie between 0 and 100 %"),
        (lambda: phosphorus_from_p2o5(-1), "p2o5 must lie between"),
        (lambda: potassium_from_k2o(-1), "k2o must lie between"),
    ],
)
def test_impossible_numbers_are_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()


@given(st.floats(0, 50), st.floats(0.5, 100))
@settings(max_examples=50, deadline=None)
def test_the_product_brings_what_was_wanted(target, percent):
    assert nutrient_delivered(product_rate(target, percent), percent) == pytest.approx(target)


def test_the_elements_weigh_less_than_the_oxides_that_labels_state():
    """By atomic weights (IUPAC): 2 P of P2O5 and 2 K of K2O, to the digits of the factors."""
    p, k, o = 30.974, 39.098, 15.999
    assert phosphorus_from_p2o5(1) == pytest.approx(2 * p / (2 * p + 5 * o), abs=0.0001)
    assert potassium_from_k2o(1) == pytest.approx(2 * k / (2 * k + o), abs=0.0001)
    assert np.isnan(phosphorus_from_p2o5(np.nan)) and np.isnan(product_rate(np.nan, 20))

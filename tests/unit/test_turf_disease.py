"""Disease pressure: thresholds at their edges, direction, unknown weather, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.conditions.vocabulary import PRESSURE
from advisor.turf.disease import (
    brown_patch_index,
    brown_patch_kentucky,
    brown_patch_pressure,
    brown_patch_six,
    dollar_spot,
    dollar_spot_pressure,
    gray_leaf_spot_conducive,
    pythium_pressure,
)

NAN = np.nan
SIX = {
    "hours_from_95": 8, "humidity_mean": 0.75, "wet_hours": 6, "rain_mm": 0, "air_min": 16,
    "soil_min": 16,
}  # fmt: skip
KENTUCKY = {
    "hours_over_95": 10, "soil_mean": 21.2, "soil_min": 17.8, "air_mean": 20.1, "air_min": 15.1,
    "rain_36h_mm": 2.54,
}  # fmt: skip


def test_dollar_spot_crosses_a_fifth_where_it_should():
    """From the equation: at 20 C with 68.8 %, and at 75 % with 17.15 C."""
    assert dollar_spot(20, 0.688) == pytest.approx(0.20, abs=0.001)
    assert dollar_spot(17.15, 0.75) == pytest.approx(0.20, abs=0.001)
    np.testing.assert_array_equal(dollar_spot_pressure([0.19, 0.2, 0.39, 0.4]), [0, 1, 1, 2])


def test_dollar_spot_says_nothing_outside_its_range():
    found = dollar_spot([9.9, 10, 35, 35.1, NAN, 20], [0.8, 0.8, 0.8, 0.8, 0.8, NAN])
    np.testing.assert_array_equal(np.isfinite(found), [0, 1, 1, 0, 0, 0])
    assert np.isnan(dollar_spot_pressure(found)[0])


@given(st.floats(10, 34), st.floats(0, 0.99))
def test_dollar_spot_likes_warmth_and_humidity(air, humidity):
    here = dollar_spot(air, humidity)
    assert 0 < here < 1
    assert dollar_spot(air + 1, humidity) > here < dollar_spot(air, humidity + 0.01)


@given(st.floats(-90, 60), st.floats(0, 0.99))
def test_brown_patch_peaks_at_21_2_degrees(air, humidity):
    """Vertex of the parabola: 1.4 / (2 * 0.033) C; with humidity it always rises."""
    here = brown_patch_index(humidity, air)
    assert brown_patch_index(humidity + 0.01, air) > here
    assert here <= brown_patch_index(humidity, 1.4 / 0.066) + 1e-9
    assert brown_patch_pressure(here) in (0, 1, 2)


def test_brown_patch_limits_of_kentucky_and_of_the_authors():
    found = brown_patch_pressure([4.99, 5, 5.99, 6, NAN])
    np.testing.assert_array_equal(found, [0, 1, 1, 2, NAN])
    assert [PRESSURE[int(code)] for code in found[[0, 1, 3]]] == ["low", "moderate", "high"]
    assert np.isnan(brown_patch_index([NAN, 0.9], [20, NAN])).all()


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({}, 1), ({"hours_from_95": 7}, 0), ({"humidity_mean": 0.74}, 0), ({"wet_hours": 5}, 0),
        ({"wet_hours": 0, "rain_mm": 12}, 1), ({"wet_hours": 0, "rain_mm": 11.9}, 0),
        ({"air_min": 15.9}, 0), ({"soil_min": 15.9}, 0), ({"soil_min": NAN}, NAN),
        ({"soil_min": NAN, "air_min": 5}, 0), ({"wet_hours": NAN, "rain_mm": 12}, 1),
        ({"wet_hours": NAN}, NAN),
    ],
)  # fmt: skip
def test_each_of_the_six_variables(changed, expected):
    assert brown_patch_six(**SIX | changed) == pytest.approx(expected, nan_ok=True)


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({}, 1), ({"hours_over_95": 9}, 0), ({"soil_mean": 21.1}, 0), ({"soil_min": 17.7}, 0),
        ({"air_mean": 20}, 0), ({"air_min": 15}, 0), ({"rain_36h_mm": 2.5}, 0),
        ({"rain_36h_mm": NAN}, NAN), ({"rain_36h_mm": NAN, "air_min": 10}, 0),
    ],
)  # fmt: skip
def test_each_condition_of_kentucky(changed, expected):
    assert brown_patch_kentucky(**KENTUCKY | changed) == pytest.approx(expected, nan_ok=True)


@pytest.mark.parametrize(
    ("air_max", "air_min", "hours", "expected"),
    [
        (31, 21, 14, 2), (31, 21, 13, 1), (30, 21, 14, 1), (31, 20, 14, 0), (31, 21, 8, 0),
        (28, 21, 9, 1), (27.7, 21, 20, 0), (NAN, 21, 14, NAN), (NAN, 15, 14, 0),
        (31, 21, NAN, NAN), (25, NAN, NAN, 0),
    ],
)  # fmt: skip
def test_pythium_by_both_rules(air_max, air_min, hours, expected):
    assert pythium_pressure(air_max, air_min, hours) == pytest.approx(expected, nan_ok=True)


@given(st.floats(20, 40), st.floats(10, 30), st.integers(0, 23))
def test_pythium_never_falls_when_it_grows_warmer_or_wetter(air_max, air_min, hours):
    here = pythium_pressure(air_max, air_min, hours)
    for more in ((1, 0, 0), (0, 1, 0), (0, 0, 1)):
        assert pythium_pressure(air_max + more[0], air_min + more[1], hours + more[2]) >= here


def test_gray_leaf_spot_between_its_ends():
    found = gray_leaf_spot_conducive([19.9, 20, 32, 32.1, 28, NAN, 28], [9, 3, 3, 9, 2, 9, NAN])
    np.testing.assert_array_equal(found, [0, 1, 1, 0, 0, NAN, NAN])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: dollar_spot(70, 0.8), "air_mean_5d must lie between -90 and 60 C, not 70"),
        (lambda: dollar_spot(20, 80), "humidity_mean_5d must lie between 0 and 1, not 80"),
        (lambda: dollar_spot_pressure(20), "probability must lie between 0 and 1, not 20"),
        (lambda: brown_patch_index(80, 20), "humidity_mean must lie between 0 and 1, not 80"),
        (lambda: brown_patch_pressure(1e9), "index must lie between"),
        (lambda: brown_patch_six(**SIX | {"wet_hours": -1}), "wet_hours must lie between 0 and 48"),
        (lambda: brown_patch_kentucky(**KENTUCKY | {"soil_mean": 70}), "soil_mean must lie"),
        (lambda: pythium_pressure(31, 21, 50), "humid_hours must lie between 0 and 48 h, not 50"),
        (lambda: gray_leaf_spot_conducive(82, 5), "wet_air_mean must lie between"),
    ],
)
def test_impossible_weather_is_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()

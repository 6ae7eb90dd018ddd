"""Reference evapotranspiration: what holds for any weather, and regression of a week."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from advisor.turf import evapotranspiration as et

USUAL = {
    "air_max": 28.0,
    "air_min": 16.0,
    "vapour_pressure": 1.6,
    "radiation": 22.0,
    "wind_2m": 2.0,
    "elevation_m": 200.0,
    "latitude_rad": 0.7,
    "day_of_year": 180.0,
}


@st.composite
def weather(draw):
    """Any day that the ranges allow."""
    low = draw(st.floats(-90, 60))
    return {
        "air_max": draw(st.floats(low, 60)),
        "air_min": low,
        "vapour_pressure": draw(st.floats(0, 10)),
        "radiation": draw(st.floats(0, 50)),
        "wind_2m": draw(st.floats(0, 120)),
        "elevation_m": draw(st.floats(-450, 9000)),
        "latitude_rad": draw(st.floats(-np.pi / 2, np.pi / 2)),
        "day_of_year": draw(st.integers(1, 366)),
        "ground_heat": draw(st.floats(-20, 20)),
        "cloud_floor": draw(st.floats(0, 1)),
    }


@settings(max_examples=100, deadline=None)
@given(weather())
def test_any_possible_day_has_a_finite_answer_that_is_not_negative(day):
    et0 = et.penman_monteith_daily(**day)
    assert np.isfinite(et0) and et0 >= 0


@st.composite
def growing_weather(draw):
    """Any day of the lawns' latitudes on which grass may grow."""
    low = draw(st.floats(-5, 30))
    return {
        "air_max": draw(st.floats(low, 48)),
        "air_min": low,
        "vapour_pressure": draw(st.floats(0.4, 4)),
        "radiation": draw(st.floats(0, 45)),
        "wind_2m": draw(st.floats(0, 20)),
        "elevation_m": draw(st.floats(-100, 2500)),
        "latitude_rad": draw(st.floats(-1.05, 1.05)),
        "day_of_year": draw(st.integers(1, 366)),
    }


@settings(max_examples=100, deadline=None)
@given(growing_weather(), st.floats(0, 20))
def test_more_sun_never_means_less_evaporation(day, more):
    """Wherever sun brings more than the clearer sky takes: in deep winter it does not [39]."""
    ra = et.extraterrestrial_radiation(day["latitude_rad"], day["day_of_year"])
    rso = et.clear_sky_radiation(ra, day["elevation_m"])
    sky = et.net_longwave(day["air_max"], day["air_min"], day["vapour_pressure"], rso, rso)
    assume(1.35 * sky < 0.77 * rso)
    brighter = {**day, "radiation": min(50, day["radiation"] + more)}
    assert et.penman_monteith_daily(**brighter) >= et.penman_monteith_daily(**day) - 1e-9


@pytest.mark.parametrize("name", USUAL)
def test_an_unknown_input_makes_that_day_unknown_and_no_other(name):
    days = {key: np.array([value, value]) for key, value in USUAL.items()}
    days[name] = np.array([np.nan, USUAL[name]])
    found = et.penman_monteith_daily(**days)
    assert np.isnan(found[0]) and np.isfinite(found[1])


def test_sites_and_days_broadcast():
    """Three sites in rows, five days in columns."""
    inputs = {**USUAL, "latitude_rad": np.array([[0.5], [0.7], [-0.6]])}
    inputs["day_of_year"] = np.arange(180, 185)
    found = et.penman_monteith_daily(**inputs)
    assert found.shape == (3, 5)
    one = et.penman_monteith_daily(**{**USUAL, "day_of_year": 182})
    assert found[1, 2] == one


def test_inputs_are_left_as_they_were():
    days = {key: np.array([value, value]) for key, value in USUAL.items()}
    before = {key: value.copy() for key, value in days.items()}
    et.penman_monteith_daily(**days)
    for key, value in before.items():
        np.testing.assert_array_equal(days[key], value)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"air_max": 99.0}, "air_max must lie between -90 and 60 C, not 99"),
        ({"air_min": 30.0}, "air_min must not exceed air_max, as 30 does 28"),
        ({"vapour_pressure": -0.1}, "vapour_pressure must lie between 0 and 10 kPa"),
        ({"radiation": 250.0}, "radiation must lie between 0 and 50 MJ/m2/d, not 250"),
        ({"wind_2m": 1048.0}, "wind_2m must lie between 0 and 120 m/s, not 1048"),
        ({"latitude_rad": 40.0}, "latitude_rad must lie between"),
        ({"cloud_floor": -1.0}, "cloud_floor must lie between 0 and 1"),
        ({"ground_heat": 50.0}, "ground_heat must lie between -20 and 20 MJ/m2/d"),
    ],
)
def test_an_impossible_input_is_named(change, message):
    with pytest.raises(ValueError, match=message):
        et.penman_monteith_daily(**{**USUAL, **change})


WEEK = {
    # Day of year: highest, lowest, radiation, wind, dew point.
    191: (31, 19, 25.5, 2.0, 17),
    192: (33, 21, 26.0, 2.5, 18),
    193: (34, 22, 24.0, 3.0, 19),
    194: (28, 18, 15.0, 2.0, 18),
    195: (27, 16, 25.0, 1.5, 15),
    196: (29, 17, 27.0, 1.8, 15),
    197: (32, 20, 26.5, 2.2, 17),
}


def test_a_week_stays_as_it_is():
    """Regression: a July week at 40 N and 200 m, computed from the formulas."""
    high, low, radiation, wind, dew = (np.array(c) for c in zip(*WEEK.values(), strict=True))
    day = np.array(list(WEEK))
    et0 = et.penman_monteith_daily(
        air_max=high,
        air_min=low,
        vapour_pressure=et.vapour_pressure_from_dew_point(dew),
        radiation=radiation,
        wind_2m=wind,
        elevation_m=200,
        latitude_rad=np.radians(40),
        day_of_year=day,
    )
    expected = [5.820, 6.573, 6.735, 3.683, 4.887, 5.628, 6.304]
    np.testing.assert_allclose(et0, expected, atol=0.001)
    ra = et.extraterrestrial_radiation(np.radians(40), day)
    plain = et.hargreaves_samani(high, low, ra)
    expected = [5.730, 5.987, 6.110, 4.959, 5.001, 5.411, 5.797]
    np.testing.assert_allclose(plain, expected, atol=0.001)


def test_hargreaves_in_deep_frost_is_nothing_and_not_less():
    assert et.hargreaves_samani(-25, -35, 5) == 0

"""Components of evapotranspiration: regression values, unknown input, impossible input."""

import numpy as np
import pytest

from advisor.turf import air, sun
from advisor.turf import evapotranspiration as et

NAN = np.nan


def same(found, expected, within):
    np.testing.assert_allclose(found, expected, rtol=0, atol=within)


def test_tables_of_the_formulas_stay_as_they_are():
    """Regression: values computed from the formulas, not read in print."""
    same(
        air.pressure_at([0, 100, 200, 500, 1000, 1500, 2000, 3000]),
        [101.3, 100.1, 99.0, 95.5, 90.0, 84.8, 79.8, 70.5],
        0.06,
    )
    same(
        air.saturation_vapour_pressure([1, 5, 10, 15, 20, 25, 30, 35, 40, 45]),
        [0.657, 0.872, 1.228, 1.705, 2.338, 3.168, 4.243, 5.623, 7.376, 9.582],
        0.001,
    )
    same(
        air.slope_of_saturation([5, 10, 15, 20, 25, 30, 35, 40]),
        [0.061, 0.082, 0.110, 0.145, 0.189, 0.243, 0.311, 0.393],
        0.0006,
    )
    same(air.wind_at_2m(1, [1, 2, 3, 5, 10]), [1.178, 1.0, 0.921, 0.838, 0.748], 0.001)


MID_MONTH = [15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349]


@pytest.mark.parametrize(
    ("degrees", "row"),
    [
        (50, [8.9, 14.4, 22.2, 31.5, 38.5, 41.7, 40.2, 34.3, 25.6, 16.8, 10.2, 7.5]),
        (35, [18.1, 23.2, 29.4, 35.9, 40.0, 41.6, 40.8, 37.5, 31.7, 25.1, 19.2, 16.7]),
        (-35, [43.4, 39.0, 32.7, 24.8, 18.6, 15.7, 16.8, 21.8, 29.3, 36.6, 42.0, 44.3]),
    ],
)
def test_extraterrestrial_radiation_round_the_year(degrees, row):
    """Regression: mid-month rows computed from the formula."""
    same(sun.extraterrestrial_radiation(np.radians(degrees), MID_MONTH), row, 0.2)


def test_daylight_round_the_year():
    """Regression: the row of 40 N computed from the formula."""
    row = [9.5, 10.5, 11.7, 13.1, 14.2, 14.8, 14.6, 13.6, 12.2, 10.9, 9.7, 9.2]
    same(sun.daylight_hours(np.radians(40), MID_MONTH), row, 0.1)


def test_midsummer_has_no_night_and_midwinter_no_day_beyond_the_circle():
    north = np.radians(80)
    assert sun.daylight_hours(north, 172) == pytest.approx(24)
    assert sun.daylight_hours(north, 355) == pytest.approx(0)
    assert sun.extraterrestrial_radiation(north, 355) == 0


def test_days_lengthen_from_winter_to_summer_on_both_hemispheres():
    """The turn falls within two days of the solstices of 21 December and 21 June."""
    day = np.arange(1, 366)
    north, south = np.radians(40), np.radians(-40)
    in_north = sun.daylight_lengthening(north, day)
    assert in_north.dtype == bool
    assert in_north[:169].all() and not in_north[174:352].any() and in_north[357:].all()
    np.testing.assert_array_equal(sun.daylight_lengthening(south, day), ~in_north)
    grows = np.diff(sun.daylight_hours(north, day)) > 0
    assert np.count_nonzero(grows != in_north[:-1]) <= 2


def test_lengthening_cannot_be_told_without_a_place_or_a_day():
    with pytest.raises(ValueError, match="day_of_year must be known"):
        sun.daylight_lengthening(0.6, NAN)
    with pytest.raises(ValueError, match="latitude_rad must be known"):
        sun.daylight_lengthening(NAN, 100)


def test_temperature_tells_no_more_sun_than_a_clear_sky():
    assert sun.radiation_from_temperature(45, 5, 40, k_rs=0.19) == pytest.approx(30)
    higher = sun.radiation_from_temperature(45, 5, 40, k_rs=0.19, elevation_m=1000)
    assert higher == pytest.approx(30.8)


def test_more_sunshine_than_daylight_counts_as_full_and_polar_night_as_none():
    assert sun.radiation_from_sunshine(12.5, 12.3, 40) == pytest.approx(30)
    assert sun.radiation_from_sunshine(0, 0, 0) == 0


def test_polar_night_takes_the_sky_as_clear():
    """Without light the share of clear sky is 0/0; the answer is finite and the greatest loss."""
    dark = sun.net_longwave(-10, -20, 0.2, 0.0, 0.0)
    assert dark == sun.net_longwave(-10, -20, 0.2, 5.0, 5.0)
    assert np.isnan(sun.net_longwave(-10, -20, 0.2, NAN, 0.0))


UNARY = [
    air.saturation_vapour_pressure,
    air.slope_of_saturation,
    air.pressure_at,
    air.psychrometric_constant,
    air.vapour_pressure_from_dew_point,
    sun.net_shortwave,
]


@pytest.mark.parametrize("function", UNARY, ids=lambda f: f.__name__)
def test_unknown_stays_unknown_beside_what_is_known(function):
    found = function([NAN, 30.0])
    assert np.isnan(found[0]) and np.isfinite(found[1])


MANY = {
    air.mean_saturation: (25.0, 15.0),
    air.wind_at_2m: (3.0, 10.0),
    air.vapour_pressure_from_wet_bulb: (25.0, 20.0, 101.0),
    air.vapour_pressure_from_extremes: (25.0, 15.0, 0.9, 0.4),
    air.vapour_pressure_from_highest: (15.0, 0.9),
    air.vapour_pressure_from_mean: (25.0, 15.0, 0.6),
    air.vapour_deficit: (25.0, 15.0, 1.2),
    sun.extraterrestrial_radiation: (0.6, 100.0),
    sun.daylight_hours: (0.6, 100.0),
    sun.clear_sky_radiation: (30.0, 100.0),
    sun.radiation_from_sunshine: (7.0, 12.0, 30.0),
    sun.radiation_from_temperature: (25.0, 15.0, 30.0),
    sun.net_longwave: (25.0, 15.0, 1.2, 20.0, 28.0),
    et.hargreaves_samani: (25.0, 15.0, 30.0),
    et.ground_heat_of_month: (14.0, 18.0),
}


@pytest.mark.parametrize("function", MANY, ids=lambda f: f.__name__)
def test_any_unknown_argument_makes_the_answer_unknown(function):
    """Each argument in turn is NaN; none of them warns."""
    usual = MANY[function]
    assert np.isfinite(function(*usual))
    for place in range(len(usual)):
        given = [np.array([[value]]) for value in usual]
        given[place] = np.array([NAN, usual[place]])
        found = function(*given)
        assert found.shape == (1, 2)
        assert np.isnan(found[0, 0]) and np.isfinite(found[0, 1])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: air.saturation_vapour_pressure([10, 71.5]), "t_c must lie between -90 and 60 C"),
        (lambda: air.saturation_vapour_pressure(np.inf), "t_c must .*, not inf"),
        (lambda: air.wind_at_2m(-1, 10), "speed_m_s must lie between 0 and 120 m/s, not -1"),
        (lambda: air.wind_at_2m(1, 0.1), "height_m must lie between 0.5 and 200 m"),
        (lambda: air.pressure_at(12000), "elevation_m must lie between -450 and 9000 m"),
        (lambda: air.vapour_pressure_from_highest(10, 82), "humidity_max must lie between 0 and 1"),
        (lambda: air.mean_saturation([9, 5], [1, 6]), "air_min must not exceed air_max, as 6"),
        (lambda: air.vapour_pressure_from_wet_bulb(10, 12, 100), "wet_bulb must not exceed"),
        (lambda: sun.daylight_hours(45, 100), "latitude_rad must lie between -1.57"),
        (lambda: sun.daylight_hours(0.6, 367), "day_of_year must lie between 1 and 366, not 367"),
        (lambda: sun.net_shortwave([NAN, 300]), "rs must lie between 0 and 50 MJ/m2/d, not 300"),
        (lambda: sun.net_longwave(9, 1, 1, 5, 5, cloud_floor=2), "cloud_floor must lie between"),
        (lambda: et.ground_heat_of_month(1, 2, months_apart=3), "months_apart must be 1 or 2"),
    ],
)
def test_impossible_numbers_are_named_with_their_range(call, message):
    with pytest.raises(ValueError, match=message):
        call()


def test_an_empty_axis_gives_an_empty_answer():
    assert air.saturation_vapour_pressure([]).shape == (0,)

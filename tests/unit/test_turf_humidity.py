"""Humidity: what must hold everywhere in the range, and what is unknown outside the fit."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.turf.humidity import deficit, dew_point, relative_humidity, wet_bulb

AIR = np.linspace(-20, 50, 141)[:, None]
HUMIDITY = np.linspace(0.05, 0.99, 95)


@given(st.floats(5, 50), st.floats(0.05, 0.99))
def test_wet_bulb_lies_between_dew_point_and_dry_bulb(air, humidity):
    """Within the 0.2 C that the docstring names."""
    wet = float(wet_bulb(air, humidity))
    assert dew_point(air, humidity) - 0.2 <= wet <= air + 0.2


def test_wet_bulb_rises_with_temperature_and_from_minus_seven_with_humidity():
    grid = wet_bulb(AIR, HUMIDITY)
    assert np.nanmin(np.diff(grid, axis=0)) > 0
    mild = grid[AIR[:, 0] >= -7]
    assert np.nanmin(np.diff(mild, axis=1)) > 0
    assert np.nanmin(np.diff(grid, axis=1)) < 0  # the fit's turn in the cold, as stated


def test_wet_bulb_is_unknown_outside_the_fit():
    outside = wet_bulb([-21, 51, 20, 20, 4.9], [0.5, 0.5, 0.04, 1.0, 0.39])
    assert np.isnan(outside).all()
    assert np.isfinite(wet_bulb([-20, 50, 20, 20, 4.9, 5], [0.5, 0.5, 0.05, 0.99, 0.4, 0.05])).all()


@given(st.floats(-45, 60), st.floats(0.01, 1))
def test_dew_point_and_humidity_turn_round(air, humidity):
    dew = dew_point(air, humidity)
    assert dew <= air
    assert relative_humidity(air, dew) == pytest.approx(humidity, rel=1e-9)


@given(st.floats(-90, 60), st.floats(0, 1))
def test_whatever_is_possible_gives_a_number(air, humidity):
    assert np.isfinite(dew_point(air, humidity))
    assert 0 <= deficit(air, humidity) < 25


def test_dew_point_and_deficit_move_with_humidity():
    air = np.linspace(-40, 60, 51)[:, None]
    humidity = np.linspace(0.01, 1, 100)
    assert np.all(np.diff(dew_point(air, humidity), axis=1) > 0)
    assert np.all(np.diff(deficit(air, humidity), axis=1) < 0)
    assert dew_point(20, 0) == dew_point(20, 0.01)
    assert dew_point(20, 1) == pytest.approx(20) and deficit(20, 1) == 0


@pytest.mark.parametrize("function", [wet_bulb, dew_point, deficit])
def test_unknown_stays_unknown_and_percent_is_refused(function):
    found = function([np.nan, 20.0, 20.0], [0.5, np.nan, 0.5])
    assert np.isnan(found[:2]).all() and np.isfinite(found[2])
    with pytest.raises(ValueError, match="humidity_fraction must lie between 0 and 1, not 50"):
        function(20, 50)
    with pytest.raises(ValueError, match="t_c must lie between -90 and 60 C, not 68"):
        function(68, 0.5)


def test_a_dew_point_above_the_air_is_refused():
    with pytest.raises(ValueError, match="dew_point must not exceed t_c, as 21 does 20"):
        relative_humidity(20, 21)
    assert np.isnan(relative_humidity(np.nan, 21))

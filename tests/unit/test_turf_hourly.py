"""The sun and the evapotranspiration of hours: what must hold anywhere on earth."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.turf.clear_sky import clear_sky_full, diffuse_share
from advisor.turf.hourly_evapotranspiration import ground_heat_of_hour, penman_monteith_hourly
from advisor.turf.hourly_sun import (
    CARRIED_AT_MOST,
    NIGHT_SHARE,
    equation_of_time,
    extraterrestrial_of_hour,
    hour_angle,
    share_by_hours,
    solar_time,
    sun_height,
)
from advisor.turf.reference import ASCE_SHORT, ASCE_TALL, FAO56
from advisor.turf.sun import extraterrestrial_radiation

LATITUDES = st.floats(-89, 89).map(np.radians)
LONGITUDES = st.floats(-180, 180)
DAYS = st.dates(
    min_value=np.datetime64("1990-01-01").item(), max_value=np.datetime64("2040-12-31").item()
)


def hours_of_solar_day(day: object, longitude: float) -> np.ndarray:
    """The middles of 24 hours that begin at the mean solar midnight of a place, in UTC."""
    midnight = np.datetime64(day, "s") - np.timedelta64(round(longitude * 240), "s")
    return midnight + np.timedelta64(1800, "s") + np.arange(24) * np.timedelta64(3600, "s")


@given(LATITUDES, LONGITUDES, DAYS)
def test_the_hours_of_a_day_sum_to_the_day(latitude, longitude, day):
    """In polar day, in polar night and where the sun sets close to midnight too."""
    middles = hours_of_solar_day(day, longitude)
    of_year, _ = solar_time(middles[12], longitude)
    total = extraterrestrial_of_hour(latitude, middles, longitude).sum()
    assert total == pytest.approx(extraterrestrial_radiation(latitude, of_year), abs=1e-6)


@given(LATITUDES, LONGITUDES, DAYS)
def test_the_sun_gives_light_only_while_it_is_up(latitude, longitude, day):
    middles = hours_of_solar_day(day, longitude)
    light = extraterrestrial_of_hour(latitude, middles, longitude)
    height = sun_height(latitude, middles, longitude)
    assert np.all(light >= 0)
    assert np.all(light[height > 0] > 0)
    assert np.all(light[height < -np.radians(16)] == 0), "an hour turns the sun by 15 degrees"


def test_noon_is_where_the_meridian_says():
    """At 75 W mean noon is 17:00 UTC; east and west of it the sun is late and early."""
    noon = np.datetime64("2026-04-15T17:00")
    assert solar_time(noon, -75.0)[1] == pytest.approx(12.0)
    assert abs(hour_angle(noon, -75.0)) < np.radians(1), "the equation of time is 0 that day"
    assert hour_angle(noon, -70.0) > 0 > hour_angle(noon, -80.0)


def test_a_place_across_the_date_line_has_its_own_day():
    """At 14 h UTC on New Year's Eve it is already the first day of the year at 170 E."""
    assert solar_time(np.datetime64("2027-12-31T14:00"), 170.0)[0] == 1
    assert solar_time(np.datetime64("2028-12-31T12:00"), 0.0)[0] == 366


def test_an_unknown_instant_is_unknown():
    assert np.isnan(sun_height(0.7, np.datetime64("NaT"), 10.0))
    assert np.isnan(extraterrestrial_of_hour(np.nan, np.datetime64("2026-04-15T17:00"), 10.0))


def test_wrong_places_and_times_are_refused():
    with pytest.raises(ValueError, match="datetime64"):
        sun_height(0.7, 12.0, 10.0)
    with pytest.raises(ValueError, match="longitude_deg"):
        sun_height(0.7, np.datetime64("2026-04-15T17:00"), 200.0)


@pytest.mark.parametrize(("day", "minutes"), [(44, -14.2), (135, 3.7), (207, -6.5), (307, 16.4)])
def test_the_equation_of_time_at_its_turns(day, minutes):
    """Its extremes, in February, May, July and November [minutes; from memory]."""
    assert equation_of_time(day) * 60 == pytest.approx(minutes, abs=0.6)


def test_the_share_of_the_evening_is_carried_through_the_night():
    height = np.array([0.8, 0.5, 0.2, -0.3, -0.8, 0.1, 0.4])
    clear = np.array([2.0, 1.5, 0.5, 0.0, 0.0, 0.2, 1.2])
    light = np.array([1.0, 1.2, 0.5, 0.0, 0.0, 0.2, 0.6])
    share = share_by_hours(light, clear, height)
    np.testing.assert_allclose(share, [0.5, 0.8, 0.8, 0.8, 0.8, 0.8, 0.5])


def test_before_any_daylight_and_long_after_it_the_share_is_the_usual_one():
    night = np.full(CARRIED_AT_MOST + 3, -0.5)
    height = np.concatenate([[-0.5], [0.5], night])
    light = np.where(height > 0, 1.0, 0.0)
    share = share_by_hours(light, light, height)
    assert share[0] == NIGHT_SHARE
    assert share[1 + CARRIED_AT_MOST] == 1.0
    assert share[2 + CARRIED_AT_MOST] == NIGHT_SHARE


@given(
    st.floats(-40, 50), st.floats(0, 1), st.floats(0, 4.5), st.floats(0, 20), st.floats(0, 1),
    st.sampled_from([FAO56, ASCE_SHORT, ASCE_TALL]),
)  # fmt: skip
def test_nothing_finite_makes_anything_else(air, humid, sun, wind, share, crop):
    # More than 10 kPa is no air that anybody breathes, and is refused.
    ea = min(10.0, humid * 0.6108 * np.exp(17.27 * air / (air + 237.3)))
    found = penman_monteith_hourly(
        air_temp=air, vapour_pressure=ea, radiation=sun, wind_2m=wind, elevation_m=100,
        share=share, reference=crop,
    )  # fmt: skip
    assert np.isfinite(found)
    assert 0 <= found < 5


def test_more_sun_evaporates_more():
    suns = np.linspace(0, 4, 50)
    found = penman_monteith_hourly(
        air_temp=20.0, vapour_pressure=1.2, radiation=suns, wind_2m=2.0, elevation_m=0, share=0.7
    )
    assert np.all(np.diff(found) >= 0)


def test_the_soil_takes_less_under_a_tall_crop():
    for rn in (2.0, -0.2):
        assert abs(ground_heat_of_hour(rn, ASCE_TALL)) < abs(ground_heat_of_hour(rn, ASCE_SHORT))


@given(st.floats(60, 105), st.floats(0, 4), st.floats(0, np.pi / 2), st.floats(0, 5))
def test_a_clear_sky_lets_no_more_through_than_comes(pressure, ea, height, ra):
    found = clear_sky_full(ra, pressure, ea, height, lowest=0.01)
    assert 0 <= found <= ra
    assert np.isfinite(found)


def test_a_dimmer_beam_leaves_a_brighter_sky_until_it_is_very_dim():
    """The two lines of ASCE-EWRI (2005) meet at a beam of 0.15 (0.1441 by their constants)."""
    beam = np.array([0.7, 0.4, 0.15, 0.1, 0.0])
    assert np.all(np.diff(diffuse_share(beam[:3])) > 0)
    assert np.all(np.diff(diffuse_share(beam[2:])) < 0)

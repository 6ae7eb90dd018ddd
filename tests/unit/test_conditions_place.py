"""Daylight and reference evapotranspiration: which method served, and what is said of it."""

from __future__ import annotations

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_cases import NOW, ZONE, files, weather

from advisor.conditions.daily import Daily, daily
from advisor.conditions.facts import lawn_facts
from advisor.conditions.place import (
    HARGREAVES,
    PENMAN_MONTEITH,
    calendar,
    day_of_year,
    reference_et,
    sun,
)
from advisor.conditions.site_weather import site_weather
from advisor.conditions.table import Table
from advisor.series.hourly import Series
from advisor.site.sums import sums
from advisor.turf.air import vapour_pressure_from_dew_point, wind_at_2m
from advisor.turf.evapotranspiration import hargreaves_samani, penman_monteith_daily
from advisor.turf.sun import extraterrestrial_radiation


def days_of(series: Series) -> Daily:
    found = daily(series, ZoneInfo(ZONE), NOW)
    assert found is not None
    return found


def table_of(series: Series) -> Table:
    read = files()
    assert read.site is not None
    shared = site_weather(series, read.site, NOW)
    assert shared is not None
    counted = sums(read.site, read.shelf, read.journal, (), date(2026, 5, 13))
    return lawn_facts(shared, read.site, read.site.lawns[0], counted).table


def test_penman_monteith_where_all_is_known():
    """With all inputs nothing is estimated, on any day."""
    found = reference_et(days_of(weather()), 40.0, 150.0)
    assert np.all((found.values > 1) & (found.values < 10))
    assert {found.origin(day) for day in range(len(found.values))} == {PENMAN_MONTEITH}


@pytest.mark.parametrize(
    ("missing", "said"),
    [
        (["wind"], "wind assumed 2 m/s"),
        (["radiation"], "sunlight estimated from the day's range of temperature"),
        (["dew_point"], "dew point taken from the day's mean humidity"),
        (["dew_point", "humidity"], "dew point taken as the day's lowest temperature"),
        (
            ["radiation", "wind"],
            "sunlight estimated from the day's range of temperature and wind assumed 2 m/s",
        ),
    ],
)
def test_what_is_missing_on_a_day_is_estimated_and_said(missing: list[str], said: str):
    """On the one day without them, and on no other."""
    series = weather(**{name: {2: np.nan} for name in missing})
    days = days_of(series)
    found, whole = reference_et(days, 40.0, 150.0), reference_et(days_of(weather()), 40.0, 150.0)
    there = days.today + 2
    origin = table_of(series).number("et0").origin
    assert origin(there) == f"Penman-Monteith; {said}, not given by the service"
    assert origin(there - 1) == PENMAN_MONTEITH
    assert found.method(there) == "Penman-Monteith"
    others = np.arange(len(days.days)) != there
    np.testing.assert_array_equal(found.values[others], whole.values[others])
    # The made-up weather is mild and ordinary, so estimates stay near what was given.
    assert abs(found.values[there] - whole.values[there]) < 1.5
    assert found.values[there] != whole.values[there]


def test_estimates_are_those_of_fao_56():
    """Wind of 2 m/s at 2 m, humidity by equations 19 and 48, sunlight by equation 50."""
    gone = {name: {2: np.nan} for name in ("dew_point", "humidity", "radiation")}
    days = days_of(weather(**gone))
    at = days.today + 2
    doy = days.days[at].timetuple().tm_yday
    high, low, north = days.air_max[at], days.air_min[at], np.radians(40)
    ra = extraterrestrial_radiation(north, doy)
    expected = penman_monteith_daily(
        air_max=high,
        air_min=low,
        vapour_pressure=vapour_pressure_from_dew_point(low),
        radiation=0.16 * np.sqrt(high - low) * ra,
        wind_2m=wind_at_2m(2.0, 10.0),
        elevation_m=150.0,
        latitude_rad=north,
        day_of_year=doy,
    )
    assert reference_et(days, 40.0, 150.0).values[at] == pytest.approx(expected)
    calm = days_of(weather(wind={2: np.nan}))
    assert reference_et(calm, 40.0, 150.0).values[at] == pytest.approx(
        reference_et(days_of(weather(wind=2.0 / wind_at_2m(1.0, 10.0))), 40.0, 150.0).values[at]
    )


def test_hargreaves_where_only_temperatures_are_known():
    """The origin of the value says so, and so does the next morning's balance."""
    gone = {name: {2: np.nan} for name in ("dew_point", "humidity", "radiation", "wind")}
    series = weather(**gone)
    days = days_of(series)
    found = reference_et(days, 40.0, 150.0)
    at = days.today + 2
    assert np.flatnonzero(found.temperature_only).tolist() == [at]
    ra = extraterrestrial_radiation(np.radians(40), days.days[at].timetuple().tm_yday)
    assert found.values[at] == hargreaves_samani(days.air_max[at], days.air_min[at], ra)
    assert table_of(series).number("et0").origin(at) == HARGREAVES
    balance = table_of(series).number("depletion").origin
    assert "Hargreaves" in balance(at + 1)
    assert "Penman" in balance(at)


def test_no_temperature_no_et0():
    """Without temperatures there is no reference evapotranspiration."""
    days = days_of(weather(air_temp={2: np.nan}))
    assert np.isnan(reference_et(days, 40.0, 150.0).values[days.today + 2])


def test_daylight_turns_at_the_solstice():
    """Days lengthen until about 21 June north of the equator and shorten south of it."""
    days = [date(2026, 5, 1), date(2026, 6, 10), date(2026, 7, 2), date(2026, 12, 31)]
    assert sun(days, 40.0).lengthening.tolist() == [True, True, False, True]
    assert sun(days, -40.0).lengthening.tolist() == [False, False, True, False]
    assert sun(days, 40.0).hours[1] > 14.5


@given(st.dates(date(1900, 1, 1), date(2100, 12, 31)), st.integers(0, 400))
def test_days_as_an_array_and_their_number_in_the_year(first: date, many: int) -> None:
    days = [first + timedelta(n) for n in range(many)]
    assert calendar(days).tolist() == days
    assert day_of_year(days).tolist() == [day.timetuple().tm_yday for day in days]

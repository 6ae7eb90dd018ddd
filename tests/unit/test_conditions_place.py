"""Daylight and reference evapotranspiration: which method served, and what is said of it."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from plan_cases import NOW, ZONE, files, weather

from advisor.conditions.daily import Daily, daily
from advisor.conditions.facts import lawn_facts
from advisor.conditions.place import HARGREAVES, PENMAN_MONTEITH, reference_et, sun
from advisor.conditions.site_weather import site_weather
from advisor.conditions.table import Table
from advisor.series.hourly import Series
from advisor.site.sums import sums


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
    """With all inputs the full equation is used, on every day."""
    et0, full = reference_et(days_of(weather()), 40.0, 150.0)
    assert full.all()
    assert np.all((et0 > 1) & (et0 < 10))


@pytest.mark.parametrize("missing", ["radiation", "dew_point", "wind"])
def test_hargreaves_where_an_input_misses(missing: str):
    """Without radiation, dew point or wind the temperatures alone serve, and the origin says so."""
    series = weather(**{missing: {2: np.nan}})
    days = days_of(series)
    et0, full = reference_et(days, 40.0, 150.0)
    assert not full[days.today + 2]
    assert full[days.today + 1]
    assert et0[days.today + 2] > 0
    origin = table_of(series).number("et0").origin
    assert origin(days.today + 2) == HARGREAVES
    assert origin(days.today + 1) == PENMAN_MONTEITH
    # What was used on a day shows in the next morning's balance.
    balance = table_of(series).number("depletion").origin
    assert "Hargreaves" in balance(days.today + 3)
    assert "Penman" in balance(days.today + 2)


def test_no_temperature_no_et0():
    """Without temperatures there is no reference evapotranspiration."""
    days = days_of(weather(air_temp={2: np.nan}))
    et0, full = reference_et(days, 40.0, 150.0)
    assert np.isnan(et0[days.today + 2])
    assert not full[days.today + 2]


def test_daylight_turns_at_the_solstice():
    """Days lengthen until about 21 June north of the equator and shorten south of it."""
    days = [date(2026, 5, 1), date(2026, 6, 10), date(2026, 7, 2), date(2026, 12, 31)]
    assert sun(days, 40.0).lengthening.tolist() == [True, True, False, True]
    assert sun(days, -40.0).lengthening.tolist() == [False, False, True, False]
    assert sun(days, 40.0).hours[1] > 14.5

"""Any lawn on earth, on any day: both hemispheres, high latitudes, odd zones, odd days."""

from __future__ import annotations

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from plan_cases import files, moment, weather
from test_conditions_facts import assert_in_ranges

from advisor.conditions.facts import lawn_facts
from advisor.conditions.site_weather import site_weather
from advisor.conditions.table import Table
from advisor.conditions.vocabulary import FACTS
from advisor.site.sums import sums

PLACES = {
    "Tromsø, where the sun stays away": (69.65, "Europe/Oslo"),
    "Adelaide, on the half hour and south": (-34.93, "Australia/Adelaide"),
    "Lord Howe, whose clocks move by half an hour": (-31.55, "Australia/Lord_Howe"),
    "Kathmandu, on three quarters": (27.7, "Asia/Kathmandu"),
    "Quito, on the line": (0.0, "America/Guayaquil"),
    "Ushuaia, far south": (-54.8, "America/Argentina/Ushuaia"),
    "Apia, a day ahead": (-13.8, "Pacific/Apia"),
}


def table_at(latitude: float, zone: str, today: date, past: int = 30, **columns: object) -> Table:
    read = files(latitude=latitude, zone=zone, today=today)
    assert read.site is not None
    series = weather(today=today, zone=zone, past=past, **columns)  # type: ignore[arg-type]
    shared = site_weather(series, read.site, moment(today, zone=zone))
    assert shared is not None
    counted = sums(read.site, read.shelf, read.journal, (), today)
    return lawn_facts(shared, read.site, read.site.lawns[0], counted).table


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("today", [date(2027, 12, 21), date(2028, 2, 29), date(2028, 6, 21)])
def test_every_fact_keeps_to_its_range(place: str, today: date):
    table = table_at(*PLACES[place], today)
    assert_in_ranges(table)
    assert table.days[table.today] == today
    assert table.days[table.today + 1] - today == timedelta(1)


@pytest.mark.parametrize(
    ("latitude", "zone", "today", "hours"),
    [
        (40.0, "America/New_York", date(2026, 3, 8), 23),
        (40.0, "America/New_York", date(2026, 11, 1), 25),
        (-34.93, "Australia/Adelaide", date(2026, 10, 4), 23),
        (-34.93, "Australia/Adelaide", date(2026, 4, 5), 25),
    ],
)
def test_a_day_of_clock_changes_has_its_own_hours(latitude, zone, today, hours):
    """1 mm in every hour makes 23 or 25 mm on the day, and 24 on the day after."""
    read = files(latitude=latitude, zone=zone, today=today)
    series = weather(today=today, zone=zone)
    rain = weather(today=today, zone=zone, rain=np.ones(series.hours))
    shared = site_weather(rain, read.site, moment(today, zone=zone))
    assert shared is not None
    day = shared.daily.today
    assert shared.daily.rain_low[day] == shared.daily.rain_high[day] == hours
    assert shared.daily.rain_low[day + 1] == 24


@pytest.mark.parametrize("zone", ["Australia/Lord_Howe", "Asia/Kathmandu", "Asia/Kolkata"])
def test_a_zone_off_the_hour_keeps_its_days(zone: str):
    """An hour belongs to the day it begins in; a day off the hour still has 24 of them."""
    today = date(2026, 6, 10)
    series = weather(today=today, zone=zone)
    days, day_of = series.local_days(ZoneInfo(zone))
    inner = np.bincount(day_of)[1:-1]
    assert days[int(day_of[0])] <= today
    assert set(inner.tolist()) == {24}


def test_the_year_turns_with_the_sun():
    """South of the equator the heat of spring is counted from 1 July, north from 1 January."""
    turn = {40.0: date(2028, 1, 1), -40.0: date(2028, 7, 1)}
    for latitude, first in turn.items():
        table = table_at(latitude, "UTC", first + timedelta(9))
        heat = table.numbers["spring_heat"]
        at = table.days.index(first)
        assert heat.high[at - 1] == FACTS["spring_heat"].high, "what came before is not all known"
        assert heat.low[at] == heat.high[at] == pytest.approx(8.0)  # 12 to 24 C, base 10 C
        assert heat.low[at + 9] == pytest.approx(80.0)


def test_daylight_lengthens_on_the_other_side_of_the_world():
    today = date(2028, 3, 21)
    words = FACTS["daylight"].words
    for latitude, word in ((50.0, "lengthening"), (-50.0, "shortening")):
        codes = table_at(latitude, "UTC", today).words["daylight"].codes
        assert words[codes[30]] == word


def test_the_29th_of_february_is_a_day_like_any_other():
    """Its degree-days count once: 29 days from 1 February 2028 to it, and the sum goes on."""
    table = table_at(40.0, "UTC", date(2028, 3, 1), past=60)
    heat = table.numbers["spring_heat"]
    assert heat.low[table.days.index(date(2028, 2, 29))] == pytest.approx(60 * 8.0)
    assert heat.low[table.days.index(date(2028, 3, 1))] == pytest.approx(61 * 8.0)


def test_polar_night_and_day():
    """No daylight and no evaporation by sun in the one, 24 hours of it in the other."""
    dark = table_at(69.65, "Europe/Oslo", date(2027, 12, 21), radiation=0.0)
    light = table_at(69.65, "Europe/Oslo", date(2028, 6, 21))
    assert dark.numbers["daylight_hours"].high[30] == 0
    assert light.numbers["daylight_hours"].low[30] == 1
    assert 0 <= dark.numbers["et0"].low[30] < light.numbers["et0"].low[30]

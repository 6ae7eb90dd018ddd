"""Disease pressure as facts: by the night that ends on the day, as bounds where hours lack."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from plan_cases import files, moment, weather

from advisor.conditions.site_weather import SiteWeather, site_weather
from advisor.conditions.vocabulary import PRESSURE
from advisor.series.hourly import Series

TODAY = date(2026, 7, 10)
AT = 30
"""Index of today among the made-up days."""


def shared(series: Series | None = None, **columns: object) -> SiteWeather:
    """The shared weather in a zone without clock changes, so that hours can be counted."""
    series = series or weather(today=TODAY, zone="UTC", **columns)  # type: ignore[arg-type]
    found = site_weather(series, files(zone="UTC", today=TODAY).site, moment(TODAY, zone="UTC"))
    assert found is not None
    return found


def hours(series_hours: int, spans: dict[tuple[int, int], float], usual: float) -> np.ndarray:
    """A column with other values from one hour to another, counted from midnight of today."""
    column = np.full(series_hours, usual)
    for (first, last), value in spans.items():
        column[AT * 24 + first : AT * 24 + last] = value
    return column


def test_wet_hours_are_those_from_noon_to_noon():
    """Wet from 18:00 to 09:00 is one night of 15 hours; wet after noon is the next one's."""
    wet = hours(960, {(-6, 9): 0.95, (13, 15): 0.95}, 0.5)
    column = shared(humidity=wet).numbers["leaf_wetness"]
    assert column.low[AT] * 24 == column.high[AT] * 24 == 15
    assert column.low[AT + 1] * 24 == 2


def test_unknown_hours_leave_wetness_open_between_bounds():
    dark = hours(960, {(-6, 9): 0.95, (0, 4): np.nan}, 0.5)
    column = shared(humidity=dark).numbers["leaf_wetness"]
    assert column.low[AT] * 24 == pytest.approx(11)
    assert column.high[AT] * 24 == pytest.approx(15)


def test_rain_wets_leaves_without_humid_air():
    column = shared(rain_at={(0, 3): 1.0}, humidity=0.5).numbers["leaf_wetness"]
    assert column.low[AT] * 24 == pytest.approx(1)


def test_dollar_spot_of_five_days():
    """20 C and 80 % over five days: 40.4 % (computed from Smith et al. 2018)."""
    column = shared(air_temp=20.0, humidity=0.8).numbers["dollar_spot"]
    assert column.low[AT] == column.high[AT] == pytest.approx(0.4042, abs=5e-4)


def test_dollar_spot_in_the_cold_is_at_most_that_of_its_coolest_day():
    cold = shared(air_temp=5.0, humidity=0.8).numbers["dollar_spot"]
    coolest = shared(air_temp=10.0, humidity=0.8).numbers["dollar_spot"]
    assert cold.low[AT] == 0
    assert cold.high[AT] == pytest.approx(coolest.low[AT])
    assert cold.high[AT] < 0.2, "no warning in the cold"


def test_pythium_needs_a_hot_day_and_a_warm_humid_night():
    """Nutter et al. (1983): above 30 C, then 14 h above 90 % and 20 C, noon to noon."""
    air = hours(960, {(-12, -6): 33.0, (-6, 12): 23.0}, 25.0)
    humid = {(-6, 8): 0.95}
    words = shared(air_temp=air, humidity=hours(960, humid, 0.5)).words
    assert PRESSURE[words["pythium"].codes[AT]] == "high"
    short = {(-6, 7): 0.95}
    words = shared(air_temp=air, humidity=hours(960, short, 0.5)).words
    assert PRESSURE[words["pythium"].codes[AT]] == "moderate"
    cool = hours(960, {(-12, -6): 33.0, (0, 1): 19.0}, 25.0)
    words = shared(air_temp=cool, humidity=hours(960, humid, 0.5)).words
    assert PRESSURE[words["pythium"].codes[AT]] == "low"


def test_pythium_that_unknown_hours_would_decide_is_not_told():
    air = hours(960, {(-12, -6): 33.0, (-6, 12): 23.0}, 25.0)
    open_hours = hours(960, {(-6, 8): 0.95, (2, 3): np.nan}, 0.5)
    assert shared(air_temp=air, humidity=open_hours).words["pythium"].codes[AT] == -1
    cold = hours(960, {(2, 3): np.nan}, 0.95)
    assert PRESSURE[shared(air_temp=15.0, humidity=cold).words["pythium"].codes[AT]] == "low"


def test_brown_patch_by_humidity_and_the_lowest_temperature():
    """Fidanza et al. (1996): 95 % and 21 C make more than 6, 70 % and 16 C less than 5."""
    warm = shared(air_temp=21.0, humidity=0.95).words["brown_patch"]
    dry = shared(air_temp=16.0, humidity=0.70).words["brown_patch"]
    assert PRESSURE[warm.codes[AT]] == "high"
    assert PRESSURE[dry.codes[AT]] == "low"
    assert shared(humidity=None).words["brown_patch"].codes[AT] == -1


def test_the_first_night_of_a_series_is_not_called_dry():
    """The series begins at midnight: half of the first night is not known."""
    start = datetime(2026, 6, 10, tzinfo=UTC)
    series = weather(today=TODAY, zone="UTC", humidity=0.5)
    assert (
        series.start == start == datetime.combine(TODAY - timedelta(30), datetime.min.time(), UTC)
    )
    column = shared(series).numbers["leaf_wetness"]
    assert column.low[0] == 0
    assert column.high[0] * 24 == pytest.approx(12)

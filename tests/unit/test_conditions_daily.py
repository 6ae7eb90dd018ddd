"""Local days from hours: changes of clocks, missing hours, bounds of rain, chance by hindsight."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from numpy.typing import NDArray
from plan_cases import NOW, TODAY, ZONE, moment, weather

from advisor.conditions.daily import HOURS_NEEDED, RAIN_MOST, Daily, daily
from advisor.series.hourly import Series

SPRING_FORWARD = date(2026, 3, 8)
FALL_BACK = date(2026, 11, 1)
"""Days of 23 and 25 hours in New York in 2026 (IANA time zone database)."""


def days_of(series: Series, zone: str = ZONE, today: date = TODAY, clock: str = "06:00") -> Daily:
    found = daily(series, ZoneInfo(zone), moment(today, clock, zone))
    assert found is not None
    return found


def _without(*names: str) -> Series:
    series = weather()
    kept = {name: column for name, column in series.columns.items() if name not in names}
    return Series(series.start, kept, series.source)


def _with(series: Series, name: str, values: NDArray[np.float64]) -> Series:
    return Series(series.start, {**series.columns, name: values}, series.source)


def test_numbers_of_a_plain_day():
    """Mean, highest and lowest are those of the day's 24 hours; radiation is 0.0864 MJ per W."""
    hours = np.tile(np.arange(24.0), 12)
    found = days_of(weather(past=2, air_temp=hours, radiation=hours * 10))
    assert found.days[found.today] == TODAY
    assert found.air_mean[found.today] == pytest.approx(11.5)
    assert (found.air_max[found.today], found.air_min[found.today]) == (23, 0)
    assert found.radiation[found.today] == pytest.approx(115 * 0.0864)


@pytest.mark.parametrize(("day", "hours"), [(SPRING_FORWARD, 23), (FALL_BACK, 25)])
def test_days_on_which_clocks_change(day: date, hours: int):
    """Every hour of such a day belongs to it, and none of the days beside it."""
    series = weather(today=day, past=2, ahead=3, rain={-1: 1, 1: 2}, air_temp={0: 30.0, 1: 5.0})
    rain = series.column("rain").copy()
    rain[48 : 48 + hours] = 0.5
    found = days_of(_with(series, "rain", rain), today=day)
    assert series.hours == 96 + hours
    assert found.air_mean[found.today] == pytest.approx(30)
    assert found.air_mean[found.today + 1] == pytest.approx(5)
    assert found.rain_low[found.today] == found.rain_high[found.today]
    assert found.rain_low[found.today] == pytest.approx(hours * 0.5)
    assert (found.rain_low[found.today - 1], found.rain_low[found.today + 1]) == (1, 2)


def test_zone_of_half_an_hour():
    """Where midnight lies in the middle of an hour, a day has 24 hours that begin in it."""
    zone = "Asia/Kolkata"
    series = weather(zone=zone, past=2, ahead=3, rain=None, air_temp={0: 30.0})
    found = days_of(series, zone)
    assert found.days[found.today] == TODAY
    assert found.air_mean[found.today] == pytest.approx(30)
    assert found.air_max[found.today - 1] < 30
    assert found.air_max[found.today + 1] < 30
    assert found.rain_high[found.today] == 0


@pytest.mark.parametrize(("missing", "known"), [(4, True), (5, False)])
def test_twenty_of_twenty_four(missing: int, known: bool):
    """With 20 of 24 hours a day has a mean, a highest and a lowest; with 19 it has none."""
    assert HOURS_NEEDED == 20
    series = weather(past=2)
    air = series.column("air_temp").copy()
    air[48 : 48 + missing] = np.nan
    found = days_of(_with(series, "air_temp", air))
    for values in (found.air_mean, found.air_max, found.air_min, found.heat_load, found.heat_index):
        assert np.isnan(values[found.today]) != known
        assert not np.isnan(values[found.today + 1])


def test_missing_hours_of_rain_leave_bounds():
    """What is known of a day's rain bounds it from below; nothing but nature bounds it above."""
    series = weather(past=2, rain_at={(0, 10): 3.0})
    rain = series.column("rain").copy()
    rain[48 + 12] = np.nan
    found = days_of(_with(series, "rain", rain))
    assert (found.rain_low[found.today], found.rain_high[found.today]) == (3.0, RAIN_MOST)
    assert found.rain_high[found.today + 1] == 0


def test_no_rain_column_is_not_dry():
    """A source without rain leaves it between nothing and the most."""
    found = days_of(_without("rain"))
    assert found.rain_low.max() == 0
    assert found.rain_high.min() == RAIN_MOST
    assert np.isnan(found.rain_chance).sum() == 0, "the chance is still told by the source"


def test_chance_by_hindsight():
    """Without a chance, rain that is known makes it 0 or 100 %, and says so."""
    series = weather(rain={-1: 5.0, 1: 0.05}, rain_chance=None)
    found = days_of(series)
    assert found.chance_by_hindsight.all()
    assert found.rain_chance[found.today - 1] == 1
    assert found.rain_chance[found.today] == 0
    assert found.rain_chance[found.today + 1] == 0, "0.1 mm is where the service's chance begins"


def test_chance_stays_unknown_without_the_amount():
    """Where neither chance nor the whole amount is known, no chance is made up."""
    series = _without("rain_chance")
    rain = series.column("rain").copy()
    rain[-1] = np.nan
    found = days_of(_with(series, "rain", rain))
    assert np.isnan(found.rain_chance[-1])
    assert not found.chance_by_hindsight[-1]


def test_given_chance_is_kept():
    """A chance that the source gives is not overruled by the amount."""
    found = days_of(weather(rain={0: 5.0}, rain_chance={0: 0.4}))
    assert found.rain_chance[found.today] == 0.4
    assert not found.chance_by_hindsight.any()


def test_first_partial_day_is_dropped():
    """A day that the series begins in the middle of is not shown as a whole one."""
    found = days_of(weather(past=3, skip_hours=5))
    assert found.days[0] == date(2026, 5, 11)


def test_first_hour_missing_is_missing_rain():
    """A first day that lacks one hour has rain that is not known to be whole."""
    found = days_of(weather(past=3, skip_hours=1))
    whole = found.days[0] > date(2026, 5, 10)
    assert whole or found.rain_high[0] == RAIN_MOST


def test_last_partial_day_is_not_whole():
    """A day that the forecast only begins has bounds of rain, and no mean."""
    series = weather(past=3, ahead=3)
    short = Series(
        series.start, {n: c[:-12] for n, c in series.columns.items()}, series.source
    )  # fmt: skip
    found = days_of(short)
    assert np.isnan(found.air_mean[-1])
    assert found.rain_high[-1] == RAIN_MOST
    assert found.forecast_end == len(found.days) - 1


def test_last_day_of_25_hours_cut_short():
    """On the autumn day of 25 hours, 24 hours of rain are not the whole of it."""
    series = weather(today=FALL_BACK, past=3, ahead=1)
    short = Series(series.start, {n: c[:-1] for n, c in series.columns.items()}, series.source)
    found = days_of(short, today=FALL_BACK)
    assert found.rain_high[-1] == RAIN_MOST


def test_forecast_end():
    """The forecast ends where the first day ahead lacks its air temperature, gap or not."""
    found = days_of(weather(air_temp={3: np.nan}))
    assert found.forecast_end == found.today + 3
    assert days_of(weather()).forecast_end == len(days_of(weather()).days)
    assert days_of(weather(air_temp={-3: np.nan})).forecast_end == len(days_of(weather()).days)


@pytest.mark.parametrize("days", [-1, -20, 11])
def test_series_without_today(days: int):
    """A series that does not reach the asked day gives nothing, and no guess."""
    series = weather(today=date.fromordinal(TODAY.toordinal() + days), past=1, ahead=1)
    assert daily(series, ZoneInfo(ZONE), NOW) is None


def test_empty_series():
    """No hours at all give nothing."""
    series = weather()
    empty = Series(series.start, {}, series.source)
    assert daily(empty, ZoneInfo(ZONE), NOW) is None


def test_origin_tells_past_from_forecast():
    """A value says whether it was weather or forecast, and whose."""
    found = days_of(weather())
    assert found.origin(found.today - 1) == "past weather of made-up weather"
    assert found.origin(found.today, "rain") == "rain, forecast of made-up weather"


def test_heat_load_counts_above_85_f():
    """Six hours of 5 degrees above 85 °F (29.44 °C) are 1.25 degree-days [by arithmetic]."""
    hours = np.full(24 * 12, 20.0)
    hours[48 + 10 : 48 + 16] = 29.44 + 5
    found = days_of(weather(past=2, air_temp=hours))
    assert found.heat_load[found.today] == pytest.approx(6 * 5 / 24)

"""This year's weather carried on by a past year's: each day is the right one, and what is known
stays."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from plan_cases import files, moment, weather
from season_cases import FIRST_YEAR, past

from advisor.conditions.past_days import FORESEEN, RUN_UP, Futures
from advisor.conditions.weather_days import WeatherDays, weather_days
from advisor.series.years import PastYears

YEARS = 10


def numbered() -> PastYears:
    """Each day's lowest temperature names its year, and its highest the day of it."""
    years = past([0] * YEARS)
    axis = [years.first + timedelta(n) for n in range(len(years.air_min))]
    years.air_min[:] = [day.year - FIRST_YEAR for day in axis]
    years.air_max[:] = [20 + day.month / 10 + day.day / 1000 for day in axis]
    return years


def futures(today: date, known: WeatherDays | None = None, ahead: int = 460) -> Futures:
    site = files(today=today).site
    assert site is not None
    return Futures(site, numbered(), today, known, ahead)


def known_on(today: date) -> WeatherDays:
    site = files(today=today).site
    assert site is not None
    days = weather_days(weather(today=today), site, moment(today))
    assert days is not None
    return days


@pytest.mark.parametrize("branch", [0, 4, 9])
@pytest.mark.parametrize("today", [date(2026, 1, 1), date(2026, 7, 4), date(2027, 12, 31)])
def test_a_future_has_the_same_dates_of_its_year_and_of_the_one_behind_it(
    branch: int, today: date
) -> None:
    daily = futures(today).weather(branch).daily
    assert daily.days[daily.today] == today
    assert daily.days[0] == today - timedelta(RUN_UP)
    assert len(daily.days) == RUN_UP + 460
    for n, day in enumerate(daily.days):
        year = (branch + day.year - today.year) % YEARS
        assert daily.air_min[n] == year
        lack = (day.month, day.day) == (2, 29) and (FIRST_YEAR + year) % 4
        assert daily.air_max[n] == pytest.approx(
            20 + day.month / 10 + (28 if lack else day.day) / 1000
        )


def test_what_is_known_and_a_week_of_forecast_stay_as_they_are() -> None:
    """What a forecast says of the days behind its first week is no surer than past years."""
    today = date(2026, 5, 13)
    known = known_on(today)
    end = known.daily.today + FORESEEN
    assert end < known.daily.forecast_end
    for branch in (0, 7):
        daily = futures(today, known).weather(branch).daily
        assert daily.days[:end] == known.daily.days[:end]
        for name in ("air_max", "air_min", "air_mean", "wind", "humidity", "rain_low", "radiation"):
            np.testing.assert_array_equal(
                getattr(daily, name)[:end], getattr(known.daily, name)[:end]
            )
        np.testing.assert_array_equal(daily.soil[:, :end], known.daily.soil[:, :end])
        assert daily.air_min[end] == branch
        assert daily.today == known.daily.today


def test_what_past_days_lack_is_unknown() -> None:
    daily = futures(date(2026, 5, 13)).weather(3).daily
    for name in ("wind", "gust", "humidity", "snow_depth", "heat_index", "vapour_pressure"):
        assert np.isnan(getattr(daily, name)).all()
    assert np.isnan(daily.soil).all()


def test_unknown_rain_is_a_bound() -> None:
    today = date(2026, 5, 13)
    made = futures(today)
    row = (date(FIRST_YEAR, 6, 1) - made.past.first).days
    made.past.rain[row] = np.nan
    daily = made.weather(0).daily
    at = daily.days.index(date(2026, 6, 1))
    assert (daily.rain_low[at], daily.rain_high[at]) == (0.0, 600.0)
    assert np.isnan(daily.rain_chance[at])


def test_the_futures_share_what_only_dates_make() -> None:
    made = futures(date(2026, 5, 13))
    first, other = made.weather(0), made.weather(5)
    assert first.numbers["autumn_frost"] is other.numbers["autumn_frost"]
    assert first.daily.days == other.daily.days

"""The demo's recorded weather: its shape, and the events that must be in its year."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import numpy as np
import pytest
from recorded_weather import (
    LEADS,
    RECORDED,
    UNITS,
    YEAR,
    days_of,
    forecasts,
    foretold,
    highs,
    lows,
    of_day,
    passes_for_good,
    rains,
    soil,
    was,
    weather,
)

# Shape


@pytest.fixture(scope="module", params=["weather", "a forecast", "the last forecast"])
def answer(request: pytest.FixtureRequest) -> dict[str, Any]:
    if request.param == "weather":
        return weather()
    return forecasts()[date(2025, 7, 27) if "last" not in request.param else YEAR.LAST_ISSUE]


def test_an_answer_has_the_services_shape(answer: dict[str, Any]) -> None:
    """Units, zone and columns are those of a request in GMT, Unix seconds and m/s."""
    assert answer["hourly_units"] == UNITS
    assert list(answer["hourly"]) == list(UNITS)
    assert (answer["timezone"], answer["utc_offset_seconds"]) == ("GMT", 0)
    place = (answer["latitude"], answer["longitude"], answer["elevation"])
    assert place == (36.55, -80.35, 290.0)


def test_an_answer_is_hourly_and_its_columns_are_of_one_length(answer: dict[str, Any]) -> None:
    times = np.array(answer["hourly"]["time"])
    assert (np.diff(times) == 3600).all()
    assert {len(column) for column in answer["hourly"].values()} == {len(times)}


def test_the_weather_reaches_from_92_days_before_the_year_to_18_after() -> None:
    times = weather()["hourly"]["time"]
    assert datetime.fromtimestamp(times[0], UTC) == datetime(2024, 10, 1, tzinfo=UTC)
    assert datetime.fromtimestamp(times[-1], UTC) == datetime(2026, 1, 18, 23, tzinfo=UTC)
    assert all(None not in column for column in weather()["hourly"].values())


def test_there_is_a_forecast_for_every_day_and_each_has_17_days() -> None:
    assert list(forecasts()) == days_of(date(2024, 12, 1), date(2026, 1, 1))
    for day, one in forecasts().items():
        times = one["hourly"]["time"]
        assert times[0] == datetime.combine(day, time(1), UTC).timestamp()
        assert len(times) == LEADS


def test_only_the_chance_of_rain_is_null_and_only_after_14_days() -> None:
    said, _ = foretold()
    for name, column in said.items():
        missing = np.isnan(column)
        if name == "precipitation_probability":
            assert missing[:, 336:].all()
            assert not missing[:, :336].any()
        else:
            assert not missing.any()


def test_the_files_are_small_enough_to_travel() -> None:
    assert sum(path.stat().st_size for path in RECORDED.iterdir()) <= 4_000_000


# The year


def test_the_year_is_one_of_its_climate() -> None:
    """Some 1,100 mm on some 110 days, most months wet; a January near freezing, a hot July."""
    year = (date(2025, 1, 1), date(2025, 12, 31))
    rain = rains(*year)
    assert 1000 <= rain.sum() <= 1200
    assert 100 <= (rain >= 0.25).sum() <= 125
    january, july = (
        days_of(year[0], date(2025, 1, 31)),
        days_of(date(2025, 7, 1), date(2025, 7, 31)),
    )
    assert -1 <= np.mean([of_day("temperature_2m", d).mean() for d in january]) <= 4
    assert 25 <= np.mean([of_day("temperature_2m", d).mean() for d in july]) <= 29
    assert 65 <= was()["relative_humidity_2m"].mean() <= 80


def test_january_freezes_the_soil() -> None:
    first, last = YEAR.FROZEN_SOIL
    assert (lows(first, last) <= -10).sum() >= 3
    surface = [of_day("soil_temperature_0cm", d).min() for d in days_of(first, last)]
    assert (np.array(surface) < 0).sum() >= 5
    assert (soil(6, first, last) < 0).sum() >= 3


def test_snow_lies_in_late_january() -> None:
    depth = [of_day("snow_depth", d).max() for d in days_of(*YEAR.SNOW)]
    assert all(0.05 <= d <= 0.10 for d in depth)


def test_a_false_spring_warms_the_soil_for_a_few_days() -> None:
    first, last = YEAR.FALSE_SPRING
    assert 20 <= highs(first, last).max() <= 22
    assert 11 <= soil(6, first, last).max() <= 12.5
    assert (soil(6, first, last) > 10).sum() in (3, 4)
    assert soil(6, date(2025, 1, 1), first - timedelta(1)).max() < 10


def test_winter_comes_back_after_it() -> None:
    first, last = YEAR.BACK_TO_WINTER
    assert (soil(6, first, last) < 5).all()
    assert 6 <= soil(6, date(2025, 3, 1), date(2025, 3, 1))[0] <= 7


@pytest.mark.parametrize(
    ("depth", "limit", "earliest", "latest"),
    [
        (6, 10.0, date(2025, 3, 14), date(2025, 3, 22)),
        (6, 15.6, date(2025, 4, 14), date(2025, 4, 22)),
        (10, 18.3, date(2025, 5, 5), date(2025, 5, 15)),
    ],
)
def test_spring_warms_the_soil_for_good(
    depth: int, limit: float, earliest: date, latest: date
) -> None:
    assert earliest <= passes_for_good(depth, limit) <= latest


def test_april_begins_dry_mild_and_calm() -> None:
    first, last = YEAR.DRY_APRIL_START
    assert rains(first, last).sum() == 0
    assert ((highs(first, last) > 17) & (highs(first, last) < 23)).all()
    assert max(of_day("wind_speed_10m", d).mean() for d in days_of(first, last)) < 3
    assert max(of_day("wind_speed_10m", d).max() for d in days_of(first, last)) < 5


def test_the_last_and_first_frosts_are_where_they_should_be() -> None:
    days = days_of(date(2025, 1, 1), date(2025, 12, 31))
    frosts = [d for d, low in zip(days, lows(days[0], days[-1]), strict=True) if low < 0]
    assert max(d for d in frosts if d.month < 7) == YEAR.LATE_FROST[0]
    assert min(d for d in frosts if d.month > 7) == YEAR.EARLY_FROST[0]


def test_the_early_frost_is_light_and_mild_days_follow() -> None:
    first, last = YEAR.EARLY_FROST
    assert ((lows(first, last) >= -2.5) & (lows(first, last) <= -1)).all()
    later = (last + timedelta(3), last + timedelta(8))
    assert (lows(*later) > 3).all()
    assert highs(*later).mean() > 18


def test_a_wet_week_soaks_may() -> None:
    assert 62 <= rains(*YEAR.WET_MAY).sum() <= 78
    assert (rains(*YEAR.WET_MAY) > 4).all()


def test_late_june_is_warm_and_short_of_rain() -> None:
    assert (highs(*YEAR.EARLY_HEAT) > 30).all()
    assert rains(*YEAR.EARLY_HEAT).sum() < 5


def test_july_is_a_drought() -> None:
    assert rains(*YEAR.DROUGHT).sum() < 8
    high, low = highs(*YEAR.DROUGHT), lows(*YEAR.DROUGHT)
    assert ((high >= 33) & (high <= 37)).all()
    assert high.mean() >= 33.5
    assert ((low >= 20) & (low <= 23)).all()


def test_the_downpour_falls_within_six_hours_of_an_afternoon() -> None:
    hours = of_day("precipitation", YEAR.DOWNPOUR)
    assert 60 <= hours.sum() <= 75
    wet = np.flatnonzero(hours)
    assert wet[-1] - wet[0] < 7
    assert np.convolve(hours, np.ones(6), "valid").max() >= 60
    assert wet[0] >= 12


def test_august_is_hot_and_moderately_dry() -> None:
    assert highs(*YEAR.DRY_AUGUST).mean() > 32
    assert 2 <= rains(*YEAR.DRY_AUGUST).sum() <= 12


def test_september_cools() -> None:
    """Maxima stay under 29 C (85 F), soil at 10 cm under 23 C."""
    first, last = YEAR.COOLER
    assert highs(first, date(2025, 10, 31)).max() < 29
    assert soil(10, date(2025, 9, 14), last).max() < 23


def test_a_wet_spell_ends_and_fine_days_follow() -> None:
    assert 40 <= rains(*YEAR.WET_SEPTEMBER).sum() <= 65
    assert rains(YEAR.WET_SEPTEMBER[1] + timedelta(1), YEAR.FINE_OCTOBER[1]).sum() == 0
    high = highs(*YEAR.FINE_OCTOBER)
    assert ((high > 19.5) & (high < 23)).all()


def test_the_hard_freeze_comes_in_late_november_and_not_before() -> None:
    assert (lows(*YEAR.HARD_FREEZE) < -5).all()
    assert lows(date(2025, 8, 1), YEAR.HARD_FREEZE[0] - timedelta(1)).min() > -5


@pytest.mark.parametrize(
    ("day", "coolest", "warmest"),
    [
        (date(2025, 3, 1), 10, 15),
        (date(2025, 4, 1), 17, 22),
        (date(2025, 5, 1), 20, 27),
        (date(2025, 6, 1), 29, 30),
        (date(2025, 7, 1), 33, 37),
        (date(2025, 8, 1), 31, 35),
        (date(2025, 9, 1), 30, 32),
        (date(2025, 10, 1), 20, 22),
        (date(2025, 11, 1), 13, 17),
    ],
)
def test_the_months_begin_dry_and_as_they_should(day: date, coolest: int, warmest: int) -> None:
    assert rains(day, day)[0] == 0
    assert coolest <= highs(day, day)[0] <= warmest

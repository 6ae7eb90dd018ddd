"""What a digest knows where no forecast was kept: the past, and the calendar."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
import replay_cases as again

from advisor.plan.replay_foresight import SPELLS, by_the_calendar
from advisor.series.hourly import Series, Source
from advisor.series.years import PastYears

NOW = datetime(2026, 5, 10, 10, tzinfo=UTC)
WEST = -90.0
"""Degrees; the sun is six hours late there, so that a solar day begins at 06:00 GMT."""


def past(**columns: float) -> PastYears:
    """Ten years of the same day over and over, but for what is said."""
    first, last = date(2016, 1, 1), date(2025, 12, 31)
    days = (last - first).days + 1
    usual = {"air_max": 24.0, "air_min": 12.0, "rain": 3.0, "radiation": 20.0} | columns
    return PastYears(
        first,
        source=Source("archive", datetime(2026, 1, 9, tzinfo=UTC)),
        **{name: np.full(days, value) for name, value in usual.items()},
    )


def ahead(known: Series, name: str, solar_day: int) -> np.ndarray:
    """The 24 hours of a solar day, counted from the one after the day of `NOW`."""
    begin = datetime(2026, 5, 11, 6, tzinfo=UTC) + timedelta(solar_day)
    at = int((begin - known.start).total_seconds()) // 3600
    return known.column(name)[at : at + 24]


def test_a_day_has_the_climate_of_its_date() -> None:
    known = by_the_calendar(again.truth(), past(), NOW, WEST)
    assert known is not None and known.foresight == "climatology"
    for day in (0, 7, 13):
        air = ahead(known.series, "air_temp", day)
        assert air.mean() == pytest.approx(18.0)
        assert air.max() == pytest.approx(24.0, abs=0.1) and air.min() == pytest.approx(
            12.0, abs=0.1
        )
        assert int(air.argmax()) == 14  # the hour that ends at 15:00 by the sun
        assert ahead(known.series, "rain", day).sum() == pytest.approx(3.0)
        radiation = ahead(known.series, "radiation", day)
        assert radiation.sum() * 3600 / 1e6 == pytest.approx(20.0)
        assert radiation[:6].sum() == 0 and radiation[18:].sum() == 0
        # rain of every past day: sure in each spell, and laid over the night
        assert np.all(ahead(known.series, "rain_chance", day) == 1.0)
        assert ahead(known.series, "rain", day)[7:19].sum() == 0


def test_the_chance_is_the_share_of_wet_days_around_the_date() -> None:
    """One past day in five was wet: of six spells of a day any one then is, with that chance."""
    years = past()
    rain = np.where(np.arange(len(years.rain)) % 5 == 0, 10.0, 0.0)
    years = PastYears(
        years.first, years.air_max, years.air_min, rain, years.radiation, years.source
    )
    known = by_the_calendar(again.truth(), years, NOW, WEST)
    assert known is not None
    chance = ahead(known.series, "rain_chance", 3)
    assert 1 - (1 - chance[0]) ** SPELLS == pytest.approx(0.2, abs=1e-9)
    assert ahead(known.series, "rain", 3).sum() == pytest.approx(2.0)


def test_the_climate_is_of_the_season_and_runs_over_new_year() -> None:
    years = past()
    day = np.arange(len(years.rain))
    warm = 15 - 12 * np.cos(2 * np.pi * (day % 365.25) / 365.25)
    years = PastYears(years.first, warm + 5, warm - 5, years.rain, years.radiation, years.source)
    found = {}
    for moment in (datetime(2026, 1, 1, 12, tzinfo=UTC), datetime(2026, 7, 1, 12, tzinfo=UTC)):
        truth = again.truth(first=moment.date(), days=20)
        known = by_the_calendar(truth, years, moment, 0.0)
        assert known is not None
        air = known.series.column("air_temp")
        found[moment.month] = float(air[-24:].mean())
    assert found[1] == pytest.approx(3.0, abs=1.0)
    assert found[7] == pytest.approx(27.0, abs=1.0)


def test_without_past_years_the_last_month_stands_for_it() -> None:
    series = again.truth(air_temp=21.0, rain=None)
    known = by_the_calendar(series, None, NOW, WEST)
    assert known is not None
    assert np.allclose(ahead(known.series, "air_temp", 5), 21.0)
    assert ahead(known.series, "rain", 5).sum() == 0.0
    assert np.isnan(ahead(known.series, "soil_temp_6", 5)).all()


def test_the_rain_of_the_last_month_is_laid_over_the_night() -> None:
    """Ten millimetres on every third day: a third of the days is wet."""
    series = again.truth(rain=dict.fromkeys(range(-60, 60, 3), 10.0))
    known = by_the_calendar(series, None, NOW, WEST)
    assert known is not None
    rain, chance = (ahead(known.series, name, 4) for name in ("rain", "rain_chance"))
    assert rain.sum() == pytest.approx(10 / 3) and rain[6:20].sum() == 0
    assert 1 - (1 - chance[0]) ** SPELLS == pytest.approx(1 / 3)


def test_what_has_not_come_is_not_looked_at() -> None:
    """The weather after the moment may be anything."""
    series = again.truth()
    at = int((NOW - series.start).total_seconds()) // 3600
    other = Series(
        series.start,
        {name: np.concatenate([v[:at], v[at:] + 7]) for name, v in series.columns.items()},
        series.source,
    )
    for years in (past(), None):
        one, two = (by_the_calendar(truth, years, NOW, WEST) for truth in (series, other))
        assert one is not None and two is not None
        for name, values in one.series.columns.items():
            assert np.array_equal(values, two.series.columns[name], equal_nan=True)


def test_days_of_past_years_that_are_not_known_count_for_nothing() -> None:
    years = past()
    holes = np.arange(len(years.rain)) % 3 == 0
    broken = PastYears(
        years.first,
        **{name: np.where(holes, np.nan, values) for name, values in years.columns.items()},
        source=years.source,
    )
    one, two = (by_the_calendar(again.truth(), of, NOW, WEST) for of in (years, broken))
    assert one is not None and two is not None
    for name in ("air_temp", "rain", "radiation"):
        assert np.allclose(one.series.column(name), two.series.column(name))


def test_a_month_without_weather_knows_nothing() -> None:
    assert by_the_calendar(again.truth(), past(), NOW - timedelta(400), WEST) is None

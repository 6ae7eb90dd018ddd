"""The recorded weather of the demo: its shape, its events, its physics, and its forecasts' errors.

The sun's light and the dew point are checked against pvlib; the soil's conduction against the
exact solution of Carslaw and Jaeger, Conduction of Heat in Solids, 2.6.
"""

from __future__ import annotations

import gzip
import importlib
import json
import sys
import zipfile
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pvlib
import pytest
from numpy.typing import NDArray

Floats = NDArray[np.float64]

DEMO = Path(__file__).parents[2] / "demo_site"
RECORDED = DEMO / "recorded"
ZONE = ZoneInfo("America/New_York")
UNITS = {
    "time": "unixtime",
    "temperature_2m": "°C",
    "relative_humidity_2m": "%",
    "dew_point_2m": "°C",
    "precipitation": "mm",
    "precipitation_probability": "%",
    "wind_speed_10m": "m/s",
    "wind_gusts_10m": "m/s",
    "shortwave_radiation": "W/m²",
    "snow_depth": "m",
    "soil_temperature_0cm": "°C",
    "soil_temperature_6cm": "°C",
    "soil_temperature_18cm": "°C",
    "soil_temperature_54cm": "°C",
}
LEADS = 17 * 24


def _part(name: str) -> ModuleType:
    """A module of the script, which is no package that one could install."""
    if str(DEMO) not in sys.path:
        sys.path.insert(0, str(DEMO))
    return importlib.import_module(name)


YEAR = _part("making.year")


def _columns(answer: dict[str, Any]) -> dict[str, Floats]:
    return {name: np.array(column, dtype=float) for name, column in answer["hourly"].items()}


@cache
def _weather() -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(
        gzip.decompress((RECORDED / "weather.json.gz").read_bytes())
    )
    return answer


@cache
def _forecasts() -> dict[date, dict[str, Any]]:
    with zipfile.ZipFile(RECORDED / "forecasts.zip") as archive:
        return {
            date.fromisoformat(name.removesuffix(".json")): json.loads(archive.read(name))
            for name in archive.namelist()
        }


@cache
def _was() -> dict[str, Floats]:
    return _columns(_weather())


@cache
def _foretold() -> tuple[dict[str, Floats], dict[str, Floats]]:
    """Each column of all forecasts, shape (issues, LEADS), and what it was then."""
    said = [_columns(answer) for answer in _forecasts().values()]
    start = _was()["time"][0]
    rows = [int(one["time"][0] - start) // 3600 for one in said]
    return (
        {name: np.stack([one[name] for one in said]) for name in UNITS},
        {name: np.stack([_was()[name][row : row + LEADS] for row in rows]) for name in UNITS},
    )


def _hours(columns: dict[str, Floats], day: date) -> NDArray[np.bool_]:
    """The rows of a local day: the hours that begin in it."""
    begins = datetime.combine(day, time(), ZONE).timestamp()
    ends = datetime.combine(day + timedelta(1), time(), ZONE).timestamp()
    inside: NDArray[np.bool_] = (columns["time"] > begins) & (columns["time"] <= ends)
    return inside


@cache
def _of_day(name: str, day: date) -> Floats:
    return _was()[name][_hours(_was(), day)]


def _days(first: date, last: date) -> list[date]:
    return [first + timedelta(n) for n in range((last - first).days + 1)]


def highs(first: date, last: date) -> Floats:
    return np.array([_of_day("temperature_2m", d).max() for d in _days(first, last)])


def lows(first: date, last: date) -> Floats:
    return np.array([_of_day("temperature_2m", d).min() for d in _days(first, last)])


def rains(first: date, last: date) -> Floats:
    return np.array([_of_day("precipitation", d).sum() for d in _days(first, last)])


def soil(depth: int, first: date, last: date) -> Floats:
    """Daily means at a depth in cm, straight between the recorded depths on either side."""
    known = [0, 6, 18, 54]
    means = [
        [_of_day(f"soil_temperature_{d}cm", day).mean() for d in known]
        for day in _days(first, last)
    ]
    return np.array([np.interp(depth, known, row) for row in means])


def passes_for_good(depth: int, limit: float) -> date:
    """The last day of the first five whose mean stays at or above the limit until July."""
    days = _days(date(2025, 1, 1), date(2025, 7, 1))
    five = np.convolve(soil(depth, days[0], days[-1]), np.ones(5) / 5, "valid")
    return days[4 + int(np.flatnonzero(five < limit)[-1]) + 1]


# Shape


@pytest.fixture(scope="module", params=["weather", "a forecast", "the last forecast"])
def answer(request: pytest.FixtureRequest) -> dict[str, Any]:
    if request.param == "weather":
        return _weather()
    return _forecasts()[date(2025, 7, 27) if "last" not in request.param else YEAR.LAST_ISSUE]


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
    times = _weather()["hourly"]["time"]
    assert datetime.fromtimestamp(times[0], UTC) == datetime(2024, 10, 1, tzinfo=UTC)
    assert datetime.fromtimestamp(times[-1], UTC) == datetime(2026, 1, 18, 23, tzinfo=UTC)
    assert all(None not in column for column in _weather()["hourly"].values())


def test_there_is_a_forecast_for_every_day_and_each_has_17_days() -> None:
    assert list(_forecasts()) == _days(date(2024, 12, 1), date(2026, 1, 1))
    for day, one in _forecasts().items():
        times = one["hourly"]["time"]
        assert times[0] == datetime.combine(day, time(1), UTC).timestamp()
        assert len(times) == LEADS


def test_only_the_chance_of_rain_is_null_and_only_after_14_days() -> None:
    said, _ = _foretold()
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
    january, july = _days(year[0], date(2025, 1, 31)), _days(date(2025, 7, 1), date(2025, 7, 31))
    assert -1 <= np.mean([_of_day("temperature_2m", d).mean() for d in january]) <= 4
    assert 25 <= np.mean([_of_day("temperature_2m", d).mean() for d in july]) <= 29
    assert 65 <= _was()["relative_humidity_2m"].mean() <= 80


def test_january_freezes_the_soil() -> None:
    first, last = YEAR.FROZEN_SOIL
    assert (lows(first, last) <= -10).sum() >= 3
    surface = [_of_day("soil_temperature_0cm", d).min() for d in _days(first, last)]
    assert (np.array(surface) < 0).sum() >= 5
    assert (soil(6, first, last) < 0).sum() >= 3


def test_snow_lies_in_late_january() -> None:
    depth = [_of_day("snow_depth", d).max() for d in _days(*YEAR.SNOW)]
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
    assert max(_of_day("wind_speed_10m", d).mean() for d in _days(first, last)) < 3
    assert max(_of_day("wind_speed_10m", d).max() for d in _days(first, last)) < 5


def test_the_last_and_first_frosts_are_where_they_should_be() -> None:
    days = _days(date(2025, 1, 1), date(2025, 12, 31))
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
    hours = _of_day("precipitation", YEAR.DOWNPOUR)
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


# Physics


def _both() -> Iterator[dict[str, Floats]]:
    yield _was()
    yield _foretold()[0]


def test_the_dew_point_is_not_above_the_air() -> None:
    for columns in _both():
        assert (columns["dew_point_2m"] <= columns["temperature_2m"] + 0.3).all()


def test_humidity_agrees_with_air_and_dew_point() -> None:
    """Against pvlib's rh_from_tdew (WMO-No. 8); half a percent of rounding, and that of 0.1 K."""
    for columns in _both():
        other = pvlib.atmosphere.rh_from_tdew(columns["temperature_2m"], columns["dew_point_2m"])
        assert np.abs(other - columns["relative_humidity_2m"]).max() < 1.6


def test_it_is_humid_in_rain() -> None:
    for columns in _both():
        rainy = columns["precipitation"] >= 1
        assert np.quantile(columns["relative_humidity_2m"][rainy], 0.05) > 85


def test_light_is_none_at_night_and_below_what_reaches_the_air() -> None:
    """Against pvlib's ephemeris, averaged over each hour."""
    times = _was()["time"]
    inside = (times[:, None] - (np.arange(12) + 0.5) * 300).astype("int64")
    stamps = np.unique(inside)
    when = importlib.import_module("pandas").to_datetime(stamps, unit="s", utc=True)
    where = pvlib.solarposition.get_solarposition(when, 36.55, -80.35, method="ephemeris")
    sine = np.sin(np.radians(where["elevation"].to_numpy()))
    at = np.searchsorted(stamps, inside)
    above = np.maximum(sine, 0.0)[at].mean(axis=1) * 1361.0
    light = _was()["shortwave_radiation"]
    assert (light[sine[at].max(axis=1) < -0.01] == 0).all()
    assert (light <= 0.84 * above + 2).all()
    bright = np.quantile(light[above > 1000] / above[above > 1000], 0.95)
    assert 0.68 < bright < 0.80


def test_forecast_light_is_none_at_night() -> None:
    said, was = _foretold()
    night = was["shortwave_radiation"] == 0
    assert night.sum() > 10_000
    assert said["shortwave_radiation"][night].max() <= 1


def test_snow_grows_only_in_the_cold() -> None:
    for columns in _both():
        grows = np.diff(columns["snow_depth"]) > 0
        assert grows.any()
        assert columns["temperature_2m"][..., 1:][grows].max() <= 1.0


def test_gusts_are_above_the_wind() -> None:
    for columns in _both():
        assert (columns["wind_gusts_10m"] >= columns["wind_speed_10m"]).all()


def test_the_soil_swings_less_and_later_the_deeper_it_is() -> None:
    summer = [f"soil_temperature_{d}cm" for d in (0, 6, 18, 54)]
    days = _days(date(2025, 7, 1), date(2025, 7, 20))
    swings = [np.mean([np.ptp(_of_day(name, d)) for d in days]) for name in summer]
    assert swings[0] > 1.5 * swings[1] > 2 * swings[2] > 4 * swings[3] > 0
    peaks = [np.mean([_of_day(name, d).argmax() for d in days]) for name in summer[:2]]
    assert 0.5 < peaks[1] - peaks[0] < 4


def test_conduction_is_the_exact_solution_of_a_daily_wave() -> None:
    """Amplitude falls by exp(-z / d), d = sqrt(2 a / w): Carslaw and Jaeger, 2.6."""
    ground = _part("making.soil")
    omega = 2 * np.pi / 86400
    drive = 10.0 * np.sin(omega * 3600 * np.arange(24 * 40))
    out = ground.conduct(drive, np.zeros(len(ground.NODES)))[:, -24:]
    swing = np.ptp(out, axis=1)
    damping = np.sqrt(2 * 0.5e-6 / omega)
    assert swing[1] / swing[0] == pytest.approx(np.exp(-0.06 / damping), rel=0.03)
    assert swing[2] / swing[0] == pytest.approx(np.exp(-0.18 / damping), rel=0.06)


# Forecasts


@pytest.mark.parametrize(
    ("column", "first_day", "tenth_day"),
    [
        ("temperature_2m", (0.4, 1.1), (2.6, 4.2)),
        ("soil_temperature_6cm", (0.1, 0.8), (1.5, 3.5)),
        ("relative_humidity_2m", (1, 6), (8, 18)),
        ("shortwave_radiation", (5, 40), (60, 140)),
        ("precipitation", (0.05, 0.5), (0.7, 1.6)),
    ],
)
def test_errors_grow_with_lead(
    column: str, first_day: tuple[float, float], tenth_day: tuple[float, float]
) -> None:
    said, was = _foretold()
    wrong = (said[column] - was[column]) ** 2
    one, five, ten = (float(np.sqrt(wrong[:, 24 * (d - 1) : 24 * d].mean())) for d in (1, 5, 10))
    assert one < five < ten
    assert first_day[0] <= one <= first_day[1]
    assert tenth_day[0] <= ten <= tenth_day[1]


def test_forecasts_of_one_moment_agree_better_than_chance() -> None:
    """The errors of two issues a day apart are alike; so forecasts converge, and do not leap."""
    said, was = _foretold()
    wrong = said["temperature_2m"] - was["temperature_2m"]
    today, tomorrow = wrong[:-1, 120:240], wrong[1:, 96:216]
    assert np.corrcoef(today.ravel(), tomorrow.ravel())[0, 1] > 0.6


def test_the_chance_of_rain_means_what_it_says() -> None:
    said, was = _foretold()
    for hours in (slice(0, 72), slice(72, 168), slice(168, 336)):
        stated = said["precipitation_probability"][:, hours]
        rained = was["precipitation"][:, hours] > 0.1
        assert stated.mean() == pytest.approx(100 * rained.mean(), abs=3)
        likely = rained[stated >= 50].mean()
        assert likely > 0.4
        assert rained[stated <= 5].mean() < 0.05 < rained[stated > 15].mean() < likely


@pytest.mark.parametrize("days_before", [1, 2])
def test_the_downpour_is_foretold(days_before: int) -> None:
    columns = _columns(_forecasts()[YEAR.DOWNPOUR - timedelta(days_before)])
    assert columns["precipitation"][_hours(columns, YEAR.DOWNPOUR)].sum() >= 30


# The script


def test_the_script_writes_the_same_again() -> None:
    """The whole weather and eight days of forecasts, byte for byte as they stand recorded."""
    script = _part("make_weather")
    recorded, members = script.build(date(2025, 7, 24), date(2025, 7, 31))
    assert recorded == gzip.decompress((RECORDED / "weather.json.gz").read_bytes())
    again = list(members)
    assert len(again) == 8
    with zipfile.ZipFile(RECORDED / "forecasts.zip") as archive:
        assert all(archive.read(name) == text for name, text in again)
    assert script.archived(iter(again)) == script.archived(iter(again))
    assert script.packed(recorded) == script.packed(recorded)


def test_the_files_carry_no_date_of_their_making() -> None:
    assert (RECORDED / "weather.json.gz").read_bytes()[4:8] == b"\0\0\0\0"
    with zipfile.ZipFile(RECORDED / "forecasts.zip") as archive:
        assert {one.date_time for one in archive.infolist()} == {(2026, 1, 1, 0, 0, 0)}

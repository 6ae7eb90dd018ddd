"""The demo's recorded weather: its physics, its forecasts' errors, and the script that makes it.

The sun's light and the dew point are checked against pvlib; the soil's conduction against the
exact solution of Carslaw and Jaeger, Conduction of Heat in Solids, 2.6.
"""

from __future__ import annotations

import gzip
import importlib
import zipfile
from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np
import pvlib
import pytest
from recorded_weather import (
    RECORDED,
    YEAR,
    Floats,
    columns_of,
    days_of,
    forecasts,
    foretold,
    of_day,
    part,
    rows_of,
    was,
)

# Physics


def _both() -> Iterator[dict[str, Floats]]:
    yield was()
    yield foretold()[0]


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
    times = was()["time"]
    inside = (times[:, None] - (np.arange(12) + 0.5) * 300).astype("int64")
    stamps = np.unique(inside)
    when = importlib.import_module("pandas").to_datetime(stamps, unit="s", utc=True)
    where = pvlib.solarposition.get_solarposition(when, 36.55, -80.35, method="ephemeris")
    sine = np.sin(np.radians(where["elevation"].to_numpy()))
    at = np.searchsorted(stamps, inside)
    above = np.maximum(sine, 0.0)[at].mean(axis=1) * 1361.0
    light = was()["shortwave_radiation"]
    assert (light[sine[at].max(axis=1) < -0.01] == 0).all()
    assert (light <= 0.84 * above + 2).all()
    bright = np.quantile(light[above > 1000] / above[above > 1000], 0.95)
    assert 0.68 < bright < 0.80


def test_forecast_light_is_none_at_night() -> None:
    said, was = foretold()
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
    days = days_of(date(2025, 7, 1), date(2025, 7, 20))
    swings = [np.mean([np.ptp(of_day(name, d)) for d in days]) for name in summer]
    assert swings[0] > 1.5 * swings[1] > 2 * swings[2] > 4 * swings[3] > 0
    peaks = [np.mean([of_day(name, d).argmax() for d in days]) for name in summer[:2]]
    assert 0.5 < peaks[1] - peaks[0] < 4


def test_conduction_is_the_exact_solution_of_a_daily_wave() -> None:
    """Amplitude falls by exp(-z / d), d = sqrt(2 a / w): Carslaw and Jaeger, 2.6."""
    ground = part("making.soil")
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
    said, was = foretold()
    wrong = (said[column] - was[column]) ** 2
    one, five, ten = (float(np.sqrt(wrong[:, 24 * (d - 1) : 24 * d].mean())) for d in (1, 5, 10))
    assert one < five < ten
    assert first_day[0] <= one <= first_day[1]
    assert tenth_day[0] <= ten <= tenth_day[1]


def test_forecasts_of_one_moment_agree_better_than_chance() -> None:
    """The errors of two issues a day apart are alike; so forecasts converge, and do not leap."""
    said, was = foretold()
    wrong = said["temperature_2m"] - was["temperature_2m"]
    today, tomorrow = wrong[:-1, 120:240], wrong[1:, 96:216]
    assert np.corrcoef(today.ravel(), tomorrow.ravel())[0, 1] > 0.6


def test_the_chance_of_rain_means_what_it_says() -> None:
    said, was = foretold()
    for hours in (slice(0, 72), slice(72, 168), slice(168, 336)):
        stated = said["precipitation_probability"][:, hours]
        rained = was["precipitation"][:, hours] > 0.1
        assert stated.mean() == pytest.approx(100 * rained.mean(), abs=3)
        likely = rained[stated >= 50].mean()
        assert likely > 0.4
        assert rained[stated <= 5].mean() < 0.05 < rained[stated > 15].mean() < likely


@pytest.mark.parametrize("days_before", [1, 2])
def test_the_downpour_is_foretold(days_before: int) -> None:
    columns = columns_of(forecasts()[YEAR.DOWNPOUR - timedelta(days_before)])
    assert columns["precipitation"][rows_of(columns, YEAR.DOWNPOUR)].sum() >= 30


# The script


def test_the_script_writes_the_same_again() -> None:
    """The whole weather and eight days of forecasts, byte for byte as they stand recorded."""
    script = part("make_weather")
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

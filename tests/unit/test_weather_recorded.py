"""A recording answers as the service would have answered at that moment."""

from __future__ import annotations

import gzip
import json
import zipfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import numpy as np
import pytest

from advisor.series.hourly import Source
from advisor.weather.answer import read_answer
from advisor.weather.errors import Misconfigured
from advisor.weather.recorded import RecordedTransport
from advisor.weather.service import OpenForecast, Place
from advisor.weather.variables import VARIABLES

FIRST = datetime(2026, 3, 1, tzinfo=UTC)
DAYS = 12
ISSUED = (5, 6, 7)
"""Days of the recording for which a forecast was issued."""


def body(start: datetime, hours: int, offset: float) -> dict[str, Any]:
    """Each value is the count of hours since the recording began (mod 40), plus its column's number
    in hundredths, plus `offset`."""
    since = int((start - FIRST).total_seconds()) // 3600
    columns = {
        name: [(since + h) % 40 + 0.01 * i + offset for h in range(hours)]
        for i, name in enumerate(VARIABLES)
    }
    columns["snow_depth"] = [0.0] * hours
    columns["precipitation_probability"] = [None if offset == 0 else 50] * hours  # type: ignore[list-item]
    return {
        "latitude": 36.1,
        "longitude": -79.95,
        "elevation": 273,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        "hourly_units": {"time": "unixtime", **{n: v.unit for n, v in VARIABLES.items()}},
        "hourly": {
            "time": [int(start.timestamp()) + 3600 * h for h in range(hours)],
            **columns,
        },
    }


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    with gzip.open(tmp_path / "weather.json.gz", "wt") as file:
        json.dump(body(FIRST, DAYS * 24, 0.0), file)
    with zipfile.ZipFile(tmp_path / "forecasts.zip", "w") as archive:
        for day in ISSUED:
            begins = FIRST + timedelta(days=day)
            document = body(begins + timedelta(hours=1), 16 * 24, 0.5)
            archive.writestr(f"{begins.date()}.json", json.dumps(document))
    return tmp_path


def fetch(folder: Path, now: datetime, past_days: int = 2, forecast_days: int = 16) -> Any:
    client = OpenForecast(Place(36.1, -79.95), transport=RecordedTransport(folder, now))
    return client.fetch(now, past_days, forecast_days)


NOW = FIRST + timedelta(days=6, hours=14, minutes=30)


def test_the_past_is_what_happened_and_what_lies_ahead_is_as_issued(folder: Path) -> None:
    """Rows up to now come from the weather, later ones from the forecast of that morning."""
    series = fetch(folder, NOW).series
    assert series.ends()[0] == (FIRST + timedelta(days=4)).timestamp()
    assert series.hours == (2 + 16) * 24
    since = np.array((series.ends() - FIRST.timestamp()) // 3600)
    past = series.ends() <= NOW.timestamp()
    assert past.sum() == 2 * 24 + 15
    air = series.column("air_temp")
    assert np.array_equal(air[past], since[past] % 40)
    # the forecast reaches 16 days from 01:00, so 00:00 of the 16th day is its last row
    assert np.array_equal(air[~past], since[~past] % 40 + 0.5)
    assert np.isnan(series.column("rain_chance")[past]).all()
    assert (series.column("rain_chance")[~past] == 0.5).all()


def test_soil_ends_with_its_model(folder: Path) -> None:
    """The named soil model reaches 180 hours; what it lacks is unknown."""
    series = fetch(folder, NOW).series
    known = np.isfinite(series.column("soil_temp_6"))
    assert series.ends()[known][-1] == (NOW + timedelta(hours=179, minutes=30)).timestamp()
    assert known[: int(np.flatnonzero(known)[-1])].all()


def test_what_neither_part_has_is_null(folder: Path) -> None:
    """Days before the recording are rows of unknown values, as the service gives them."""
    series = fetch(folder, FIRST + timedelta(days=5, hours=1), past_days=8).series
    assert series.hours == (8 + 16) * 24
    air = series.column("air_temp")
    assert np.isnan(air[: 3 * 24]).all() and np.isfinite(air[3 * 24 :]).all()


@pytest.mark.parametrize("days", [-1, 4, 8, 300])
def test_a_moment_outside_the_recording_is_refused_as_the_service_would(
    folder: Path, days: int
) -> None:
    with pytest.raises(Misconfigured, match="out of allowed range from 2026-03-06 to 2026-03-08"):
        fetch(folder, FIRST + timedelta(days=days, hours=12))


def _get(folder: Path, **query: str) -> httpx.Response:
    with httpx.Client(transport=RecordedTransport(folder, NOW)) as client:
        return client.get("https://api.test/v1/forecast", params=query)


def test_a_name_that_the_service_does_not_know_is_refused(folder: Path) -> None:
    response = _get(folder, hourly="tempeture_2m")
    assert response.status_code == 400 and response.json()["error"] is True
    assert "tempeture_2m" in response.json()["reason"]


@pytest.mark.parametrize("days", [{"past_days": "93"}, {"forecast_days": "17"}, {"past_days": "x"}])
def test_days_out_of_range_are_refused(folder: Path, days: dict[str, str]) -> None:
    assert _get(folder, hourly="temperature_2m", **days).status_code == 400


def test_the_usual_window_is_a_week_and_only_what_is_asked_for(folder: Path) -> None:
    response = _get(folder, hourly="temperature_2m,precipitation")
    document = response.json()
    assert list(document["hourly"]) == ["time", "temperature_2m", "precipitation"]
    assert len(document["hourly"]["time"]) == 7 * 24
    answer = read_answer(
        response.content,
        200,
        response.headers["Content-Type"],
        wanted=["precipitation"],
        source=Source("a test", NOW),
    )
    assert answer.series.hours == 7 * 24


def test_a_recording_that_is_not_there_or_damaged_is_named(tmp_path: Path) -> None:
    with pytest.raises(Misconfigured, match="cannot be read"):
        fetch(tmp_path / "none", NOW)
    (tmp_path / "weather.json.gz").write_bytes(b"not gzip")
    (tmp_path / "forecasts.zip").write_bytes(b"not zip")
    with pytest.raises(Misconfigured, match="cannot be read"):
        fetch(tmp_path, NOW)
    (tmp_path / "weather.json.gz").write_bytes(gzip.compress(b"[]"))
    with pytest.raises(Misconfigured, match="cannot be read"):
        fetch(tmp_path, NOW)


def test_the_same_moment_gives_the_same_bytes(folder: Path) -> None:
    assert fetch(folder, NOW).bodies == fetch(folder, NOW).bodies


def test_the_recording_begins_with_its_first_forecast(folder: Path, tmp_path: Path) -> None:
    begins = RecordedTransport.begins(folder)
    assert begins == FIRST + timedelta(days=ISSUED[0])
    assert fetch(folder, begins, past_days=92).series.hours == (92 + 16) * 24
    with pytest.raises(Misconfigured, match="cannot be read"):
        RecordedTransport.begins(tmp_path / "none")

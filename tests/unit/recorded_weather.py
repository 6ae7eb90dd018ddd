"""Reads the demo's recorded weather for the tests of it, and the script that makes it."""

from __future__ import annotations

import gzip
import importlib
import json
import sys
import zipfile
from datetime import date, datetime, time, timedelta
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
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


def part(name: str) -> ModuleType:
    """A module of the script, which is no package that one could install."""
    if str(DEMO) not in sys.path:
        sys.path.insert(0, str(DEMO))
    return importlib.import_module(name)


YEAR = part("making.year")


def columns_of(answer: dict[str, Any]) -> dict[str, Floats]:
    return {name: np.array(column, dtype=float) for name, column in answer["hourly"].items()}


@cache
def weather() -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(
        gzip.decompress((RECORDED / "weather.json.gz").read_bytes())
    )
    return answer


@cache
def forecasts() -> dict[date, dict[str, Any]]:
    with zipfile.ZipFile(RECORDED / "forecasts.zip") as archive:
        return {
            date.fromisoformat(name.removesuffix(".json")): json.loads(archive.read(name))
            for name in archive.namelist()
        }


@cache
def was() -> dict[str, Floats]:
    return columns_of(weather())


@cache
def foretold() -> tuple[dict[str, Floats], dict[str, Floats]]:
    """Each column of all forecasts, shape (issues, LEADS), and what it was then."""
    said = [columns_of(answer) for answer in forecasts().values()]
    start = was()["time"][0]
    rows = [int(one["time"][0] - start) // 3600 for one in said]
    return (
        {name: np.stack([one[name] for one in said]) for name in UNITS},
        {name: np.stack([was()[name][row : row + LEADS] for row in rows]) for name in UNITS},
    )


def rows_of(columns: dict[str, Floats], day: date) -> NDArray[np.bool_]:
    """The rows of a local day: the hours that begin in it."""
    begins = datetime.combine(day, time(), ZONE).timestamp()
    ends = datetime.combine(day + timedelta(1), time(), ZONE).timestamp()
    inside: NDArray[np.bool_] = (columns["time"] > begins) & (columns["time"] <= ends)
    return inside


@cache
def of_day(name: str, day: date) -> Floats:
    return was()[name][rows_of(was(), day)]


def days_of(first: date, last: date) -> list[date]:
    return [first + timedelta(n) for n in range((last - first).days + 1)]


def highs(first: date, last: date) -> Floats:
    return np.array([of_day("temperature_2m", d).max() for d in days_of(first, last)])


def lows(first: date, last: date) -> Floats:
    return np.array([of_day("temperature_2m", d).min() for d in days_of(first, last)])


def rains(first: date, last: date) -> Floats:
    return np.array([of_day("precipitation", d).sum() for d in days_of(first, last)])


def soil(depth: int, first: date, last: date) -> Floats:
    """Daily means at a depth in cm, straight between the recorded depths on either side."""
    known = [0, 6, 18, 54]
    means = [
        [of_day(f"soil_temperature_{d}cm", day).mean() for d in known]
        for day in days_of(first, last)
    ]
    return np.array([np.interp(depth, known, row) for row in means])


def passes_for_good(depth: int, limit: float) -> date:
    """The last day of the first five whose mean stays at or above the limit until July."""
    days = days_of(date(2025, 1, 1), date(2025, 7, 1))
    five = np.convolve(soil(depth, days[0], days[-1]), np.ones(5) / 5, "valid")
    return days[4 + int(np.flatnonzero(five < limit)[-1]) + 1]

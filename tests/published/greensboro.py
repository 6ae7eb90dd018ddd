"""A typical year at Greensboro NC, by day and by hour, from the TMY3 file that pvlib carries.

NREL's TMY3 of station 723170 (36.100 N, 79.950 W, 273 m). Stamps are the ends of hours in Eastern
Standard Time, so 24 rows on end make a day. Its rain is not usable and not read.
"""

import csv
import importlib.util
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

LATITUDE = 36.100
LONGITUDE = -79.950
ELEVATION = 273.0
WIND_HEIGHT = 10.0


@dataclass(frozen=True)
class Days:
    """Daily values of shape (365,): C, MJ/m2, m/s at 10 m."""

    air_max: np.ndarray
    air_min: np.ndarray
    dew_point: np.ndarray
    radiation: np.ndarray
    wind: np.ndarray


@dataclass(frozen=True)
class Hours:
    """Hourly values of shape (8760,): C, MJ/m2, m/s at 10 m; the middle of each hour in UTC."""

    middle: np.ndarray
    air: np.ndarray
    dew_point: np.ndarray
    radiation: np.ndarray
    wind: np.ndarray


@cache
def _rows() -> list[dict[str, str]]:
    package = importlib.util.find_spec("pvlib")
    assert package is not None and package.origin is not None
    path = Path(package.origin).parent / "data" / "723170TYA.CSV"
    with path.open(newline="") as file:
        next(file)
        return list(csv.DictReader(file))


def _column(name: str) -> np.ndarray:
    return np.array([float(row[name]) for row in _rows()])


@cache
def hours() -> Hours:
    """The year as 8,760 hours; the months of a typical year are put into 2023."""
    half_past = np.datetime64("2023-01-01T05:30", "m") + np.arange(8760) * np.timedelta64(60, "m")
    return Hours(
        middle=half_past,
        air=_column("Dry-bulb (C)"),
        dew_point=_column("Dew-point (C)"),
        radiation=_column("GHI (W/m^2)") * 0.0036,
        wind=_column("Wspd (m/s)"),
    )


@cache
def days() -> Days:
    """The year as 365 days."""
    air, dew_point, radiation, wind = (
        _column(name).reshape(365, 24)
        for name in ("Dry-bulb (C)", "Dew-point (C)", "GHI (W/m^2)", "Wspd (m/s)")
    )
    return Days(
        air_max=air.max(axis=1),
        air_min=air.min(axis=1),
        dew_point=dew_point.mean(axis=1),
        radiation=radiation.sum(axis=1) * 0.0036,
        wind=wind.mean(axis=1),
    )

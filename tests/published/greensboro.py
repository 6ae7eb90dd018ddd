"""A typical year at Greensboro NC, day by day, from the TMY3 file that pvlib carries.

NREL's TMY3 of station 723170 (36.100 N, 79.950 W, 273 m). Stamps are the ends of hours, so 24 rows
on end make a day. Its rain is not usable and not read.
"""

import csv
import importlib.util
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

LATITUDE = 36.100
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


@cache
def days() -> Days:
    """The year as 365 days."""
    package = importlib.util.find_spec("pvlib")
    assert package is not None and package.origin is not None
    path = Path(package.origin).parent / "data" / "723170TYA.CSV"
    with path.open(newline="") as file:
        next(file)
        rows = list(csv.DictReader(file))

    def column(name: str) -> np.ndarray:
        return np.array([float(row[name]) for row in rows]).reshape(365, 24)

    air = column("Dry-bulb (C)")
    return Days(
        air_max=air.max(axis=1),
        air_min=air.min(axis=1),
        dew_point=column("Dew-point (C)").mean(axis=1),
        radiation=column("GHI (W/m^2)").sum(axis=1) * 0.0036,
        wind=column("Wspd (m/s)").mean(axis=1),
    )

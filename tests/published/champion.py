"""Thirty-seven years of daily weather at Champion, Nebraska, 1982 to 2018.

From `champion_climate.txt` of the package aquacrop 3.1 (T. Foster and others), Apache License 2.0.
`champion_1982_2018.txt.gz` has a line a day as that file has it: lowest and highest temperature
[C] and rain [mm]; day, month, year and ET0 are left out. The file names no station's position:
latitude, longitude and elevation of the village are from memory, to a tenth of a degree.
"""

from __future__ import annotations

import gzip
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np

from advisor.series.hourly import Source
from advisor.series.years import PastYears

LATITUDE, LONGITUDE, ELEVATION_FT, ZONE = 40.4, -101.7, 3300, "America/Denver"


def champion() -> PastYears:
    """All days; sunlight is unknown."""
    with gzip.open(Path(__file__).with_name("champion_1982_2018.txt.gz"), "rt") as file:
        low, high, rain = np.loadtxt(file).T
    return PastYears(
        date(1982, 1, 1),
        air_max=high,
        air_min=low,
        rain=rain,
        radiation=np.full(len(low), np.nan),
        source=Source("Champion, Nebraska", datetime(2019, 1, 10, tzinfo=UTC)),
    )

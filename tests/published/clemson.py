"""Daily lowest temperatures of Clemson, South Carolina, 1991 to 2020, as the station reported them.

From the US National Centers for Environmental Information (NOAA; in the public domain), by way of
the data set `clemson_temps` of the R package stevedata. `clemson_minima.txt` has a line for each
year and a whole number of F for each of its days, a dot where the station reported none.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray


def daily_minima() -> tuple[NDArray[np.datetime64], NDArray[np.float64]]:
    """Dates, and the lowest temperature of each [F]; NaN is unknown."""
    text = Path(__file__).with_name("clemson_minima.txt").read_text(encoding="ascii")
    values = [np.nan if word == "." else float(word) for word in text.split()]
    days = np.arange("1991-01-01", "2021-01-01", dtype="datetime64[D]")
    assert len(days) == len(values)
    return days, np.array(values)

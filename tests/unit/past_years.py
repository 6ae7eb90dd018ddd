"""Ten made-up past years: a smooth year, its first frost a day later each autumn."""

from __future__ import annotations

from datetime import UTC, date, datetime

import numpy as np

from advisor.series.hourly import Source
from advisor.series.years import PastYears

FIRST_FROST = date(2001, 10, 11)
"""Of the first autumn, in a year of 365 days; each later one comes a day later."""


def ten_years(first: int = 2016, southern: bool = False) -> PastYears:
    """Nights of 2 C but for one of -1 C each autumn; days of 10 C, and 30 C in the warm half.

    South of the equator all of it comes half a year (184 days) later.
    """
    begin = np.datetime64(f"{first}-01-01")
    axis = np.arange(begin, np.datetime64(f"{first + 10}-01-01"))
    low = np.full(len(axis), 2.0)
    month = axis.astype("datetime64[M]").astype(int) % 12 + 1
    warm = ((month - (6 if southern else 0)) % 12 >= 4) & (
        (month - (6 if southern else 0)) % 12 <= 9
    )
    for n in range(10):
        frost = np.datetime64(f"{first + n}-{FIRST_FROST:%m-%d}") + n
        at = int((frost - begin).astype(int)) - (184 if southern else 0)
        if at >= 0:
            low[at] = -1.0
    return PastYears(
        date(first, 1, 1),
        air_max=np.where(warm, 30.0, 10.0),
        air_min=low,
        rain=np.zeros(len(axis)),
        radiation=np.full(len(axis), 15.0),
        source=Source("made up", datetime(2026, 1, 10, tzinfo=UTC)),
    )

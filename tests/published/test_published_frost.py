"""Frost dates of a real station against a plain search and SciPy's quantiles."""

import datetime

import numpy as np
import pytest
from clemson import daily_minima
from scipy.stats.mstats import mquantiles

from advisor.turf.frost import AUTUMN, SPRING, frost_chance, frost_day, frost_record

INCOMPLETE = {AUTUMN: (2020,), SPRING: (2005, 2006)}
"""Halves of which the station (or our piece of its record) lacks more than ten days."""


def plain_search(fahrenheit, season):
    """Deciding frosts of the complete halves of Clemson, day by day, as days of the year 2001."""
    minima = dict(zip(*(array.tolist() for array in daily_minima()), strict=True))
    found = []
    for year in range(1991, 2021):
        if season == AUTUMN:
            day, end, step = datetime.date(year, 8, 1), datetime.date(year + 1, 1, 31), 1
        else:
            day, end, step = datetime.date(year, 7, 31), datetime.date(year, 2, 1), -1
        while day != end and not minima.get(day, np.nan) <= fahrenheit:
            day += datetime.timedelta(days=step)
        if year not in INCOMPLETE[season]:
            anchor = datetime.date(year, 8 if season == AUTUMN else 3, 1)
            found.append((day - anchor).days)
    return found


@pytest.mark.parametrize("fahrenheit", [36, 32, 28])
@pytest.mark.parametrize("season", [AUTUMN, SPRING])
def test_dates_at_ten_fifty_and_ninety_percent(fahrenheit, season):
    """NOAA, daily summaries of Clemson 1991-2020; `mquantiles` with Weibull's (0, 0) positions."""
    days, minima = daily_minima()
    record = frost_record(days, (minima - 32) / 1.8, (fahrenheit - 32) / 1.8, season)
    risks = np.array([0.1, 0.5, 0.9])
    expected = mquantiles(plain_search(fahrenheit, season), risks, alphap=0, betap=0)
    if season == SPRING:
        expected = expected[::-1]
    low, high = frost_day(record, risks)
    assert set(range(1991, 2021)) - set(record.years.tolist()) == set(INCOMPLETE[season])
    assert (low <= expected + 1e-9).all() and (expected <= high + 1e-9).all()
    assert (high - low <= 1).all()


def test_the_median_first_freeze_stays_where_it_is():
    """Regression: computed here from the station's days."""
    days, minima = daily_minima()
    record = frost_record(days, (minima - 32) / 1.8, 0.0, AUTUMN)
    low, high = frost_day(record, 0.5)
    first = np.datetime64("2024-08-01") + np.timedelta64(int(np.floor(low)))
    assert first == np.datetime64("2024-11-04")
    assert low == high


def test_a_chance_foretells_how_often_frost_had_come():
    """The first fifteen years speak of the last fifteen, which they have not seen."""
    days, minima = daily_minima()
    air = (minima - 32) / 1.8
    early = days < np.datetime64("2006-02-01")
    past = frost_record(days[early], air[early], 0.0, AUTUMN)
    later = frost_record(days[~early], air[~early], 0.0, AUTUMN)
    for day in (85, 95, 105):
        low, high = frost_chance(past, day)
        assert float(low) - 0.2 <= np.mean(later.high <= day) <= float(high) + 0.2

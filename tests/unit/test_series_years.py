"""Past years by day: one axis, and single years cut out of it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.series.hourly import Source
from advisor.series.years import DAY_COLUMNS, PastYears

SOURCE = Source("a test", datetime(2026, 4, 1, tzinfo=UTC))


def years(first: date, days: int) -> PastYears:
    """Each value is the day's own number (proleptic ordinal)."""
    numbers = np.arange(days, dtype=float) + first.toordinal()
    return PastYears(first, source=SOURCE, **dict.fromkeys(DAY_COLUMNS, numbers))


@pytest.mark.parametrize(("year", "days"), [(2019, 365), (2020, 366), (2021, 365)])
def test_a_year_has_its_own_days(year: int, days: int) -> None:
    cut = years(date(2018, 3, 1), 2000).year(year)
    assert (cut.first, cut.last, len(cut.rain)) == (date(year, 1, 1), date(year, 12, 31), days)
    for column in cut.columns.values():
        assert column[0] == date(year, 1, 1).toordinal()
        assert column[-1] == date(year, 12, 31).toordinal()
    assert cut.source == SOURCE


@given(st.dates(date(1990, 1, 1), date(2030, 12, 31)), st.integers(0, 1500))
def test_whole_years_are_those_whose_first_and_last_day_are_there(first: date, days: int) -> None:
    past = years(first, days)
    there = {first + timedelta(n) for n in range(days)}
    whole = [y for y in range(1989, 2037) if {date(y, 1, 1), date(y, 12, 31)} <= there]
    assert list(past.years) == whole
    assert [past.year(year).first.year for year in past.years] == whole


def test_a_year_that_is_not_whole_is_no_year() -> None:
    with pytest.raises(KeyError):
        years(date(2019, 1, 2), 800).year(2019)


def test_columns_of_one_length() -> None:
    short = dict.fromkeys(DAY_COLUMNS, np.zeros(3)) | {"rain": np.zeros(2)}
    with pytest.raises(ValueError, match="differ in length"):
        PastYears(date(2019, 1, 1), source=SOURCE, **short)

"""Nights from noon to noon, by the wall clock."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from advisor.conditions.nights import Nights
from advisor.series.hourly import Series, Source

START = datetime(2026, 3, 6, tzinfo=UTC)


def series(start: datetime, hours: int) -> Series:
    """Air temperature is the number of the hour."""
    return Series(start, {"air_temp": np.arange(float(hours))}, Source("made up", start))


def test_a_night_runs_from_noon_to_noon():
    found = Nights(series(START, 96), [date(2026, 3, 7), date(2026, 3, 8)], ZoneInfo("UTC"))
    sheet = found.column("air_temp")
    assert sheet.shape == (2, 25)
    assert sheet[0, :24].tolist() == list(range(12, 36))
    assert sheet[1, :24].tolist() == list(range(36, 60))
    assert np.isnan(sheet[:, 24]).all()
    assert found.due.tolist() == [24, 24]


@pytest.mark.parametrize(
    ("day", "hours"), [(date(2026, 3, 8), 23), (date(2026, 11, 1), 25), (date(2026, 6, 1), 24)]
)
def test_clocks_that_change_make_it_shorter_or_longer(day: date, hours: int):
    start = datetime(day.year, day.month, day.day, tzinfo=UTC) - timedelta(days=2)
    found = Nights(series(start, 96), [day], ZoneInfo("America/New_York"))
    assert found.due.tolist() == [hours]
    known = found.column("air_temp")[0]
    assert np.count_nonzero(~np.isnan(known)) == hours
    assert np.isnan(known[hours:]).all()


def test_hours_that_the_series_lacks_are_unknown_in_their_place():
    """A series that begins at 18:00 leaves the six hours from noon open."""
    found = Nights(series(START.replace(hour=18), 30), [date(2026, 3, 7)], ZoneInfo("UTC"))
    sheet = found.column("air_temp")[0]
    assert np.isnan(sheet[:6]).all()
    assert sheet[6] == 0.0


def test_every_hour_is_in_one_night():
    """In a zone off the hour too: 40 days of hours, none lost and none twice."""
    days = [date(2026, 3, 8) + timedelta(n) for n in range(38)]
    for zone in ("Asia/Kathmandu", "Australia/Lord_Howe", "America/New_York"):
        sheet = Nights(series(START, 40 * 24), days, ZoneInfo(zone)).column("air_temp")
        known = np.sort(sheet[~np.isnan(sheet)])
        assert np.array_equal(known, np.arange(known[0], known[-1] + 1))
        assert len(known) >= 37 * 24


def test_no_days_are_no_nights():
    assert Nights(series(START, 24), [], ZoneInfo("UTC")).column("rain").shape == (0, 25)

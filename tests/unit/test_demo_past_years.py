"""The demo's ten years of daily past: the archive's shape, and years that differ."""

from __future__ import annotations

import gzip
import json
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import Any

import numpy as np
import pytest
from recorded_weather import RECORDED, Floats, days_of, part, weather

UNITS = {
    "time": "unixtime",
    "temperature_2m_max": "°C",
    "temperature_2m_min": "°C",
    "temperature_2m_mean": "°C",
    "precipitation_sum": "mm",
    "shortwave_radiation_sum": "MJ/m²",
    "et0_fao_evapotranspiration": "mm",
    "soil_temperature_0_to_7cm_mean": "°C",
}
DAYS = days_of(date(2015, 1, 1), date(2024, 12, 31))
YEARS = range(2015, 2025)
FILE = RECORDED / "past_years.json.gz"


@cache
def past() -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(gzip.decompress(FILE.read_bytes()))
    return answer


@cache
def column(name: str) -> Floats:
    return np.array(past()["daily"][name], dtype=float)


def of_year(year: int) -> slice:
    return slice(DAYS.index(date(year, 1, 1)), DAYS.index(date(year, 12, 31)) + 1)


def frosts(year: int) -> list[int]:
    """Days of the year (1 to 366) whose lowest air is under 0 C."""
    return (np.flatnonzero(column("temperature_2m_min")[of_year(year)] < 0) + 1).tolist()


def warm_soil(year: int) -> Floats:
    """Whether the mean of five days to a day is above 10 C, 5 January to 30 June."""
    soil = column("soil_temperature_0_to_7cm_mean")[of_year(year)][:181]
    return np.convolve(soil, np.ones(5) / 5, "valid") > 10


# Shape


def test_the_answer_has_the_archives_shape() -> None:
    """Units, zone, place and columns are those of a daily request in GMT and Unix seconds."""
    answer = past()
    assert answer["daily_units"] == UNITS
    assert list(answer["daily"]) == list(UNITS)
    assert (answer["timezone"], answer["utc_offset_seconds"]) == ("GMT", 0)
    for name in ("latitude", "longitude", "elevation"):
        assert answer[name] == weather()[name]


def test_there_is_a_row_for_every_day_of_ten_years() -> None:
    times = past()["daily"]["time"]
    assert datetime.fromtimestamp(times[0], UTC) == datetime(2015, 1, 1, tzinfo=UTC)
    assert datetime.fromtimestamp(times[-1], UTC) == datetime(2024, 12, 31, tzinfo=UTC)
    assert (np.diff(times) == 86400).all()
    assert {len(values) for values in past()["daily"].values()} == {len(DAYS)} == {3653}


def test_nulls_stand_only_in_two_middle_days() -> None:
    missing = {
        (DAYS[row], name)
        for name in list(UNITS)[1:]
        for row in np.flatnonzero(np.isnan(column(name)))
    }
    no_air, no_rain = date(2019, 8, 14), date(2022, 6, 8)
    rain, light = "precipitation_sum", "shortwave_radiation_sum"
    of_air = {name for name in list(UNITS)[1:] if name not in (rain, light)}
    assert missing == {(no_air, name) for name in of_air} | {
        (no_rain, name) for name in (rain, light, "et0_fao_evapotranspiration")
    }


def test_the_file_is_small_and_carries_no_date() -> None:
    data = FILE.read_bytes()
    assert len(data) < 200_000
    assert data[4:8] == b"\0\0\0\0"


# Weather


def test_the_mean_lies_between_the_lowest_and_the_highest() -> None:
    known = ~np.isnan(column("temperature_2m_mean"))
    low, mean, high = (column(f"temperature_2m_{w}")[known] for w in ("min", "mean", "max"))
    assert (low <= mean).all()
    assert (mean <= high).all()
    assert (low < high).all()


def test_amounts_are_never_negative() -> None:
    for name in ("precipitation_sum", "shortwave_radiation_sum", "et0_fao_evapotranspiration"):
        assert np.nanmin(column(name)) >= 0


@pytest.mark.parametrize("year", YEARS)
def test_a_year_brings_the_rain_of_its_climate(year: int) -> None:
    rain = column("precipitation_sum")[of_year(year)]
    assert 800 <= np.nansum(rain) <= 1500
    assert 85 <= (rain >= 0.25).sum() <= 140


def test_the_climate_is_that_of_the_recorded_year() -> None:
    """A January near 3 C, a July near 25 C; soil between, and warmer than the air in spring."""
    air, soil = column("temperature_2m_mean"), column("soil_temperature_0_to_7cm_mean")
    month = np.array([day.month for day in DAYS])
    assert 1 <= np.nanmean(air[month == 1]) <= 5
    assert 23.5 <= np.nanmean(air[month == 7]) <= 27
    assert np.nanmean(soil[month == 4]) > np.nanmean(air[month == 4])
    assert np.nanstd(soil) < np.nanstd(air)


def test_springs_come_early_and_late() -> None:
    """Soil first passes 10 C over some three to four weeks, and for good over two to four."""
    first = [int(np.argmax(warm_soil(y))) + 5 for y in YEARS]
    for_good = [int(np.flatnonzero(~warm_soil(y))[-1]) + 6 for y in YEARS]
    assert 21 <= max(first) - min(first) <= 28
    assert 14 <= max(for_good) - min(for_good) <= 28
    assert min(len(set(first)), len(set(for_good))) >= 7
    assert all(a <= b for a, b in zip(first, for_good, strict=True))


def test_the_last_frosts_lie_about_mid_april() -> None:
    last = [max(d for d in frosts(y) if d < 190) for y in YEARS]
    assert 98 <= np.median(last) <= 112
    assert 20 <= max(last) - min(last) <= 40


def test_the_first_frosts_lie_about_mid_or_late_october() -> None:
    """The free years within some four weeks; the recorded autumn of 2024 is a late one."""
    first = [min(d for d in frosts(y) if d > 190) for y in YEARS if y != 2024]
    assert 285 <= np.median(first) <= 300
    assert 20 <= max(first) - min(first) <= 35
    assert min(d for d in frosts(2024) if d > 190) >= max(first)


def test_the_last_92_days_are_those_of_the_recorded_weather() -> None:
    hourly = {
        name: np.array(weather()["hourly"][name][: 92 * 24], dtype=float).reshape(92, 24)
        for name in ("temperature_2m", "precipitation", "shortwave_radiation")
    }
    assert DAYS[-92] == date(2024, 10, 1)
    air, rain = hourly["temperature_2m"], hourly["precipitation"]
    assert column("temperature_2m_max")[-92:] == pytest.approx(air.max(axis=1))
    assert column("temperature_2m_min")[-92:] == pytest.approx(air.min(axis=1))
    assert column("temperature_2m_mean")[-92:] == pytest.approx(air.mean(axis=1), abs=0.08)
    assert column("precipitation_sum")[-92:] == pytest.approx(rain.sum(axis=1))
    # the recorded hours are rounded to whole W/m2
    sunlight = hourly["shortwave_radiation"].sum(axis=1) * 3600e-6
    assert column("shortwave_radiation_sum")[-92:] == pytest.approx(sunlight, abs=0.05)


def test_evaporation_meets_the_published_hours() -> None:
    """FAO-56 Example 19 (N'Diaye, 1 October): 0.00 mm at 02-03 h, 0.63 mm at 14-15 h."""
    et = part("making.past_years").evaporation(
        np.array([28.0, 38.0]),
        np.array([34.02, 34.45]),
        np.array([1.9, 3.3]) / 0.748,
        np.array([0.0, 2.450]) / 3600e-6,
        np.array([0.8, 0.922]),
    )
    # The example lies 8 m above the sea, the demo 290 m: pressure changes less than is printed.
    assert et == pytest.approx([0.00, 0.63], abs=0.01)


# The script


def test_the_script_writes_the_same_again() -> None:
    script = part("make_weather")
    text = script.build_past()
    assert text == gzip.decompress(FILE.read_bytes())


def test_holes_lie_away_from_the_dates_that_are_looked_for() -> None:
    """No frost and no first warm soil within a month of a hole."""
    for hole in (date(2019, 8, 14), date(2022, 6, 8)):
        about = [DAYS.index(hole + timedelta(n)) for n in range(-30, 31)]
        assert np.nanmin(column("temperature_2m_min")[about]) > 5

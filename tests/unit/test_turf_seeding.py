"""Seeding windows: soil on the right side, and time before the frost."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.turf.frost import AUTUMN, autumn_day, day_in_half
from advisor.turf.seeding import (
    COOL_SEASON,
    OVERSEEDING_WARM,
    WARM_SEASON,
    Trust,
)

YEAR = np.arange("2023-01-01", "2024-01-01", dtype="datetime64[D]")
SOIL = 14 - 13 * np.cos((np.arange(365) - 25) / 365 * 2 * np.pi)
ROWS = (COOL_SEASON, WARM_SEASON, OVERSEEDING_WARM)
OCTOBER_20 = 80.0


def spans(flags, days=YEAR):
    """First and last day of each run of true days."""
    edges = np.diff(np.concatenate([[0], flags.astype(int), [0]]))
    ends = np.flatnonzero(edges == -1) - 1
    return [
        (str(days[a])[5:], str(days[b])[5:])
        for a, b in zip(np.flatnonzero(edges == 1), ends, strict=True)
    ]


def soil_at(fahrenheit, falling):
    """The day on which this soil passes a temperature, worked out from its sine."""
    part = np.arccos((14 - (fahrenheit - 32) / 1.8) / 13) / 2 / np.pi * 365
    number = 25 + 365 - part if falling else 25 + part
    return str(YEAR[int(np.ceil(number - 1e-9))])[5:]


def test_cool_season_seed_goes_down_in_late_summer_till_45_days_before_frost():
    surely, perhaps = COOL_SEASON.open(YEAR, SOIL - 5, (OCTOBER_20, OCTOBER_20))
    np.testing.assert_array_equal(surely, perhaps)
    # 45 days before 20 October is 5 September.
    assert spans(surely) == [(soil_at(70 + 5 * 1.8, falling=True), "09-05")]
    # Soil that passes 70 F later than that leaves no window.
    assert not COOL_SEASON.open(YEAR, SOIL, (OCTOBER_20, OCTOBER_20))[0].any()


def test_cool_soil_in_spring_is_no_late_summer():
    surely, _ = COOL_SEASON.open(YEAR, np.full(365, 15.0), (OCTOBER_20, OCTOBER_20))
    assert spans(surely) == [("08-01", "09-05")]


def test_warm_season_seed_goes_down_from_warm_soil_till_three_months_before_frost():
    surely, _ = WARM_SEASON.open(YEAR, SOIL, (OCTOBER_20, OCTOBER_20))
    assert spans(surely) == [(soil_at(65, falling=False), "07-22")]


def test_overseeding_waits_for_soil_to_cool_and_ends_three_weeks_before_frost():
    surely, _ = OVERSEEDING_WARM.open(YEAR, SOIL, (OCTOBER_20, OCTOBER_20))
    assert spans(surely) == [(soil_at(74, falling=True), "09-29")]


def test_the_seasons_turn_in_the_south():
    days = np.arange("2023-07-01", "2024-07-01", dtype="datetime64[D]")
    soil = np.full(len(days), 15.0)
    surely, _ = COOL_SEASON.open(days, soil, (50.0, 50.0), southern=True)
    assert spans(surely, days) == [("02-01", "03-06")]
    soil = np.full(len(days), 25.0)
    surely, _ = WARM_SEASON.open(days, soil, (50.0, 50.0), southern=True)
    # 50 days after 1 March is 20 April; 90 days before it, 21 January. Before July: last autumn.
    assert spans(surely, days) == [("08-01", "01-21")]


def test_a_place_without_frost_never_closes():
    surely, _ = COOL_SEASON.open(YEAR, np.full(365, 15.0), (np.inf, np.inf))
    assert spans(surely) == [("01-01", "01-31"), ("08-01", "12-31")]


def test_unknown_soil_or_frost_is_perhaps_open():
    soil = np.full(365, 15.0)
    soil[np.datetime64("2023-08-20") == YEAR] = np.nan
    surely, perhaps = COOL_SEASON.open(YEAR, soil, (OCTOBER_20, OCTOBER_20))
    assert spans(surely) == [("08-01", "08-19"), ("08-21", "09-05")]
    assert spans(perhaps) == [("08-01", "09-05")]
    surely, perhaps = COOL_SEASON.open(YEAR, soil, (np.nan, np.nan))
    assert not surely.any() and spans(perhaps)[-1] == ("08-01", "12-31")


@given(st.integers(0, 150), st.integers(0, 30), st.integers(0, 30), st.sampled_from(ROWS))
@settings(max_examples=50, deadline=None)
def test_bounds_of_the_frost_become_bounds_of_the_window(frost, sooner, later, row):
    truth = row.open(YEAR, SOIL, (frost, frost))[0]
    surely, perhaps = row.open(YEAR, SOIL, (frost - sooner, frost + later))
    assert (surely <= truth).all() and (truth <= perhaps).all()


@given(st.integers(0, 20000), st.booleans())
@settings(max_examples=100, deadline=None)
def test_days_are_counted_towards_the_coming_autumn(offset, southern):
    day = np.datetime64("1990-01-01") + offset
    number, inside = float(autumn_day(day, southern)), float(day_in_half(day, AUTUMN, southern))
    assert number == inside or (np.isnan(inside) and -213 < number < 0)
    ahead = day - int(number)
    assert (ahead.item().month, ahead.item().day) == ((3, 1) if southern else (8, 1))


def test_what_is_remembered_is_marked():
    assert [row.opens_by for row in ROWS] == [Trust.READ, Trust.MEMORY, Trust.READ]
    assert {row.closes_by for row in ROWS} == {Trust.MEMORY}


def test_impossible_input_is_named():
    with pytest.raises(ValueError, match="frost_day must be in order, not 9 and 3"):
        COOL_SEASON.open(YEAR, SOIL, (9.0, 3.0))
    with pytest.raises(ValueError, match="soil_c must lie between -90 and 60 C"):
        COOL_SEASON.open(YEAR[:1], [99.0], (80.0, 80.0))

"""Frost dates: halves of the year, unknown days, few years and years without frost."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.turf.frost import (
    AUTUMN,
    FREEZE_C,
    SPRING,
    day_in_half,
    frost_chance,
    frost_day,
    frost_record,
)

LIKELY_C = (36 - 32) / 1.8
"""Air temperature at or below which frost on grass is likely (US National Weather Service)."""

DAYS = np.arange("2001-01-01", "2021-01-01", dtype="datetime64[D]")


def minima_of(first_frosts, start=2001, warm=10.0):
    """Years of warm nights, with a freeze from the given date (or none) to the end of March."""
    days = np.arange(f"{start}-08-01", f"{start + len(first_frosts)}-08-01", dtype="datetime64[D]")
    air = np.full(days.shape, warm)
    for i, first in enumerate(first_frosts):
        if first:
            begin = np.datetime64(f"{start + i}-{first}")
            air[(days >= begin) & (days <= np.datetime64(f"{start + i + 1}-03-31"))] = -1.0
    return days, air


FIVE = ("10-10", "10-14", "10-20", "10-22", "11-01")


def test_first_and_last_frost_of_each_half():
    days, air = minima_of(FIVE)
    autumn = frost_record(days, air, FREEZE_C, AUTUMN)
    assert autumn.years.tolist() == [2001, 2002, 2003, 2004, 2005]
    assert autumn.low.tolist() == autumn.high.tolist() == [70, 74, 80, 82, 92]
    spring = frost_record(days, air, FREEZE_C, SPRING)
    assert spring.years.tolist() == [2002, 2003, 2004, 2005, 2006]
    assert spring.low.tolist() == spring.high.tolist() == [30] * 5


def test_ranks_and_what_lies_between_them():
    record = frost_record(*minima_of(FIVE), FREEZE_C, AUTUMN)
    low, high = frost_day(record, [0.0, 0.1, 1 / 6, 0.25, 0.5, 0.9, 1.0])
    np.testing.assert_allclose(low, [70, 70, 70, 72, 80, 92, 92])
    np.testing.assert_array_equal(low, high)
    assert np.isnan(frost_day(record, np.nan)[0])


def test_chance_lies_between_the_gaps_of_past_seasons():
    record = frost_record(*minima_of(FIVE), FREEZE_C, AUTUMN)
    low, high = frost_chance(record, [0, 69, 70, 80, 92, 180, np.nan])
    np.testing.assert_allclose(low, np.array([0, 0, 1, 3, 5, 5, np.nan]) / 6)
    np.testing.assert_allclose(high, np.array([1, 1, 2, 4, 6, 6, np.nan]) / 6)


def test_chance_of_another_frost_in_spring():
    record = frost_record(*minima_of(FIVE), FREEZE_C, SPRING)
    low, high = frost_chance(record, [0, 30, 31])
    np.testing.assert_allclose(low, np.array([5, 5, 0]) / 6)
    np.testing.assert_allclose(high, np.array([6, 6, 1]) / 6)


def test_four_years_say_nothing():
    record = frost_record(*minima_of(FIVE[:4]), FREEZE_C, AUTUMN)
    assert np.isnan(frost_day(record, 0.5)).all()
    assert [float(bound) for bound in frost_chance(record, 80)] == [0, 1]


def test_years_without_frost_rank_last():
    record = frost_record(*minima_of(("10-10", "10-14", None, None, None)), FREEZE_C, AUTUMN)
    low, _ = frost_day(record, [0.2, 0.35, 0.5, 0.6])
    np.testing.assert_allclose(low, [70.8, np.inf, np.inf, np.inf])
    spring = frost_record(*minima_of((None,) * 5), FREEZE_C, SPRING)
    assert frost_day(spring, 0.5)[1] == -np.inf


def test_frost_in_january_belongs_to_the_autumn_before_it():
    days, air = minima_of((None,) * 5)
    air[days == np.datetime64("2003-01-20")] = -3.0
    record = frost_record(days, air, FREEZE_C, AUTUMN)
    assert record.low.tolist() == [np.inf, 172, np.inf, np.inf, np.inf]


def test_an_unknown_day_may_hide_a_frost_near_the_known_ones_only():
    days, air = minima_of(FIVE)
    air[days == np.datetime64("2005-10-05")] = np.nan  # five days before the earliest known one
    air[days == np.datetime64("2005-08-20")] = np.nan  # high summer
    record = frost_record(days, air, FREEZE_C, AUTUMN)
    assert record.low.tolist() == [70, 74, 80, 82, 65]
    assert record.high.tolist() == [70, 74, 80, 82, 92]
    low, high = frost_day(record, 0.5)
    assert (low, high) == (74, 80)
    assert frost_chance(record, 66)[1] == pytest.approx(2 / 6)


def test_in_spring_it_hides_one_after_the_last_known():
    days, air = minima_of(FIVE)
    air[days == np.datetime64("2004-04-10")] = np.nan  # ten days after the last known one
    air[days == np.datetime64("2005-06-10")] = np.nan
    record = frost_record(days, air, FREEZE_C, SPRING)
    assert record.low.tolist() == [30] * 5
    assert record.high.tolist() == [30, 30, 40, 30, 30]


def test_without_a_known_frost_any_unknown_day_may_be_one():
    days, air = minima_of((None,) * 5)
    air[days == np.datetime64("2003-08-20")] = np.nan
    record = frost_record(days, air, FREEZE_C, AUTUMN)
    assert record.low[2] == 19 and record.high[2] == np.inf


def test_a_half_with_many_unknown_days_does_not_count():
    days, air = minima_of((*FIVE, "10-15"))
    autumn = (days >= np.datetime64("2003-09-01")) & (days < np.datetime64("2003-09-12"))
    assert 2003 not in frost_record(days[~autumn], air[~autumn], FREEZE_C, AUTUMN).years
    ten = autumn & (days < np.datetime64("2003-09-11"))
    assert 2003 in frost_record(days[~ten], air[~ten], FREEZE_C, AUTUMN).years
    running = days < np.datetime64("2006-11-20")
    assert 2006 not in frost_record(days[running], air[running], FREEZE_C, AUTUMN).years


def test_the_leap_day_counts_and_moves_no_later_day():
    days = np.array(["2023-02-28", "2023-03-01", "2024-02-29", "2024-03-01"], "datetime64[D]")
    assert day_in_half(days, SPRING).tolist() == [-1, 0, -1, 0]
    dates = np.arange("2001-02-01", "2007-02-01", dtype="datetime64[D]")
    air = np.where(dates <= np.datetime64("2004-02-29"), 5.0, 10.0)
    air[dates == np.datetime64("2004-02-29")] = -2.0
    record = frost_record(dates, air, FREEZE_C, SPRING)
    assert record.low.tolist() == [-np.inf] * 3 + [-1] + [-np.inf] * 2


@given(st.lists(st.floats(-15, 25), min_size=181, max_size=181))
@settings(max_examples=30, deadline=None)
def test_the_south_is_half_a_year_away(nights):
    """The same nights from 1 August and from 1 February: as many days into each autumn."""

    def record(month, southern):
        halves = [np.datetime64(f"{y}-{month}-01") + np.arange(181) for y in range(2001, 2007)]
        return frost_record(np.concatenate(halves), nights * 6, FREEZE_C, AUTUMN, southern)

    north, south = record("08", False), record("02", True)
    # The south's leap year has one day more, and counts its days from 1 March.
    np.testing.assert_array_equal(north.years, south.years)
    common = south.years != 2004
    np.testing.assert_array_equal(north.low[common], south.low[common] + 28)


@given(st.integers(0, len(DAYS) - 1), st.sampled_from([AUTUMN, SPRING]), st.booleans())
@settings(max_examples=100, deadline=None)
def test_a_dates_number_is_counted_in_its_own_half_alone(where, season, southern):
    """From 1 August for the half of August to January, from 1 March for that of February to July;
    both hemispheres' autumns and springs are these two."""
    day = DAYS[where].item()
    august = (season == AUTUMN) != southern
    if (day.month >= 8 or day.month == 1) != august:
        assert np.isnan(day_in_half(DAYS[where], season, southern))
        return
    began = day.year - (day.month == 1)
    anchor = date(began, 8, 1) if august else date(day.year, 3, 1)
    assert day_in_half(DAYS[where], season, southern) == (day - anchor).days


def wavy(seed, noise):
    """Twenty years of a sine with noise: frosts of a threshold lie close together each year."""
    turn = (DAYS - np.datetime64("2001-01-15")).astype(float) / 365.25 * 2 * np.pi
    return 8 - 13 * np.cos(turn) + noise * np.random.default_rng(seed).uniform(-1, 1, len(DAYS))


@given(st.integers(0, 1000), st.sampled_from([AUTUMN, SPRING]), st.integers(1, 60))
@settings(max_examples=30, deadline=None)
def test_bounds_hold_the_truth_whatever_days_are_lost(seed, season, lost):
    air = wavy(seed, 3.0)
    truth = frost_record(DAYS, air, LIKELY_C, season)
    gappy = air.copy()
    gappy[np.random.default_rng(seed + 1).choice(len(DAYS), lost, replace=False)] = np.nan
    found = frost_record(DAYS, gappy, LIKELY_C, season)
    same = np.isin(truth.years, found.years)
    assert (found.low <= truth.low[same]).all() and (truth.high[same] <= found.high).all()


@given(st.integers(0, 1000), st.floats(0, 5), st.floats(0, 1), st.floats(0, 1))
@settings(max_examples=30, deadline=None)
def test_colder_nights_bring_frost_no_later_and_higher_risk_no_sooner(seed, colder, one, other):
    air = wavy(seed, 8.0)
    less, more = sorted((one, other))
    mild, hard = (frost_record(DAYS, air - off, FREEZE_C, AUTUMN) for off in (0.0, colder))
    assert frost_day(hard, less)[0] <= frost_day(mild, less)[0]
    assert frost_day(mild, less)[0] <= frost_day(mild, more)[0]
    spring = frost_record(DAYS, air, FREEZE_C, SPRING)
    assert frost_day(spring, more)[0] <= frost_day(spring, less)[0]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: frost_record(DAYS[:2], [1.0], 0, AUTUMN), "days must be growing dates"),
        (lambda: frost_record(DAYS[1::-1], [1.0, 1.0], 0, AUTUMN), "days must be growing dates"),
        (lambda: frost_record(DAYS[:1], [99.0], 0, AUTUMN), "tmin_c must lie between -90 and 60"),
        (lambda: frost_record(DAYS[:1], [9.0], 0, "winter"), "season must be autumn or spring"),
        (
            lambda: frost_day(frost_record(*minima_of(FIVE), 0, AUTUMN), 10),
            "risk must lie between 0 and 1, not 10",
        ),
    ],
)
def test_impossible_input_is_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()

"""Stages from warmth: bounds, starts, latches, delays; weeds and insects as rows."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.turf.emergence import (
    ANNUAL_BLUEGRASS_SOIL,
    CRABGRASS_AIR,
    CRABGRASS_SOIL,
    CRABGRASS_SOIL_TURNS,
    GOOSEGRASS_SOIL,
    annual_bluegrass,
    crabgrass,
    goosegrass,
)
from advisor.turf.insects import (
    BILLBUG_SOIL,
    BILLBUGS_UTAH,
    BLACK_TURFGRASS_ATAENIUS,
    BLUEGRASS_BILLBUG,
    INSECTS,
    JAPANESE_BEETLE,
    JAPANESE_BEETLE_MINNESOTA,
    MASKED_CHAFERS,
)
from advisor.turf.stages import (
    Mark,
    SoilTurn,
    Stage,
    Stages,
    Timetable,
    Trust,
    calendar_stages,
    delayed,
    disagree,
    starts_on,
)

BEFORE, MAY_BEGIN, MAJOR, OVER = 0, 1, 2, 3
YEAR = np.arange("2023-01-01", "2024-01-01", dtype="datetime64[D]")
NORTH = 12 - 14 * np.cos((np.arange(365) - 20) / 365 * 2 * np.pi)
"""A year of daily means, coldest in late January."""
TURNS = (*CRABGRASS_SOIL_TURNS, GOOSEGRASS_SOIL, BILLBUG_SOIL, ANNUAL_BLUEGRASS_SOIL)


def table(*totals, told_to=30.0):
    marks = [None if total is None else Mark(total, Trust.READ) for total in totals]
    return Timetable("a source", *marks, told_to=told_to)


def stages(of, low, high=None):
    low = np.atleast_1d(np.asarray(low, dtype=float))
    found = of.stages(low, low if high is None else np.atleast_1d(np.asarray(high, dtype=float)))
    return list(zip(found.low.tolist(), found.high.tolist(), strict=True))


def test_a_stage_begins_at_its_total():
    assert stages(table(10, 20, 30), [9.9, 10, 19.9, 20, 29.9, 30]) == [
        (0, 0), (1, 1), (1, 1), (2, 2), (2, 2), (3, 3)
    ]  # fmt: skip


def test_where_the_source_stops_speaking_the_upper_bound_opens():
    assert stages(table(10, 20, None), [30, 30.1]) == [(2, 2), (2, 3)]
    assert stages(table(10, None, None, told_to=15.0), [9, 12, 16]) == [(0, 0), (1, 1), (1, 3)]


def test_bounds_of_the_quantity_become_bounds_of_the_stage():
    assert stages(table(10, 20, 30), [5], [25]) == [(0, 2)]
    assert stages(table(10, 20, 30), [15], [np.inf]) == [(1, 3)]
    assert stages(table(10, 20, 30), [np.nan]) == [(0, 3)]


def test_without_totals_all_is_unknown():
    assert stages(table(None, None, None, told_to=None), [0, 1e6]) == [(0, 3), (0, 3)]


def test_known_is_where_both_bounds_agree():
    known = Stages(np.array([0, 1, 2]), np.array([0, 3, 2])).known
    assert known.tolist() == [Stage.BEFORE, Stage.UNKNOWN, Stage.MAJOR]


@given(st.floats(0, 40), st.floats(0, 40))
@settings(max_examples=50, deadline=None)
def test_more_warmth_never_sets_a_stage_back(one, other):
    less, more = sorted((one, other))
    (low, high), (later, latest) = stages(table(10, 20, 30), [less, more])
    assert low <= later and high <= latest


def test_starts_turn_by_half_a_year():
    assert YEAR[starts_on(YEAR, (3, 1))].tolist() == [np.datetime64("2023-03-01").item()]
    assert YEAR[starts_on(YEAR, (3, 1), southern=True)].item().isoformat() == "2023-09-01"
    assert YEAR[starts_on(YEAR, (8, 15), southern=True)].item().isoformat() == "2023-02-15"
    with pytest.raises(ValueError, match="days must be dates that follow one another"):
        starts_on(YEAR[::2], (3, 1))


def test_crabgrass_soil_heat_of_a_worked_chain():
    """Regression: 11, 13, 14, 16, 18 C over a base of 12 are 13 C d on the fifth day."""
    soil = np.repeat([11.0, 13, 14, 16, 18], 1)
    for total, reached in ((13.0, 1), (13.01, 0)):
        row = CRABGRASS_SOIL.__class__("x", 0.025, 12.0, (1, 1), table(total, told_to=20.0))
        assert row.stages(YEAR[:5], soil).low[-1] == reached


def test_crabgrass_by_fidanzas_soil_and_virginias_air():
    days = YEAR[:20]
    soil = np.full(20, 26.0)  # 14 C d a day: 42 on the third, 140 on the tenth, 238 on the 17th
    found = crabgrass(days, soil, np.full(20, 20.0), np.full(20, 10.0))  # 5 C d = 9 F d a day
    assert found.soil.known.tolist() == [0, 0, *[1] * 7, *[2] * 7, *[3] * 4]
    assert found.other.known.tolist()[:22] == [*[0] * 7, *[1] * 13]
    # On the eighth to the tenth and from the tenth on: may begin against major.
    assert found.disagree.tolist() == [False, False, *[True] * 5, False, False, *[True] * 11]


def test_a_warm_week_is_not_undone_by_a_cold_one():
    row = SoilTurn("x", 0.1, 3, (1, 1), table(12.0, told_to=99.0))
    soil = np.array([8.0, 12, 12, 12, 2, 2, 2])
    assert row.stages(YEAR[:7], soil).low.tolist() == [0, 0, 0, 1, 1, 1, 1]
    assert row.stages(YEAR[:7], soil).high.tolist() == [0, 0, 0, 1, 1, 1, 1]


def test_an_unknown_week_may_have_been_warm():
    row = SoilTurn("x", 0.1, 1, (1, 1), table(12.0, told_to=99.0))
    found = row.stages(YEAR[:4], np.array([8.0, np.nan, 8.0, 13.0]))
    assert (found.low.tolist(), found.high.tolist()) == ([0, 0, 0, 1], [0, 3, 3, 3])


def test_last_autumns_warmth_is_not_this_springs():
    days = np.arange("2022-12-20", "2023-01-20", dtype="datetime64[D]")
    soil = np.where(days < np.datetime64("2023-01-01"), 20.0, 5.0)
    row = SoilTurn("x", 0.1, 4, (1, 1), table(12.0, told_to=99.0))
    found = row.stages(days, soil)
    assert found.high[days >= np.datetime64("2023-01-01")].tolist() == [0] * 19
    assert (found.high[days < np.datetime64("2023-01-01")] == OVER).all()


def test_before_the_first_start_nobody_knows_what_came_before():
    days = np.arange("2022-12-30", "2023-01-02", dtype="datetime64[D]")
    row = SoilTurn("x", 0.1, 1, (1, 1), table(12.0, told_to=99.0))
    found = row.stages(days, np.full(3, 5.0))
    assert (found.low.tolist(), found.high.tolist()) == ([0, 0, 0], [3, 3, 0])


def test_an_unknown_day_brings_at_most_what_the_upper_limit_allows():
    """A year of nothing known: 27.8 C d a day reach 512 C d on the nineteenth day, not before."""
    nothing = np.full(365, np.nan)
    found = JAPANESE_BEETLE.stages(YEAR, nothing, nothing)
    assert (found.low == BEFORE).all()
    assert int(np.argmax(found.high >= MAY_BEGIN)) == 18


def test_goosegrass_follows_crabgrass():
    soil = np.full(60, 10.0)
    found = goosegrass(YEAR[:60], soil, np.full(60, 20.0), np.full(60, 10.0))
    # Crabgrass may begin on day 7; goosegrass 10 to 14 days later.
    assert found.other.known[:16].tolist() == [BEFORE] * 16
    assert [int(np.argmax(bound >= 1)) for bound in found.other][::-1] == [17, 21]
    assert found.disagree[-1] and not found.disagree[:20].any()


def test_a_delay_does_not_reach_back_over_a_start():
    starts = np.array([False, False, False, True, False, False, False])
    found = delayed(Stages(np.full(7, 2), np.full(7, 2)), 1, 2, starts)
    assert found.low.tolist() == [0, 0, 2, 0, 0, 2, 2]
    assert found.high.tolist() == [3, 2, 2, 0, 2, 2, 2]


def test_annual_bluegrass_waits_for_soil_that_cools_after_high_summer():
    soil = NORTH + 4
    found = annual_bluegrass(YEAR, soil)
    begun = YEAR[(found.soil.low >= 1) & (np.datetime64("2023-08-01") < YEAR)][0]
    assert begun == YEAR[(soil <= (70 - 32) / 1.8) & (np.datetime64("2023-08-01") < YEAR)][0]
    assert YEAR[found.other.low >= 1][0] == np.datetime64("2023-08-15")
    # Soil below 70 F in May is no autumn.
    assert found.soil.high[120] == OVER and found.soil.low[120] == MAY_BEGIN
    assert found.soil.known[np.datetime64("2023-08-02") == YEAR].tolist() == [BEFORE]


def test_a_date_alone_says_before_and_after():
    found = calendar_stages(YEAR, (8, 15), (8, 1))
    day = YEAR.tolist().index(np.datetime64("2023-08-10").item())
    assert [int(bound[day]) for bound in found] == [BEFORE, BEFORE]
    assert [int(bound[day + 5]) for bound in found] == [MAY_BEGIN, OVER]
    assert [int(bound[day - 20]) for bound in found] == [BEFORE, OVER]


def test_signals_disagree_when_no_stage_is_left():
    one = Stages(np.array([0, 0, 2]), np.array([0, 1, 3]))
    other = Stages(np.array([1, 1, 1]), np.array([1, 2, 3]))
    assert disagree(one, other).tolist() == disagree(other, one).tolist() == [True, False, False]


@given(st.sets(st.integers(0, 364), max_size=20), st.sampled_from([*INSECTS, CRABGRASS_AIR]))
@settings(max_examples=60, deadline=None)
def test_air_stages_hold_the_truth_whatever_days_are_lost(lost, row):
    truth = row.stages(YEAR, NORTH + 6, NORTH - 6)
    high = NORTH + 6
    high[list(lost)] = np.nan
    found = row.stages(YEAR, high, NORTH - 6)
    assert (found.low <= truth.low).all() and (truth.high <= found.high).all()


@given(st.sets(st.integers(0, 364), max_size=20), st.sampled_from(TURNS))
@settings(max_examples=60, deadline=None)
def test_soil_stages_hold_the_truth_whatever_days_are_lost(lost, row):
    truth = row.stages(YEAR, NORTH)
    soil = NORTH.copy()
    soil[list(lost)] = np.nan
    found = row.stages(YEAR, soil)
    assert (found.low <= truth.low).all() and (truth.high <= found.high).all()


@pytest.mark.parametrize("row", [*INSECTS, CRABGRASS_AIR], ids=lambda row: row.name)
def test_the_south_sees_the_same_stages_half_a_year_on(row):
    north = np.arange("2023-01-01", "2023-06-30", dtype="datetime64[D]")
    south = np.arange("2023-07-01", "2023-12-28", dtype="datetime64[D]")
    air = NORTH[:180] + 5
    one = row.stages(north, air + 6, air - 6)
    other = row.stages(south, air + 6, air - 6, southern=True)
    # Halves of a year differ by three days in how far 1 March lies from their beginning.
    assert abs(int(one.low[-1]) - int(other.low[-1])) == 0
    begun = [int(np.argmax(s.low >= 1)) for s in (one, other)]
    assert abs(begun[0] - begun[1]) <= 3


@pytest.mark.parametrize(
    ("row", "begin"),
    [
        (BLACK_TURFGRASS_ATAENIUS, 100.0),
        (BLUEGRASS_BILLBUG, 280 / 1.8),
        (BILLBUGS_UTAH, 39.0),
        (JAPANESE_BEETLE, 921 / 1.8),
    ],
)
def test_insects_may_begin_at_their_total_by_their_method(row, begin):
    """The running sum is written out here, day by day, from the row's own base and start."""
    found = row.stages(YEAR, NORTH + 6, NORTH - 6)
    after = np.datetime64(f"2023-{row.biofix[0]:02d}-{row.biofix[1]:02d}") <= YEAR
    hours = np.arange(0.5, 480) / 480 * 2 * np.pi
    if row.method == "sine":
        swing = NORTH[:, None] + 6 * np.sin(hours)
        gain = np.clip(swing, row.base_c, row.upper_c).mean(axis=1) - row.base_c
    else:
        gain = np.maximum(NORTH - row.base_c, 0)
    first = int(np.argmax(np.cumsum(gain * after) >= begin))
    assert first and int(np.argmax(after & (found.low >= 1))) == first


def test_no_total_no_stage():
    for row in (MASKED_CHAFERS, JAPANESE_BEETLE_MINNESOTA):
        assert (row.stages(YEAR, NORTH + 6, NORTH - 6).known == Stage.UNKNOWN).all()


def test_remembered_totals_are_marked():
    over = BLUEGRASS_BILLBUG.table.over
    assert over is not None and over.trust is Trust.MEMORY
    begin = JAPANESE_BEETLE.table.may_begin
    assert begin is not None and begin.trust is Trust.SECOND_HAND


def test_soil_out_of_range_is_named():
    with pytest.raises(ValueError, match="soil_c must lie between -90 and 60 C"):
        CRABGRASS_SOIL.stages(YEAR[:1], [80.0])

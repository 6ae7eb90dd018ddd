"""Cycles that soak in: a computed case, and what must hold of every parting and timetable."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.site.words import SOILS
from advisor.turf.cycles import (
    INTAKE,
    Cycles,
    cycles,
    finished,
    in_whole_minutes,
    longest_run,
    surface_limits,
)

INCH = 25.4
rates = st.floats(1, 100)
soils = st.sampled_from(sorted(INTAKE))


def test_a_computed_case() -> None:
    """1.6 in/h on a soil that takes 0.5 in/h and lets 0.15 in stand; 0.6 in wanted: 8.18 minutes at
    most, 3 runs of 7.5, at least 18 apart (a regression value)."""
    limits = 0.5 * INCH, 0.15 * INCH
    assert longest_run(1.6 * INCH, *limits) == pytest.approx(8.18, abs=0.005)
    found = cycles(0.6 / 1.6 * 60, 1.6 * INCH, *limits)
    assert (found.runs, found.run_minutes, found.soak_minutes) == pytest.approx((3, 7.5, 18))
    assert found.whole == pytest.approx(3 * 7.5 + 2 * 18)


def test_a_soil_that_keeps_up_wants_one_run() -> None:
    assert cycles(90, 10, 12, 5) == Cycles(1, 90, 0)


def test_exactly_so_many_runs_are_not_one_more() -> None:
    longest = longest_run(40, 10, 5)
    assert cycles(3 * longest, 40, 10, 5).runs == 3


def test_every_soil_has_its_limits_and_none_is_above_what_was_read() -> None:
    """The FAO manual's least for each texture, mm/h, except where the table is for another."""
    least = {"sand": 30, "sandy-loam": 20, "loam": 10, "clay-loam": 10, "clay": 5}
    assert set(INTAKE) == set(SOILS)
    for soil, most in least.items():
        assert INTAKE[soil][0] <= most


@given(soils, st.floats(0, 0.4), st.floats(0, 0.4))
def test_a_steeper_slope_never_lengthens_a_run(soil: str, one: float, other: float) -> None:
    flat, steep = sorted((one, other))
    level, sloping = surface_limits(soil, flat), surface_limits(soil, steep)
    assert longest_run(30, *sloping) <= longest_run(30, *level)


@given(st.floats(1, 600), rates, soils, st.sampled_from([0.0, 0.05, 0.2]))
def test_no_run_fills_the_surface_and_all_is_given(
    minutes: float, rate: float, soil: str, slope: float
) -> None:
    intake, surface = surface_limits(soil, slope)
    found = cycles(minutes, rate, intake, surface)
    standing = (rate - intake) * found.run_minutes / 60
    assert standing <= surface + 1e-6
    assert found.minutes == pytest.approx(minutes)
    # One run fewer would overfill it.
    if found.runs > 1:
        assert (rate - intake) * minutes / (found.runs - 1) / 60 > surface - 1e-6
        assert found.soak_minutes * intake / 60 >= standing - 1e-6


@given(st.floats(1, 600), rates, soils)
def test_whole_minutes_are_no_longer_than_a_run_may_be(
    minutes: float, rate: float, soil: str
) -> None:
    limits = surface_limits(soil)
    longest = longest_run(rate, *limits)
    asked = cycles(minutes, rate, *limits)
    whole = in_whole_minutes(asked, longest)
    assert whole.run_minutes <= max(1.0, longest)
    assert abs(whole.run_minutes - asked.run_minutes) <= 1
    assert whole.soak_minutes >= asked.soak_minutes - 1e-6


zone = st.builds(Cycles, st.integers(1, 6), st.integers(1, 40).map(float), st.just(30.0))


@given(st.lists(zone, max_size=5))
def test_zones_rest_in_each_others_runs(zones: list[Cycles]) -> None:
    """Never sooner than one alone, never later than one after another."""
    done = finished(zones)
    assert done >= max((one.whole for one in zones), default=0) - 1e-9
    assert done >= sum(one.minutes for one in zones) - 1e-9
    assert done <= sum(one.whole for one in zones) + 1e-9


def test_two_zones_interlock() -> None:
    """Two of 3 x 20 with pauses of 20: one runs while the other soaks."""
    assert finished([Cycles(3, 20, 20), Cycles(3, 20, 20)]) == 120


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: cycles(0, 10, 10, 5),
        lambda: cycles(10, math.inf, 10, 5),
        lambda: cycles(10, 10, 0, 5),
        lambda: surface_limits("loam", -0.1),
    ],
)
def test_what_cannot_be_is_refused(wrong) -> None:
    with pytest.raises(ValueError, match="must be"):
        wrong()

"""A likely date with its interval: ranks, rounding outwards, years in which it did not come."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats.mstats import mquantiles

from advisor.plan.spread import ENOUGH, HELD, spread

days = st.lists(st.integers(0, 460).map(float), min_size=1, max_size=60)


@given(days)
def test_it_is_the_quantile_of_a_new_year(found: list[float]) -> None:
    """SciPy's `mquantiles` with Weibull's plotting positions (alphap = betap = 0)."""
    early, middle, late = mquantiles(found, [0.1, 0.5, 0.9], alphap=0, betap=0)
    made = spread(np.array(found))
    assert made.earliest == math.floor(early + 1e-9)
    assert made.latest == math.ceil(late - 1e-9)
    assert abs(made.likely - middle) <= 0.5
    assert made.earliest <= made.likely <= made.latest


@given(days)
def test_the_order_of_the_years_is_nothing(found: list[float]) -> None:
    assert spread(np.array(found)) == spread(np.array(sorted(found)))


@pytest.mark.parametrize("years", range(2, ENOUGH))
def test_few_years_give_their_whole_range_and_say_what_it_holds(years: int) -> None:
    """A new one is as likely to lie in any of n + 1 gaps, and n - 1 of them are inside."""
    made = spread(np.arange(years, dtype=np.float64))
    assert (made.earliest, made.latest) == (0, years - 1)
    assert made.holds == (years - 1) / (years + 1) < HELD


def test_years_in_which_it_did_not_come_are_counted_and_unknown_ones_are_not() -> None:
    made = spread(np.array([3.0, np.inf, 5.0, np.nan, np.inf, np.inf]))
    assert (made.came, made.years, made.likely, made.seldom) == (2, 5, 4, True)


def test_nothing_comes_of_nothing() -> None:
    made = spread(np.array([np.inf, np.nan]))
    assert (made.came, made.years, made.holds) == (0, 1, 0)
    assert math.isnan(made.likely)


@pytest.mark.parametrize("years", [9, 10, 20, 36])
def test_a_new_year_lies_inside_as_often_as_is_said(years: int) -> None:
    """Ten thousand histories of days drawn alike, each with one more day to foretell."""
    drawn = np.random.default_rng(years).normal(100, 20, (10_000, years + 1))
    inside = 0
    for history in drawn:
        made = spread(history[:-1])
        inside += made.earliest <= history[-1] <= made.latest
    assert HELD - 0.01 < inside / len(drawn) < HELD + 0.04

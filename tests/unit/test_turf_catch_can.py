"""Catch cans: the definitions written plainly, what must hold of any test, what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.turf.catch_can import (
    catch_test,
    christiansen,
    low_share,
    lowest,
    precipitation_rate,
    run_time_multiplier,
)

catches = st.lists(st.floats(0, 500), min_size=4, max_size=60).filter(lambda c: sum(c) > 1e-3)


@pytest.mark.parametrize(
    ("cans", "quarter"), [(4, 1), (5, 1), (6, 2), (7, 2), (10, 2), (14, 4), (15, 4), (46, 12)]
)
def test_the_lowest_quarter_is_the_nearest_whole_number_of_cans(cans: int, quarter: int) -> None:
    """A half goes to the even one; rounding down would give 3 for 15 and 11 for 46."""
    assert lowest(cans, 4) == quarter


def test_rounding_down_would_be_seen() -> None:
    """With three of its fifteen cans the published case would read 40.13 %, not 49.62 %."""
    cans = sorted((47, 42, 45, 24, 13, 26, 33, 34, 27, 30, 40, 44, 32, 12, 12))
    mean = sum(cans) / 15
    assert sum(cans[:3]) / 3 / mean == pytest.approx(0.4013, abs=5e-5)
    assert low_share(cans, 4) > 0.49


def test_equal_cans_are_even() -> None:
    found = catch_test([0.1] * 24, 10, 50)
    assert (found.uniformity, found.low_half, found.multiplier) == (1.0, 1.0, 1.0)
    assert found.christiansen == pytest.approx(1.0)


def test_a_depth_in_the_cans_is_a_depth_on_the_grass() -> None:
    """50 mL in an opening of 50 cm2 is a centimetre; in half an hour that is 20 mm/h."""
    assert precipitation_rate([50.0] * 4, 30, 50.0) == pytest.approx(20.0)


@given(catches)
def test_the_driest_quarter_has_no_more_than_the_drier_half(cans: list[float]) -> None:
    quarter, half = low_share(cans, 4), low_share(cans, 2)
    assert 0 <= quarter <= half + 1e-12 <= 1 + 2e-12
    assert 1 <= run_time_multiplier(quarter) <= 2.5
    assert christiansen(cans) <= 1 + 1e-12


@given(catches, st.floats(0.1, 9))
def test_a_larger_measure_changes_no_share(cans: list[float], times: float) -> None:
    more = [times * can for can in cans]
    assert low_share(more) == pytest.approx(low_share(cans))
    assert precipitation_rate(more, 10, 50) == pytest.approx(
        times * precipitation_rate(cans, 10, 50)
    )


@given(st.floats(0, 1))
def test_the_multiplier_asks_for_no_more_than_what_was_read(share: float) -> None:
    """von Bernuth and Mecham: DULH = 0.386 + 0.614 DULQ; Mecham (2010): 1/DULH is the most."""
    assert run_time_multiplier(share) <= 1 / (0.386 + 0.614 * share) + 1e-12


def test_remarks_say_how_far_to_trust_it() -> None:
    good = catch_test([30.0] * 24, 10, 50, wind_m_s=1.0)
    assert good.remarks == ()
    bad = " ".join(catch_test([1.0, 9, 9, 9, 9], 10, 50, wind_m_s=4.0).remarks)
    for word in ("few", "divisible by four", "as 1 can,", "7 mL", "more wind", "mended"):
        assert word in bad, word
    assert "not stated" in catch_test([30.0] * 24, 10, 50).remarks[0]


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: catch_test([1, 2, 3], 10, 50),
        lambda: catch_test([0, 0, 0, 0], 10, 50),
        lambda: catch_test([1, 2, 3, -1], 10, 50),
        lambda: catch_test([1, 2, 3, math.nan], 10, 50),
        lambda: catch_test([1, 2, 3, math.inf], 10, 50),
        lambda: catch_test([1, 2, 3, 4], 0, 50),
        lambda: catch_test([1, 2, 3, 4], 10, -1),
        lambda: run_time_multiplier(1.01),
    ],
)
def test_what_cannot_be_is_refused(wrong) -> None:
    with pytest.raises(ValueError, match=r"must|wanted|empty"):
        wrong()

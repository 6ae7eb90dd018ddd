"""Growth potential, the leaf's height and the year's nitrogen: regression and bounds."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.site.words import COOL, WARM
from advisor.turf.grasses import turfgrass
from advisor.turf.growth import (
    PEAK_MM_D,
    days_to_mow,
    growth_potential,
    growth_year,
    height_since_mowing,
    nitrogen_by_growth,
)

MEANS = 12 - 12 * np.cos((np.arange(365) - 20) / 365 * 2 * np.pi)


def test_growth_potential_stays_as_it_is():
    """Regression: computed from the curve, not read in print."""
    cool = growth_potential([0, 5, 10, 12, 15, 18, 20, 25, 28, 30, 35], COOL)
    expected = [0.001, 0.024, 0.191, 0.347, 0.662, 0.936, 1, 0.662, 0.347, 0.191, 0.024]
    np.testing.assert_allclose(cool, expected, atol=0.0006)
    warm = growth_potential([10, 15, 18, 20, 22, 25, 28, 30, 31], WARM)
    expected = [0.011, 0.073, 0.178, 0.291, 0.438, 0.693, 0.912, 0.990, 1]
    np.testing.assert_allclose(warm, expected, atol=0.0006)


def test_heat_does_not_slow_warm_season_grass_but_does_slow_cool_season_grass():
    assert growth_potential(40, WARM) == 1
    assert growth_potential(35, COOL) < 0.1


@given(st.floats(-90, 60), st.sampled_from([COOL, WARM]))
@settings(max_examples=50, deadline=None)
def test_growth_potential_is_a_share(mean, grass):
    assert 0 <= growth_potential(mean, grass) <= 1


def test_another_optimum_moves_the_curve_and_keeps_its_width():
    at = turfgrass("annual-bluegrass").optimum_c.value
    assert growth_potential(at, COOL, optimum_c=at) == 1
    assert growth_potential(at + 3, COOL, optimum_c=at) == growth_potential(23, COOL)


@given(st.floats(-90, 60), st.floats(0, 30), st.sampled_from([COOL, WARM]))
@settings(max_examples=50, deadline=None)
def test_held_growth_never_falls_with_warmth(mean, warmer, grass):
    more = min(mean + warmer, 60.0)
    assert growth_potential(mean, grass, held=True) <= growth_potential(more, grass, held=True)
    assert growth_potential(mean, grass, held=False) <= growth_potential(mean, grass, held=True)


def test_height_grows_with_growth_potential():
    slow, fast = height_since_mowing(70, [1.0, 0.5, 0.0])
    np.testing.assert_allclose(slow, 70 + np.array([1, 1.5, 1.5]) * 12.7 / 7)
    np.testing.assert_allclose(fast, 70 + np.array([1, 1.5, 1.5]) * 25.4 / 7)
    assert height_since_mowing([[70.0], [30.0]], np.ones(4))[0].shape == (2, 1, 4)
    assert np.isnan(height_since_mowing(np.nan, [1.0])).all()


@given(st.lists(st.floats(0, 1), min_size=1, max_size=20), st.sets(st.integers(0, 19)))
@settings(max_examples=50, deadline=None)
def test_bounds_of_height_hold_the_truth_whatever_days_are_lost(shares, lost):
    slow, fast = height_since_mowing(60, shares)
    known = np.array(shares)
    known[[day for day in lost if day < len(shares)]] = np.nan
    least, most = height_since_mowing(60, known)
    assert (least <= slow + 1e-9).all() and (fast <= most + 1e-9).all()


@given(st.floats(1, 200), st.floats(0.01, 1))
@settings(max_examples=50, deadline=None)
def test_on_the_day_to_mow_a_third_of_the_leaf_is_cut(mown, share):
    soonest, latest = days_to_mow(mown, share)
    for days, rate in ((soonest, PEAK_MM_D[1]), (latest, PEAK_MM_D[0])):
        height = mown + rate * share * days
        assert (height - mown) / height == pytest.approx(1 / 3)


def test_days_to_mow_without_growth_and_unknown():
    soonest, latest = days_to_mow([76.2, 76.2, 0.0, 76.2, np.nan], [1.0, 0.0, 0.0, np.nan, 0.5])
    np.testing.assert_allclose(soonest, [10.5, np.inf, np.inf, np.nan, np.nan])
    np.testing.assert_allclose(latest, [21.0, np.inf, np.inf, np.nan, np.nan])


def test_the_years_growth_adds_up_to_one_and_follows_the_seasons():
    cool, warm = (growth_year(np.tile(MEANS, (5, 1)), grass) for grass in (COOL, WARM))
    for share in (cool, warm):
        assert share[-1] == 1 and (np.diff(share) >= 0).all() and share[0] > 0
    # Cool-season grass has done more of its growth by the end of May.
    assert cool[150] > warm[150]
    # Every month's part is that of its growth potential; written out plainly for 31 days to May 31.
    ring = [np.mean([MEANS[(d + k) % 365] for k in range(-15, 16)]) for d in range(365)]
    parts = growth_potential(ring, COOL)
    assert cool[150] - cool[119] == pytest.approx(parts[120:151].sum() / parts.sum())


def test_a_year_of_growth_needs_five_years_of_every_day():
    years = np.tile(MEANS, (6, 1))
    years[0, 100:130] = np.nan
    np.testing.assert_allclose(growth_year(years, COOL), growth_year(years[1:], COOL))
    years[1, 110] = np.nan
    assert np.isnan(growth_year(years, COOL)).all()
    assert np.isnan(growth_year(years[:4], COOL)).all()


@given(st.integers(0, 364))
@settings(max_examples=20, deadline=None)
def test_a_year_may_begin_on_any_day(first):
    """The ring turned: the same parts, from another day on."""
    share = growth_year(np.tile(MEANS, (5, 1)), COOL)
    turned = growth_year(np.tile(np.roll(MEANS, -first), (5, 1)), COOL)
    parts = np.roll(np.diff(share, prepend=0.0), -first)
    np.testing.assert_allclose(np.diff(turned, prepend=0.0), parts, atol=1e-12)


def test_unknown_days_stay_unknown():
    assert np.isnan(growth_potential([np.nan], WARM)).all()


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: growth_potential(20, "moss"), "grass_class must be cool-season or warm-season"),
        (lambda: growth_potential(200, COOL), "mean_air_c must lie between -90 and 60 C"),
        (lambda: growth_potential(20, COOL, optimum_c=99), "optimum_c must lie between"),
        (lambda: height_since_mowing(70, 1.0), "potential must have an axis of days"),
        (lambda: height_since_mowing(-1, [1.0]), "mown_mm must lie between 0 and 500 mm"),
        (lambda: days_to_mow(70, 2), "potential must lie between 0 and 1, not 2"),
        (lambda: nitrogen_by_growth(1, 99), "most_g_m2 must lie between 0 and 30 g/m2"),
        (lambda: growth_year(MEANS, COOL), "mean_air_c must be years by at least 31 days"),
    ],
)
def test_impossible_numbers_are_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()

"""Growth potential: regression and bounds."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.site.words import COOL, WARM
from advisor.turf.growth import growth_potential


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


def test_unknown_days_stay_unknown():
    assert np.isnan(growth_potential([np.nan], WARM)).all()


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: growth_potential(20, "moss"), "grass_class must be cool-season or warm-season"),
        (lambda: growth_potential(200, COOL), "mean_air_c must lie between -90 and 60 C"),
    ],
)
def test_impossible_numbers_are_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()

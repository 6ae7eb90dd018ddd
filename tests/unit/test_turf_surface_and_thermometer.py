"""The surface under grass, and what readings of a thermometer make of a model's error."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.turf.thermometer import BIAS_SD, READING_SD, believable, correction, reading_of_day
from advisor.turf.turf_surface import surface_under_grass

NAN = np.nan
LOAM = 0.5e-6


def test_bare_ground_stays_as_it_is():
    """Regression: Parton's formula by hand for 25 and 10 C and 20 MJ/m2 without plants."""
    highest = 25 + (24 * (1 - np.exp(-0.76)) + 8.75) * 0.87
    mean, swing = surface_under_grass(25, 10, 20, biomass_kg_m2=0)
    assert mean == pytest.approx(0.41 * highest + 0.59 * 8.18)
    assert swing == pytest.approx((highest - 8.18) / 2)


def test_grass_shades_and_shelters():
    """The denser the grass, the less the surface swings, down to less than the air."""
    swings = surface_under_grass(25, 10, 20, biomass_kg_m2=[0, 0.1, 0.3, 0.6])[1]
    assert np.all(np.diff(swings) < 0)
    assert swings[-1] < 7.5 < swings[-2]


def test_snow_keeps_a_fifth_of_the_frost_and_never_thaws():
    mean, swing = surface_under_grass([-10, 5], [-20, -5], 8, [True, True])
    assert mean == pytest.approx([0.41 * -2 + 0.59 * -4, 0.59 * -1])
    assert swing == pytest.approx([1.0, 0.5])


air = st.floats(-60, 50)


@given(air, air, st.floats(0, 40), st.booleans(), st.floats(0, 1), st.floats(0, 10))
def test_warmer_air_never_cools_the_surface(one, other, sun, snow, mass, warmer):
    high, low = max(one, other), min(one, other)
    cool, swing = surface_under_grass(high, low, sun, snow, mass)
    warm, _ = surface_under_grass(high + warmer, low + warmer, sun, snow, mass)
    assert np.isfinite(cool) and np.isfinite(swing) and swing >= 0
    assert warm >= cool - 1e-9


def test_unknown_in_unknown_out():
    mean, swing = surface_under_grass(
        [NAN, 20, 20], [10, NAN, 10], [10, 10, NAN], [[False], [True]]
    )
    assert np.isnan(mean).all() and np.isnan(swing).all()


def test_a_reading_at_the_warmest_hour_is_above_its_day():
    """At the surface the swing is taken off whole at 14 h, and put on at 2 h."""
    mean, sd = reading_of_day(20.0, 0.0, [14.0, 2.0, 8.0], 6.0, LOAM)
    assert mean == pytest.approx([14.0, 26.0, 20.0])
    assert sd == pytest.approx(np.full(3, np.hypot(READING_SD, 3.0)))


def test_deep_down_the_hour_does_not_matter():
    mean, sd = reading_of_day(12.0, 1.0, [8.0, 16.0], 9.0, LOAM)
    assert mean == pytest.approx([12.0, 12.0], abs=0.01)
    assert sd == pytest.approx([READING_SD] * 2, abs=0.01)


def test_a_reading_without_an_hour_is_less_sure():
    mean, sd = reading_of_day(20.0, 0.05, NAN, 6.0, LOAM)
    assert mean == 20.0
    assert sd > reading_of_day(20.0, 0.05, 8.0, 6.0, LOAM)[1]


def test_a_single_reading_moves_the_model_part_of_the_way():
    """Normal prior and normal error: 3 C off is shrunk by the share of the variances."""
    add, sd = correction([3.0], [2.0], [5], [5])
    share = BIAS_SD**2 / (BIAS_SD**2 + 4)
    assert add == pytest.approx([3 * share])
    assert sd == pytest.approx([BIAS_SD * np.sqrt(1 - share)])


def test_without_readings_nothing_is_added():
    add, sd = correction([], [], [], np.arange(4))
    assert add.tolist() == [0.0] * 4 and sd.tolist() == [BIAS_SD] * 4


def test_many_readings_far_apart_come_near_the_truth():
    add, sd = correction([2.0] * 40, [2.0] * 40, np.arange(40) * 10, [200])
    assert 1.7 < add[0] < 2.0 and sd[0] < 0.6


def test_two_readings_of_one_day_tell_no_more_than_their_mean():
    two = correction([1.0, 3.0], [2.0, 2.0], [5, 5], [9])
    one = correction([2.0], [2.0], [5], [9])
    assert two[0] == pytest.approx(one[0]) and two[1] == pytest.approx(one[1])


def test_a_reading_fades_with_the_season():
    """Sixty days on it counts half: for one of 2 C, the weight 1/8 beside the prior's."""
    add, sd = correction([3.0], [2.0], [0], [0, 60, 700])
    assert np.all(np.diff(add) < 0) and np.all(np.diff(sd) > 0)
    assert add[1] == pytest.approx(3 * 0.125 / (0.125 + 1 / BIAS_SD**2))
    assert add[2] == pytest.approx(0, abs=0.01)


readings = st.lists(
    st.tuples(st.floats(-8, 8), st.floats(1, 6), st.integers(0, 300)), min_size=1, max_size=8
)


@given(readings, st.integers(0, 400))
def test_the_correction_lies_between_nothing_and_the_readings(found, day):
    off, sd, on = map(np.array, zip(*found, strict=True))
    add, unsure = correction(off, sd, on, [day])
    assert min(0, off.min()) - 1e-9 <= add[0] <= max(0, off.max()) + 1e-9
    assert 0 < unsure[0] <= BIAS_SD
    warmer, _ = correction(off + 1, sd, on, [day])
    assert warmer[0] > add[0] - 1e-12


def test_what_is_far_off_is_not_believed():
    """Three times 2.5 C, which 1.5 and 2 make together."""
    assert believable([7.4, -7.4, 7.6, -7.6, NAN], 2.0).tolist() == [
        True,
        True,
        False,
        False,
        False,
    ]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: surface_under_grass(5, 10, 20), "air_min_c must not exceed air_max_c"),
        (lambda: surface_under_grass(15, 10, -2), "radiation must lie between 0 and 50"),
        (lambda: surface_under_grass(15, 10, 2, False, 7), "biomass_kg_m2 must lie between"),
        (lambda: reading_of_day(500, 0.05, 8, 5, LOAM), "reading_c must lie between"),
        (lambda: reading_of_day(10, 0.05, 25, 5, LOAM), "solar_hour must lie between 0 and 24 h"),
        (lambda: reading_of_day(10, 0.05, 8, -5, LOAM), "amplitude_c must lie between 0"),
        (lambda: correction([NAN], [2.0], [1], [1]), "must be known, not NaN"),
        (lambda: correction([1.0], [0.0], [1], [1]), "sd_c must lie between"),
    ],
)
def test_impossible_numbers_are_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()

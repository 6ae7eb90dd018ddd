"""Conduction of heat: against numerical diffusion, the analytic wave, and what must always hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import expm
from scipy.special import erfc

from advisor.turf.heat_conduction import damping_depth, periodic_temperature, soil_from_surface

NAN = np.nan
LOAM = 0.5e-6
DAY = 86400.0


def diffused(surface, depth, diffusivity, start):
    """Daily means at a depth by finite differences: cells of 5 mm to 2.5 m, exact in time.

    The state is the ground, the day's surface, and the depth's temperature summed over the day.
    """
    cell, nodes = 0.005, 500
    rate = np.zeros((nodes + 2, nodes + 2))
    inner = np.arange(nodes)
    rate[inner, inner] = -2
    rate[inner[1:], inner[:-1]] = rate[inner[:-1], inner[1:]] = 1
    rate[nodes - 1, nodes - 1] = -1  # nothing flows out below
    rate[0, nodes] = 1
    rate *= diffusivity / cell**2
    rate[nodes + 1, round(depth / cell) - 1] = 1 / DAY
    over_a_day = expm(rate * DAY)
    state = np.full(nodes + 2, start)
    for top in surface:
        state[nodes:] = top, 0.0
        state = over_a_day @ state
        yield state[nodes + 1]


@pytest.mark.parametrize("depth", [0.05, 0.10, 0.30])
@pytest.mark.parametrize("diffusivity", [0.42e-6, 0.85e-6])
def test_a_random_surface_equals_numerical_diffusion(depth, diffusivity):
    """Within 0.02 C, over 40 days that differ by 4 C (one standard deviation) from each other."""
    steady = np.full(360, 12.0)
    surface = 12 + np.random.default_rng(7).normal(0, 4, 40)
    surface -= surface.mean() - 12  # a year's mean of 12 stands for what is older than it
    ours = soil_from_surface(np.concatenate([steady, surface]), depth, diffusivity)[360:]
    np.testing.assert_allclose(ours, list(diffused(surface, depth, diffusivity, 12.0)), atol=0.02)


@pytest.mark.parametrize("depth", [0.02, 0.10, 0.30])
def test_a_step_rises_by_the_error_function(depth):
    """A surface that steps up for ever warms the depth as erfc does, here by scipy's, averaged
    over each day by the midpoints of 2,000 parts of it."""
    surface = np.concatenate([np.zeros(364), np.ones(1)])
    day = (np.arange(2000) + 0.5) / 2000 * DAY
    first = erfc(depth / (2 * np.sqrt(LOAM * day))).mean()
    # What is older than a year has the year's mean, 1/365.
    older = erfc(depth / (2 * np.sqrt(LOAM * (day + 364 * DAY)))).mean()
    found = soil_from_surface(surface, depth, LOAM)[-1]
    assert found == pytest.approx(first + (1 - older) / 365, abs=1e-5)


@pytest.mark.parametrize("depth", [0.05, 0.30])
@pytest.mark.parametrize("period", [30.0, 365.0])
def test_a_wave_of_the_surface_is_the_analytic_one(depth, period):
    """Three years of a wave of 12 C: within 0.1 C, for a day's mean stands for its whole course,
    and the mean of a year for all that is older."""
    middle = np.arange(3 * 365) + 0.5
    wave = [periodic_temperature(middle, z, 10.0, 12.0, 20.0, LOAM, period) for z in (0.0, depth)]
    found = soil_from_surface(wave[0], depth, LOAM)
    np.testing.assert_allclose(found[730:], wave[1][730:], atol=0.1)


def test_amplitude_and_lag_by_damping_depth():
    """At its damping depth a wave is 1/e as high and a radian late; at pi of them, upside down."""
    d = float(damping_depth(LOAM, 1.0))
    hours = np.linspace(0, 1, 2400, endpoint=False)
    wave = periodic_temperature(hours, d, 0.0, 1.0, 0.0, LOAM, 1.0)
    assert wave.min() == pytest.approx(-np.exp(-1), rel=1e-4)
    assert hours[wave.argmin()] == pytest.approx(1 / (2 * np.pi), abs=5e-4)
    deep = periodic_temperature(0.0, np.pi * d, 0.0, 1.0, 0.0, LOAM, 1.0)
    assert deep == pytest.approx(np.exp(-np.pi))


@given(st.floats(-40, 45), st.floats(0, 2), st.integers(11, 40))
def test_constant_in_constant_out(level, depth, days):
    found = soil_from_surface(np.full(days, level), depth, LOAM)
    assert np.isnan(found[:10]).all()
    assert found[10:] == pytest.approx(np.full(days - 10, level), abs=1e-9)


series = st.lists(st.floats(-40, 45), min_size=11, max_size=60)


@given(series, st.floats(0, 1), st.integers(0, 59), st.floats(0, 20))
def test_a_warmer_past_never_cools(surface, depth, day, warmer):
    air = np.array(surface)
    before = soil_from_surface(air, depth, LOAM)
    air[day % len(air)] += warmer
    assert np.all(soil_from_surface(air, depth, LOAM)[10:] >= before[10:] - 1e-9)


@given(series, st.floats(0, 1))
def test_nothing_finite_makes_unknown_and_all_stays_within(surface, depth):
    found = soil_from_surface(surface, depth, LOAM)[10:]
    assert np.isfinite(found).all()
    assert np.all(found >= min(surface) - 1e-9) and np.all(found <= max(surface) + 1e-9)


@given(series, st.floats(0, 1), st.floats(-40, 45))
def test_the_future_is_not_looked_at(surface, depth, later):
    found = soil_from_surface([*surface, later], depth, LOAM)[:-1]
    np.testing.assert_allclose(found, soil_from_surface(surface, depth, LOAM), atol=1e-9)


def test_at_the_surface_it_is_the_surface():
    air = np.random.default_rng(2).normal(10, 5, 50)
    np.testing.assert_allclose(soil_from_surface(air, 0.0, LOAM)[10:], air[10:], atol=1e-9)


def test_a_little_unknown_is_stood_in_for_and_much_is_not():
    """A day's own weight at 10 cm is over a half: without it nothing is claimed; that of the day
    before is 0.22, and the rest speaks for it."""
    air = np.full(40, 8.0)
    air[30] = NAN
    found = soil_from_surface(air, 0.10, LOAM)
    assert np.isnan(found[30])
    assert found[31:] == pytest.approx(np.full(9, 8.0))
    air[29] = NAN
    assert np.isnan(soil_from_surface(air, 0.10, LOAM)[31])
    assert np.isfinite(soil_from_surface(air, 0.10, LOAM)[32:]).all()


def test_unknown_days_do_not_count_as_settled():
    air = np.full(20, 8.0)
    air[[2, 5]] = NAN
    assert np.isnan(soil_from_surface(air, 0.10, LOAM)[:12]).all()
    assert np.isfinite(soil_from_surface(air, 0.10, LOAM)[12:]).all()


def test_places_run_side_by_side():
    air = np.random.default_rng(3).uniform(0, 25, (2, 3, 40))
    air[1, 2, 20] = NAN
    both = soil_from_surface(air, 0.10, LOAM)
    np.testing.assert_allclose(both[1, 2], soil_from_surface(air[1, 2], 0.10, LOAM), atol=1e-12)
    assert both.shape == air.shape


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: soil_from_surface(5.0, 0.1, LOAM), "must have an axis of days"),
        (lambda: soil_from_surface([200.0], 0.1, LOAM), "surface_c must lie between -120 and 120"),
        (lambda: soil_from_surface([5.0], -0.1, LOAM), "depth_m must lie between 0 and 20 m"),
        (lambda: soil_from_surface([5.0], NAN, LOAM), "depth_m must be known"),
        (lambda: soil_from_surface([5.0], 0.1, 0.5), "diffusivity_m2_s must lie between"),
        (lambda: damping_depth(LOAM, 0), "period_days must lie between"),
        (lambda: periodic_temperature(0, 0, 0, -1, 0, LOAM), "amplitude_c must lie between 0"),
    ],
)
def test_impossible_numbers_are_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()

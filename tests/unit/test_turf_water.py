"""The water balance: it closes, it stays in bounds, it does not make up what is unknown."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.site.words import COOL, SOILS, WARM
from advisor.turf import water
from advisor.turf.soils import AVAILABLE_WATER, CURVE_NUMBERS, HYDROLOGIC_GROUP
from advisor.turf.water import RootZone, balance

LOAM = RootZone(0.25, 0.12, 0.15, 0.5, 61)
depths = st.lists(st.floats(0, 200), min_size=6, max_size=6)


@st.composite
def zones(draw):
    """Any root zone that holds at least a little."""
    wilting = draw(st.floats(0.0, 0.5))
    return RootZone(
        field_capacity=wilting + draw(st.floats(0.02, 0.4)),
        wilting_point=wilting,
        root_depth_m=draw(st.floats(0.02, 2)),
        p_table=draw(st.floats(0.1, 0.8)),
        curve_number=draw(st.floats(30, 99)),
    )


@settings(max_examples=100, deadline=None)
@given(zones(), st.floats(0, 1), depths, depths, depths)
def test_every_drop_is_accounted_for_on_every_day(zone, share, use, rain, irrigation):
    """In = used + run off + drained + put into store; and the store is between empty and full."""
    total = float(zone.total)
    done = balance(
        zone, start_depletion=share * total, water_use=use, rain=rain, irrigation=irrigation
    )
    stored = done.depletion_morning - done.depletion_evening
    out = done.actual_use + done.runoff + done.drainage + stored
    np.testing.assert_allclose(np.add(rain, irrigation), out, atol=1e-9)
    for depletion in (done.depletion_morning, done.depletion_evening):
        assert np.all((depletion >= 0) & (depletion <= total))
    assert np.all((done.actual_use >= 0) & (done.actual_use <= np.array(use) + 1e-12))
    assert np.all((done.stress >= 0) & (done.stress <= 1))
    assert np.all(done.drainage >= 0)
    np.testing.assert_array_equal(done.depletion_morning[1:], done.depletion_evening[:-1])


@settings(max_examples=100, deadline=None)
@given(zones(), st.floats(0, 1), depths, depths, st.integers(0, 5), st.floats(0, 100))
def test_more_water_never_leaves_the_soil_drier(zone, share, use, rain, day, more):
    """Whichever way it comes: a wetter start, irrigation, rain, or a day of less use."""
    start = share * float(zone.total)
    extra = np.zeros(6)
    extra[day] = more
    usual = {"start_depletion": start, "water_use": use, "rain": rain, "irrigation": np.zeros(6)}
    plain = balance(zone, **usual).depletion_evening
    for wetter in (
        {"start_depletion": max(0.0, start - more)},
        {"irrigation": extra},
        {"rain": np.add(rain, extra)},
        {"water_use": np.maximum(np.subtract(use, extra), 0)},
    ):
        assert np.all(balance(zone, **{**usual, **wetter}).depletion_evening <= plain + 1e-9)


def test_a_week_of_lawn_stays_as_it_is():
    """Regression: 6 in of loam under cool-season grass in July, computed from the formulas."""
    use = 0.94 * np.array([5.820, 6.573, 6.735, 3.683, 4.887, 5.628, 6.304])
    zone = RootZone(0.28, 0.13, 0.1524, 0.40, 74)
    done = balance(
        zone, start_depletion=6.0, water_use=use, rain=[0, 0, 3, 22, 0, 0, 0], irrigation=0.0
    )
    readily = [8.713, 8.066, 7.927, 10.551, 9.516, 8.878, 8.298]
    np.testing.assert_allclose(done.readily_available, readily, atol=0.002)
    stress = [1, 0.7698, 0.4442, 0.5541, 1, 1, 0.8911]
    np.testing.assert_allclose(done.stress, stress, atol=0.0005)
    evening = [11.471, 16.228, 16.039, 0.0, 4.593, 9.884, 15.164]
    np.testing.assert_allclose(done.depletion_evening, evening, atol=0.003)
    np.testing.assert_allclose(done.runoff, [0, 0, 0, 0.185, 0, 0, 0], atol=0.001)
    np.testing.assert_allclose(done.drainage, [0, 0, 0, 3.858, 0, 0, 0], atol=0.003)


def test_stress_is_that_of_the_morning_before_the_rain():
    """The stated convention: a soaking day that began dry is still a day of stress."""
    done = balance(LOAM, start_depletion=19.5, water_use=[4.0], rain=[30.0], irrigation=[0.0])
    assert done.stress[0] == 0 and done.actual_use[0] == 0


def test_irrigation_never_runs_off():
    """The same depth as rain on a tight soil does; given by the owner it all goes in."""
    clay = RootZone(0.54, 0.39, 0.15, 0.5, 89)
    fallen = balance(clay, start_depletion=20.0, water_use=[3.0], rain=[40.0], irrigation=[0.0])
    given_ = balance(clay, start_depletion=20.0, water_use=[3.0], rain=[0.0], irrigation=[40.0])
    assert fallen.runoff[0] > 5 and given_.runoff[0] == 0
    assert given_.drainage[0] > fallen.drainage[0]


def test_grass_never_draws_more_than_is_there():
    """Hardly any store, a fierce day: use is cut to what is left."""
    done = balance(
        RootZone(0.25, 0.12, 0.02, 0.8, 61),
        start_depletion=1.0,
        water_use=[30.0],
        rain=[0.0],
        irrigation=[0.0],
    )
    assert done.actual_use[0] == pytest.approx(1.6)
    assert done.depletion_evening[0] == pytest.approx(2.6)


@pytest.mark.parametrize("which", ["water_use", "rain", "irrigation"])
def test_an_unknown_day_makes_all_later_days_unknown(which):
    """Even a flood afterwards does not bring the depletion back: nothing proves that it drained."""
    flows = {
        "water_use": np.full(5, 4.0),
        "rain": np.array([0.0, 0, 0, 500, 0]),
        "irrigation": np.zeros(5),
    }
    flows[which] = flows[which].copy()
    flows[which][1] = np.nan
    done = balance(LOAM, start_depletion=5.0, **flows)
    assert np.isfinite(done.depletion_evening[0]) and np.isfinite(done.depletion_morning[1])
    assert np.isnan(done.depletion_evening[1:]).all()
    assert np.isnan(done.drainage[1:]).all()


def test_an_unknown_start_is_never_guessed():
    done = balance(LOAM, start_depletion=np.nan, water_use=[4.0], rain=[90.0], irrigation=[0.0])
    assert np.isnan(done.depletion_evening).all()
    assert done.runoff[0] > 0, "runoff depends on the rain alone and stays known"


def test_lawns_run_side_by_side():
    """Two lawns with soils of their own give what each gives alone."""
    rng = np.random.default_rng(7)
    use, rain = (
        rng.uniform(0, 7, (2, 30)),
        rng.uniform(0, 30, (2, 30)) * (rng.random((2, 30)) > 0.7),
    )
    both = RootZone(np.array([0.25, 0.31]), np.array([0.12, 0.15]), 0.15, 0.4, np.array([61, 74]))
    done = balance(both, start_depletion=[3.0, 5.0], water_use=use, rain=rain, irrigation=0.0)
    for lawn, zone in enumerate(
        (RootZone(0.25, 0.12, 0.15, 0.4, 61), RootZone(0.31, 0.15, 0.15, 0.4, 74))
    ):
        alone = balance(
            zone,
            start_depletion=[3.0, 5.0][lawn],
            water_use=use[lawn],
            rain=rain[lawn],
            irrigation=0.0,
        )
        for field in ("depletion_evening", "drainage", "runoff", "stress", "readily_available"):
            np.testing.assert_array_equal(getattr(done, field)[lawn], getattr(alone, field))


def test_runoff_stays_as_it_is():
    """Regression: TR-55's equation in inches, computed."""
    inches = np.array([2, 3, 4, 5, 6])
    found = water.runoff(inches * 25.4, np.array([[61], [70], [80]])) / 25.4
    expected = [
        [0.07, 0.37, 0.81, 1.37, 2.01],
        [0.24, 0.71, 1.33, 2.04, 2.81],
        [0.56, 1.25, 2.04, 2.89, 3.78],
    ]
    np.testing.assert_allclose(found, expected, atol=0.006)
    assert np.isnan(water.runoff(np.nan, 70)) and water.runoff(0, 99) == 0


@given(st.floats(0, 500), st.floats(30, 99))
@settings(max_examples=50, deadline=None)
def test_runoff_is_some_of_the_rain(rain, curve_number):
    assert 0 <= water.runoff(rain, curve_number) <= rain


def test_stress_and_p_stay_as_they_are():
    """Regression: computed from the formulas."""
    assert water.total_available(0.25, 0.12, 0.15) == pytest.approx(19.5)
    assert water.stress_coefficient(14, 19.5, 0.5) == pytest.approx(0.5641, abs=0.0001)
    assert water.stress_coefficient([0, 9.75, 19.5, 30], 19.5, 0.5) == pytest.approx([1, 1, 0, 0])
    found = water.depletion_fraction(0.40, [7, 3, 0, 50])
    assert found == pytest.approx([0.32, 0.48, 0.60, 0.10])


def test_every_soil_has_a_store_and_a_curve_number():
    """The tables speak of exactly the soils that a lawn may have, and coarse soil sheds least."""
    assert set(water.AVAILABLE_WATER) == set(SOILS) == set(water.HYDROLOGIC_GROUP)
    for capacity, wilting in water.AVAILABLE_WATER.values():
        assert 0.05 < capacity - wilting < 0.25
    for cover in ("good", "fair", "poor"):
        numbers = [water.CURVE_NUMBERS[group][cover] for group in "ABCD"]
        assert numbers == sorted(numbers)


def test_the_southern_year_is_the_northern_one_half_a_year_later():
    north, south = water.crop_coefficients(COOL), water.crop_coefficients(COOL, southern=True)
    assert north == water.CROP_COEFFICIENTS[COOL] and len(north) == 12
    assert [south[(m + 6) % 12] for m in range(12)] == list(north)
    with pytest.raises(ValueError, match="grass_class must be cool-season or warm-season"):
        water.crop_coefficients("moss")
    assert max(water.crop_coefficients(WARM)) < 1


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: RootZone(0.12, 0.25, 0.15, 0.5, 61), "wp must not exceed fc"),
        (lambda: RootZone(0.25, 0.25, 0.15, 0.5, 61), "field_capacity must lie above"),
        (lambda: RootZone(25, 12, 0.15, 0.5, 61), "fc must lie between 0 and 1, not 25"),
        (lambda: RootZone(0.25, 0.12, 15, 0.5, 61), "root_depth_m must lie between 0.01 and 3 m"),
        (lambda: RootZone(0.25, 0.12, 0.15, 0.9, 61), "table_p must lie between 0.1 and 0.8"),
        (lambda: RootZone(0.25, 0.12, 0.15, 0.5, 100), "curve_number must lie between 30 and 99"),
        (
            lambda: balance(LOAM, start_depletion=30, water_use=[1], rain=[0], irrigation=[0]),
            "start_depletion must not exceed the total available water, as 30 does 19.5",
        ),
        (
            lambda: balance(LOAM, start_depletion=1, water_use=[1], rain=[-1], irrigation=[0]),
            "rain must lie between 0 and 2000 mm, not -1",
        ),
        (
            lambda: balance(LOAM, start_depletion=1, water_use=1, rain=1, irrigation=0),
            "must have an axis of days",
        ),
        (lambda: water.stress_coefficient(1, 0, 0.5), "total must lie between"),
    ],
)
def test_impossible_numbers_are_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()


@settings(max_examples=25)
@given(
    st.integers(0, 2**32 - 1),
    st.sampled_from(sorted(AVAILABLE_WATER)),
    st.floats(0.05, 0.6),
    st.floats(0.0, 1.0),
)
def test_the_balance_of_any_random_year_closes(seed: int, soil: str, roots: float, start: float):
    """365 days of any rain, watering and demand: what came in went out or stayed, to 1e-9 mm."""
    random = np.random.default_rng(seed)
    rain = np.where(random.random(365) < 0.3, random.gamma(0.7, 12.0, 365), 0.0)
    watered = np.where(random.random(365) < 0.1, random.uniform(0.0, 30.0, 365), 0.0)
    demand = random.uniform(0.0, 12.0, 365)
    group = HYDROLOGIC_GROUP[soil]
    zone = RootZone(*AVAILABLE_WATER[soil], roots, 0.4, CURVE_NUMBERS[group]["fair"])
    done = balance(
        zone, start_depletion=start * zone.total, water_use=demand, rain=rain, irrigation=watered
    )
    left = done.depletion_morning - done.depletion_evening
    out = done.actual_use + done.runoff + done.drainage + left
    np.testing.assert_allclose(out, rain + watered, atol=1e-9, rtol=0)
    whole = (rain + watered - done.actual_use - done.runoff - done.drainage).sum()
    assert done.depletion_morning[0] - done.depletion_evening[-1] == pytest.approx(whole, abs=1e-9)
    for name in ("depletion_evening", "actual_use", "stress", "runoff", "drainage"):
        assert np.isfinite(getattr(done, name)).all()
    wetter = balance(
        zone, start_depletion=start * zone.total, water_use=demand, rain=rain + 1.0,
        irrigation=watered,
    )  # fmt: skip
    assert np.all(wetter.depletion_evening <= done.depletion_evening + 1e-9)

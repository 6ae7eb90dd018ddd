"""How nitrogen is released, how salty a fertilizer is, and what may burn."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.site.nitrogen import FORMS, MATERIALS, Slow
from advisor.turf.burn import (
    CEILING,
    HOT_AIR,
    IRON,
    LITTLE,
    ON_LEAVES,
    SALTY,
    SOLUBLE,
    SOURCES,
    TOO_HOT_AIR,
    WARM_AIR,
    Cause,
    Load,
    Risk,
    burn_risk,
)
from advisor.turf.nitrogen_forms import RELEASES, slow_forms, works_at
from advisor.turf.salt import SALTS, salt


def risk(load: Load, cause: Cause, air: float = 20.0, dry: bool = False, cool: bool = True) -> Risk:
    return Risk(int(burn_risk(load, [air], [dry], cool_season=cool)[cause][0]))


@pytest.mark.parametrize(
    ("load", "cause", "air", "cool", "wanted"),
    [
        # Maryland, New Jersey and Florida 2007: 0.7 lb at once; Purdue and Illinois: 1 lb.
        (Load(SOLUBLE, 0), Cause.NITROGEN, 20.0, True, Risk.LOW),
        (Load(1.01 * SOLUBLE, 0), Cause.NITROGEN, 20.0, True, Risk.SOME),
        (Load(CEILING, 0), Cause.NITROGEN, 20.0, True, Risk.SOME),
        (Load(1.01 * CEILING, 0), Cause.NITROGEN, 20.0, True, Risk.HIGH),
        # From memory: at most 0.25 lb above 85 to 90 F, for cool-season grass.
        (Load(LITTLE, 0), Cause.HEAT, 40.0, True, Risk.LOW),
        (Load(2 * LITTLE, 0), Cause.HEAT, WARM_AIR, True, Risk.LOW),
        (Load(2 * LITTLE, 0), Cause.HEAT, WARM_AIR + 0.1, True, Risk.SOME),
        (Load(2 * LITTLE, 0), Cause.HEAT, HOT_AIR + 0.1, True, Risk.HIGH),
        (Load(2 * LITTLE, 0), Cause.HEAT, HOT_AIR + 0.1, False, Risk.LOW),
        (Load(2 * LITTLE, 0), Cause.HEAT, TOO_HOT_AIR + 0.1, False, Risk.SOME),
        # Judgement: the salt of the most quick nitrogen as ammonium sulfate, and twice that.
        (Load(0, SALTY), Cause.SALT, 20.0, True, Risk.LOW),
        (Load(0, 1.1 * SALTY), Cause.SALT, 20.0, True, Risk.SOME),
        (Load(0, 2.1 * SALTY), Cause.SALT, 20.0, True, Risk.HIGH),
        # From memory: what dries on the leaves.
        (Load(2 * LITTLE, 0), Cause.LEAVES, 20.0, True, Risk.LOW),
        (Load(1.1 * LITTLE, 0, sprayed=True), Cause.LEAVES, 20.0, True, Risk.SOME),
        (Load(1.1 * ON_LEAVES, 0, sprayed=True), Cause.LEAVES, 20.0, True, Risk.HIGH),
        (Load(1.1 * ON_LEAVES, 0, on_leaves=True), Cause.LEAVES, 20.0, True, Risk.SOME),
        # Florida: above a few pounds of iron an acre leaves blacken, of a spray only.
        (Load(0, 0, 1.1 * IRON, sprayed=True), Cause.IRON, 20.0, True, Risk.SOME),
        (Load(0, 0, 9 * IRON), Cause.IRON, 20.0, True, Risk.LOW),
    ],
)
def test_each_cause(load: Load, cause: Cause, air: float, cool: bool, wanted: Risk) -> None:
    assert risk(load, cause, air, cool=cool) is wanted


def test_published_rates_of_iron_do_not_blacken() -> None:
    """Arizona: up to 4 oz of ferrous sulfate (20.1 % iron) on 1000 ft2 is 0.245 g/m2 of iron."""
    assert risk(Load(0, 0, 4 * 0.201 * 0.30515, sprayed=True), Cause.IRON) is Risk.LOW


def test_dry_grass_is_told() -> None:
    assert risk(Load(2 * LITTLE, 0), Cause.DROUGHT, dry=True) is Risk.SOME
    assert risk(Load(2 * LITTLE, 0), Cause.DROUGHT) is Risk.LOW


def test_unknown_heat_counts_as_heat() -> None:
    assert risk(Load(2 * LITTLE, 0), Cause.HEAT, float("nan")) is Risk.HIGH


loads = st.builds(
    Load, st.floats(0, 20), st.floats(0, 50), st.floats(0, 2), st.booleans(), st.booleans()
)


@given(loads, st.floats(-20, 45), st.booleans(), st.booleans(), st.floats(1, 3), st.floats(0, 10))
def test_more_never_burns_less(
    load: Load, air: float, dry: bool, cool: bool, times: float, hotter: float
) -> None:
    """More of all that may burn, in hotter air, risks no less."""
    less = burn_risk(load, [air], [dry], cool_season=cool)
    twice = Load(
        load.soluble_g_m2 * times, load.salt_g_m2 * times, load.iron_g_m2 * times,
        load.sprayed, load.on_leaves,
    )  # fmt: skip
    more = burn_risk(twice, [air + hotter], [True], cool_season=cool)
    assert all((more[cause] >= less[cause]).all() for cause in Cause)
    assert set(less) == set(SOURCES) == set(Cause)


def test_an_array_of_days() -> None:
    found = burn_risk(
        Load(2 * LITTLE, 0), np.array([20.0, 31.0, 40.0]), np.zeros(3), cool_season=True
    )
    assert found[Cause.HEAT].tolist() == [0, 1, 2]


def test_salt_of_named_and_of_unnamed_materials() -> None:
    """Index over nutrient, both from memory: 1 of N from urea salts as 1.618 of sodium nitrate."""
    assert salt({"urea": 1.0}, 0, 0, ()) == pytest.approx(75.4 / 46.6)
    assert salt({"not told": 1.0}, 0, 0, {"urea"}) == pytest.approx(75.4 / 46.6)
    # Not told at all: the saltiest of the usual ones.
    assert salt({"not told": 1.0}, 0, 0, ()) == pytest.approx(69.0 / 21.2)
    assert salt({}, 0, 1.0, ()) > salt({}, 0, 1.0, {"potassium-sulfate"})
    assert salt({"ammoniacal": 1.0}, 0, 0, {"urea", "ammonium-sulfate"}) == pytest.approx(69 / 21.2)


@given(
    st.dictionaries(st.sampled_from([*FORMS, "not told"]), st.floats(0, 5), max_size=4),
    st.floats(0, 5), st.floats(0, 5), st.sets(st.sampled_from(MATERIALS), max_size=3),
)  # fmt: skip
def test_salt_grows_with_what_is_brought(
    quick: dict[str, float], phosphate: float, potash: float, made: set[str]
) -> None:
    one = salt(quick, phosphate, potash, made)
    assert one >= 0
    assert salt({form: 2 * g for form, g in quick.items()}, 2 * phosphate, 2 * potash, made) == (
        pytest.approx(2 * one)
    )
    assert salt({**quick, "nitrate": quick.get("nitrate", 0) + 1}, phosphate, potash, made) > one


def test_every_salt_is_a_material_and_every_form_is_released() -> None:
    assert set(SALTS) <= set(MATERIALS)
    general = {"slowly-available", "controlled-release", "water-insoluble"}
    assert set(RELEASES) == set(FORMS) - general
    for release in RELEASES.values():
        assert release.needs.source and release.works_from_c.source and release.weeks.source


@pytest.mark.parametrize(
    ("form", "soil", "works"),
    [
        # Extension: IBDU works in cool soil; methylene urea is very slow in the cold.
        ("ibdu", (4.0, 5.0), True),
        ("methylene-urea", (5.0, 8.0), False),
        ("methylene-urea", (15.0, 16.0), True),
        ("biosolids", (10.0, 16.0), None),
        ("sulfur-coated-urea", (6.0, 7.0), True),
        ("urea", (3.0, 3.0), True),
    ],
)
def test_what_the_soil_releases(form: str, soil: tuple[float, float], works: bool | None) -> None:
    assert works_at(form, soil) is works


def test_slow_forms_are_named_by_the_analysis_or_by_what_it_is_made_of() -> None:
    assert slow_forms({"urea": 0.1, "ibdu": 0.1}, {"methylene-urea"}) == ("ibdu",)
    assert slow_forms({"urea": 0.1, "water-insoluble": 0.1}, {"ibdu", "urea"}) == ("ibdu",)
    assert slow_forms({"slowly-available": 0.1}, ()) == ()
    assert all(FORMS[form].slow is not Slow.NONE for form in slow_forms({}, MATERIALS))

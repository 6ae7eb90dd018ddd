"""Every grass has its row, every value its source, and what is remembered opens nothing."""

from __future__ import annotations

from dataclasses import fields

import pytest

from advisor.site.lawns import Lawn
from advisor.site.words import COOL, GRASSES, WARM
from advisor.turf.grasses import CLASSES, TURFGRASSES, Sourced, Turfgrass, turfgrass

EVERY = [pytest.param(name, id=name) for name in (COOL, WARM, *GRASSES)]


def values(row: Turfgrass) -> dict[str, Sourced[object]]:
    return {field.name: getattr(row, field.name) for field in fields(row)}


def test_every_grass_has_a_row():
    assert list(TURFGRASSES) == list(GRASSES)
    assert list(CLASSES) == [COOL, WARM]


@pytest.mark.parametrize("name", EVERY)
def test_every_value_has_a_source(name: str):
    for field, value in values(turfgrass(name)).items():
        assert len(value.source.strip()) > 4, field


@pytest.mark.parametrize("name", EVERY)
def test_numbers_are_in_order(name: str):
    row = turfgrass(name)
    assert row.dormant_below.value < row.greens_from.value < row.active_from.value
    assert row.heat_until.value < row.heat_above.value
    low, high = row.heights_m.value
    assert 0.005 <= low < row.mown_at_m() < high <= 0.15, "heights in metres"
    assert 0 < row.p_table.value < 1
    assert row.spread_c.value > 0
    if row.days_to_emerge.value is not None:
        soonest, latest = row.days_to_emerge.value
        assert 3 <= soonest < latest <= 60


@pytest.mark.parametrize("name", GRASSES)
def test_what_is_not_its_own_is_its_class_and_says_so(name: str):
    """A value that differs from the class's never calls itself the class's, and the other way."""
    theirs = values(CLASSES[GRASSES[name]])
    for field, value in values(turfgrass(name)).items():
        if value.source.startswith(f"{GRASSES[name]} grass as a class"):
            assert value.value == theirs[field].value, field
        else:
            assert field in ("heights_m", "days_to_emerge") or value.value != theirs[field].value


@pytest.mark.parametrize("name", GRASSES)
def test_what_is_remembered_never_makes_a_grass_active_sooner(name: str):
    """A number from memory may hold a feeding back longer; it may not open it."""
    row, base = turfgrass(name), CLASSES[GRASSES[name]]
    for field in ("dormant_below", "greens_from", "active_from"):
        own = values(row)[field]
        if "from memory" in own.source or "judgement" in own.source:
            assert own.value >= values(base)[field].value, field
    for field in ("heat_above", "heat_until"):
        own = values(row)[field]
        if "from memory" in own.source or "judgement" in own.source:
            assert own.value <= values(base)[field].value, field


def test_no_growth_curve_is_remembered():
    """Growth opens feeding too: its curves are those that were read."""
    for row in TURFGRASSES.values():
        for value in (row.optimum_c, row.spread_c, row.held):
            assert "from memory" not in value.source


def test_the_owner_states_the_mowing_height_or_it_is_mid_range():
    """Tall fescue is mown at 2.5 to 4 in."""
    table = {"name": "front", "grass": "tall-fescue", "area": "4200 ft2", "soil": "loam"}
    row = turfgrass("tall-fescue")
    silent, stated = Lawn(**table), Lawn(**table, mown_at="3 in")
    assert row.mown_at_m(silent.mown_at_m) == pytest.approx(3.25 * 0.0254)
    assert row.mown_at_m(stated.mown_at_m) == pytest.approx(0.0762)
    for wrong in ("4 mm", "151 mm"):
        with pytest.raises(ValueError, match="cannot be right here; write it like 3 in"):
            Lawn(**table, mown_at=wrong)


def test_a_grass_that_is_not_known_is_named():
    with pytest.raises(ValueError, match=r"name must be one of cool-season, .*, not moss"):
        turfgrass("moss")

"""What the grass is doing: each state can be reached, is left late, and is not guessed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.conditions.grass import (
    DORMANT_AFTER,
    RECOVERS_IN,
    limits_of,
    running_mean,
    states,
    warmth,
)
from advisor.conditions.vocabulary import STATES
from advisor.site.words import COOL, WARM

TOTAL = 30.0
LINE = 12.0
WILTED = 25.0
"""Depletion beyond half-way from the stress line (12 mm) to the wilting point (30 mm)."""


def walk(
    grass: str = COOL,
    days: int = 40,
    soil: object = 15.0,
    high: object = 25.0,
    missing: object = 0.0,
    seen: Mapping[int, str] | None = None,
    new: Sequence[int] | None = None,
) -> list[str]:
    """The states by name, `unknown` where there is none."""
    soils, highs, depletion = (
        np.broadcast_to(np.asarray(v, dtype=float), (days,)) for v in (soil, high, missing)
    )
    warm = warmth(limits_of(grass), soils, highs, seen or {})
    codes = states(
        warm, depletion, np.full(days, LINE), TOTAL, seen or {},
        None if new is None else np.array(new, dtype=np.int8),
    )  # fmt: skip
    return [STATES[code] if code >= 0 else "unknown" for code in codes]


def steps(*parts: tuple[int, float]) -> np.ndarray:
    return np.concatenate([np.full(days, value) for days, value in parts])


@pytest.mark.parametrize(
    ("grass_class", "soil", "state"),
    [
        (COOL, 2.0, "winter-dormant"),
        (COOL, 15.0, "active"),
        (WARM, 8.0, "winter-dormant"),
        (WARM, 20.0, "active"),
    ],
)
def test_soil_alone(grass_class: str, soil: float, state: str):
    """Cold soil means dormant, warm soil active; a warm-season grass needs it warmer."""
    assert walk(grass_class, soil=soil)[-1] == state


def test_greening_up_in_spring():
    """Soil that warms from frost to 8 °C greens a cool-season lawn up; at 11 °C it is active."""
    seen = walk(soil=steps((15, 2.0), (15, 8.0), (10, 11.0)))
    assert [seen[14], seen[25], seen[-1]] == ["winter-dormant", "greening-up", "active"]


def test_cooling_is_left_later_than_warming_is_entered():
    """At 8 °C a lawn that was active stays so; one that comes from winter only greens up."""
    falling = walk(soil=steps((20, 15.0), (20, 8.0)))
    rising = walk(soil=steps((20, 2.0), (20, 8.0)))
    assert (falling[-1], rising[-1]) == ("active", "greening-up")


def test_a_grass_that_wakes_later_than_its_class():
    """At 19 °C in spring bermudagrass is active, and centipedegrass only greens up."""
    spring = steps((15, 8.0), (20, 19.0))
    assert walk("bermudagrass", days=35, soil=spring)[-1] == "active"
    assert walk("centipedegrass", days=35, soil=spring)[-1] == "greening-up"


def test_one_mild_day_wakes_nothing():
    """One warm day in winter moves the five-day mean too little."""
    assert set(walk(soil=steps((20, 2.0), (1, 12.0), (19, 2.0)))[5:]) == {"winter-dormant"}


def test_heat_and_its_release():
    """Three days above 90 °F (32.2 °C) stress a cool-season lawn; 87 °F does not yet release it."""
    limits = limits_of(COOL)
    assert (limits.heat_above, limits.heat_until) == (32.2, 29.4)
    seen = walk(high=steps((10, 25.0), (10, 34.0), (10, 30.5), (10, 27.0)))
    assert seen[9] == "active"
    assert seen[14] == "heat-stressed"
    assert seen[29] == "heat-stressed", "between the limits it stays what it was"
    assert seen[-1] == "active"
    assert "heat-stressed" not in walk(high=30.5), "from below, the same highs stress nothing"
    assert set(walk(WARM, soil=25.0, high=steps((10, 25.0), (30, 38.0)))[5:]) == {"active"}


def test_drought_then_dormancy_then_relief():
    """Wilting is drought; two weeks of it dormancy; only water back to the stress line ends it."""
    seen = walk(missing=steps((6, 0.0), (20, WILTED), (4, 15.0), (10, 5.0)))
    assert seen[6] == "drought-stressed"
    assert seen[6 + DORMANT_AFTER - 1] == "drought-stressed"
    assert seen[6 + DORMANT_AFTER] == "summer-dormant"
    assert seen[29] == "summer-dormant", "15 mm missing is still beyond the stress line"
    assert seen[30] == "summer-dormant", "one good morning is no recovery"
    assert seen[30 + RECOVERS_IN - 1] == "active"


def test_thirst_short_of_wilting_is_not_drought():
    """Between the stress line and wilting a lawn that was well stays well."""
    assert walk(missing=15.0)[-1] == "active"


def test_winter_goes_before_drought():
    """Frozen soil is winter, however dry it is."""
    assert walk(soil=2.0, missing=WILTED)[-1] == "winter-dormant"


def test_unknown_soil_is_unknown():
    """Without soil temperature nothing is said of the grass, and not yesterday's state."""
    assert set(walk(soil=np.nan)) == {"unknown"}
    assert walk(soil=steps((20, 15.0), (20, np.nan)))[-1] == "unknown"


def test_unknown_water_is_unknown():
    """Without a water balance a lawn is not called active."""
    assert set(walk(missing=np.nan)[5:]) == {"unknown"}


def test_unknown_heat_is_not_called_active():
    """Without any highs nobody can tell an active cool-season lawn from a heat-stressed one."""
    assert "active" not in walk(high=np.nan)


def test_unknown_highs_end_no_heat():
    """Highs that stop being known do not end the stress that they showed."""
    assert walk(high=steps((20, 34.0), (20, np.nan)))[-1] in ("heat-stressed", "unknown")


def test_grass_that_is_watered_now_and_then_does_not_go_to_sleep():
    """A morning without thirst begins the two weeks anew; it wakes no grass that sleeps already."""
    thirsty = steps((6, 0.0), (10, WILTED), (1, 0.0), (10, WILTED), (1, 0.0), (12, WILTED))
    assert set(walk(missing=thirsty)[6:40]) == {"drought-stressed"}
    asleep = steps((6, 0.0), (20, WILTED), (1, 0.0), (13, WILTED))
    assert set(walk(missing=asleep)[20:40]) == {"summer-dormant"}


def test_what_the_owner_sees_goes_before_the_balance():
    """Wilting seen on a moist lawn is drought; once it is no longer held, the balance speaks."""
    seen = walk(seen=dict.fromkeys(range(10, 17), "wilting"))
    assert seen[9] == "active"
    assert set(seen[10:17]) == {"drought-stressed"}
    assert seen[17 + RECOVERS_IN] == "active"


def test_grass_seen_green_is_not_dormant():
    """A lawn that two dry weeks should have put to sleep, and that is green, is not asleep."""
    green = dict.fromkeys(range(30, 37), "green")
    assert walk(missing=WILTED)[30] == "summer-dormant"
    assert set(walk(missing=WILTED, seen=green)[30:37]) == {"active"}


def test_grass_seen_dormant_sleeps_for_its_season():
    """Brown grass sleeps for the winter over cool soil, and for the summer over warm soil."""
    brown = dict.fromkeys(range(20, 27), "dormant")
    assert walk(soil=steps((40, 8.0)), seen=brown)[20] == "winter-dormant"
    assert walk(soil=22.0, missing=15.0, seen=brown)[20:40] == ["summer-dormant"] * 20


def test_green_blades_over_cold_soil_do_not_grow():
    """Cool-season grass may be green all winter; below 40 °F soil it stays dormant to the rules."""
    green = dict.fromkeys(range(20, 27), "green")
    assert set(walk(soil=3.0, seen=green)) >= {"winter-dormant"}
    assert walk(soil=3.0, seen=green)[26] == "winter-dormant"
    assert walk(soil=steps((15, 2.0), (25, 5.0)))[26] == "winter-dormant"
    assert walk(soil=steps((15, 2.0), (25, 5.0)), seen=green)[26] == "greening-up"


def test_new_grass_goes_before_all_but_winter():
    """New grass is neither active nor stressed for a rule; where it is perhaps new, none can tell.

    The first 30 days bar feeding in ordinances of towns in Florida.
    """
    new = [0] * 10 + [1] * 20 + [-1] * 10
    assert set(walk(new=new)[10:30]) == {"newly-seeded"}
    assert set(walk(new=new)[30:]) == {"unknown"}
    assert walk(new=new)[9] == "active"
    assert walk(soil=2.0, new=new)[20] == "winter-dormant"


@given(
    st.lists(st.one_of(st.just(float("nan")), st.floats(-20, 40)), min_size=1, max_size=30),
    st.integers(1, 9),
)
def test_running_mean_is_that_of_its_days(values: list[float], days: int):
    """Each value is the mean of the known ones in its window, where four in five are known."""
    found = running_mean(np.array(values), days)
    for i in range(len(values)):
        window = [v for v in values[max(0, i - days + 1) : i + 1] if v == v]
        if len(window) >= 0.8 * days:
            assert found[i] == pytest.approx(np.mean(window), abs=1e-9)
        else:
            assert np.isnan(found[i])

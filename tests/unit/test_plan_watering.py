"""Water: on which day, how much, for how long each zone runs, and what the hours have room for."""

from __future__ import annotations

import re
from datetime import date, time, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_cases import (
    TODAY,
    action,
    actions,
    book,
    decide,
    files,
    holds,
    lawn,
    waters,
    weather,
)

from advisor.plan.hours import Stretch
from advisor.plan.model import Action, Plan, Verdict
from advisor.plan.watering import turn_of
from advisor.plan.zone_runs import depth_that_fits, time_taken, zone_runs
from advisor.site.fields import WEEKDAYS
from advisor.site.place import Site

DRY = {-12: 60.0}
"""A soaking rain twelve days ago, and none since."""

DAMP = {-3: 60.0}
"""One three days ago: stress begins some days from now."""


def only_on(*days: int) -> str:
    """Watering allowed on the weekdays that lie so many days from today."""
    names = [f'"{WEEKDAYS[(TODAY + timedelta(day)).weekday()]}"' for day in days]
    return f"[watering]\nweekdays = [{', '.join(names)}]\n"


def first_stress(rain: dict[int, float]) -> int:
    """The day, counted from today, on which the grass would begin to lack water, found by a lawn
    that may not be watered in time: that of its first reason."""
    plan = decide(files(lawn()), book(waters()), weather(rain=rain))
    found = action(plan, "watering")
    assert found.day is not None
    return (found.day - TODAY).days + 1


def water_days(read, rain: dict[int, float]) -> list[int]:
    plan = decide(read, book(waters()), weather(rain=rain))
    return [
        (found.day - TODAY).days
        for found in actions(plan, "watering")
        if found.verdict is Verdict.WATER and found.day is not None
    ]


def test_a_day_before_stress_where_every_day_is_allowed() -> None:
    """The reason names the day on which stress would begin: the one after."""
    found = action(decide(files(lawn()), book(waters()), weather(rain=DAMP)), "watering")
    assert found.day is not None
    assert found.day > TODAY
    after = found.day + timedelta(1)
    assert found.because.startswith("Without water, by ")
    assert f"{after:%b} {after.day}:" in found.because
    assert "the last day to water before that" in " ".join(found.reasons)


def test_the_last_permitted_day_before_stress() -> None:
    """Sprinklers that may run two days before stress and not again until after it run then."""
    stress = first_stress(DAMP)
    assert stress >= 3
    days = water_days(files(lawn(), more=only_on(stress - 2, stress + 2)), DAMP)
    assert days[0] == stress - 2


def test_the_day_itself_where_it_is_permitted() -> None:
    """Water before noon of the day on which stress begins is in time, and less early."""
    stress = first_stress(DAMP)
    assert water_days(files(lawn(), more=only_on(stress - 2, stress)), DAMP)[0] == stress


def test_after_it_where_no_day_before_is_left() -> None:
    assert water_days(files(lawn(), more=only_on(2)), DRY)[0] == 2


def test_rain_that_is_expected_before_then_puts_it_off() -> None:
    stress = first_stress(DAMP)
    assert stress - 1 not in water_days(files(lawn()), {**DAMP, stress - 1: 30.0})


def test_room_is_left_for_rain_that_may_come() -> None:
    """Rain three days off is not relied on, but half of it finds room."""
    plain = action(decide(files(lawn()), book(waters()), weather(rain=DRY)), "watering")
    wet = action(decide(files(lawn()), book(waters()), weather(rain={**DRY, 3: 10.0})), "watering")
    assert plain.day == wet.day
    assert plain.water_mm is not None
    assert wet.water_mm is not None
    assert wet.water_mm == pytest.approx(plain.water_mm - 5.0, abs=0.02)
    assert any("room is left" in reason for reason in wet.reasons)
    assert not any("room is left" in reason for reason in plain.reasons)


def test_rain_of_the_day_and_the_next_is_not_given_twice() -> None:
    plain = action(decide(files(lawn()), book(waters()), weather(rain=DRY)), "watering")
    wet = action(decide(files(lawn()), book(waters()), weather(rain={**DRY, 1: 6.0})), "watering")
    assert plain.water_mm is not None
    assert wet.water_mm is not None
    assert wet.day == plain.day
    assert wet.water_mm == pytest.approx(plain.water_mm - 6.0, abs=0.02)


def test_unknown_rain_neither_asks_nor_forbids() -> None:
    """Where nobody knows what fell, nothing is surely missing; what is still to fall and not known
    does not keep water from a lawn that is surely dry."""
    known = weather(rain=DRY).columns["rain"]
    nothing = decide(files(lawn()), book(waters()), weather(rain=np.full(len(known), np.nan)))
    assert action(nothing, "watering").verdict is Verdict.WAIT
    ahead = known.copy()
    ahead[-24 * 10 :] = np.nan
    dry = decide(files(lawn()), book(waters()), weather(rain=ahead))
    assert action(dry, "watering").verdict is Verdict.WATER


@settings(max_examples=25)
@given(
    st.dictionaries(st.integers(-20, 9), st.floats(0, 40), max_size=6),
    st.sets(st.integers(0, 6), min_size=1),
)
def test_never_more_than_is_missing_and_only_when_allowed(
    rain: dict[int, float], allowed: set[int]
) -> None:
    """On every made-up sky: on permitted days, once a day, no more than the root zone lacks."""
    read = files(lawn(), more=only_on(*allowed))
    plan = decide(read, book(waters()), weather(rain={**DRY, **rain}))
    days = []
    for found in actions(plan, "watering"):
        if found.verdict is not Verdict.WATER:
            continue
        assert found.day is not None
        assert found.water_mm is not None
        assert (found.day - TODAY).days % 7 in {day % 7 for day in allowed}
        # Clay loam holds 160 mm/m: six inches of roots, 24.4 mm.
        assert 0 < found.water_mm <= 24.4
        days.append(found.day)
    assert len(days) == len(set(days))


ZONES = (
    '[[zone]]\nlawn = "front"\nname = "east"\ntitle = "East side"\nrate = "20 mm"\n'
    'uniformity = "65%"\n[[zone]]\nlawn = "front"\nname = "west"\nrate = "5 mm"\n'
)


def watered(more: str, lawn_more: str = "") -> Action:
    read = files(lawn(more=lawn_more), more=more)
    return action(decide(read, book(waters()), weather(rain=DRY)), "watering")


def site(more: str) -> Site:
    found = files(lawn(), more=more).site
    assert found is not None
    return found


def test_each_zone_has_its_minutes_and_runs() -> None:
    """Twelve millimetres at 20 mm/h are 36 minutes, 45.6 with the multiplier of 65 %; clay loam
    takes 5.08 mm/h and lets 6.6 mm stand, so 26.5 minutes at a stretch: two runs of 23."""
    at = site(ZONES)
    east, west = zone_runs(at, at.lawn("front"), 12.0)
    assert east.minutes == pytest.approx(36 * 1.2658, abs=0.01)
    assert (east.cycles.runs, east.cycles.run_minutes, east.cycles.soak_minutes) == (2, 23, 78)
    assert west.minutes == pytest.approx(144)
    assert (west.cycles.runs, west.cycles.run_minutes) == (1, 144)


def test_they_are_told() -> None:
    found = watered(ZONES + '[watering]\nhours = ["00:00-23:00"]\n')
    assert [zone.name for zone in found.zones] == ["east", "west"]
    assert "East side: " in found.water_text
    assert "west: " in found.water_text
    assert " min apart" in found.water_text
    assert found.zones[0].evenness == 0.65
    assert any("west waters was not measured" in reason for reason in found.reasons)


def test_evenness_that_was_not_measured_adds_nothing_and_says_so() -> None:
    found = watered("", 'sprinklers = "4 mm"')
    assert found.water_mm is not None
    (zone,) = found.zones
    assert zone.minutes == pytest.approx(found.water_mm / 4 * 60, abs=0.5)
    assert zone.evenness is None
    assert any("not measured" in reason for reason in found.reasons)


def test_without_a_rate_there_are_no_minutes() -> None:
    found = watered("")
    assert found.zones == ()
    assert "min" not in found.water_text
    assert not found.reasons or "measured" not in " ".join(found.reasons)


def test_too_uneven_a_zone_gets_no_more_than_that_of_40_percent() -> None:
    even = site(ZONES.replace("65%", "40%"))
    poor = site(ZONES.replace("65%", "3%"))
    front = even.lawn("front")
    assert zone_runs(even, front, 10)[0].minutes == zone_runs(poor, front, 10)[0].minutes


def test_no_more_room_is_left_than_half_of_what_is_used_without_stress() -> None:
    """A lawn far past the line is brought well within it, whatever rain may come days later."""
    rain = DRY | dict.fromkeys((4, 5), 40.0)
    (found, *_) = actions(
        decide(files(lawn(), more=only_on(1)), book(waters()), weather(rain=rain)), "watering"
    )
    missing = next(each for each in found.evidence if each.text.startswith("depletion"))
    assert missing.value is not None and missing.limit is not None
    lacks, line = (
        float(re.findall(r"[0-9.]+", text)[0]) for text in (missing.value, missing.limit)
    )
    assert lacks > 1.2 * line
    assert found.water_mm is not None
    assert lacks - found.water_mm / 25.4 <= 0.5 * line + 0.01


def test_what_the_hours_have_no_room_for_is_told_and_left() -> None:
    """An hour at 5 mm/h brings 5 mm, whatever the root zone lacks; the next day brings more."""
    slow = '[[zone]]\nlawn = "front"\nname = "all"\nrate = "5 mm"\n'
    more = slow + '[watering]\nhours = ["06:00-07:30"]\n'
    read = files(lawn(), more=more)
    found = actions(decide(read, book(waters()), weather(rain=DRY)), "watering")
    assert found[0].water_mm is not None
    assert found[0].water_mm <= 7.5
    assert "have room for" in found[0].flag
    assert len(found) >= 2


def test_lawns_take_turns() -> None:
    """One supply: the second lawn begins when the first is done."""
    read = files(
        lawn(more='sprinklers = "12 mm"'), lawn("back", more='sprinklers = "12 mm"'),
        more='[watering]\nhours = ["00:00-23:00"]\n',
    )  # fmt: skip
    plan = decide(read, book(waters()), weather(rain=DRY))
    first, second = sorted(
        (action(plan, "watering", on=name) for name in ("front", "back")),
        key=lambda found: found.start or "",
    )
    assert first.day == second.day
    assert first.start is not None
    assert second.start is not None
    assert second.start > first.start


@pytest.mark.parametrize("early", ["00:00-23:00", "03:00-23:00"])
def test_lawns_with_hours_of_their_own_never_run_at_once(early: str) -> None:
    """A lawn that may begin earlier is done before the other one begins, or waits for its end."""
    read = files(
        lawn(more='sprinklers = "12 mm"'), lawn("back", more='sprinklers = "12 mm"'),
        more=f"[{only_on(2).replace(']', ']]', 1)}" + 'hours = ["00:00-23:00"]\n'
        '[[watering]]\nlawns = ["front"]\nhours = ["04:00-23:00"]\n'
        f'[[watering]]\nlawns = ["back"]\nhours = ["{early}"]\n',
    )  # fmt: skip
    plan = decide(read, book(waters()), weather(rain=DRY))
    assert read.site is not None
    ends = []
    for name in ("front", "back"):
        found = action(plan, "watering", on=name)
        assert found.start is not None
        assert found.water_mm is not None
        hour, minute = map(int, found.start.split(":"))
        took = time_taken(read.site, read.site.lawn(name), found.water_mm)
        ends.append((60 * hour + minute, 60 * hour + minute + took))
    (one, one_over), (other, other_over) = sorted(ends)
    assert one_over <= other
    assert (one, one_over) != (other, other_over)


def test_the_hour_that_clocks_leave_out_waters_nothing() -> None:
    """From 01:00 to 04:00 on the day on which clocks are put forward are two hours, not three."""
    there = site('[watering]\nhours = ["01:00-04:00"]\n')
    there = there.model_copy(
        update={"place": there.place.model_copy(update={"zone": "America/New_York"})}
    )
    hours = Stretch(time(1), time(4))
    assert turn_of(there, date(2025, 3, 9), hours, (), 60) == (time(1), 120)
    assert turn_of(there, date(2025, 3, 8), hours, (), 60) == (time(1), 180)
    assert turn_of(there, date(2025, 11, 2), hours, (), 60) == (time(1), 180)


@given(st.floats(0.5, 60), st.floats(10, 600))
def test_what_fits_fits_and_is_no_more_than_asked(depth: float, minutes: float) -> None:
    at = site(ZONES)
    front = at.lawn("front")
    fits = depth_that_fits(at, front, depth, minutes)
    assert 0 <= fits <= depth
    if fits:
        assert time_taken(at, front, fits) <= minutes


AWAKE = waters().replace("  says", "  and     not grass is winter-dormant / summer-dormant\n  says")
"""Water for grass that is awake, as the shipped rule has it."""

LATE = 6
"""The only permitted day of the week, counted from today."""


def waking(soaked: int, air_c: float, more: str = "", **sky: object) -> Plan:
    """A hot, dry spell after water so many days ago, and one permitted day at its end."""
    on = TODAY + timedelta(soaked)
    read = files(
        lawn(more='cover = "good"\nirrigated = true\nroots = "10 in"'),
        more=only_on(LATE),
        journal=f"journal from 2026-01-01\n{on}  front  watered 60 mm\n",
    )
    air = {"air_temp": air_c, "humidity": 0.4, **sky}
    return decide(read, book(AWAKE, *([more] if more else [])), weather(**air))  # type: ignore[arg-type]


@pytest.mark.parametrize(("soaked", "air_c"), [(-16, 30.0), (-16, 26.0)])
def test_grass_is_not_let_go_dormant_for_want_of_a_permitted_day(soaked: int, air_c: float) -> None:
    """By that day the forecast has it dormant (in 26 C perhaps), so that the rule no longer asks:
    because nobody was allowed to give what it asked for on the days before."""
    plan = waking(soaked, air_c)
    assert plan.lawns[0].state == "drought stressed"
    found = action(plan, "watering")
    assert found.verdict is Verdict.WATER
    assert found.day == TODAY + timedelta(LATE)
    assert found.because == "The root zone is dry."


def test_grass_that_sleeps_today_is_not_woken() -> None:
    plan = waking(-24, 30.0)
    assert plan.lawns[0].state == "summer dormant"
    assert action(plan, "watering").verdict is Verdict.WAIT


def test_what_would_fall_dormant_is_not_watered_in_rain_or_against_a_hold() -> None:
    rainy = waking(-16, 30.0, rain={LATE: 60.0})
    assert action(rainy, "watering").verdict is Verdict.WAIT
    held = waking(-16, 30.0, holds("watering"), humidity={LATE: 0.95})
    assert action(held, "watering").verdict is Verdict.WAIT
    assert action(waking(-16, 30.0, holds("watering")), "watering").verdict is Verdict.WATER


def test_a_day_that_is_not_permitted_is_half_of_an_answer() -> None:
    """The digest says of the next permitted day why it is not watered either, and when that is."""
    found = action(waking(-16, 30.0, rain={LATE: 60.0}), "watering")
    assert "is not one of your watering days" in found.because
    permitted = TODAY + timedelta(LATE)
    assert f"On {permitted:%a %b} {permitted.day} sprinklers may run; that day," in found.because
    assert found.look_again == permitted

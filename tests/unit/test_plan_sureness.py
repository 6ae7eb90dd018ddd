"""How sure an action is: the count by its definition, what it says, and that it never opens."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from functools import cache
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from ensembles import ensemble, wet_members
from hypothesis import given as every
from hypothesis import settings
from hypothesis import strategies as st
from plan_cases import (
    GENEROUS,
    NOW,
    TODAY,
    ZONE,
    action,
    actions,
    book,
    files,
    granules,
    lawn,
    moment,
    opens,
    waters,
    weather,
)
from plan_cases import given as given_from

from advisor.digest.html import render_html
from advisor.digest.text import render_text
from advisor.plan.compose import make_plan
from advisor.plan.model import Plan, Verdict
from advisor.plan.sureness import STALE_AFTER, Need, counted, too_unsure, unsure_rain
from advisor.series.ensemble import Ensemble
from advisor.series.hourly import Series
from advisor.site.load import SiteFiles

SPOILT = granules(more='rain_hold = "0.5 in"')
"""More than 12.7 mm in two days carry it off."""


def decide(
    members: Ensemble | None,
    read: SiteFiles | None = None,
    series: Series | None = None,
    rules: tuple[str, ...] = (),
) -> Plan:
    given = given_from(read or files(shelf=SPOILT), book(*(rules or (opens(),))),
                       series or weather())  # fmt: skip
    return make_plan(replace(given, ensemble=members), NOW)


def sentence(plan: Plan, task: str = "feed") -> str:
    sure = action(plan, task).sure
    return sure.text if sure else ""


# The count


@pytest.mark.parametrize("wet", range(11))
def test_the_count_is_the_members_that_bring_what_is_needed(wet: int) -> None:
    """Of ten members of which so many are wet, the rest leave the day dry."""
    plan = decide(ensemble(wet_members(wet, 0, 4.0, hour=8)), files())
    sure = action(plan).sure
    assert sure is not None
    assert (sure.members, sure.fulfilling, sure.may) == (10, 10 - wet, 10 - wet)
    many = str(10 - wet) if wet < 10 else "None"
    leave = "leaves" if wet == 9 else "leave"
    assert f"{many} of 10 forecasts {leave} Wednesday dry from 07:00 to 12:00." in sure.text


def test_rain_at_other_hours_leaves_the_work_dry() -> None:
    plan = decide(ensemble(wet_members(9, 0, 4.0, hour=15)), files())
    assert sentence(plan).startswith("10 of 10 forecasts leave Wednesday dry")


def test_every_need_counts_together() -> None:
    """A member fulfils an action when it fulfils all of it: five wet by day, three others after."""
    wet = {**wet_members(3, 0, 4.0, hour=9), 5: {(1, 3): 20.0}, 6: {(1, 3): 12.0}}
    plan = decide(ensemble(wet))
    assert sentence(plan).startswith(
        "6 of 10 forecasts leave Wednesday dry from 07:00 to 12:00 and bring at most 0.50 in by the"
        " end of the next day."
    )


def test_dry_hours_of_a_label_begin_after_the_work() -> None:
    shelf = granules(more='dry_hours = "24 hours"')
    wet = {0: {(1, 6): 3.0}, 1: {(1, 13): 3.0}, 2: {(0, 20): 0.4}}
    plan = decide(ensemble(wet), files(shelf=shelf))
    assert sentence(plan).startswith(
        "8 of 10 forecasts leave Wednesday dry from 07:00 to 12:00 and stay dry for 24 hours after"
    )


def test_rain_to_water_in_with_is_counted_where_there_are_no_sprinklers() -> None:
    shelf = granules(more='water_in = "0.25 in"')
    rain = weather(rain={2: 20.0})
    wet = {member: {(2, 5): 8.0} for member in range(7)}
    read = files(lawn(more=f"irrigated = false\n{GENEROUS}"), shelf=shelf)
    plan = decide(ensemble(wet), read, rain)
    assert "7 of 10 forecasts" in sentence(plan)
    assert "water it in with 0.25 in within 7 days" in sentence(plan)


def test_water_that_rain_covers_is_not_wanted() -> None:
    read = files(lawn(more=f'irrigated = true\nsprinklers = "1 in"\n{GENEROUS}'))
    plan = decide(ensemble(wet_members(4, 1, 60.0)), read, weather(rain={-12: 60.0}),
                  (opens(), waters()))  # fmt: skip
    assert action(plan, "watering").verdict is Verdict.WATER
    assert "6 of 10 forecasts bring too little rain to do without this water." in sentence(
        plan, "watering"
    )


@pytest.mark.parametrize(("wet", "verdict"), [(5, Verdict.WATER), (6, Verdict.WAIT)])
def test_water_that_most_forecasts_bring_is_not_given(wet: int, verdict: Verdict) -> None:
    """Nothing that expected rain covers, though the lead forecast alone be dry; nothing is put down
    on the thirsty lawn meanwhile."""
    law = '[watering]\nforbidden = true\nfrom = "05-16"\nto = "05-14"\n'
    read = files(lawn(more=f'irrigated = true\nsprinklers = "1 in"\n{GENEROUS}'), more=law)
    plan = decide(ensemble(wet_members(wet, 3, 60.0)), read, weather(rain={-12: 60.0}),
                  (opens(), waters()))  # fmt: skip
    found = action(plan, "watering")
    assert found.verdict is verdict
    assert action(plan).verdict is Verdict.WAIT or verdict is Verdict.WATER
    if verdict is Verdict.WAIT:
        assert found.because == (
            "Not on Fri May 15: 6 of 10 forecasts bring enough rain by the end of the next day to"
            " do without this water."
        )


def test_what_is_within_a_step_is_a_range() -> None:
    """From 07:00 to 12:00 local is 11 to 16 GMT; by steps of three hours 9 to 18 is touched."""
    members = ensemble({0: {(0, 8): 4.0}, 1: {(0, 12): 4.0}, 2: {(0, 20): 4.0}}, step=3)
    sure = action(decide(members, files())).sure
    assert sure is not None and (sure.fulfilling, sure.may) == (8, 9)
    assert sure.text.startswith("8 to 9 of 10 forecasts")


# What is not known


def test_unknown_hours_of_a_member_are_not_dry() -> None:
    members = ensemble(members=14)
    members.columns["rain"][:4, 8] = np.nan
    sure = action(decide(members, files())).sure
    assert sure is not None and (sure.fulfilling, sure.may, sure.members) == (10, 14, 14)


def test_with_fewer_than_ten_members_known_nothing_is_said() -> None:
    members = ensemble(members=13)
    members.columns["rain"][:4, 8] = np.nan
    sure = action(decide(members, files(), weather(rain_chance=None))).sure
    assert sure is None


def test_without_members_the_chance_alone_is_told() -> None:
    sure = action(decide(None, files(), weather(rain_chance=0.2))).sure
    assert sure is not None and (sure.members, sure.chance) == (None, 0.2)
    assert sure.text == "Chance of rain: at most 20 % in any of those hours."


def test_where_nothing_is_known_nothing_is_said() -> None:
    assert action(decide(None, files(), weather(rain_chance=None))).sure is None


def test_a_stale_ensemble_neither_tells_nor_holds() -> None:
    wet = wet_members(10, 0, 60.0, hour=9)
    old = ensemble(wet, fetched=NOW - STALE_AFTER - timedelta(minutes=1))
    young = ensemble(wet, fetched=NOW - STALE_AFTER)
    assert action(decide(old)).day == TODAY
    sure = action(decide(old)).sure
    assert sure is not None and sure.members is None
    assert action(decide(young)).day != TODAY


# The hold


@pytest.mark.parametrize(("wet", "held"), [(4, False), (5, False), (6, True), (10, True)])
def test_fewer_than_half_spared_holds(wet: int, held: bool) -> None:
    """The lead forecast is dry; rain of the second day would carry it off."""
    plan = decide(ensemble(wet_members(wet, 2, 14.0)))
    days = [one.day for one in actions(plan)]
    assert days == [TODAY]  # that day and the next are spared
    plan = decide(ensemble(wet_members(wet, 1, 14.0)))
    expected = TODAY + timedelta(2 if held else 0)
    assert [one.day for one in actions(plan)] == [expected]


def test_what_is_not_spoilt_by_rain_is_not_held() -> None:
    plan = decide(ensemble(wet_members(10, 0, 60.0)), files())
    assert action(plan).day == TODAY


def test_a_wait_says_so() -> None:
    wet = {member: {(day, 9): 14.0 for day in range(10)} for member in range(7)}
    plan = decide(ensemble(wet))
    told = action(plan)
    assert told.verdict is Verdict.WAIT and told.rule == "unsure-rain"
    assert told.because == (
        "Fewer than half of the ensemble's forecasts keep the rain of that day and the next to"
        " 0.50 in; granules would be carried off."
    )
    assert told.source == "principle of the plan: an ensemble may hold, and never opens"


def test_dry_hours_hold_too() -> None:
    shelf = granules(more='dry_hours = "24 hours"')
    wet = {member: {(1, 20): 1.0} for member in range(6)}
    plan = decide(ensemble(wet), files(shelf=shelf))
    assert action(plan).day == TODAY + timedelta(2)


def test_rain_of_today_that_is_over_holds_nothing() -> None:
    """At six in the morning, what members had for two o'clock is past."""
    assert action(decide(ensemble(wet_members(10, 0, 60.0, hour=2)))).day == TODAY


def test_beyond_the_ensemble_nothing_is_held() -> None:
    zone, days = ZoneInfo(ZONE), [TODAY + timedelta(n) for n in range(-3, 12)]
    members = ensemble({m: {(d, 9): 60.0 for d in range(4)} for m in range(10)}, days=4)
    held = too_unsure(members, days, zone, NOW, 2, 10.0)
    assert np.flatnonzero(held).tolist() == [3, 4, 5]
    assert not too_unsure(None, days, zone, NOW, 2, 10.0).any()


RAINS = st.lists(
    st.tuples(st.integers(0, 10), st.integers(0, 6), st.integers(0, 23), st.floats(0, 30)),
    max_size=12,
)
"""How many of the members rain falls in, on which day, in which hour, and how much [mm]."""


@cache
def plan_alone() -> tuple[SiteFiles, Series, Plan]:
    """A site, its weather, and the plan without an ensemble: the same for every example."""
    read = files(shelf=granules(more='rain_hold = "0.5 in"\ndry_hours = "20 hours"'))
    series = weather(rain={1: 3.0, 4: 20.0}, gust={2: 1.0})
    return read, series, decide(None, read, series)


def rained(rains: list[tuple[int, int, int, float]]) -> dict[int, dict[tuple[int, int], float]]:
    """The rain of each member."""
    wet: dict[int, dict[tuple[int, int], float]] = {}
    for count, day, hour, mm in rains:
        for member in range(count):
            wet.setdefault(member, {})[day, hour] = mm
    return wet


def test_the_property_of_never_opening_sees_holds() -> None:
    """Such members do move the work, and can leave no day for it."""
    read, series, alone = plan_alone()
    day = (action(alone).day or TODAY) - TODAY
    moved = decide(ensemble(rained([(9, day.days, 12, 25.0)])), read, series)
    assert moved.headline.verdict is Verdict.WAIT or action(moved).day != action(alone).day
    held = decide(ensemble(rained([(9, n, 12, 25.0) for n in range(7)])), read, series)
    assert held.headline.verdict is Verdict.WAIT


@settings(max_examples=25)
@every(RAINS, st.sampled_from([1, 3]), st.booleans())
def test_an_ensemble_never_opens(
    rains: list[tuple[int, int, int, float]], step: int, unknown: bool
) -> None:
    """Whatever its members bring, nothing is put down on a day that was not free without it, and
    no amount changes."""
    members = ensemble(rained(rains), step=step)
    if unknown:
        members.columns["rain"][0, ::7] = np.nan
    read, series, alone = plan_alone()
    along = decide(members, read, series)
    site, product = read.site, read.shelf.products[0]
    assert site is not None
    days = [TODAY + timedelta(n) for n in range(10)]
    for restriction in unsure_rain(members, product, site, days, NOW):
        assert restriction.held.dtype == bool and not restriction.unknown.any()
    assert alone.headline.verdict is Verdict.APPLY
    if along.headline.verdict is Verdict.APPLY:
        assert action(along).day >= action(alone).day  # type: ignore[operator]
        assert action(along).dose == action(alone).dose


def test_needs_of_none_and_of_no_ensemble() -> None:
    need = Need(moment(clock="07:00"), moment(clock="09:00"), 1.0)
    assert counted(None, [need], NOW) is None
    assert counted(ensemble(), [], NOW) is None
    found = counted(ensemble(), [need], NOW)
    assert found is not None and (found.members, found.fulfilling, found.may) == (10, 10, 10)


# The digests


def test_both_digests_tell_it_by_the_action() -> None:
    plan = decide(ensemble(wet_members(3, 0, 4.0, hour=9)))
    for told in (" ".join(render_text(plan).split()), " ".join(render_html(plan).split())):
        assert "How sure" in told
        assert "7 of 10 forecasts leave Wednesday dry" in told
    assert plan.model_dump(mode="json", by_alias=True)["lawns"][0]["actions"][0]["sure"] == {
        "text": sentence(plan), "members": 10, "fulfilling": 7, "may": 7, "chance": 0.0,
    }  # fmt: skip


def test_nothing_known_leaves_no_line() -> None:
    plan = decide(None, files(), weather(rain_chance=None))
    assert "How sure" not in render_text(plan) + render_html(plan)


def test_what_the_rain_of_the_day_of_thirst_saves_is_not_given_before_it() -> None:
    """The grass would lack water on a permitted day, and most forecasts bring the rain then: it is
    given neither then nor on the permitted day before."""
    read, damp = files(lawn()), weather(rain={-3: 60.0})
    rules = (waters(),)
    first = action(decide(None, read, damp, rules), "watering").day
    assert first is not None
    stress = (first - TODAY).days + 1
    assert stress >= 3
    names = [f"{TODAY + timedelta(day):%A}".lower() for day in (stress - 2, stress)]
    allowed = files(
        lawn(), more=f'[watering]\nweekdays = ["{names[0]}", "{names[1]}"]\n'
    )  # fmt: skip
    days = [TODAY + timedelta(stress - 2), TODAY + timedelta(stress)]
    dry = [a.day for a in actions(decide(None, allowed, damp, rules), "watering")]
    assert days[1] in dry
    wet = decide(ensemble(wet_members(9, stress, 60.0, hour=1)), allowed, damp, rules)
    told = [a.day for a in actions(wet, "watering") if a.verdict is Verdict.WATER]
    assert not set(days) & set(told)


def test_what_rain_saves_is_told_as_that() -> None:
    """Neither by the hours of the night, nor by bidding to water what is not to be watered."""
    read = files(shelf=SPOILT)
    dry, rules = weather(rain={-12: 60.0}), (waters(), opens())
    rain = {member: {(day, 1): 60.0 for day in range(1, 12)} for member in range(9)}
    wet = decide(ensemble(rain, days=12), read, dry, rules)
    for task in ("watering", "feed"):
        said = action(wet, task)
        told = [said.because, *said.reasons]
        assert any("9 of 10 forecasts bring enough rain" in each for each in told), told
        assert not any("water it first" in each for each in told)

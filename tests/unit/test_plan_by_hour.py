"""Hour rules in the plan: the hours that they leave free, and products held by their kind."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from plan_cases import (
    BARRIER,
    NOW,
    PAST,
    TODAY,
    action,
    actions,
    advice,
    book,
    decide,
    files,
    given,
    granules,
    lawn,
    moment,
    opens,
    weather,
)
from plan_cases import waters as thirst

from advisor.plan.compose import make_plan
from advisor.plan.hour_reasons import runs
from advisor.plan.hours import watering_hours
from advisor.plan.model import Verdict
from advisor.series.hourly import Series

HOURS = (PAST + 10) * 24
NIGHT = moment(clock="02:00")


def by_hour(name: str, low: float, rest: float, *clock: int) -> Series:
    """A column that is `rest`, and `low` in the hours that begin at the given clock hours.

    Instants stand at the ends of hours, and the worse end of an hour counts: so both ends are set.
    """
    values = np.full(HOURS, rest)
    for day in range(PAST + 10):
        for hour in clock:
            values[day * 24 + hour - 1 : day * 24 + hour + 1] = low
    return weather(**{name: values})


def holds_hours(what: str, condition: str, name: str = "gusty", says: str = "It blows.") -> str:
    return (
        f"holds {name} for {what} hour by hour\n  while   {condition}\n  says    {says}\n"
        "  source  made up\n"
    )


def test_the_hours_of_an_action_are_those_that_no_rule_holds():
    """Calm from 13 to 16 alone: the day is not held, its other hours are."""
    series = by_hour("wind", 2.0, 8.0, 13, 14, 15)
    rules = book(opens(), holds_hours("feed", "wind more than 5 m/s"))
    found = action(decide(rules=rules, series=series))
    assert (found.verdict, found.start, found.end) == (Verdict.APPLY, "13:00", "16:00")


def test_a_day_whose_hours_are_all_held_waits_and_says_for_how_long():
    series = by_hour("wind", 2.0, 8.0, 13)
    rules = book(opens(), holds_hours("feed", "wind more than 5 m/s", says="It blows too hard."))
    found = action(decide(rules=rules, series=series))
    assert found.verdict is Verdict.WAIT
    assert found.rule == "gusty"
    assert found.because == (
        "It blows too hard. So it is from 07:00 to 13:00 and from 14:00 to 19:00."
    )


def test_an_hour_that_cannot_be_told_is_held():
    """Ends of hours are unknown until 11: neither they nor the hours that begin there are free."""
    wind = np.full(HOURS, 2.0)
    for day in range(PAST + 10):
        wind[day * 24 : day * 24 + 11] = np.nan
    rules = book(opens(), holds_hours("feed", "wind more than 5 m/s"))
    found = action(decide(rules=rules, series=weather(wind=wind)))
    assert (found.verdict, found.start) == (Verdict.APPLY, "12:00")


def test_a_hold_for_a_kind_of_product_holds_those_products_alone():
    """The liquid is held, so the granules are taken, though they stand later on the shelf."""
    liquid = (
        '[[product]]\nname = "liquid-feed"\nserves = ["feed"]\nform = "liquid"\n'
        'analysis = "10-0-0"\nrate = "10 fl oz/1000 ft2"\ndensity = "10 lb/gal"\n'
    )
    shelf = liquid + granules()
    free = action(decide(files(shelf=shelf), book(opens())))
    assert free.dose is not None and free.dose.product == "liquid-feed"
    rules = book(opens(), holds_hours("spray", "wind less than 50 m/s"))
    held = action(decide(files(shelf=shelf), rules))
    assert held.dose is not None and held.dose.product == "granules"


@pytest.mark.parametrize(
    ("product", "kinds"),
    [
        (granules(), {"granules-to-water-in", "quick-nitrogen", "phosphorus"}),
        (granules(analysis="28-0-6", more='slow_release = "50%"'), {"granules-to-water-in"}),
        (granules(analysis="28-0-6", more='slow_release = "49%"'),
         {"granules-to-water-in", "quick-nitrogen"}),
        (granules(analysis="1-0-6", rate="5 lb/1000 ft2", more='dry_hours = "24 hours"'),
         {"granules-on-the-leaf", "quick-nitrogen"}),
        (granules(analysis="1-0-6", more='dry_hours = "24 hours"\nwater_in = "0.5 in"'),
         {"granules-on-the-leaf", "granules-to-water-in", "quick-nitrogen"}),
        (BARRIER, {"granules-to-water-in"}),
    ],
)  # fmt: skip
def test_what_a_product_is_and_carries(product: str, kinds: set[str]):
    (found,) = files(shelf=product).shelf.products
    assert found.kinds == kinds


def test_an_opening_by_the_hour_gives_a_day_its_hours():
    series = by_hour("air_temp", 15.0, 30.0, 9, 10, 11)
    rules = book(
        "opens cool-hours for feed hour by hour\n  while   air_temp less than 20 C\n"
        "  says    It is {now} now.\n  source  made up\n".replace("{now}", "cool")
    )
    found = action(decide(rules=rules, series=series))
    assert (found.verdict, found.start, found.end) == (Verdict.APPLY, "09:00", "12:00")


def test_watering_keeps_to_the_hours_that_rules_leave_free():
    read = files(
        lawn(more='irrigated = true\nroots = "4 in"'), more='[watering]\nhours = ["04:00-10:00"]\n'
    )
    dry = weather(air_temp=32.0, fetched=NIGHT)
    plain = actions(decide(read, book(thirst()), dry, now=NIGHT), "watering")[0]
    assert (plain.start, plain.end) == ("04:00", "10:00")
    rules = book(thirst(), holds_hours("watering", "sun is down", "dark", "It is dark."))
    kept = actions(decide(read, rules, dry, now=NIGHT), "watering")[0]
    assert (kept.verdict, kept.start, kept.end) == (Verdict.WATER, "07:00", "10:00")


def test_water_is_not_forbidden_by_what_cannot_be_told():
    read = files(lawn(more='irrigated = true\nroots = "4 in"'))
    dry = weather(air_temp=32.0, gust=None, fetched=NIGHT)
    rules = book(thirst(), holds_hours("watering", "gust more than 5 m/s"))
    kept = actions(decide(read, rules, dry, now=NIGHT), "watering")[0]
    assert (kept.verdict, kept.start) == (Verdict.WATER, "04:00")


@pytest.mark.parametrize(
    ("hours", "text"),
    [
        ([7, 8, 9], "from 07:00 to 10:00"),
        ([7, 15, 16], "from 07:00 to 08:00 and from 15:00 to 17:00"),
        ([22, 23], "from 22:00 to 00:00"),
    ],
)
def test_clock_hours_are_told_as_stretches(hours: list[int], text: str):
    assert runs(hours) == text


def test_free_hours_cut_a_permitted_stretch():
    """What is left must be worth starting for: an hour and a half, or the whole of a short one."""
    site = files().site
    assert site is not None
    tomorrow = TODAY.replace(day=TODAY.day + 1)
    assert watering_hours(site, tomorrow, NOW, frozenset({4, 6, 7})).text() == ("06:00", "08:00")
    assert watering_hours(site, tomorrow, NOW, frozenset({4, 6})) is None


def test_where_the_whole_morning_is_held_water_is_given_at_midday():
    site = files().site
    assert site is not None
    noon = frozenset(range(9, 18))
    tomorrow = TODAY.replace(day=TODAY.day + 1)
    assert watering_hours(site, tomorrow, NOW, noon).text() == ("11:00", "15:00")
    assert watering_hours(site, tomorrow, NOW, frozenset(range(7, 18))) is None


def test_a_task_whose_time_it_is_not_is_left_out_of_the_digest():
    rules = book(opens("feed"), opens("iron", at_least=20.0))
    plan = decide(rules=rules)
    assert not actions(plan, "iron")
    assert actions(plan, "feed")
    rules = book(opens("feed"), opens("iron"))
    assert action(decide(rules=rules), "iron").verdict is Verdict.WAIT, "nothing is on the shelf"


def test_a_window_that_hour_rules_leave_no_hours_in_is_flagged():
    """It closes in two days, and all hours of both are held: the same as when days are held."""
    series = weather(gust=[4.0, 4.0, *[1.0] * 8], wind=8.0)
    by_day = book(opens(), holds_hours("feed", "wind more than 5 m/s").replace(" hour by hour", ""))
    by_hours = book(opens(), holds_hours("feed", "wind more than 5 m/s"))
    flags = [action(decide(rules=rules, series=series)).flag for rules in (by_day, by_hours)]
    assert flags[0] == flags[1] != ""


def test_hours_that_were_announced_are_kept_while_they_are_good():
    """The afternoon has become calmer; the morning that was announced is still good."""
    wind = np.full(HOURS, 3.0)
    for day in range(PAST + 10):
        wind[day * 24 + 13 : day * 24 + 18] = 1.0
    day = TODAY + timedelta(2)
    standing = advice(day, issued=TODAY - timedelta(1))
    made = given(files(), book(opens()), weather(wind=wind), [standing])
    assert action(make_plan(made, NOW)).start == "13:00"
    kept = replace(made, announced_hours={standing.id: ("08:00", "11:00")})
    assert (action(make_plan(kept, NOW)).start, action(make_plan(kept, NOW)).end) == (
        "08:00", "11:00"
    )  # fmt: skip


def test_of_announced_hours_the_longest_good_part_is_kept():
    standing = advice(TODAY + timedelta(2), issued=TODAY - timedelta(1))
    rain = {(2, 9): 1.0}
    made = given(files(), book(opens()), weather(rain_at=rain), [standing])
    made = replace(made, announced_hours={standing.id: ("08:00", "13:00")})
    found = action(make_plan(made, NOW))
    assert (found.start, found.end) == ("10:00", "13:00")


def test_a_window_that_may_be_open_for_all_that_is_known_is_told():
    """Not where something that it wants is known to be missing, or nothing was seen."""
    iron = opens("iron").replace("  while", "  while   days since iron at least 400 days\n  and")
    told = actions(decide(rules=book(iron)), "iron")
    assert [one.verdict for one in told] == [Verdict.WAIT]
    assert told[0].because == (
        "Cannot tell whether it is time for iron for colour; not known: days since iron"
        " (at least 132 days; asked for: at least 400 days)."
    )
    assert not actions(decide(rules=book(iron.replace("gust between", "not gust between"))), "iron")
    pale = iron.replace("days since iron at least", "days since pale at most")
    assert not actions(decide(rules=book(pale)), "iron")


def test_what_works_through_the_leaf_is_not_watered_the_day_after():
    iron = (
        '[[product]]\nname = "sprayed-iron"\nserves = ["iron"]\nform = "liquid"\niron = "5%"\n'
        'rate = "4 fl oz/1000 ft2"\ndensity = "10 lb/gal"\n'
    )
    read = files(lawn(more='irrigated = true\nroots = "4 in"'), shelf=iron)
    wet = weather(rain={-1: 30.0}, air_temp=30.0)
    plan = decide(read, book(opens("iron"), thirst()), wet)
    sprayed = action(plan, "iron").day
    watered = {one.day for one in actions(plan, "watering") if one.day}
    assert sprayed is not None
    assert not watered & {sprayed, sprayed + timedelta(1)}


def test_what_cannot_be_told_is_named_by_its_meaning_and_no_rule_is():
    """Of two tests joined by `or`, only the one that is open is named."""
    rule = opens().replace(
        "  while",
        "  while   daylight_hours at least 20 hours or days_to_frost at least 60 days\n  and",
        1,
    )
    told = actions(decide(rules=book(rule)), "feed")
    assert [one.verdict for one in told] == [Verdict.WAIT]
    assert "not known: days until the first frost of autumn" in told[0].because
    assert "time for feeding" in told[0].because
    for word in ("daylight", "sunrise", "open feed", "“"):
        assert word not in told[0].because

"""The second choice: when to do what did not come off, under all holds, and never announced."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from plan_cases import (
    BARRIER,
    GENEROUS,
    TODAY,
    action,
    actions,
    book,
    decide,
    files,
    granules,
    holds,
    lawn,
    moment,
    opens,
    waters,
    weather,
)

from advisor.plan.announced import Sent, announced
from advisor.plan.model import Action, Plan, SecondChoice, Verdict

DRY = {-12: 60.0}
WEEK = 7


def second(found: Action) -> SecondChoice:
    assert found.second is not None
    return found.second


def day(number: int) -> date:
    return TODAY + timedelta(number)


def test_the_words_and_the_numbers_agree():
    """A day and hours for a machine, and the same for people."""
    found = second(action(decide()))
    assert (found.day, found.start, found.end) == (day(1), "07:00", "12:00")
    assert found.text == "Thu May 14, 07:00 to 12:00"


def test_later_that_day():
    """Where no other day is open, the hours after the first ones."""
    found = second(action(decide(rules=book(opens(at_least=10)), series=weather(gust={1: 12.0}))))
    assert (found.day, found.text) == (day(1), "later that day, 12:00 to 17:00")


def test_none_says_so():
    """Where nothing else is left, it says that."""
    site = files(more='[free]\nhours = ["09:00-12:00"]\n')
    plan = decide(site, book(opens(at_least=10)), weather(gust={1: 12.0}))
    found = second(action(plan))
    assert (found.day, found.start) == (None, None)
    assert found.text == ("no other day or hour of this week suits; the next digest looks again")
    assert action(plan).go_line.endswith("; else leave it, since no second choice is left.")


def test_what_waits_has_none():
    """A second choice belongs to something to do."""
    plan = decide(rules=book(opens(), holds()), series=weather(humidity=0.95))
    assert action(plan).verdict is Verdict.WAIT
    assert action(plan).second is None


BAN = '[[ban]]\ntitle = "Closed"\nnutrients = ["nitrogen"]\nfrom = "05-14"\nto = "05-16"\n'


@pytest.mark.parametrize(("more", "shelf", "expected"), [
    ("", "", 1),
    (BAN, "", 4),
    ('[free]\nweekdays = ["wednesday", "sunday"]\n', "", 4),
    (BAN + '[free]\naway = ["2026-05-17"]\n', "", 5),
    ("", 'wind_max = "8 mph"', 3),
])  # fmt: skip
def test_law_label_and_owner_bind_it_too(more: str, shelf: str, expected: int):
    """What may not be done on a day is no second choice for it."""
    windy = {1: 5.0, 2: 5.0}
    plan = decide(files(shelf=granules(more=shelf), more=more), series=weather(wind=windy))
    assert action(plan).day == TODAY
    assert second(action(plan)).day == day(expected)


IRON = (
    granules("iron-feed", "10-0-0", rate="2 lb/1000 ft2", more='iron = "8%"\ninterval = "3 days"')
    .replace('["feed"]', '["iron"]')
)  # fmt: skip


def test_it_leaves_room_for_what_comes_after():
    """Feeding on Wednesday, iron three days on: done on Thursday, the feed would hold the iron."""
    shelf = granules(rate="1 lb/1000 ft2", more='interval = "3 days"') + IRON
    rules = book(
        opens("feed", at_least=6, at_most=13), opens("iron", at_least=10, at_most=30, name="green")
    )
    series = weather(gust={0: 8.0, 1: 8.0, 3: 20.0, 4: 4.0})
    plan = decide(files(shelf=shelf), rules, series)
    assert (action(plan).day, action(plan, "iron").day) == (TODAY, day(3))
    assert second(action(plan)).day == TODAY
    alone = decide(files(shelf=shelf), book(opens("feed", at_least=6, at_most=13)), series)
    assert second(action(alone)).day == day(1)


def test_it_keeps_clear_of_what_came_before():
    """With the iron put down between, the feed's second day lies its interval after that."""
    shelf = granules(rate="1 lb/1000 ft2", more='interval = "2 days"') + IRON.replace("3 d", "2 d")
    rules = book(
        opens("feed", at_least=6, at_most=13), opens("iron", at_least=14, at_most=30, name="green")
    )
    series = weather(gust={0: 8.0, 1: 4.0, 2: 20.0, 3: 8.0, 4: 8.0})
    plan = decide(files(shelf=shelf), rules, series)
    assert (action(plan).day, action(plan, "iron").day) == (TODAY, day(2))
    assert second(action(plan)).day == day(4)


def test_what_comes_after_may_be_held_by_it():
    """A rule that keeps a barrier three days from a feed: a feed on Thursday would hold it."""
    apart = (
        "holds too-close for pre-emergent\n  while days since feed less than 3 days\n"
        "  says Too soon.\n  source made up\n"
    )
    windows = (
        opens("feed", at_least=6, at_most=13), opens("pre-emergent", at_least=14, at_most=30)
    )  # fmt: skip
    series = weather(gust={0: 8.0, 1: 8.0, 3: 20.0, 4: 4.0})
    site = files(
        shelf=granules() + BARRIER,
        journal="journal from 2026-01-01\n2026-01-01 all last feed 2025-06-01\n",
    )
    free, held = (decide(site, book(*windows, rule), series) for rule in ("", apart))
    for plan in (free, held):
        assert (action(plan).day, action(plan, "pre-emergent").day) == (TODAY, day(3))
    assert second(action(free)).day == day(1)
    assert second(action(held)).day == TODAY


def test_the_same_dose_or_none():
    """In the new year there is more nitrogen to give: that is another dose, and another action."""
    eve = date(2026, 12, 30)
    site = files(
        lawn(more=GENEROUS.replace("4 lb", "1 lb")),
        journal="journal from 2026-01-01\n2026-03-01 front applied 8.5 lb of granules\n",
        today=eve,
    )
    warm = weather(today=eve, gust={0: 12.0, 2: 12.0})
    found = action(decide(site, book(opens(at_least=10)), warm, now=moment(eve)))
    assert (found.day, second(found).day) == (eve, eve)
    plenty = files(today=eve)
    found = action(decide(plenty, book(opens(at_least=10)), warm, now=moment(eve)))
    assert second(found).day == date(2027, 1, 1)


def test_the_next_watering_makes_up_for_one():
    """Where the lawn is watered anyway on the next permitted day, that is said."""
    site = files(more='[watering]\nweekdays = ["wednesday", "sunday"]\n')
    found = action(decide(site, book(waters()), weather(rain=DRY)), "watering")
    assert second(found).text == ("no other permitted hours come before the watering of Sun May 17")


def test_water_is_given_once():
    """Where the next watering is planned anyway, that makes up for one that was missed."""
    site = files(more='[watering]\nweekdays = ["wednesday", "saturday", "sunday"]\n')
    plan = decide(site, book(waters()), weather(rain=DRY))
    for found in actions(plan, "watering"):
        others = {a.day for a in actions(plan, "watering")} - {found.day}
        when = second(found).day
        assert when is None or when not in others
        assert when is None or not any(found.day < o <= when for o in others if o and found.day)


def test_water_that_rain_will_bring_is_not_given_second():
    """Rain on the day after: what is missing then is less, and no second choice."""
    dry, soaked = (
        decide(rules=book(waters()), series=weather(rain=DRY | rain)) for rain in ({}, {2: 8.0})
    )
    assert second(action(dry, "watering")).day == day(1)
    assert second(action(soaked, "watering")).day != day(1)


def test_other_permitted_hours():
    """Where the law names a morning and an evening, the evening is left."""
    site = files(more='[watering]\nweekdays = ["wednesday"]\n'
                      'hours = ["04:00-09:00", "19:00-22:00"]\n')  # fmt: skip
    found = action(decide(site, book(waters()), weather(rain=DRY)), "watering")
    assert (found.start, found.end) == ("06:00", "09:00")
    assert second(found).text == "later that day, 19:00 to 22:00"


RATE = GENEROUS + '\nsprinklers = "0.5 in"'
TWO = (lawn(more=RATE), lawn("back", more=RATE))
TWICE = 'hours = ["04:00-09:00", "19:00-23:00"]\n'


@pytest.mark.parametrize(("law", "text"), [
    ("", {"front": "Thu May 14, 04:00 to 08:00", "back": "Thu May 14, 04:50 to 08:00"}),
    ('[watering]\nweekdays = ["wednesday", "saturday"]\n' + TWICE,
     {"front": "later that day, 19:00 to 23:00", "back": "later that day, 19:50 to 23:00"}),
])  # fmt: skip
def test_one_supply_for_all_lawns(law: str, text: dict[str, str]):
    """Two lawns run one after the other, on the first day as on the second."""
    plan = decide(files(*TWO, more=law), book(waters()), weather(rain={-5: 60.0}))
    first = {name: action(plan, "watering", name) for name in text}
    assert (first["front"].day, first["back"].day) == (TODAY, TODAY)
    assert (first["front"].start, first["back"].start) == ("06:00", "06:50")
    assert {name: second(each).text for name, each in first.items()} == text


def test_where_it_would_burn_likelier():
    """The same dose on a warm day burns likelier than today: the milder day after it is taken."""
    quick, rules = granules(analysis="46-0-0", rate="1 lb/1000 ft2"), book(opens(at_least=10))
    found = []
    for celsius in (20.0, 31.0):
        series = weather(
            gust={0: 12.0, 1: 12.0, 2: 12.0}, air_temp={0: 20.0, 1: celsius, 2: 20.0},
            rain={-20: 60.0, -10: 60.0, -3: 60.0, -1: 30.0},
        )  # fmt: skip
        found.append(action(decide(files(shelf=quick), rules, series)))
    assert [each.burn and each.burn.risk for each in found] == ["low", "low"]
    assert [each.day for each in found] == [TODAY, TODAY]
    assert [second(each).day for each in found] == [day(1), day(2)]


def told(plan: Plan) -> Sent:
    return Sent(plan.on, True, tuple(
        (each.name, one.model_dump(mode="json", by_alias=True))
        for each in plan.lawns for one in each.actions if one.verdict is not Verdict.WAIT
    ))  # fmt: skip


def test_only_the_first_choice_is_announced():
    """What counts as advised is the action's own day; its second choice is nowhere."""
    plan = decide(files(), book(opens(), waters()), weather(rain=DRY))
    advised = announced([told(plan)])
    shown = [a for each in plan.lawns for a in each.actions if a.verdict is not Verdict.WAIT]
    assert [(a.task, a.day) for a in advised] == [(a.task, a.day) for a in shown]
    assert all(second(a).day is not None for a in shown)
    assert len(advised) == len(shown)


@settings(max_examples=25, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(
    gusts=st.lists(st.sampled_from([4.0, 8.0, 12.0]), min_size=10, max_size=10),
    humid=st.lists(st.sampled_from([0.6, 0.6, 0.95, float("nan")]), min_size=10, max_size=10),
    away=st.sets(st.integers(0, 9), max_size=5),
    hours=st.sampled_from(["07:00-19:00", "08:00-11:00", "13:00-18:00"]),
)
def test_no_second_choice_passes_a_hold(
    gusts: list[float], humid: list[float], away: set[int], hours: str
):
    """Over random windows, holds and days away: it is open, unheld, free, and comes later."""
    days = ", ".join(f'"{day(n)}"' for n in sorted(away))
    site = files(shelf=granules() + IRON, more=f'[free]\nhours = ["{hours}"]\naway = [{days}]\n')
    rules = book(opens("feed", at_least=6), opens("iron", at_least=10), holds("feed, iron"))
    plan = decide(site, rules, weather(gust=gusts, humidity=humid))
    first, last = hours.split("-")
    for each in plan.lawns[0].actions:
        if each.verdict is Verdict.WAIT:
            continue
        found = second(each)
        assert found.text
        if found.day is None:
            continue
        assert each.day is not None
        assert found.start is not None
        assert found.end is not None
        number = (found.day - TODAY).days
        assert number < WEEK
        assert number not in away
        assert humid[number] == 0.6
        assert gusts[number] >= (6 if each.task == "feed" else 10)
        assert first <= found.start < found.end <= last
        assert found.day > each.day or found.start >= (each.end or "")

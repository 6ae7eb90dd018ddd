"""What a newer plan takes back of what was announced, and what it leaves alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_cases import (
    TODAY,
    ZONE,
    action,
    advice,
    book,
    decide,
    files,
    holds,
    moment,
    opens,
    weather,
    without_weather,
)

from advisor.plan.announced import Sent
from advisor.plan.model import Plan, Verdict
from advisor.plan.recant import ALERTS_AT_MOST, Hours, announced_hours, may_alert, recant
from advisor.site.events import Advised

TUESDAY = TODAY - timedelta(1)
FRIDAY = TODAY + timedelta(2)
HUMID = 0.95
"""What the made-up rule holds at."""


def newer(humid: tuple[int, ...] = (), gusty: tuple[int, ...] = range(10), clock: str = "06:00",  # type: ignore[assignment]
          announced: tuple[Advised, ...] = ()) -> Plan:  # fmt: skip
    """A plan of Wednesday: held on the humid days, open on the gusty ones (0 is today)."""
    series = weather(
        humidity=dict.fromkeys(humid, HUMID), gust={day: 4.0 if day in gusty else 2.0
        for day in range(10)},
    )  # fmt: skip
    return decide(
        files(today=TODAY), book(opens(), holds()), series, announced, now=moment(clock=clock)
    )


def told(day: date) -> Advised:
    return advice(day, issued=TUESDAY)


def test_the_same_on_the_same_day_is_not_taken_back():
    """The announced day is kept though an earlier one is open too; nothing is told."""
    announced = told(FRIDAY)
    plan = newer(announced=(announced,))
    assert action(plan).day == FRIDAY
    assert recant([announced], plan, TODAY) == ()


def test_a_hold_takes_back_with_its_reason():
    """The reason and the day to look again are those of the new plan's wait."""
    announced = told(FRIDAY)
    plan = newer(humid=tuple(range(10)), announced=(announced,))
    assert action(plan).verdict is Verdict.WAIT
    (taken,) = recant([announced], plan, TODAY)
    assert taken.advised is announced
    assert taken.because == "Too humid."
    assert (taken.instead, taken.moved) == (action(plan).look_again, False)
    assert (taken.title, taken.lawn_title) == (action(plan).title, plan.lawns[0].title)


def test_a_window_that_did_not_open_takes_back():
    """What the new plan does not have for want of an open window is taken back as a hold is."""
    announced = told(FRIDAY)
    plan = newer(gusty=())
    (taken,) = recant([announced], plan, TODAY)
    assert taken.because == action(plan).because


def test_another_day_takes_back_and_offers_that_day():
    """Held on the announced day and free later: the later day is offered with its hours."""
    announced = told(FRIDAY)
    plan = newer(humid=(0, 1, 2), announced=(announced,))
    now_on = action(plan)
    assert now_on.day == FRIDAY + timedelta(1)
    (taken,) = recant([announced], plan, TODAY)
    assert (taken.instead, taken.moved) == (now_on.day, True)
    assert (taken.start, taken.end) == (now_on.start, now_on.end)
    assert "Fri May 15 no longer suits" in taken.because


def test_another_dose_on_the_same_day_is_left_alone():
    """What differs in amount alone is no reason for a mail."""
    announced = replace(told(FRIDAY), amount=0.1)
    assert recant([announced], newer(announced=(announced,)), TODAY) == ()


def test_what_was_for_an_earlier_day_is_history():
    plan = newer(humid=tuple(range(10)))
    assert recant([told(TUESDAY)], plan, TODAY) == ()


def test_a_plan_that_cannot_tell_takes_nothing_back():
    """It knows nothing newer than what announced it."""
    plan = without_weather(files(today=TODAY))
    assert recant([told(FRIDAY)], plan, TODAY) == ()


def test_a_task_that_the_plan_does_not_know_is_taken_back():
    """What was announced and has lost its product."""
    announced = advice(FRIDAY, issued=TUESDAY, task="lime")
    (taken,) = recant([announced], newer(), TODAY)
    assert "no longer has it" in taken.because
    assert taken.instead is None


def test_a_lawn_that_is_gone_is_not_spoken_of():
    assert recant([advice(FRIDAY, on="orchard")], newer(), TODAY) == ()


@pytest.mark.parametrize(
    ("clock", "hours", "taken"),
    [
        ("06:59", ("07:00", "12:00"), True),
        ("09:59", ("07:00", "12:00"), True),
        ("10:01", ("07:00", "12:00"), False),  # fewer than two hours are left
        ("13:00", ("07:00", "12:00"), False),
        ("08:59", ("09:00", "11:00"), True),
        ("09:01", ("09:00", "11:00"), False),
        ("06:59", None, True),
        ("07:01", None, False),
        ("06:59", (None, None), True),
    ],
)
def test_today_is_taken_back_while_its_hours_last(
    clock: str, hours: tuple[str | None, str | None] | None, taken: bool
) -> None:
    """As long as a plan could still have chosen them; without known hours, before work begins."""
    announced = told(TODAY)
    plan = newer(humid=tuple(range(10)), clock=clock)
    known: Hours | None = {announced.id: hours} if hours else None
    assert bool(recant([announced], plan, TODAY, known)) is taken


@pytest.mark.parametrize(("clock", "taken"), [("03:59", True), ("04:01", False)])
def test_water_of_today_begins_before_dawn(clock: str, taken: bool) -> None:
    """Without known hours sprinklers may run from four."""
    announced = advice(TODAY, issued=TUESDAY, task="watering", product=None)
    plan = newer(clock=clock)
    assert bool(recant([announced], plan, TODAY)) is taken


def test_hours_come_from_what_was_sent():
    """As `plan.json` has them; what another release wrote oddly is not known."""
    plan = newer()
    told_on = action(plan)
    documents = tuple(
        (lawn.name, one.model_dump(mode="json", by_alias=True))
        for lawn in plan.lawns
        for one in lawn.actions
    )
    assert announced_hours([Sent(plan.on, True, documents)])[told_on.id] == (
        told_on.start,
        told_on.end,
    )
    odd = ("front", {"id": "x", "from": "at dawn", "until": 7})
    assert announced_hours([Sent(plan.on, True, (odd, ("front", {"task": "feed"})))]) == {
        "x": (None, None)
    }


def test_alerts_are_few_and_can_be_switched_off():
    """At most two between two digests, none with the switch off."""
    assert [may_alert(count, True) for count in range(4)] == [True, True, False, False]
    assert ALERTS_AT_MOST == 2
    assert not any(may_alert(count, False) for count in range(4))


@given(
    ahead=st.lists(st.integers(-3, 9), max_size=6),
    humid=st.sets(st.integers(0, 9)),
    hour=st.integers(0, 23),
)
def test_only_what_no_longer_stands_is_taken_back(
    ahead: list[int], humid: set[int], hour: int
) -> None:
    """Whatever was announced: none of it is over, none is still planned for its day, each once."""
    announced = [told(TODAY + timedelta(days)) for days in ahead]
    plan = newer(humid=tuple(humid), clock=f"{hour:02d}:30")
    planned = {(lawn.name, one.task, one.day) for lawn in plan.lawns for one in lawn.actions}
    taken = recant(announced, plan, TODAY)
    keys = [(one.advised.lawn, one.advised.task, one.advised.day) for one in taken]
    assert not set(keys) & planned
    assert len(keys) == len(set(keys))
    assert keys == sorted(keys, key=lambda key: key[2])
    assert all(day > TODAY or (day == TODAY and hour < 7) for _, _, day in keys)
    later = {key for key in ((a.lawn, a.task, a.day) for a in announced) if key[2] > TODAY}
    assert later - planned <= set(keys)


def test_days_are_told_by_the_site_s_clock():
    """An instant in UTC is read by the clock of the site: 10:30 in UTC is 06:30 there."""
    announced = told(TODAY)
    plan = newer(humid=tuple(range(10)), clock="06:30")
    utc = plan.model_copy(update={"decided_at": plan.decided_at.astimezone(ZoneInfo("UTC"))})
    assert isinstance(utc.decided_at, datetime)
    assert utc.decided_at.hour == 10
    assert plan.site.zone == ZONE
    assert recant([announced], utc, TODAY) != ()


@pytest.mark.parametrize(
    ("hours", "moved"),
    [
        (("13:00", "18:00"), True),  # the plan has it from 7 to 12
        (("11:00", "16:00"), True),  # one hour is too short for a job
        (("10:00", "15:00"), False),
        (("07:00", "12:00"), False),
        ((None, None), False),
    ],
)
def test_other_hours_of_the_same_day_take_back_the_ones_announced(
    hours: tuple[str | None, str | None], moved: bool
):
    announced = told(FRIDAY)
    plan = newer(announced=(announced,))
    assert (action(plan).start, action(plan).end) == ("07:00", "12:00")
    taken = recant([announced], plan, TODAY, {announced.id: hours})
    assert [(one.instead, one.moved, one.start, one.end) for one in taken] == (
        [(FRIDAY, True, "07:00", "12:00")] if moved else []
    )
    if taken:
        assert f"{hours[0]} to {hours[1]} no longer suits" in taken[0].because

"""What water a note between two digests tells of, and what it never tells."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_cases import TODAY, advice, book, decide, files, lawn, moment, waters, weather

from advisor.plan.announced import Sent, announced, only_standing
from advisor.plan.model import Action, Plan, Verdict
from advisor.plan.needed import DAYS_OFF, NOTES_AT_MOST, may_tell, needed, note
from advisor.plan.recant import recant
from advisor.site.events import Advised
from advisor.site.words import WATERING

SUNDAY = TODAY + timedelta(4)
"""The next digest; today is a Wednesday."""


def doing(lawn_name: str, day: int, task: str = WATERING, start: str = "04:00") -> Action:
    on = TODAY + timedelta(day)
    return Action(
        id=f"{task}/{lawn_name}/{on}",
        task=task,
        title="Watering",
        verdict=Verdict.WATER if task == WATERING else Verdict.APPLY,
        rule="thirst",
        because="The root zone is dry.",
        day=on,
        start=start,
        end="09:00",
        water_mm=12.0,
        water_text="0.47 in",
    )


@cache
def empty_plan(clock: str) -> Plan:
    return decide(files(lawn(), lawn("back")), now=moment(clock=clock))


def plan_of(*actions: tuple[str, Action], clock: str = "02:00") -> Plan:
    """A plan for two lawns with just these actions."""
    base = empty_plan(clock)
    lawns = tuple(
        one.model_copy(update={"actions": tuple(a for name, a in actions if name == one.name)})
        for one in base.lawns
    )
    return base.model_copy(update={"lawns": lawns})


def told(day: int, on: str = "front", task: str = WATERING) -> Advised:
    return advice(TODAY + timedelta(day), task=task, product=None, on=on, issued=TODAY)


def days_of(plan: Plan, announced_before: Sequence[Advised] = ()) -> list[tuple[str, int]]:
    found = needed(announced_before, plan, TODAY, SUNDAY)
    return [(one.lawn, (one.day - TODAY).days) for one in found]


def test_water_that_nobody_was_told_of_is_told():
    plan = plan_of(("front", doing("front", 1)))
    (one,) = needed((), plan, TODAY, SUNDAY)
    assert (one.lawn, one.lawn_title, one.day) == ("front", "front", TODAY + timedelta(1))
    assert one.action == plan.lawns[0].actions[0]


@pytest.mark.parametrize(("coming", "tells"), [(-1, True), (0, False), (1, False), (2, True)])
def test_a_lawn_whose_water_comes_by_then_is_left_alone(coming: int, tells: bool) -> None:
    """Announced for today or a day up to the plan's; one that is over or comes later is not it."""
    plan = plan_of(("front", doing("front", 1)))
    assert bool(days_of(plan, [told(coming)])) is tells
    assert days_of(plan, [told(coming, "back")]) == [("front", 1)]
    assert days_of(plan, [told(coming, task="feed")]) == [("front", 1)]


def test_only_water_is_told():
    assert days_of(plan_of(("front", doing("front", 1, "feed")))) == []


def test_the_next_digest_tells_its_own_days():
    plan = plan_of(("front", doing("front", 2)))
    assert needed((), plan, TODAY, TODAY + timedelta(2)) == ()
    assert needed((), plan, TODAY, TODAY + timedelta(3)) != ()


def test_no_more_than_two_days_off():
    assert days_of(plan_of(("front", doing("front", 3)))) == []
    assert DAYS_OFF == 2


@pytest.mark.parametrize(("clock", "tells"), [("03:59", True), ("04:00", True), ("04:01", False)])
def test_hours_of_today_that_have_begun_are_not_told(clock: str, tells: bool) -> None:
    assert bool(days_of(plan_of(("front", doing("front", 0)), clock=clock))) is tells


def test_of_two_waterings_the_first_is_told():
    plan = plan_of(("front", doing("front", 2)), ("front", doing("front", 0)),
                   ("back", doing("back", 1)))  # fmt: skip
    assert days_of(plan) == [("front", 0), ("back", 1)]


def test_a_plan_that_cannot_tell_knows_of_no_water():
    plan = plan_of(("front", doing("front", 1))).model_copy(update={"cannot_tell": True})
    assert days_of(plan) == []


def test_one_a_day_and_three_between_digests():
    yesterday = TODAY - timedelta(1)
    assert NOTES_AT_MOST == 3
    assert [may_tell(n, yesterday, TODAY, True) for n in range(5)] == [True] * 3 + [False] * 2
    assert may_tell(0, None, TODAY, True)
    assert not may_tell(1, TODAY, TODAY, True)
    assert not any(may_tell(n, None, TODAY, False) for n in range(4))


waterings = st.lists(
    st.tuples(st.sampled_from(["front", "back"]), st.integers(-2, 9)), unique=True, max_size=5
)


@given(waterings, waterings, st.integers(1, 7))
def test_by_its_definition(
    planned: list[tuple[str, int]], before: list[tuple[str, int]], digest: int
) -> None:
    """For each lawn the first of the plan's waterings that is in reach, unless one was announced
    for today or a day up to it; compared with a plain search, day by day."""
    plan = plan_of(*((name, doing(name, day)) for name, day in planned))
    found = needed(
        [told(day, name) for name, day in before], plan, TODAY, TODAY + timedelta(digest)
    )
    expected = []
    for name in ("front", "back"):
        for day in range(min(DAYS_OFF + 1, digest)):
            if (name, day) in planned:
                if not any((name, other) in before for other in range(day + 1)):
                    expected.append((day, name))
                break
    assert sorted(((one.day - TODAY).days, one.lawn) for one in found) == sorted(expected)
    assert [one.day for one in found] == sorted(one.day for one in found)


@given(waterings, waterings)
def test_what_a_note_told_is_not_told_again_and_stands(
    planned: list[tuple[str, int]], before: list[tuple[str, int]]
) -> None:
    """Stored as it is sent, the note leaves nothing of its water to tell, loses nothing that stood
    and was not taken back, and takes back nothing of its own."""
    plan = plan_of(*((name, doing(name, day)) for name, day in planned))
    digest = Sent(TODAY - timedelta(1), True, tuple(
        (name, doing(name, day).model_dump(mode="json", by_alias=True)) for name, day in before
    ))  # fmt: skip
    advised = announced([digest])
    standing = [one for one in advised if one.day >= TODAY]
    said = note(plan, standing, advised, TODAY, SUNDAY, takes_back=True, waters=True)
    gone = {one.advised.id for one in said.taken}
    new = {one.action.id for one in said.water}
    new |= {f"{WATERING}/{x.advised.lawn}/{x.instead}" for x in said.taken if x.moved}
    kept = only_standing(plan, [digest], {one.id for one in standing} - gone, new)
    sent = Sent(plan.on, True, tuple(
        (one.name, action.model_dump(mode="json", by_alias=True))
        for one in kept.lawns for action in one.actions
    ))  # fmt: skip
    after = announced([digest, sent])
    ids = {one.id for one in after}
    assert new <= ids
    assert {one.id for one in standing} - gone <= ids
    assert ids <= {one.id for one in advised} | new
    again = note(plan, [one for one in after if one.day >= TODAY], after, TODAY, SUNDAY,
                 takes_back=True, waters=True)  # fmt: skip
    assert again.water == ()
    assert not {one.advised.id for one in again.taken} & new


def test_what_stands_in_for_water_taken_back_is_told_in_full():
    """With its amount, and not only with its day."""
    plan = plan_of(("front", doing("front", 2)))
    said = note(
        plan, [told(1)], [told(1)], TODAY, SUNDAY, takes_back=True, waters=True
    )  # fmt: skip
    assert [one.instead for one in said.taken] == [one.day for one in said.water]
    assert len(said.water) == 1


def test_where_nothing_more_may_be_taken_back_replaced_water_is():
    """Else the lawn would be watered on both days. What is put down stays as it was told."""
    plan = plan_of(("front", doing("front", 1)))
    standing = [told(3), told(3, task="feed")]
    assert len(recant(standing, plan, TODAY)) == 2
    said = note(plan, standing, standing, TODAY, SUNDAY, takes_back=False, waters=True)
    assert [one.advised.task for one in said.taken] == [WATERING]
    assert [one.day for one in said.water] == [TODAY + timedelta(1)]
    silent = note(plan, standing, standing, TODAY, SUNDAY, takes_back=False, waters=False)
    assert silent == ((), ())


def test_a_missed_rain_asks_for_water():
    """By the rule that a plan goes by: with the rain there is no need, without it there is."""
    soaked = f"{TODAY - timedelta(12)}  front  watered 2 in\n"
    site = files(
        lawn(more='irrigated = true\nroots = "10 in"'),
        journal=f"journal from 2026-01-01\n{soaked}",
    )
    dry = {"air_temp": 28.0, "humidity": 0.3}
    fell = decide(site, book(waters()), weather(rain=dict.fromkeys(range(-1, 3), 25.0), **dry))
    missed = decide(site, book(waters()), weather(**dry))
    assert needed((), fell, TODAY, SUNDAY) == ()
    (one,) = needed((), missed, TODAY, SUNDAY)
    assert one.action.water_mm


def test_what_stands_is_kept_though_the_plan_has_no_more_of_it():
    """Nobody took it back, so a note about something else does not make it vanish."""
    friday = doing("front", 2)
    digest = Sent(TODAY, True, (("front", friday.model_dump(mode="json", by_alias=True)),))
    kept = only_standing(plan_of(), [digest], {friday.id})
    assert [action.id for action in kept.lawns[0].actions] == [friday.id]
    assert only_standing(plan_of(), [digest], set()).lawns[0].actions == ()


def test_new_water_is_stored_as_the_note_tells_it():
    """Though an older digest had other water for that day, which was taken back since."""
    older = doing("front", 1).model_copy(update={"water_mm": 5.0})
    digest = Sent(TODAY, True, (("front", older.model_dump(mode="json", by_alias=True)),))
    plan = plan_of(("front", doing("front", 1)))
    (action,) = only_standing(plan, [digest], set(), {older.id}).lawns[0].actions
    assert action.water_mm == 12.0
    assert date.fromisoformat(older.id.rsplit("/", 1)[1]) == action.day

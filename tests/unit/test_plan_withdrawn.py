"""What a plan withdraws of earlier mails, so that a calendar can cancel it."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from plan_cases import (
    TODAY,
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

from advisor.plan.model import Plan, Verdict
from advisor.plan.recant import TakenBack
from advisor.plan.withdrawn import only_news
from advisor.site.events import Advised

TUESDAY = TODAY - timedelta(1)
FRIDAY = TODAY + timedelta(2)
SATURDAY = TODAY + timedelta(3)
ALWAYS = tuple(range(10))


def told(day: date) -> Advised:
    """Advice of yesterday's digest."""
    return advice(day, issued=TUESDAY)


def newer(
    announced: Advised, humid: tuple[int, ...] = (), journal: str = "", clock: str = "06:00"
) -> Plan:
    """A plan of Wednesday, held on the humid days (0 is today)."""
    gust = dict.fromkeys(range(10), 4.0)
    series = weather(humidity=dict.fromkeys(humid, 0.95), gust=gust)
    read = files(today=TODAY, journal=journal) if journal else files(today=TODAY)
    return decide(read, book(opens(), holds()), series, (announced,), now=moment(clock=clock))


def ids(plan: Plan) -> list[str]:
    return [one.id for one in plan.withdrawn]


def test_what_is_advised_again_is_not_withdrawn():
    plan = newer(told(FRIDAY))
    assert action(plan).id == told(FRIDAY).id
    assert plan.withdrawn == ()


def test_what_a_hold_takes_is_withdrawn_as_it_was_advised():
    plan = newer(told(FRIDAY), ALWAYS)
    (gone,) = plan.withdrawn
    assert (gone.id, gone.task, gone.day) == (told(FRIDAY).id, "feed", FRIDAY)
    assert (gone.lawn_title, gone.title) == (plan.lawns[0].title, action(plan).title)
    assert Plan.model_validate_json(plan.model_dump_json(by_alias=True)) == plan


def test_what_moves_is_withdrawn_from_its_old_day():
    plan = newer(told(FRIDAY), (0, 1, 2))
    assert action(plan).day == SATURDAY
    assert ids(plan) == [told(FRIDAY).id]


@pytest.mark.parametrize(
    ("line", "withdrawn"),
    [
        ("done feed", False),
        ("applied 5 lb of granules", False),
        ("skipped feed", True),
        ("not yet feed", True),
    ],
)
def test_answers(line: str, withdrawn: bool):
    """Done stays where it stands; what was skipped or put off and is held since is withdrawn."""
    begun = "journal from 2026-01-01\n2026-01-01  all  last feed 2025-09-01\n"
    plan = newer(told(FRIDAY), ALWAYS, f"{begun}{TODAY}  front  {line}\n")
    assert plan.problems == ()
    assert action(plan).verdict is Verdict.WAIT
    assert ids(plan) == ([told(FRIDAY).id] if withdrawn else [])


def test_days_that_are_over_are_history():
    assert ids(newer(told(TUESDAY), ALWAYS)) == []


@pytest.mark.parametrize(("clock", "withdrawn"), [("06:00", True), ("18:30", False)])
def test_today_s_is_withdrawn_while_it_can_still_be_begun(clock: str, withdrawn: bool):
    assert bool(ids(newer(told(TODAY), ALWAYS, clock=clock))) is withdrawn


def test_a_plan_that_cannot_tell_withdraws_nothing():
    assert without_weather(files(today=TODAY), [told(FRIDAY)]).withdrawn == ()


def test_a_note_has_its_news_alone():
    """Of the plan it keeps what it newly advises; what stands is neither told nor withdrawn again,
    and other hours on the same day are no withdrawal."""
    plan = newer(told(FRIDAY))
    stands = action(plan)
    off = TakenBack(told(SATURDAY), "Front", "Feeding", "Too humid.")
    news = only_news(plan, [off], set(), {told(SATURDAY).id: ("09:00", "12:00")})
    assert [a for lawn in news.lawns for a in lawn.actions] == []
    (gone,) = news.withdrawn
    assert (gone.id, gone.start, gone.end) == (told(SATURDAY).id, "09:00", "12:00")
    hours = TakenBack(told(FRIDAY), "Front", "Feeding", "Too humid.", FRIDAY, True)
    moved = only_news(plan, [hours], {stands.id}, {})
    assert [a for lawn in moved.lawns for a in lawn.actions] == [stands]
    assert moved.withdrawn == ()

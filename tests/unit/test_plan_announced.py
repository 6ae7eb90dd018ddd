"""What stands of earlier digests: the newest speaks for its own day and all after it."""

from __future__ import annotations

from datetime import date, timedelta

from plan_cases import TODAY, action, book, decide, files, holds, moment, opens, waters, weather

from advisor.plan.announced import Sent, announced
from advisor.plan.model import Plan, Verdict
from advisor.site.events import Advised


def sent(*plans: Plan) -> list[Advised]:
    """What stands of plans, as the store gives their actions back."""
    return announced(
        Sent(
            plan.on,
            not plan.cannot_tell,
            tuple(
                (lawn.name, one.model_dump(mode="json", by_alias=True))
                for lawn in plan.lawns
                for one in lawn.actions
                if one.verdict is not Verdict.WAIT
            ),
        )
        for plan in plans
    )


def on(day: date, rules: str | None = None, **columns: object) -> Plan:
    """A plan that was made in the morning of a day."""
    return decide(
        files(today=day),
        book(rules or opens()),
        weather(today=day, **columns),  # type: ignore[arg-type]
        now=moment(day),
    )


def test_advice_is_what_the_plan_said():
    """Lawn, task, product, day and amount come back as they were sent."""
    plan = on(TODAY)
    told = action(plan)
    assert told.dose is not None
    (found,) = sent(plan)
    assert told.second is not None
    assert found == Advised(
        told.id, TODAY, "front", "feed", "granules", TODAY, told.dose.amount, told.second.day
    )


def test_water_is_told_in_mm():
    """Watering is announced by its depth, and has no product."""
    plan = on(TODAY, waters(), rain={-12: 60.0})
    found = sent(plan)
    assert found[0].task == "watering"
    assert found[0].product is None
    assert found[0].amount == action(plan, "watering").water_mm


def test_wait_announces_nothing():
    """What waits was not advised."""
    plan = on(TODAY, opens() + holds(), humidity=0.95)
    assert action(plan).verdict is Verdict.WAIT
    assert sent(plan) == []


def test_newest_replaces_what_is_still_to_come():
    """A later digest takes the place of what an older one announced for a day after it."""
    earlier = on(TODAY - timedelta(2), opens(at_least=10), gust={2: 12.0, 3: 12.0})
    assert [a.day for a in sent(earlier)] == [TODAY]
    between = on(TODAY - timedelta(1), opens(at_least=10), gust={1: 12.0, 4: 12.0})
    (found,) = sent(earlier, between)
    assert found.issued == TODAY - timedelta(1)
    taken_back = on(TODAY - timedelta(1), opens() + holds(), humidity=0.95)
    assert sent(earlier, taken_back) == []


def test_day_that_has_come_stays():
    """What was announced for the newest digest's day, or before, has to be answered: it may be
    done by now."""
    for days in (0, 3):
        earlier = on(TODAY - timedelta(3), opens(at_least=10), gust={3 - days: 12.0})
        assert [a.day for a in sent(earlier)] == [TODAY - timedelta(days)]
        found = sent(earlier, on(TODAY, opens() + holds(), humidity=0.95))
        assert [a.day for a in found] == [TODAY - timedelta(days)]


def test_the_same_advice_told_again_is_one():
    """A digest of the day itself repeats what was announced for it, and adds nothing."""
    earlier = on(TODAY - timedelta(2), opens(at_least=10), gust={2: 12.0})
    again = on(TODAY, opens(at_least=10), gust={0: 12.0})
    assert len(sent(earlier, again)) == 1


def test_a_digest_that_cannot_tell_takes_nothing_back():
    """Without weather nothing is decided, so nothing that was announced is replaced."""
    earlier = on(TODAY - timedelta(2), opens(at_least=10), gust={2: 12.0})
    waiting = on(TODAY - timedelta(1), opens() + holds(), humidity=0.95)
    blind = waiting.model_copy(update={"cannot_tell": True})
    assert [a.day for a in sent(earlier, blind)] == [TODAY]


def test_an_action_of_another_release_still_holds_its_task():
    """What cannot be read of an action is unknown; its task and day are kept."""
    odd = {"verdict": "apply", "task": "feed", "date": TODAY.isoformat(), "new": 1}
    (found,) = announced([Sent(TODAY, True, (("front", odd),))])
    assert (found.task, found.day, found.product, found.amount) == ("feed", TODAY, None, 0.0)


def test_nothing_sent():
    """Without digests nothing stands."""
    assert sent() == []
    assert announced([Sent(TODAY, True, ())]) == []

"""What stands of earlier digests: the newest speaks for its own day and all after it."""

from __future__ import annotations

from datetime import date, timedelta

from plan_cases import TODAY, action, book, decide, files, holds, moment, opens, waters, weather

from advisor.plan.announced import announced
from advisor.plan.model import Action, Plan, Verdict
from advisor.site.events import Advised


def sent(*plans: Plan) -> list[Advised]:
    return announced(
        (plan.on, [(lawn.name, one) for lawn in plan.lawns for one in lawn.actions])
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
    assert found == Advised(told.id, TODAY, "front", "feed", "granules", TODAY, told.dose.amount)


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
    """A later digest takes the place of what an older one announced for its day or after."""
    earlier = on(TODAY - timedelta(2), opens(at_least=10), gust={2: 12.0, 3: 12.0})
    assert [a.day for a in sent(earlier)] == [TODAY]
    later = on(TODAY, opens(at_least=10), gust={3: 12.0})
    (found,) = sent(earlier, later)
    assert (found.issued, found.day) == (TODAY, TODAY + timedelta(3))
    taken_back = on(TODAY, opens() + holds(), humidity=0.95)
    assert sent(earlier, taken_back) == []


def test_day_that_was_over_stays():
    """What was announced for a day before the newest digest stays, and has to be answered."""
    earlier = on(TODAY - timedelta(3))
    found = sent(earlier, on(TODAY, opens() + holds(), humidity=0.95))
    assert [a.day for a in found] == [TODAY - timedelta(3)]


def test_nothing_sent():
    """Without digests nothing stands."""
    assert sent() == []
    assert announced([(TODAY, list[tuple[str, Action]]())]) == []

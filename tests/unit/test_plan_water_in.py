"""What has to be watered in: after the work, on the day on which sprinklers may, or by the rain."""

from __future__ import annotations

from datetime import date, time, timedelta

import numpy as np
import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st
from plan_cases import (
    NOW,
    PAST,
    TODAY,
    action,
    book,
    decide,
    files,
    given,
    granules,
    lawn,
    opens,
    waters,
    weather,
)

from advisor.plan.compose import plan_and_walk
from advisor.plan.model import Action, Verdict
from advisor.plan.water_in import sprinklers
from advisor.site.load import SiteFiles

SHELF = granules(more='water_in = "0.5 in"')
MORNINGS = 'hours = ["04:00-09:00"]'


def site(law: str) -> SiteFiles:
    """TODAY is a Wednesday."""
    table = f"[watering]\n{law}\n" if law else ""
    return files(
        lawn(more='irrigated = true\nsprinklers = "0.9 in"'), shelf=SHELF, more=table
    )  # fmt: skip


def step(found: Action) -> str:
    assert found.dose is not None
    (one,) = [each for each in found.dose.steps if each.startswith("Water in with 0.50 in")]
    return one


def fed(law: str, **columns) -> Action:  # type: ignore[no-untyped-def]
    return action(decide(site(law), book(opens()), weather(**columns)))


@pytest.mark.parametrize(
    ("law", "day", "told"),
    [
        # Its hours of today are over before the work begins.
        (f'weekdays = ["wednesday", "saturday"]\n{MORNINGS}', 3, "Sat May 16, 04:00 to 09:00."),
        ('weekdays = ["wednesday", "saturday"]\nhours = ["04:00-09:00", "20:00-23:00"]', 0,
         "Wed May 13, 20:00 to 23:00."),
        ('weekdays = ["wednesday", "saturday"]', 0, "Wed May 13."),
        ('weekdays = ["friday"]\nhours = ["04:00-09:00", "20:00-23:00"]', 2,
         "Fri May 15, 04:00 to 09:00 or 20:00 to 23:00."),
    ],
)  # fmt: skip
def test_sprinklers_water_in_after_the_work(law: str, day: int, told: str) -> None:
    """The plan counts its water on that day, and the step names it."""
    plan, walk = plan_and_walk(given(site(law), book(opens()), weather()), NOW)
    found = action(plan)
    assert (found.verdict, found.day) == (Verdict.APPLY, TODAY)
    assert step(found).endswith(
        "; by the forecast sprinklers have to bring 0.50 in: your watering rules let them on "
        + told
    )
    assert walk is not None
    planned = walk.views["front"].planned_mm
    assert {int(one) - PAST: float(planned[one]) for one in np.flatnonzero(planned)} == {
        day: pytest.approx(12.7)
    }


def test_one_day_a_week_whose_hours_are_over_before_the_work() -> None:
    """No permitted day comes within seven days of it: the day is held, the next is not."""
    found = fed(f'weekdays = ["wednesday"]\n{MORNINGS}')
    assert (found.verdict, found.day) == (Verdict.APPLY, TODAY + timedelta(1))
    assert "Wed May 20, 04:00 to 09:00" in step(found)
    busy = f'weekdays = ["wednesday"]\n{MORNINGS}\n[free]\nweekdays = ["wednesday"]'
    held = fed(busy)
    assert held.verdict is Verdict.WAIT
    assert "no sprinklers may run within 7 days of it" in held.because
    assert fed(busy, rain={2: 15.0}).verdict is Verdict.APPLY


def test_evening_hours_that_the_work_outlasts() -> None:
    """Hours of the only permitted day begin in time, and leave no room once the work is over."""
    law = 'weekdays = ["wednesday"]\nhours = ["09:00-10:00"]\n[free]\nweekdays = ["wednesday"]'
    found = fed(law + '\nhours = ["09:00-14:00"]')
    assert found.verdict is Verdict.WAIT
    assert "no sprinklers may run after that day's work" in found.because


def test_rain_that_does_it_is_named() -> None:
    """Rain of the day counts from the end of the work on."""
    wet = fed(f'weekdays = ["saturday"]\n{MORNINGS}', rain={2: 15.0})
    assert step(wet).endswith(
        "; the rain forecast until Fri May 15 should do it, else by sprinkler on Sat May 16,"
        " 04:00 to 09:00."
    )
    none = fed("forbidden = true", rain={2: 15.0})
    assert step(none).endswith("until Fri May 15 should do it, sprinklers may not run in time.")
    before = fed(f'weekdays = ["saturday"]\n{MORNINGS}', rain_at={(0, 2): 15.0})
    assert "sprinklers have to bring 0.50 in" in step(before)


def test_without_watering_rules_no_day_is_named() -> None:
    assert step(fed("")).endswith("by rain or sprinkler, unless the label says otherwise.")


@for_all(
    permitted=st.sets(
        st.sampled_from(["monday", "tuesday", "wednesday", "thursday", "friday", "saturday"]),
        min_size=1,
    ),
    first=st.integers(0, 21),
    length=st.integers(1, 12),
    ahead=st.integers(0, 20),
    over=st.integers(9, 19),
)
def test_it_is_never_before_the_work_is_over(
    permitted: set[str], first: int, length: int, ahead: int, over: int
) -> None:
    """Always a permitted day within a week, in permitted hours that are still to come."""
    days = ", ".join(f'"{day}"' for day in sorted(permitted))
    last = min(first + length, 23)
    read = site(f'weekdays = [{days}]\nhours = ["{first:02}:00-{last:02}:00"]')
    assert read.site is not None
    on: date = TODAY + timedelta(ahead)
    found = sprinklers(read.site, read.site.lawns[0], on, time(over), 12.7)
    if found is None:
        assert len(permitted) == 1
        return
    day, hours = found
    assert on <= day < on + timedelta(7)
    assert day.strftime("%A").lower() in permitted
    if day == on:
        assert hours and all(begin >= over * 60 for begin, _ in hours)


@pytest.mark.parametrize(
    ("law", "told"),
    [
        ("forbidden = true", "must not be watered: your watering rules forbid it on every day to"),
        ('weekdays = ["sunday"]', "water it first"),
        ('forbidden = true\nfrom = "05-01"\nto = "05-15"', "water it first"),
    ],
)
def test_a_thirsty_lawn_that_the_law_keeps_dry(law: str, told: str) -> None:
    """It is not told to water what no day in sight lets it water."""
    read = files(lawn(more="irrigated = true"), more=f"[watering]\n{law}\n")
    rules = book(opens(at_least=10), waters())
    series = weather(rain={-12: 60.0}, gust={0: 12.0, 1: 12.0})
    found = action(decide(read, rules, series))
    assert found.verdict is Verdict.WAIT
    assert "The lawn is short of water" in found.because and told in found.because

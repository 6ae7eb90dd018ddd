"""A task beside its owner's time: what is told where a window finds nobody at home."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from plan_cases import (
    AHEAD,
    PAST,
    TODAY,
    action,
    advice,
    book,
    decide,
    files,
    holds,
    opens,
    waters,
    weather,
)

from advisor.plan.model import Verdict
from advisor.plan.recant import recant

WEEKEND = '[free]\nweekdays = ["saturday", "sunday"]\n'


def day(number: int) -> date:
    return TODAY + timedelta(number)


def test_a_window_that_closes_before_its_owner_is_free():
    """It waits, says why, and says what is left to do about it: no day is advised by the way."""
    plan = decide(files(more=WEEKEND), book(opens(at_least=10)), weather(gust={0: 12.0, 1: 12.0}))
    found = action(plan)
    assert found.verdict is Verdict.WAIT
    assert found.because == "You are not free on Wed May 13; you are on Sat May 16."
    assert found.flag == (
        "The window is likely to close after Thu May 14, and you are free on Sat May 16: find time"
        " before it closes and say so under [free] in site.toml, or let it go."
    )
    assert found.source == "your own [free] in site.toml"
    assert plan.headline.verdict is Verdict.WAIT


def test_away_for_all_of_it():
    """Nobody is there as far as the forecast reaches."""
    away = f'[free]\naway = ["{TODAY} to {day(60)}"]\n'
    found = action(decide(files(more=away), book(opens(at_least=10)), weather(gust={0: 12.0})))
    assert found.because == "You are not free on Wed May 13."
    assert "and you are not free as far as the forecast tells" in found.flag


def test_free_only_after_this_week():
    """What the owner can do in eight days is not this week's action, and it says why it waits."""
    away = f'[free]\naway = ["{TODAY} to {day(7)}"]\n'
    found = action(decide(files(more=away), book(opens()), weather()))
    assert (found.verdict, found.look_again) == (Verdict.WAIT, day(8))
    assert found.because == "You are free on Thu May 21, not on Wed May 13, which is open too."
    assert found.second is None


def test_no_flag_where_a_rule_holds_it_anyway():
    """A window that no day of which is good is not lost for want of time."""
    plan = decide(
        files(more=WEEKEND), book(opens(at_least=10), holds()),
        weather(gust={0: 12.0, 1: 12.0}, humidity=0.95),
    )  # fmt: skip
    assert action(plan).flag == (
        "The window is likely to close after Thu May 14, before it can be used."
    )


def test_a_day_on_which_somebody_could_work_tells_more():
    """Held on the owner's own day: that hold is the reason, not the days of others."""
    plan = decide(files(more=WEEKEND), book(opens(), holds()), weather(humidity={3: 0.95, 4: 0.95}))
    found = action(plan)
    assert found.verdict is Verdict.WAIT
    assert found.because == "Too humid."


def test_hours_of_rules_and_owner_together():
    """Rules leave the afternoon, the owner the day to three: what is left is both."""
    gusty = (
        "holds blown for feed hour by hour\n  while wind more than 15 mph\n  says Windy.\n"
        "  source made up\n"
    )
    wind = np.full((PAST + AHEAD) * 24, 2.0)
    wind[PAST * 24 + 7 : PAST * 24 + 11] = 9.0  # of an hour the windier end counts
    own = files(more='[free]\nhours = ["08:00-15:00"]\n')
    found = action(decide(own, book(opens(), gusty), weather(wind=wind)))
    assert (found.day, found.start, found.end) == (TODAY, "12:00", "15:00")
    mornings = files(more='[free]\nhours = ["08:00-12:00"]\n')
    found = action(decide(mornings, book(opens(), gusty), weather(wind=wind)))
    assert (found.day, found.start, found.end) == (day(1), "08:00", "12:00")


def test_wet_in_the_owner_s_own_hours():
    """It says whose hours are wet."""
    wet = {(number, hour): 1.0 for number in range(AHEAD) for hour in (8, 9)}
    own = files(more='[free]\nhours = ["08:00-10:00"]\n')
    found = action(decide(own, book(opens()), weather(rain_at=wet)))
    assert found.because == "No dry and calm hours by day are forecast in your own hours."


def test_sprinklers_need_nobody():
    """Water is given on days on which the owner is away."""
    away = f'[free]\naway = ["{TODAY} to {day(60)}"]\n'
    found = action(decide(files(more=away), book(waters()), weather(rain={-12: 60.0})), "watering")
    assert (found.verdict, found.day) == (Verdict.WATER, TODAY)


@pytest.mark.parametrize(("more", "moved"), [("", False), (WEEKEND, True)])
def test_an_announced_day_on_which_the_owner_is_busy_by_now(more: str, moved: bool):
    """What was announced for a day that no longer suits its owner is taken back."""
    thursday = advice(day(1), issued=day(-1))
    plan = decide(files(more=more), book(opens()), weather(), [thursday])
    assert action(plan).day == (day(3) if moved else day(1))
    assert bool(recant([thursday], plan, TODAY)) is moved


SUNDAY = '[free]\nweekdays = ["sunday"]\n'


@pytest.mark.parametrize("closes", [5, 8])
def test_the_only_free_day_before_a_window_closes_is_held(closes: int):
    """Sunday is day 4; the window closes with the week, or later within the forecast."""
    gusts = dict.fromkeys(range(closes + 1), 12.0)
    series = weather(gust=gusts, humidity={4: 0.95})
    found = action(decide(files(more=SUNDAY), book(opens(at_least=10), holds()), series))
    when = f"{day(closes):%a %b %d}"
    assert found.verdict is Verdict.WAIT
    assert found.because == (
        "On Sun May 17, when you are free: Too humid. Days that would suit, such as Wed May 13,"
        " are not your free ones."
    )
    assert found.flag == (
        f"The window is likely to close after {when}. Until then your free days do not suit, and"
        " others would, such as Wed May 13: find time on one and say so under [free] in site.toml,"
        " or let it go."
    )


def test_no_flag_where_a_later_free_day_comes_in_time_or_the_end_is_not_in_sight():
    humid = {4: 0.95}
    in_time = weather(gust=dict.fromkeys(range(13), 12.0), humidity=humid, ahead=15)
    rules = book(opens(at_least=10), holds())
    assert action(decide(files(more=SUNDAY), rules, in_time)).flag == ""
    endless = weather(gust=12.0, humidity=humid)
    assert action(decide(files(more=SUNDAY), rules, endless)).flag == ""

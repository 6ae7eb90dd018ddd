"""The second choice: the next day and hours for an action whose own do not come off.

It is worked out on the lawn as it stood when the action was chosen, and then beside all else that
is planned for that lawn: neither may it be held by that, nor hold it. It is the same product in
the same dose, the same water, or it is none. It lies in the days that this plan speaks for, since
the next digest asks about an action before it gives another. It is a way out and no advice: the
first choice alone is announced.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from advisor.plan.choice import Choice, Second
from advisor.plan.hours import Stretch, best_hours, watering_hours
from advisor.plan.offer import counted, offer
from advisor.plan.view import ADVICE_DAYS, Setting, View
from advisor.plan.words import day_text
from advisor.site.words import WATERING

NO_OTHER = "no other day or hour of this week is open and unheld; the next digest looks again"

SAY_FIRST = "first say in the journal that it was not done; a new digest then finds another day"
"""For what was announced for today: it may be under way, and nothing of it is advised twice."""


def second_choice(choice: Choice, before: View, others: Sequence[Choice], now: datetime) -> Second:
    """The second choice for an action of the plan; `others` are the plan's other actions on its
    lawn, in their order, and `before` is that lawn without any of them."""
    assert choice.placed is not None
    setting = choice.placed.view.setting
    last = min(setting.end, setting.today + ADVICE_DAYS)
    may_be_done = choice.placed.announced and choice.day == setting.today
    for day in range(choice.day + 1, choice.day + 1 if may_be_done else last):
        if choice.task == WATERING and (again := _watered(others, choice.day, day)) is not None:
            when = day_text(setting.days[again], setting.site.units)
            return _later_that_day(choice, now) or Second(
                why=f"no other permitted hours come before the watering of {when}"
            )
        found = _as_good(choice.placed.view, choice, day, others, now)
        if found is not None and _beside(found, before, others, now):
            return Second(day, found.stretch)
    return _later_that_day(choice, now) or Second(why=SAY_FIRST if may_be_done else NO_OTHER)


def _watered(others: Sequence[Choice], after: int, until: int) -> int | None:
    """The day after one and up to another on which the lawn is watered anyway."""
    days = [c.day for c in others if c.task == WATERING and after < c.day <= until]
    return min(days, default=None)


def _as_good(
    view: View, choice: Choice, day: int, others: Sequence[Choice], now: datetime
) -> Choice | None:
    """The same action on another day; None where it would be another, or a smaller one."""
    found = offer(view, choice.task, day, now, others).choice
    if found is None:
        return None
    if choice.task == WATERING:
        # What is missing grows by the day; less of it missing is rain, which needs no water.
        enough = found.water_mm >= choice.water_mm - 1e-6
        return replace(found, water_mm=choice.water_mm) if enough else None
    same = found.product == choice.product and found.measured == choice.measured
    return found if same else None


def _beside(moved: Choice, before: View, others: Sequence[Choice], now: datetime) -> bool:
    """Whether the moved action and the others of its lawn still bear each other."""
    if not others:
        return True
    if _as_good(_all_of(before, others), moved, moved.day, others, now) is None:
        return False
    for other in others:
        if other.task == WATERING or other.day < moved.day:
            continue
        rest = [each for each in others if each is not other]
        view = _all_of(before, [*rest, moved])
        if _as_good(view, other, other.day, [*rest, moved], now) is None:
            return False
    return True


def _all_of(view: View, choices: Sequence[Choice]) -> View:
    for choice in choices:
        view = counted(view, choice)
    return view


def _later_that_day(choice: Choice, now: datetime) -> Second | None:
    """Hours of the same day that come after the first ones."""
    assert choice.placed is not None
    if choice.stretch is None:
        return None
    view, setting = choice.placed.view, choice.placed.view.setting
    end = choice.stretch.end
    after = frozenset(range(end.hour + (end.minute > 0), 24))
    found = (
        _later_water(choice, setting, after, now)
        if choice.task == WATERING
        else _later_work(choice, view, after, now)
    )
    return None if found is None else Second(choice.day, found)


def _later_water(
    choice: Choice, setting: Setting, after: frozenset[int], now: datetime
) -> Stretch | None:
    assert choice.placed is not None
    lawn = choice.lawn.name
    if setting.site.watering.spans(setting.days[choice.day], lawn) is None:
        return None  # before dawn is best, and midday a way out in frost alone
    free = choice.placed.view.free_hours((WATERING,), choice.day, choice.rule)
    left = after if free is None else after & free
    return watering_hours(setting.site, setting.days[choice.day], now, left, lawn)


def _later_work(choice: Choice, view: View, after: frozenset[int], now: datetime) -> Stretch | None:
    assert choice.product is not None
    setting, product = view.setting, choice.product
    free = view.work_hours(view.names(product), choice.day, choice.rule)
    return best_hours(
        setting.weather.series,
        setting.weather.zone,
        setting.days[choice.day],
        now,
        wind_max=product.wind_max_m_s,
        air_max=product.air_max_c,
        free=after if free is None else after & free,
    )

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

from advisor.language.dates import day_text
from advisor.language.words import later, tell
from advisor.plan.choice import Choice, Second
from advisor.plan.dose import Measured
from advisor.plan.hours import Stretch, best_hours, watering_hours
from advisor.plan.offer import counted, offer
from advisor.plan.view import ADVICE_DAYS, View
from advisor.plan.water_in import watered_in
from advisor.plan.watering import turn_of
from advisor.plan.zone_runs import depth_that_fits, time_taken
from advisor.site.words import WATERING

RISKS = ("low", "some", "high")
"""How likely a dose burns, from the least on."""

NO_OTHER = later("no other day or hour of this week suits; the next digest looks again")

SAY_FIRST = later(
    "first say in the journal that it was not done; a new digest then finds another day"
)
"""For what was announced for today: it may be under way, and nothing of it is advised twice."""


def second_choice(
    choice: Choice,
    before: View,
    others: Sequence[Choice],
    elsewhere: Sequence[Choice],
    now: datetime,
) -> Second:
    """The second choice for an action of the plan; `others` are the plan's other actions on its
    lawn, in their order, `before` is that lawn without any of them, and `elsewhere` is what other
    lawns are given, since the zones of all lawns share one supply of water."""
    assert choice.placed is not None
    setting = choice.placed.view.setting
    last = min(setting.end, setting.today + ADVICE_DAYS)
    may_be_done = choice.placed.announced and choice.day == setting.today
    for day in range(choice.day + 1, choice.day + 1 if may_be_done else last):
        if choice.task == WATERING and (again := _watered(others, choice.day, day)) is not None:
            when = day_text(setting.days[again], setting.site.units)
            return _later_that_day(choice, elsewhere, now) or Second(
                why=tell("no other permitted hours come before the watering of {day}", day=when)
            )
        found = _as_good(choice.placed.view, choice, day, [*others, *elsewhere], now)
        if found is not None and _beside(found, before, others, elsewhere, now):
            return Second(day, found.stretch)
    return _later_that_day(choice, elsewhere, now) or Second(
        why=tell(SAY_FIRST) if may_be_done else tell(NO_OTHER)
    )


def _watered(others: Sequence[Choice], after: int, until: int) -> int | None:
    """The day after one and up to another on which the lawn is watered anyway."""
    days = [c.day for c in others if c.task == WATERING and after < c.day <= until]
    return min(days, default=None)


def _as_good(
    view: View, choice: Choice, day: int, planned: Sequence[Choice], now: datetime
) -> Choice | None:
    """The same action on another day; None where it would be another, or a smaller one."""
    found = offer(view, choice.task, day, now, planned).choice
    if found is None:
        return None
    if choice.task == WATERING:
        # What is missing grows by the day; less of it missing is rain, which needs no water.
        enough = found.water_mm >= choice.water_mm - 1e-6
        return replace(found, water_mm=choice.water_mm) if enough else None
    same = found.product == choice.product and _as_much(found.measured, choice.measured)
    return found if same else None


def _as_much(found: Measured | None, first: Measured | None) -> bool:
    """Whether a dose is the same, and burns no likelier."""
    if found is None or first is None:
        return False
    risks = [0 if each.burn is None else RISKS.index(each.burn.risk) for each in (found, first)]
    return found.dose == first.dose and risks[0] <= risks[1]


def _beside(
    moved: Choice,
    before: View,
    others: Sequence[Choice],
    elsewhere: Sequence[Choice],
    now: datetime,
) -> bool:
    """Whether the moved action and the others of its lawn still bear each other."""
    if not others:
        return True
    planned = [*others, *elsewhere]
    if _as_good(_all_of(before, others), moved, moved.day, planned, now) is None:
        return False
    for other in others:
        if other.task == WATERING or other.day < moved.day:
            continue
        rest = [each for each in others if each is not other]
        view = _all_of(before, [*rest, moved])
        if _as_good(view, other, other.day, [*rest, moved, *elsewhere], now) is None:
            return False
    return True


def _all_of(view: View, choices: Sequence[Choice]) -> View:
    for choice in choices:
        view = counted(view, choice)
    return view


def _later_that_day(choice: Choice, elsewhere: Sequence[Choice], now: datetime) -> Second | None:
    """Hours of the same day that come after the first ones."""
    assert choice.placed is not None
    if choice.stretch is None:
        return None
    view = choice.placed.view
    end = choice.stretch.end
    after = frozenset(range(end.hour + (end.minute > 0), 24))
    found = (
        _later_water(choice, view, after, elsewhere, now)
        if choice.task == WATERING
        else _later_work(choice, view, after, now)
    )
    return None if found is None else Second(choice.day, found)


def _later_water(
    choice: Choice, view: View, after: frozenset[int], elsewhere: Sequence[Choice], now: datetime
) -> Stretch | None:
    site, on, lawn = view.setting.site, view.setting.days[choice.day], choice.lawn.name
    if site.watering.spans(on, lawn) is None:
        return None  # before dawn is best, and midday a way out in frost alone
    free = view.free_hours((WATERING,), choice.day, choice.rule)
    left = after if free is None else after & free
    hours = watering_hours(site, on, now, left, lawn)
    if hours is None:
        return None
    depth = choice.water_mm
    running = [c for c in elsewhere if c.task == WATERING and c.day == choice.day]
    start, minutes = turn_of(site, on, hours, running, time_taken(site, choice.lawn, depth))
    if minutes <= 0 or depth_that_fits(site, choice.lawn, depth, minutes) < depth - 1e-6:
        return None
    return Stretch(start, hours.end)


def _later_work(choice: Choice, view: View, after: frozenset[int], now: datetime) -> Stretch | None:
    assert choice.product is not None
    setting, product = view.setting, choice.product
    free = view.work_hours(view.names(product), choice.day, choice.rule)
    found = best_hours(
        setting.weather.series,
        setting.weather.zone,
        setting.days[choice.day],
        now,
        wind_max=product.wind_max_m_s,
        air_max=product.air_max_c,
        dry_hours=product.dry_hours,
        free=after & free,
    )
    if found is None:
        return None
    wet = watered_in(setting, view.lawn, product, choice.day, found)
    return found if wet is None or wet.in_time else None

"""How much water a lawn is given, on which day: a root zone refilled, nothing that rain covers."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.table import UNKNOWN_WORD
from advisor.conditions.vocabulary import STATES
from advisor.language.words import tell
from advisor.plan.choice import Choice
from advisor.plan.hours import Stretch, watering_hours
from advisor.plan.restrict import watering_allowed
from advisor.plan.sureness import ENOUGH, Need, counted, midnight
from advisor.plan.view import Setting, View
from advisor.plan.zone_runs import depth_that_fits, time_taken
from advisor.rulebook.book import Rule, RuleKind
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.shelf import Product
from advisor.site.words import WATERING

LEAST_WATER = 5.0
"""Less than this is not worth starting the sprinklers for [mm; judgement]."""

LEAST_FIT = 1.0
"""Water that is given although the hours have room for no more [mm; judgement]."""

NOON = 12
"""Hour before which water is in time for its own day."""

DEPLETION = "depletion"
"""The fact by which a rule asks for the root zone to be refilled."""


OVERDUE_DAYS = 7
"""So long water that was asked for on a day without sprinklers is still given: by then each of the
week's permitted days has come [judgement]."""

ASLEEP = STATES.index("summer-dormant")

LATER_DAYS, LATER_SHARE, LASTING = 5, 0.5, 0.5
"""Days of forecast rain for which room is left, the share of it from the third day on, and the
share of the missing water that is given all the same [judgement]."""

STAYS_DRY = frozenset({"granules-on-the-leaf", "iron", "broadleaf-herbicide"})
"""Products that work through the leaf, which sprinklers would rinse."""

SURVIVAL_WATER = 12.7
"""What a rule that does not go by the root zone's water asks for: half an inch, which keeps crowns
alive without waking the grass (Purdue) [mm]."""


def water_wanted(view: View) -> NDArray[np.float64]:
    """Water [mm] that an irrigated lawn is known to want on each day, less the rain in sight for
    it; 0 where none is wanted, or too little to start the sprinklers for."""
    out = np.zeros(len(view.setting.days))
    if not view.lawn.irrigated:
        return out
    asked, to_refill = np.zeros(len(out), dtype=bool), np.zeros(len(out), dtype=bool)
    for rule in view.rules(RuleKind.WATERS, WATERING):
        asked |= view.sure(rule)
        if DEPLETION in rule.facts:
            to_refill |= view.sure(rule)
    survival = np.minimum(view.facts.table.number(DEPLETION).low, SURVIVAL_WATER)
    amount = np.where(to_refill, refill(view), survival - in_sight(view))
    return np.where(asked & (amount >= LEAST_WATER), amount, 0.0)


def refill(view: View) -> NDArray[np.float64]:
    """What the root zone of a lawn has room for on each day [mm], less the rain in sight.

    What falls on the day and the next is not given twice. For what is forecast for the three days
    after those, which is less sure, half as much room is left, and never more than half of it all,
    or of what the grass can use without stress: the water must last until then if no rain comes.
    """
    missing = view.facts.table.number(DEPLETION).low - in_sight(view)
    later = LATER_SHARE * (in_sight(view, LATER_DAYS) - in_sight(view))
    room = LASTING * np.minimum(missing, view.facts.table.number("stress_line").low)
    return np.maximum(missing - later, missing - room)


def in_sight(view: View, days: int = 2) -> NDArray[np.float64]:
    """Rain [mm] of each day and those after it, so many in all."""
    rain = view.facts.table.number("rain").low
    out = rain.copy()
    for ahead in range(1, days):
        out[:-ahead] += rain[ahead:]
    return out


def thirsty(view: View) -> NDArray[np.bool_]:
    """Days on which water comes before food: once it is planned the lawn is looked at again."""
    return water_wanted(view) > 0


def first_water(view: View, now: datetime, chosen: Sequence[Choice]) -> Choice | None:
    """The next watering that is not planned yet, or None.

    Where a rule asks for a root zone to be refilled, that is the day on which the grass begins to
    lack water (FAO-56, chapter 8: irrigate before or when the readily available water is used up).
    A day before is given for what forecasts miss; where sprinklers may not run then, the day
    itself before noon; where not then either, the last permitted day before. Rain that is expected
    until then is in the balance, and puts it all off. Where no such day is left, and for water that
    goes by something else, it is the first permitted day on which a rule asks, or asked in vain
    because sprinklers might not run (see `_overdue`).
    """
    setting = view.setting
    wanted = water_wanted(view)
    # Its own water does not show in the morning of a day.
    had = {c.day for c in chosen if c.task == WATERING and c.lawn == view.lawn}
    ahead = range(setting.today, setting.end)
    asked = [day for day in ahead if wanted[day] > 0 and day not in had]
    if not asked:
        return None
    before = range(asked[0] - 1, setting.today - 1, -1)
    if rained_out(setting, asked[0], float(wanted[asked[0]])):
        before = before[:0]  # what the rain of that day saves is not given sooner either
    eve = _before(view, asked[0], before[:1], now, chosen)
    if eve is not None:
        return eve
    allowed = watering_allowed(setting.site, setting.days, view.lawn.name)
    barred = [day for day in asked if not allowed[day]]
    late: Choice | None = None
    for day in range(asked[0], min(setting.end, asked[-1] + OVERDUE_DAYS + 1)):
        if wanted[day] > 0 and day not in had:
            late = _as_asked(view, day, float(wanted[day]), now, chosen)
        elif day not in had:
            late = _overdue(view, barred, day, now, chosen)
        if late is not None:
            break
    if late is not None and late.day == asked[0] and _by_noon(late):
        return late
    return _before(view, asked[0], before[1:], now, chosen) or late


def _as_asked(
    view: View, day: int, depth: float, now: datetime, chosen: Sequence[Choice]
) -> Choice | None:
    """Water on a day by the first rule that asks for it then."""
    for rule, days in view.opened(WATERING):
        if days[day]:
            return _water(view, rule, day, depth, now, chosen)
    return None


def _overdue(
    view: View, barred: Sequence[int], day: int, now: datetime, chosen: Sequence[Choice]
) -> Choice | None:
    """The root zone refilled on a day on which a rule no longer asks only because the grass would,
    or may, by then have fallen dormant, for want of the very water that it asked for on one of
    `barred`, days of the week before on which sprinklers may not run.

    Grass that sleeps today, or of which nobody knows, is left to the rules.
    """
    grass = view.facts.table.words["grass"].codes
    today = int(grass[view.setting.today])
    if grass[day] not in (ASLEEP, UNKNOWN_WORD) or today in (ASLEEP, UNKNOWN_WORD):
        return None
    amount = float(refill(view)[day])
    asked = next((one for one in barred if 0 < day - one <= OVERDUE_DAYS), None)
    if asked is None or not amount >= LEAST_WATER:
        return None
    for rule, asks in view.opened(WATERING):
        if not asks[asked] or DEPLETION not in rule.facts or rule.hourly:
            continue
        conditions = view.explain(rule, day).conditions
        if all(c.holds is True for c in conditions if "grass" not in c.facts):
            choice = _water(view, rule, day, amount, now, chosen)
            if choice is not None:
                return replace(choice, explanation=view.explain(rule, asked))
    return None


def _by_noon(choice: Choice) -> bool:
    return choice.stretch is not None and choice.stretch.start.hour < NOON


def _before(
    view: View, onset: int, days: range, now: datetime, chosen: Sequence[Choice]
) -> Choice | None:
    """The root zone refilled on the first of `days`, all before the grass begins to lack water, on
    which it may be, if enough is missing by then."""
    amounts = refill(view)
    for rule, asks in view.opened(WATERING):
        if not asks[onset] or DEPLETION not in rule.facts or rule.hourly:
            continue
        for day in days:
            if amounts[day] < LEAST_WATER:
                break
            choice = _water(view, rule, day, float(amounts[day]), now, chosen)
            if choice is not None and _but_for_depletion(view, rule, day):
                return replace(choice, explanation=view.explain(rule, onset), onset=onset)
    return None


def water_on(view: View, day: int, now: datetime, chosen: Sequence[Choice]) -> Choice | None:
    """The watering of one day: what a rule asks for, or what refills the root zone before the day
    on which one would; None where there is no need, or no permitted hours."""
    wanted = water_wanted(view)
    if wanted[day] > 0:
        return _as_asked(view, day, float(wanted[day]), now, chosen)
    onset = next((later for later in range(day + 1, view.setting.end) if wanted[later] > 0), None)
    return None if onset is None else _before(view, onset, range(day, day + 1), now, chosen)


def _but_for_depletion(view: View, rule: Rule, day: int) -> bool:
    """Whether all that a rule asks for holds on a day, but for what hangs on the depletion."""
    conditions = view.explain(rule, day).conditions
    return all(c.holds is True for c in conditions if DEPLETION not in c.facts)


def _water(
    view: View, rule: Rule, day: int, depth: float, now: datetime, chosen: Sequence[Choice]
) -> Choice | None:
    """So much water on a day, or what its hours have room for; None where it is not permitted,
    held, planned already, or must stay dry.

    The zones of all lawns share one supply: they run one after another.
    """
    setting = view.setting
    site, on = setting.site, setting.days[day]
    if not site.watering.allows(on, view.lawn.name) or bool(view.held(WATERING)[day]):
        return None
    of_day = [choice for choice in chosen if choice.task == WATERING and choice.day == day]
    if any(choice.lawn == view.lawn for choice in of_day) or _kept_dry(chosen, view.lawn, day):
        return None
    hours = watering_hours(site, on, now, view.free_hours((WATERING,), day, rule), view.lawn.name)
    if hours is None:
        return None
    start, left = turn_of(site, on, hours, of_day, time_taken(site, view.lawn, depth))
    fits = depth_that_fits(site, view.lawn, depth, left) if left > 0 else 0.0
    if fits < min(depth, LEAST_FIT) or rained_out(setting, day, fits):
        return None
    lacking = float(view.facts.table.number(DEPLETION).low[day])
    room = max(0.0, lacking - depth) if DEPLETION in rule.facts else 0.0
    return Choice(
        view.lawn, WATERING, day, rule, view.explain(rule, day), day,
        Stretch(start, hours.end), water_mm=fits, water_asked_mm=depth, rain_room_mm=room,
    )  # fmt: skip


def rained_out(setting: Setting, day: int, depth: float) -> str:
    """That more than half of the ensemble's forecasts surely bring the rain that makes a watering
    needless, as a sentence; empty where they do not, or where nobody knows.

    The lead forecast alone may see that rain a day too late, or not at all.
    """
    on, zone = setting.days[day], setting.weather.zone
    begin = max(midnight(on, zone), setting.now)
    need = still_wanted(setting, day, depth, begin)
    found = counted(setting.ensemble, [need], setting.now)
    if found is None or found.may >= ENOUGH * found.members:
        return ""
    enough = found.members - found.may
    return tell(
        "{count} of {members} forecasts bring enough rain by the end of the next day to do"
        " without this water.",
        count=enough,
        members=found.members,
    )


def still_wanted(setting: Setting, day: int, depth: float, begin: datetime) -> Need:
    """That rain does not cover a watering: too little falls until the end of the next day to save
    starting the sprinklers."""
    lead = setting.weather.daily.rain_low[day : day + 2]
    after = midnight(setting.days[day] + timedelta(2), setting.weather.zone)
    return Need(begin, after, max(0.0, depth + float(np.nansum(lead)) - LEAST_WATER))


def turn_of(
    site: Site, on: date, hours: Stretch, others: Sequence[Choice], minutes: float
) -> tuple[time, float]:
    """When in its hours a lawn has the supply to itself, and how many minutes are left from then.

    Before the waterings of the same day that stand already if `minutes` fit there, else once the
    last of those that reach into its hours is over, in steps of five minutes. Where the clocks are
    put forward the hour that is left out does not count.
    """
    taken: list[tuple[datetime, datetime]] = []
    begin, end = datetime.combine(on, hours.start), datetime.combine(on, hours.end)
    for other in others:
        if other.stretch is None:
            continue
        first = datetime.combine(on, other.stretch.start)
        whole = 5 * math.ceil(time_taken(site, other.lawn, other.water_mm) / 5)
        last = first + timedelta(minutes=whole)
        if first < end and last > begin:
            taken.append((first, last))
    if taken and begin + timedelta(minutes=minutes) > min(first for first, _ in taken):
        begin = max(last for _, last in taken)
    zone = site.place.zone_info
    by_sun = end.replace(tzinfo=zone).astimezone(UTC) - begin.replace(tzinfo=zone).astimezone(UTC)
    return begin.time(), min(end - begin, by_sun) / timedelta(minutes=1)


def _kept_dry(chosen: Iterable[Choice], lawn: Lawn, day: int) -> bool:
    """Whether something that must stay dry is planned on a lawn for that day or the one before."""
    return any(
        choice.lawn == lawn
        and choice.product is not None
        and (choice.product.dry_hours is not None or _through_the_leaf(choice.product))
        and 0 <= day - choice.day <= 1
        for choice in chosen
    )


def _through_the_leaf(product: Product) -> bool:
    """Whether it works through the leaf, and so must not be rinsed off."""
    if product.water_in_mm is not None:
        return False
    return not STAYS_DRY.isdisjoint({*product.kinds, *product.serves})

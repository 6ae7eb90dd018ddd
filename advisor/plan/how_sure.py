"""How sure the weather of an action is, as a sentence: by members, by chances of rain, by both.

It tells and does not decide. Where nothing is known nothing is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, time, timedelta

import numpy as np

from advisor.plan.choice import Choice
from advisor.plan.hours import RAIN_AT_MOST
from advisor.plan.label import DRY, WATER_IN_DAYS
from advisor.plan.model import Sure
from advisor.plan.sureness import Count, Need, counted, midnight
from advisor.plan.view import Setting
from advisor.plan.watering import still_wanted
from advisor.series.hourly import HOUR
from advisor.series.quantity import Kind, show
from advisor.site.fields import WEEKDAYS
from advisor.site.shelf import Product
from advisor.site.words import WATERING

Wish = tuple[Need, str, str]
"""What is needed, and the same as a phrase of several forecasts and of one."""


def how_sure(setting: Setting, choice: Choice) -> Sure | None:
    """How sure a chosen action is; None where neither members nor chances tell."""
    if choice.stretch is None:
        return None
    begin = _instant(setting, choice, choice.stretch.start)
    end = _instant(setting, choice, choice.stretch.end)
    after = midnight(setting.days[choice.day] + timedelta(2), setting.weather.zone)
    if choice.task == WATERING:
        need = still_wanted(setting, choice.day, choice.water_mm, begin)
        wishes = [(need, *_verb("bring", "too little rain to do without this water"))]
        chance = _highest_chance(setting, begin, after)
    elif choice.product is not None:
        wishes = list(_wishes(setting, choice, choice.product, begin, end, after))
        chance = _highest_chance(setting, begin, end)
    else:
        return None
    found = counted(setting.ensemble, [need for need, _, _ in wishes], setting.now)
    said = []
    if found is not None:
        said.append(_by_count(found, wishes))
    if chance is not None:
        shown = show(chance, Kind.FRACTION, setting.site.units)
        hours = "hour to the end of the next day" if choice.task == WATERING else "of those hours"
        said.append(f"Chance of rain: at most {shown} in any {hours}.")
    if not said:
        return None
    return Sure(
        text=" ".join(said),
        members=found.members if found else None,
        fulfilling=found.fulfilling if found else None,
        may=found.may if found else None,
        chance=chance,
    )


def _instant(setting: Setting, choice: Choice, clock: time) -> datetime:
    local = datetime.combine(setting.days[choice.day], clock, setting.weather.zone)
    return local.astimezone(UTC)


def _wishes(
    setting: Setting,
    choice: Choice,
    product: Product,
    begin: datetime,
    end: datetime,
    after: datetime,
) -> Sequence[Wish]:
    """What a product needs of the rain: dry work, the label's dry hours and rain limit, and rain
    to water it in where there are no sprinklers."""
    units = setting.site.units
    assert choice.stretch is not None  # looked at by the caller
    start, stop = choice.stretch.text()
    day = WEEKDAYS[setting.days[choice.day].weekday()].capitalize()
    work = Need(begin, end, RAIN_AT_MOST * ((end - begin) / timedelta(hours=1)))
    out: list[Wish] = [(work, *_verb("leave", f"{day} dry from {start} to {stop}"))]
    if product.dry_hours is not None:
        dry = Need(end, end + timedelta(hours=product.dry_hours), DRY)
        out.append((dry, *_verb("stay", f"dry for {product.dry_hours:g} hours after it")))
    if product.rain_hold_mm is not None:
        limit = show(product.rain_hold_mm, Kind.WATER, units)
        spared = Need(begin, after, product.rain_hold_mm)
        out.append((spared, *_verb("bring", f"at most {limit} by the end of the next day")))
    if product.water_in_mm is not None and not choice.lawn.irrigated:
        least = show(product.water_in_mm, Kind.WATER, units)
        washed = Need(begin, begin + timedelta(WATER_IN_DAYS), product.water_in_mm, at_least=True)
        out.append((washed, *_verb("water", f"it in with {least} within {WATER_IN_DAYS} days")))
    return out


def _verb(verb: str, rest: str) -> tuple[str, str]:
    return f"{verb} {rest}", f"{verb}s {rest}"


def _by_count(found: Count, wishes: Sequence[Wish]) -> str:
    """`7 of 10 forecasts leave Thursday dry from 10:00 to 15:00.`"""
    one = found.may == 1
    phrases = [single if one else several for _, several, single in wishes]
    told = " and ".join(part for part in (", ".join(phrases[:-1]), phrases[-1]) if part)
    many = str(found.fulfilling)
    if found.may > found.fulfilling:
        many = f"{many} to {found.may}"
    elif not found.may:
        many = "None"
    return f"{many} of {found.members} forecasts {told}."


def _highest_chance(setting: Setting, begin: datetime, end: datetime) -> float | None:
    """The highest hourly chance of rain between two instants; None where an hour's is unknown."""
    series = setting.weather.series
    base = int(series.start.timestamp())
    first = (int(begin.timestamp()) - base) // HOUR
    last = -(-(int(end.timestamp()) - base) // HOUR)
    if first < 0 or last > series.hours or first >= last:
        return None
    highest = float(np.max(series.column("rain_chance")[first:last]))
    return None if np.isnan(highest) else highest

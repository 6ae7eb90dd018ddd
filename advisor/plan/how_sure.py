"""How sure the weather of an action is, as a sentence: by members, by chances of rain, by both.

It tells and does not decide. Where nothing is known nothing is said.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, datetime, time, timedelta

import numpy as np

from advisor.language.dates import separated, weekday_text
from advisor.language.listing import listed
from advisor.language.words import tell, tell_many
from advisor.plan.choice import Choice
from advisor.plan.hours import RAIN_AT_MOST
from advisor.plan.label import DRY, WATER_IN_DAYS
from advisor.plan.model import Sure
from advisor.plan.sureness import Count, Need, counted, midnight
from advisor.plan.view import Setting
from advisor.plan.watering import still_wanted
from advisor.series.hourly import HOUR
from advisor.series.quantity import Kind, show
from advisor.site.shelf import Product
from advisor.site.words import WATERING

Wish = tuple[Need, Callable[[int], str]]
"""What is needed, and what so many forecasts do that bring it."""


def how_sure(setting: Setting, choice: Choice) -> Sure | None:
    """How sure a chosen action is; None where neither members nor chances tell."""
    if choice.stretch is None:
        return None
    begin = _instant(setting, choice, choice.stretch.start)
    end = _instant(setting, choice, choice.stretch.end)
    after = midnight(setting.days[choice.day] + timedelta(2), setting.weather.zone)
    if choice.task == WATERING:
        need = still_wanted(setting, choice.day, choice.water_mm, begin)
        wishes: list[Wish] = [(need, _too_little)]
        chance = _highest_chance(setting, begin, after)
    elif choice.product is not None:
        wishes = list(_wishes(setting, choice, choice.product, begin, end, after))
        chance = _highest_chance(setting, begin, end)
    else:
        return None
    found = counted(setting.ensemble, [need for need, _ in wishes], setting.now)
    said = []
    if found is not None:
        said.append(_by_count(found, wishes))
    if chance is not None:
        shown = show(chance, Kind.FRACTION, setting.site.units)
        if choice.task == WATERING:
            said.append(
                tell(
                    "Chance of rain: at most {chance} in any hour to the end of the next day.",
                    chance=shown,
                )
            )
        else:
            said.append(
                tell("Chance of rain: at most {chance} in any of those hours.", chance=shown)
            )
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
    day = weekday_text(setting.days[choice.day].weekday(), units, "wide")
    work = Need(begin, end, RAIN_AT_MOST * ((end - begin) / timedelta(hours=1)))
    out: list[Wish] = [(work, lambda count: _leaves_dry(count, day, start, stop))]
    if product.dry_hours is not None:
        dry = Need(end, end + timedelta(hours=product.dry_hours), DRY)
        hours = separated(f"{product.dry_hours:g}")
        out.append((dry, lambda count: _stays_dry(count, hours)))
    if product.rain_hold_mm is not None:
        limit = show(product.rain_hold_mm, Kind.WATER, units)
        spared = Need(begin, after, product.rain_hold_mm)
        out.append((spared, lambda count: _spares(count, limit)))
    if product.water_in_mm is not None and not choice.lawn.irrigated:
        least = show(product.water_in_mm, Kind.WATER, units)
        washed = Need(begin, begin + timedelta(WATER_IN_DAYS), product.water_in_mm, at_least=True)
        out.append((washed, lambda count: _waters_in(count, least)))
    return out


def _too_little(count: int) -> str:
    return tell_many(
        "brings too little rain to do without this water",
        "bring too little rain to do without this water",
        count,
    )


def _leaves_dry(count: int, day: str, start: str, end: str) -> str:
    return tell_many(
        "leaves {day} dry from {start} to {end}",
        "leave {day} dry from {start} to {end}",
        count,
        day=day,
        start=start,
        end=end,
    )


def _stays_dry(count: int, hours: str) -> str:
    return tell_many(
        "stays dry for {hours} hours after it",
        "stay dry for {hours} hours after it",
        count,
        hours=hours,
    )


def _spares(count: int, limit: str) -> str:
    return tell_many(
        "brings at most {limit} by the end of the next day",
        "bring at most {limit} by the end of the next day",
        count,
        limit=limit,
    )


def _waters_in(count: int, least: str) -> str:
    return tell_many(
        "waters it in with {depth} within {days} days",
        "water it in with {depth} within {days} days",
        count,
        depth=least,
        days=WATER_IN_DAYS,
    )


def _by_count(found: Count, wishes: Sequence[Wish]) -> str:
    """`7 of 10 forecasts leave Thursday dry from 10:00 to 15:00.`"""
    words = {
        "count": found.fulfilling,
        "most": found.may,
        "members": found.members,
        "told": listed([phrase(found.may) for _, phrase in wishes]),
    }
    if found.may > found.fulfilling:
        return tell("{count} to {most} of {members} forecasts {told}.", **words)
    if not found.may:
        return tell("None of {members} forecasts {told}.", **words)
    return tell("{count} of {members} forecasts {told}.", **words)


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

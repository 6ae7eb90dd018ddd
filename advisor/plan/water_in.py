"""With what, and on which day, a product is watered in: by the rain in sight, else by sprinklers.

Water that has run before the work waters nothing in: of the day of the work only the rain and the
permitted hours after it count.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

import numpy as np

from advisor.language.dates import day_text
from advisor.language.listing import either
from advisor.language.words import tell
from advisor.plan.hours import RUN_MINUTES, Stretch
from advisor.plan.label import WATER_IN_DAYS
from advisor.plan.sureness import midnight
from advisor.plan.view import Setting
from advisor.plan.zone_runs import time_taken
from advisor.series.hourly import HOUR
from advisor.series.quantity import Kind, show
from advisor.site.fields import Span
from advisor.site.free_time import LAST_HOUR
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.shelf import Product

_LEEWAY = 1e-9


@dataclass(frozen=True)
class WateredIn:
    """How a product comes to be watered in on an irrigated lawn.

    `day` (an index, and a date) is the first on which sprinklers may do it, with the hours of that
    day where rules name some [minutes after midnight]; None where they may not in time. `rained`
    is the day by which the rain in sight does it, or None; `sprinklers_mm` what it leaves.
    """

    day: int | None
    on: date | None
    hours: tuple[Span, ...]
    rained: date | None
    sprinklers_mm: float

    @property
    def in_time(self) -> bool:
        return self.day is not None or self.rained is not None


def watered_in(
    setting: Setting, lawn: Lawn, product: Product, day: int, work: Stretch | None
) -> WateredIn | None:
    """How a product that is put down on the day of index `day`, in the hours `work`, is watered in;
    None where it need not be, or the lawn has no sprinklers."""
    wanted = product.water_in_mm
    if wanted is None or not lawn.irrigated:
        return None
    on = setting.days[day]
    over = work.end if work is not None else time(LAST_HOUR)
    found = sprinklers(setting.site, lawn, on, over, wanted)
    wait = None if found is None else (found[0] - on).days
    # Rain of the next day is waited for; that of later days only where sprinklers wait as long.
    reach = WATER_IN_DAYS - 1 if wait is None else max(1, wait)
    had, rained = _after(setting, on, over), None
    for ahead in range(reach + 1):
        if ahead and day + ahead < len(setting.days):
            had += float(np.nan_to_num(setting.weather.daily.rain_low[day + ahead]))
        if had >= wanted - _LEEWAY:
            rained = on + timedelta(ahead)
            break
    left = 0.0 if rained is not None or wait is None else wanted - had
    return WateredIn(
        None if wait is None else day + wait,
        None if found is None else found[0],
        () if found is None else found[1],
        rained,
        left,
    )


def sprinklers(
    site: Site, lawn: Lawn, on: date, over: time, depth_mm: float
) -> tuple[date, tuple[Span, ...]] | None:
    """The first day on which sprinklers may water in what was put down on a day until `over`, with
    the hours that rules leave of it, none where no rule names hours; None where no day comes in
    time. The day of the work counts where the zones can still run through in its hours."""
    for ahead in range(WATER_IN_DAYS):
        day = on + timedelta(ahead)
        if not site.watering.allows(day, lawn.name):
            continue
        spans = site.watering.spans(day, lawn.name)
        if spans is None:
            return day, ()
        if ahead == 0:
            done = over.hour * 60 + over.minute
            takes = time_taken(site, lawn, depth_mm) or RUN_MINUTES
            left = tuple((max(first, done), last) for first, last in spans)
            spans = tuple((first, last) for first, last in left if last - first >= takes)
        if spans:
            return day, spans
    return None


def _after(setting: Setting, on: date, over: time) -> float:
    """Rain [mm] that is known to come on a day once the work is over."""
    series, zone = setting.weather.series, setting.weather.zone
    base = int(series.start.timestamp())
    begin = datetime.combine(on, over, zone).astimezone(UTC)
    end = midnight(on + timedelta(1), zone)
    first = math.ceil((int(begin.timestamp()) - base) / HOUR)
    last = (int(end.timestamp()) - base) // HOUR
    return float(np.nansum(series.column("rain")[max(0, first) : max(0, last)]))


def too_late(setting: Setting, product: Product) -> str:
    """Why a product that has to be watered in is not put down, where nothing does it in time."""
    wanted = show(product.water_in_mm or 0.0, Kind.WATER, setting.site.units)
    return tell(
        "{product} has to be watered in with {depth}: no sprinklers may run after that day's work"
        " and within {days} days of it, and that much rain is not in sight",
        product=product.shown,
        depth=wanted,
        days=WATER_IN_DAYS,
    )


def how_watered_in(setting: Setting, found: WateredIn) -> str:
    """On which day it is watered in, and by what, for behind a semicolon."""
    units = setting.site.units
    may = ""
    if found.on is not None:
        clock = either(
            [
                tell("{start} to {end}", start=_clock(first), end=_clock(last))
                for first, last in found.hours
            ]
        )
        day = day_text(found.on, units)
        may = (
            tell("on {day}, {hours}", day=day, hours=clock) if clock else tell("on {day}", day=day)
        )
    if found.rained is not None:
        when = day_text(found.rained, units)
        if not may:
            return tell(
                "the rain forecast until {day} should do it, sprinklers may not run in time",
                day=when,
            )
        return tell(
            "the rain forecast until {day} should do it, else by sprinkler {when}",
            day=when,
            when=may,
        )
    return tell(
        "by the forecast sprinklers have to bring {depth}: your watering rules let them {when}",
        depth=show(found.sprinklers_mm, Kind.WATER, units),
        when=may,
    )


def _clock(minutes: int) -> str:
    return f"{minutes // 60 % 24:02}:{minutes % 60:02}"

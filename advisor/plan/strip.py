"""The coming days, each with its weather and its best hours for work on the lawns."""

from __future__ import annotations

import numpy as np

from advisor.plan.choice import Walk
from advisor.plan.hours import Stretch, best_hours
from advisor.plan.model import DayAhead
from advisor.plan.view import ADVICE_DAYS, Setting
from advisor.series.quantity import Kind, show

PUT_DOWN = "feed"
"""What the hours are good for: granules, of which all rules for whatever is put down speak."""


def coming_days(setting: Setting, done: Walk) -> tuple[DayAhead, ...]:
    """The days that the digest gives advice for, as far as the forecast reaches."""
    return tuple(
        _day(setting, done, day)
        for day in range(setting.today, min(setting.end, setting.today + ADVICE_DAYS))
    )


def _day(setting: Setting, done: Walk, day: int) -> DayAhead:
    daily, units = setting.weather.daily, setting.site.units
    chance = float(daily.rain_chance[day])
    low, high = float(daily.air_min[day]), float(daily.air_max[day])
    rain, wind = float(daily.rain_low[day]), float(daily.wind[day])
    hours = _best(setting, done, day)
    start, end = hours.text() if hours is not None else (None, None)
    return DayAhead(
        day=daily.days[day],
        low=show(low, Kind.TEMPERATURE, units),
        high=show(high, Kind.TEMPERATURE, units),
        rain=show(rain, Kind.WATER, units),
        rain_chance="" if np.isnan(chance) else show(chance, Kind.FRACTION, units),
        wind=show(wind, Kind.SPEED, units),
        low_c=_known(low),
        high_c=_known(high),
        rain_mm=_known(rain),
        wind_m_s=_known(wind),
        chance=_known(chance),
        start=start,
        end=end,
    )


def _best(setting: Setting, done: Walk, day: int) -> Stretch | None:
    """The longest dry hours of daylight, the calmest of several, in which the owner is free and no
    rule holds what is put down on some lawn; the same hours for all lawns that may have any."""
    views = [view for view in done.before.values() if not view.held(PUT_DOWN)[day]]
    if not views:
        return None
    free = frozenset.intersection(*(view.work_hours((PUT_DOWN,), day) for view in views))
    weather = setting.weather
    return best_hours(
        weather.series, weather.zone, setting.days[day], setting.now,
        wind_max=None, air_max=None, free=free,
    )  # fmt: skip


def _known(value: float) -> float | None:
    return None if np.isnan(value) else round(value, 3)

"""What is worked out once from a series at a moment: its days, soil, sun and evaporation."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from advisor.conditions import place
from advisor.conditions.daily import Daily, daily
from advisor.conditions.soil import Surface
from advisor.series.hourly import Series
from advisor.site.place import Site

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class WeatherDays:
    """The days of a site's weather and what follows from where it lies."""

    daily: Daily
    surface: Surface
    sun: place.Sun
    et0: place.ReferenceET
    series: Series
    zone: ZoneInfo
    southern: bool

    @cached_property
    def dates(self) -> NDArray[np.datetime64]:
        """The days as an array, shape (days,)."""
        return place.calendar(self.daily.days)


def weather_days(series: Series, site: Site, now: datetime) -> WeatherDays | None:
    """The days of a series as seen at `now` (an aware instant); None where today is not covered."""
    zone = ZoneInfo(site.place.zone)
    days = daily(series, zone, now)
    if days is None:
        return None
    et0 = place.reference_et(days, site.place.latitude, site.place.elevation_m)
    sun = place.sun(days.days, site.place.latitude)
    southern = site.place.latitude < 0
    surface = Surface.under(days, site.place.latitude, site.place.elevation_m)
    return WeatherDays(days, surface, sun, et0, series, zone, southern)

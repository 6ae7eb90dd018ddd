"""The weather facts that all lawns of a site share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.frost import frost_numbers, median_frost
from advisor.conditions.growing import growth_years
from advisor.conditions.pressure import pressure_numbers, pressure_words
from advisor.conditions.stages import insect_words
from advisor.conditions.table import Column, Words
from advisor.conditions.weather_days import WeatherDays, weather_days
from advisor.conditions.weather_numbers import weather_numbers
from advisor.language.words import tell
from advisor.series.hourly import Series
from advisor.series.years import PastYears
from advisor.site.place import Site

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class SiteWeather(WeatherDays):
    """The shared weather with the columns of a lawn's table that it makes, by fact."""

    numbers: Mapping[str, Column]
    words: Mapping[str, Words]
    growth_years: Mapping[str, Floats]
    """See `growing.growth_years`."""
    median_frost: tuple[float, float]
    """See `frost.median_frost`."""


def site_weather(
    series: Series, site: Site, now: datetime, past: PastYears | None = None
) -> SiteWeather | None:
    """The shared weather facts at `now` (an aware instant); None where today is not covered."""
    days = weather_days(series, site, now)
    if days is None:
        return None
    daylight = np.where(days.sun.lengthening, 0, 1).astype(np.int8)
    return SiteWeather(
        **vars(days),
        numbers={
            **weather_numbers(days),
            **pressure_numbers(days),
            **frost_numbers(days.dates, past, days.southern),
        },
        words={
            "daylight": Words(daylight, lambda _: tell("the calendar")),
            **pressure_words(days),
            **insect_words(days),
        },
        growth_years=growth_years(past),
        median_frost=median_frost(past, days.southern),
    )

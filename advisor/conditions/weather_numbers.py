"""The columns of a lawn's table that come from the weather alone."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.table import Column
from advisor.conditions.vocabulary import FACTS
from advisor.conditions.weather_days import WeatherDays
from advisor.language.words import later, tell
from advisor.turf.degree_days import degree_days_simple, sum_since
from advisor.turf.stages import starts_on

Floats = NDArray[np.float64]

SPRING_HEAT_BASE = 10.0
"""50 °F, the base that spring weeds are counted from (Virginia Tech, Purdue) [°C]."""

MOST_GAIN = 35.0
"""Bound on the degree-days of a day whose weather is unknown [°C d]: a mean of 45 °C; judgement."""


SINCE_JANUARY = later("air temperature since 1 January")
SINCE_JULY = later("air temperature since 1 July")


def weather_numbers(weather: WeatherDays) -> dict[str, Column]:
    """The columns by the name of their fact."""
    days = weather.daily

    def of(values: Floats, what: str = "") -> Column:
        return Column.of(values, lambda day: days.origin(day, tell(what)))

    chance = Column.of(
        days.rain_chance,
        lambda day: (
            tell("by hindsight, from the amount")
            if days.chance_by_hindsight[day]
            else days.origin(day)
        ),
    )
    return {
        "air_temp": of(days.air_mean),
        "air_max": of(days.air_max),
        "air_min": of(days.air_min),
        "rain_chance": chance,
        "rain_peak": of(days.rain_peak),
        "wind": of(days.wind),
        "gust": of(days.gust),
        "humidity": of(days.humidity),
        "snow_depth": of(days.snow_depth),
        "heat_index": of(days.heat_index, later("NWS heat index")),
        "heat_load": of(days.heat_load),
        "et0": Column.of(weather.et0.values, weather.et0.origin),
        "daylight_hours": Column.of(weather.sun.hours / 24, lambda _: tell("sun's geometry")),
        "spring_heat": _spring_heat(weather),
    }


def _spring_heat(weather: WeatherDays) -> Column:
    """Degree-days above 50 °F since the year turned; unknown days leave it open upwards."""
    days, southern = weather.daily, weather.southern
    gains = degree_days_simple(days.air_max, days.air_min, SPRING_HEAT_BASE)
    turns = starts_on(weather.dates, (1, 1), southern=southern)
    low, high = sum_since(gains, turns, MOST_GAIN)
    since = SINCE_JULY if southern else SINCE_JANUARY
    return Column(
        low, np.minimum(high, FACTS["spring_heat"].high), lambda day: days.origin(day, tell(since))
    )

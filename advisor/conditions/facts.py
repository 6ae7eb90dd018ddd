"""The facts of one lawn, assembled into the table that rules read."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from advisor.conditions import place
from advisor.conditions.daily import Daily, daily
from advisor.conditions.grass import running_mean
from advisor.conditions.soil import Soil
from advisor.conditions.table import Column, Table, Words
from advisor.conditions.vocabulary import FACTS
from advisor.conditions.water import DRY, WET, Water, rain_with_gauge, water
from advisor.series.hourly import Series
from advisor.series.quantity import Kind, show
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.sums import Sums
from advisor.site.words import TASKS
from advisor.turf.growth import degree_days_simple, growth_potential

Floats = NDArray[np.float64]

SPRING_HEAT_BASE = 10.0
"""50 °F, the base that spring weeds are counted from (Virginia Tech, Purdue) [°C]."""

SATURATING_DRAINAGE = 5.0
"""Drainage of a day that leaves the topsoil too wet to walk on [mm; judgement]."""

FROZEN_DEPTH = 0.05
"""Depth at which frozen soil is looked for: 2 in [m]."""

SNOW_COVER = 0.01
"""Snow that counts as cover [m]."""

SNOW_LIES_BELOW = 2.0
"""Three-day mean air temperature above which no snow is left lying [°C; judgement]."""


@dataclass(frozen=True)
class SiteWeather:
    """What all lawns of a site share, worked out once from a series at a moment."""

    daily: Daily
    soil: Soil
    sun: place.Sun
    et0: place.ReferenceET
    series: Series
    zone: ZoneInfo


def site_weather(series: Series, site: Site, now: datetime) -> SiteWeather | None:
    """The shared weather facts at `now` (an aware instant); None where today is not covered."""
    zone = ZoneInfo(site.place.zone)
    days = daily(series, zone, now)
    if days is None:
        return None
    et0 = place.reference_et(days, site.place.latitude, site.place.elevation_m)
    sun = place.sun(days.days, site.place.latitude)
    return SiteWeather(days, Soil.under(days), sun, et0, series, zone)


@dataclass(frozen=True)
class LawnFacts:
    """One lawn's table, with the water balance behind it."""

    table: Table
    water: Water


def lawn_facts(
    weather: SiteWeather,
    site: Site,
    lawn: Lawn,
    sums: Sums,
    *,
    planned_mm: Floats | None = None,
    perhaps_mm: Floats | None = None,
) -> LawnFacts:
    """All facts of one lawn, a row a day.

    `planned_mm` and `perhaps_mm` (shape (days,)) are water that the plan gives, and water that
    was advised and not answered.
    """
    days = weather.daily
    nothing = np.zeros(len(days.days))
    soil_10cm, _ = weather.soil.at(0.10)
    balance = water(
        days, lawn, sums, weather.et0.values, soil_10cm,
        nothing if planned_mm is None else planned_mm,
        nothing if perhaps_mm is None else perhaps_mm,
        southern=site.place.latitude < 0,
    )  # fmt: skip
    numbers = _weather_numbers(weather, site.place.latitude < 0) | _lawn_numbers(
        weather, site, lawn, sums, balance
    )
    depths: dict[float, Column] = {}

    def at_depth(name: str, depth: float) -> Column:
        if name != "soil_temp":
            raise KeyError(name)
        if depth not in depths:
            values, _ = weather.soil.at(depth)
            depths[depth] = Column.of(values, lambda day: weather.soil.origin(day, depth))
        return depths[depth]

    words = {
        "daylight": Words(
            np.where(weather.sun.lengthening, 0, 1).astype(np.int8), lambda _: "the calendar"
        ),
        "soil": Words(_soil_words(weather, balance), _balance_origin(weather, site, lawn)),
        "grass": Words(
            balance.states, lambda day: f"soil at 10 cm ({weather.soil.origin(day, 0.10)}), heat"
            " and the water balance"
        ),
    }  # fmt: skip
    table = Table(
        days=days.days,
        numbers=numbers,
        at_depth=at_depth,
        words=words,
        since=_since(sums, lawn, days.days),
        today=days.today,
        forecast_end=days.forecast_end,
    )
    return LawnFacts(table, balance)


def _weather_numbers(weather: SiteWeather, southern: bool) -> dict[str, Column]:
    days = weather.daily

    def of(values: Floats, what: str = "") -> Column:
        return Column.of(values, lambda day: days.origin(day, what))

    chance = Column.of(
        days.rain_chance,
        lambda day: (
            "by hindsight, from the amount" if days.chance_by_hindsight[day] else days.origin(day)
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
        "heat_index": of(days.heat_index, "NWS heat index"),
        "heat_load": of(days.heat_load),
        "et0": Column.of(weather.et0.values, weather.et0.origin),
        "daylight_hours": Column.of(weather.sun.hours / 24, lambda _: "sun's geometry"),
        "spring_heat": _spring_heat(days, southern),
    }


def _spring_heat(days: Daily, southern: bool) -> Column:
    """Degree-days above 50 °F since the year turned; unknown days leave a lower bound."""
    gains = degree_days_simple(days.air_max, days.air_min, SPRING_HEAT_BASE)
    low = np.zeros(len(gains))
    complete = np.zeros(len(gains), dtype=bool)
    total, whole = 0.0, False
    turn = (7, 1) if southern else (1, 1)
    for i, day in enumerate(days.days):
        if (day.month, day.day) == turn:
            total, whole = 0.0, True
        if np.isnan(gains[i]):
            whole = False
        else:
            total += float(gains[i])
        low[i], complete[i] = total, whole
    high = np.where(complete, low, FACTS["spring_heat"].high)
    return Column(
        low,
        high,
        lambda day: days.origin(
            day, f"air temperature since 1 {'July' if southern else 'January'}"
        ),
    )


def _lawn_numbers(
    weather: SiteWeather, site: Site, lawn: Lawn, sums: Sums, balance: Water
) -> dict[str, Column]:
    days = weather.daily
    rain_low, rain_high, measured = rain_with_gauge(days, lawn, sums)
    origin = _balance_origin(weather, site, lawn)
    left = 1 - balance.depletion / balance.total
    nitrogen_low, nitrogen_high = _nitrogen(sums, lawn, days.days, days.today)
    limit = lawn.nitrogen_limit_g_m2
    journal: Callable[[int], str] = lambda _day: "your journal"  # noqa: E731
    return {
        "rain": Column(
            rain_low, rain_high, lambda day: "your gauge" if measured[day] else days.origin(day)
        ),
        "growth": Column.of(
            growth_potential(running_mean(days.air_mean, 7), lawn.grass_class),
            lambda day: days.origin(day, "growth potential of the week's air temperature"),
        ),
        "water_use": Column(balance.use[WET], balance.use[DRY], origin),
        "depletion": Column(balance.depletion[WET], balance.depletion[DRY], origin),
        "stress_line": Column(
            np.minimum(*balance.stress_line), np.maximum(*balance.stress_line), origin
        ),
        "water_left": Column(left[DRY], left[WET], origin),
        "nitrogen_year": Column(nitrogen_low, nitrogen_high, journal),
        "nitrogen_left": Column(
            np.maximum(0.0, limit - nitrogen_high), np.maximum(0.0, limit - nitrogen_low), journal
        ),
    }


def _balance_origin(weather: SiteWeather, site: Site, lawn: Lawn) -> Callable[[int], str]:
    roots = show(lawn.roots_m, Kind.LENGTH, site.units)

    def origin(day: int) -> str:
        how = weather.et0.method(max(0, day - 1))
        return f"water balance of {roots} of {lawn.soil.replace('-', ' ')} ({how} ET0)"

    return origin


def _nitrogen(sums: Sums, lawn: Lawn, days: Sequence[date], today: int) -> tuple[Floats, Floats]:
    """Nitrogen of the calendar year up to each day [g/m2], least and most.

    Worked out for today and what is ahead, which is all that a decision asks for; before that it
    is left unknown.
    """
    low, high = np.full(len(days), -np.inf), np.full(len(days), np.inf)
    for i in range(today, len(days)):
        low[i], high[i] = sums.total(lawn.name, "nitrogen", days[i].year, upto=days[i])
    return low, high


def _since(sums: Sums, lawn: Lawn, days: Sequence[date]) -> dict[str, Column]:
    out = {}
    for task in TASKS:
        low, high = sums.days_since(lawn.name, task, days)
        out[task] = Column(low, high, lambda _day: "your journal")
    return out


def _soil_words(weather: SiteWeather, balance: Water) -> NDArray[np.int8]:
    """Frozen, saturated, moist or dry; -1 where the wet and the dry path differ."""
    days = weather.daily
    soil, _ = weather.soil.at(FROZEN_DEPTH)
    snow = days.snow_depth > SNOW_COVER
    # A source without snow leaves it open whether some lies, but only in the cold.
    perhaps_snow = np.isnan(days.snow_depth) & ~(running_mean(days.air_mean, 3) > SNOW_LIES_BELOW)
    frozen = (soil < 0) | snow
    unknown = (np.isnan(soil) | perhaps_snow) & ~frozen
    wet = (balance.drainage > SATURATING_DRAINAGE) | (balance.runoff > 0)
    # Soil that drained yesterday is still wet underfoot this morning.
    wet = wet | np.concatenate([np.zeros((2, 1), dtype=bool), wet[:, :-1]], axis=1)
    dry = balance.depletion > balance.stress_line
    per_path = np.where(wet, 1, np.where(dry, 3, 2))
    known = (per_path[WET] == per_path[DRY]) & ~unknown
    return np.where(frozen, 0, np.where(known, per_path[WET], -1)).astype(np.int8)

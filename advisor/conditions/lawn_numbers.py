"""The columns of a lawn's table that its water, its growth and its journal make."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.grass import running_mean
from advisor.conditions.growing import height_of, nitrogen_pace
from advisor.conditions.journal_days import newly_seeded
from advisor.conditions.site_weather import SiteWeather
from advisor.conditions.table import Column
from advisor.conditions.vocabulary import SINCE
from advisor.conditions.water import DRY, WET, Water, days_to_stress, rain_with_gauge
from advisor.language.words import later, tell
from advisor.series.quantity import Kind, show
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.sums import Sums
from advisor.turf.grasses import turfgrass
from advisor.turf.growth import growth_potential

Floats = NDArray[np.float64]


TEXTURES = {
    "sand": later("sand"),
    "loamy-sand": later("loamy sand"),
    "sandy-loam": later("sandy loam"),
    "loam": later("loam"),
    "silt-loam": later("silt loam"),
    "silt": later("silt"),
    "sandy-clay-loam": later("sandy clay loam"),
    "clay-loam": later("clay loam"),
    "silty-clay-loam": later("silty clay loam"),
    "sandy-clay": later("sandy clay"),
    "clay": later("clay"),
}
"""Textures of a lawn's soil, in words."""


def lawn_numbers(
    weather: SiteWeather, site: Site, lawn: Lawn, sums: Sums, balance: Water
) -> dict[str, Column]:
    """The columns by the name of their fact."""
    days = weather.daily
    rain_low, rain_high, measured = rain_with_gauge(days, lawn, sums)
    origin = balance_origin(weather, site, lawn)
    left = 1 - balance.depletion / balance.total
    nitrogen_low, nitrogen_high = _nitrogen(sums, lawn, days.days, days.today)
    limit = lawn.nitrogen_limit_g_m2
    journal: Callable[[int], str] = lambda _day: tell("your journal")  # noqa: E731
    soonest, latest = days_to_stress(balance)
    new = newly_seeded(sums, lawn.name, days.days) != 0
    growth = growth_potential(
        running_mean(days.air_mean, 7),
        lawn.grass_class,
        optimum_c=turfgrass(lawn.grass).optimum_c.value,
    )
    return {
        "rain": Column(
            rain_low,
            rain_high,
            lambda day: tell("your gauge") if measured[day] else days.origin(day),
        ),
        "growth": Column.of(
            growth,
            lambda day: days.origin(day, tell("growth potential of the week's air temperature")),
        ),
        "water_use": Column(balance.use[WET], balance.use[DRY], origin),
        "depletion": Column(balance.depletion[WET], balance.depletion[DRY], origin),
        "stress_line": Column(
            np.minimum(*balance.stress_line), np.maximum(*balance.stress_line), origin
        ),
        "water_left": Column(left[DRY], left[WET], origin),
        # Seedlings have no such roots: they may lack water any day.
        "days_to_stress": Column(np.where(new, 0.0, soonest), latest, origin),
        "grass_height": height_of(_mowings(sums, lawn), growth, days.days),
        "nitrogen_pace": nitrogen_pace(
            weather.growth_years.get(lawn.grass_class), limit, days.days
        ),
        "nitrogen_year": Column(nitrogen_low, nitrogen_high, journal),
        "nitrogen_left": Column(
            np.maximum(0.0, limit - nitrogen_high), np.maximum(0.0, limit - nitrogen_low), journal
        ),
    }


def balance_origin(weather: SiteWeather, site: Site, lawn: Lawn) -> Callable[[int], str]:
    """Where a day's water came from, as a phrase."""

    def origin(day: int) -> str:
        return tell(
            "water balance of {depth} of {soil} ({method} ET0)",
            depth=show(lawn.roots_m, Kind.LENGTH, site.units),
            soil=tell(TEXTURES[lawn.soil]),
            method=weather.et0.method(max(0, day - 1)),
        )

    return origin


def _mowings(sums: Sums, lawn: Lawn) -> list[tuple[date, float | None]]:
    """By day, at the height that was told or else that the owner says they mow at."""
    return [(day, height or lawn.mown_at_m) for day, height in sums.mowings(lawn.name)]


def _nitrogen(sums: Sums, lawn: Lawn, days: Sequence[date], today: int) -> tuple[Floats, Floats]:
    """Nitrogen of the calendar year up to each day [g/m2], least and most.

    Worked out for today and what is ahead, which is all that a decision asks for; before that it
    is left unknown.
    """
    low, high = np.full(len(days), -np.inf), np.full(len(days), np.inf)
    for i in range(today, len(days)):
        low[i], high[i] = sums.total(lawn.name, "nitrogen", days[i].year, upto=days[i])
    return low, high


def since(sums: Sums, lawn: Lawn, days: Sequence[date]) -> dict[str, Column]:
    """`days since` each task, deed and sighting, by its name."""
    out = {}
    for name in SINCE:
        low, high = sums.days_since(lawn.name, name, days)
        out[name] = Column(low, high, lambda _day: tell("your journal"))
    return out

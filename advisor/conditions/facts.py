"""The facts of one lawn, assembled into the table that rules read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.lawn_numbers import balance_origin, lawn_numbers, since
from advisor.conditions.place import reference_et
from advisor.conditions.seeding import seeding_words
from advisor.conditions.site_weather import SiteWeather
from advisor.conditions.soil import Soil, readings_of
from advisor.conditions.stages import crabgrass_stages, weed_words
from advisor.conditions.stated import mowing_height, site_words, soil_test_words
from advisor.conditions.table import Column, Table, Words
from advisor.conditions.topsoil import soil_words
from advisor.conditions.water import Water, water
from advisor.language.words import tell
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.sums import Sums
from advisor.turf.emergence import Emergence
from advisor.turf.soils import HEAT_DIFFUSIVITY

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class LawnFacts:
    """One lawn's table, with the water balance and the soil behind it."""

    table: Table
    water: Water
    soil: Soil
    crabgrass: Emergence


@dataclass(frozen=True)
class Stated:
    """The part of a lawn's table that its days and the owner's files alone make."""

    words: Mapping[str, Words]
    since: Mapping[str, Column]


def stated_facts(site: Site, lawn: Lawn, sums: Sums, days: Sequence[date]) -> Stated:
    """What the files state of each day: the law, sprinklers, soil tests, days since."""
    return Stated(
        {**site_words(site, lawn, days, sums), **soil_test_words(sums, lawn, days)},
        since(sums, lawn, days),
    )


def lawn_facts(
    weather: SiteWeather,
    site: Site,
    lawn: Lawn,
    sums: Sums,
    *,
    planned_mm: Floats | None = None,
    perhaps_mm: Floats | None = None,
    stated: Stated | None = None,
) -> LawnFacts:
    """All facts of one lawn, a row a day.

    `planned_mm` and `perhaps_mm` (shape (days,)) are water that the plan gives, and water that
    was advised and not answered. `stated` spares working that out again for another weather of the
    same days.
    """
    days = weather.daily
    owners = stated_facts(site, lawn, sums, days.days) if stated is None else stated
    nothing = np.zeros(len(days.days))
    soil = Soil.under(
        days,
        weather.surface,
        HEAT_DIFFUSIVITY[lawn.soil],
        readings_of(sums.soil_readings(lawn.name), weather.zone, site.place.longitude),
        site.units,
    )
    soil_10cm, _ = soil.at(0.10)
    et0 = weather.et0
    if lawn.shade:
        et0 = reference_et(days, site.place.latitude, site.place.elevation_m, lawn.shade)
    balance = water(
        days, lawn, sums, et0.values, soil_10cm,
        nothing if planned_mm is None else planned_mm,
        nothing if perhaps_mm is None else perhaps_mm,
        southern=weather.southern,
    )  # fmt: skip
    numbers = {
        **weather.numbers,
        **lawn_numbers(weather, site, lawn, sums, balance),
        "mowing_height": mowing_height(lawn, len(days.days)),
    }
    depths: dict[float, Column] = {}

    def at_depth(name: str, depth: float) -> Column:
        if name != "soil_temp":
            raise KeyError(name)
        if depth not in depths:
            values, _ = soil.at(depth)
            depths[depth] = Column.of(values, lambda day: soil.origin(day, depth))
        return depths[depth]

    crab = crabgrass_stages(weather, soil)
    words = {
        **weather.words,
        **weed_words(weather, soil, crab),
        **seeding_words(weather, soil, weather.median_frost),
        **owners.words,
        "soil": Words(soil_words(weather, soil, balance), balance_origin(weather, site, lawn)),
        "grass": Words(
            balance.states,
            lambda day: tell(
                "soil at 10 cm ({origin}), heat and the water balance",
                origin=soil.origin(day, 0.10),
            ),
        ),
    }  # fmt: skip
    table = Table(
        days=days.days,
        numbers=numbers,
        at_depth=at_depth,
        words=words,
        since=owners.since,
        today=days.today,
        forecast_end=days.forecast_end,
    )
    return LawnFacts(table, balance, soil, crab)

"""A plain place for the situations: smooth weather, of which each changes what it is about.

Nothing here is agronomy: a year of sines for air and soil, no rain but what a situation states (and
a soaking four days before, so that the root zone is nearly full), a light wind, air that is neither
dry nor damp. What comes of it is argued in the situations, each from a source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from advisor.plan.compose import Given, make_plan
from advisor.plan.model import Plan
from advisor.series.hourly import Series, Source
from advisor.series.years import PastYears
from advisor.service.folders import shipped_book
from advisor.site.events import Advised
from advisor.site.load import read_site

Floats = NDArray[np.float64]
ZONE = ZoneInfo("America/New_York")
PAST, AHEAD = 100, 12
"""Days of weather before the day of the situation, and from it on."""

At = tuple[int, int]
"""A day, counted from today, and an hour by the clock."""


@dataclass(frozen=True)
class Sky:
    """The weather of a situation, where it differs from the plain place's."""

    air_c: float | None = None
    """Mean air temperature of the last 20 days and of those ahead; the season's if None."""
    range_c: float = 10.0
    """From the lowest of a day to its highest."""
    soil_c: float | None = None
    """Soil in all depths over those days; the season's if None."""
    rain_mm: Mapping[At, float] = field(default_factory=dict)
    """Rain by hour, over and above the soaking."""
    soaked: int = -4
    """The day of the last soaking rain, 40 mm."""
    wind_m_s: Mapping[tuple[int, int], float] = field(default_factory=dict)
    """Wind from one full hour to another, both included, every day; 2.5 else, the last one wins."""
    air_at: Mapping[At, float] = field(default_factory=dict)
    """Air at a full hour, where a single morning matters [C]."""
    snow_m: float = 0.0
    humidity: float = 0.6


def season(day_of_year: Floats, mean: float, swing: float, lag: float) -> Floats:
    """A year's sine, warmest `lag` days after 20 July."""
    return mean + swing * np.cos((day_of_year - 201 - lag) / 365 * 2 * np.pi)


def series(today: date, sky: Sky, latitude: float) -> Series:
    """Hourly weather over whole local days around `today`."""
    first, last = today - timedelta(PAST), today + timedelta(AHEAD)
    start = datetime.combine(first, time(), ZONE).astimezone(UTC)
    end = datetime.combine(last, time(), ZONE).astimezone(UTC)
    local = [
        (start + timedelta(hours=n)).astimezone(ZONE)
        for n in range(int((end - start) / timedelta(hours=1)))
    ]
    day = np.array([(moment.date() - today).days for moment in local])
    hour = np.array([moment.hour for moment in local])
    of_year = np.array([moment.timetuple().tm_yday for moment in local], dtype=np.float64)
    late = day >= -20
    mean = season(of_year, 14.5, 11.5, 0)
    if sky.air_c is not None:
        mean = np.where(late, sky.air_c, mean)
    wave = np.cos((hour - 14) / 24 * 2 * np.pi)
    air = mean + sky.range_c / 2 * wave
    # A row tells of an instant at its end: of the full hour after the one that it begins at.
    full_hour = hour + 1
    for (on, at), value in sky.air_at.items():
        air[(day == on) & (full_hour == at)] = value
    soil = {}
    for depth, lag in ((0, 2.0), (6, 6.0), (18, 12.0), (54, 30.0)):
        column = season(of_year, 15.5, 10.0, lag)
        soil[f"soil_temp_{depth}"] = np.where(late & (sky.soil_c is not None),
                                              sky.soil_c or 0.0, column)  # fmt: skip
    rain = np.zeros(len(local))
    rain[(day == sky.soaked) & (hour >= 2) & (hour < 10)] = 5.0
    for soaking in range(sky.soaked - 6, -PAST, -6):
        rain[(day == soaking) & (hour >= 2) & (hour < 6)] = 5.0
    for (on, at), depth_mm in sky.rain_mm.items():
        rain[(day == on) & (hour == at)] += depth_mm
    wind = np.full(len(local), 2.5)
    for (begin, until), speed in sky.wind_m_s.items():
        wind[(full_hour >= begin) & (full_hour <= until)] = speed
    height = np.sin(
        np.radians(90 - abs(latitude - 23.0 * np.cos((of_year - 172) / 365 * 2 * np.pi)))
    )
    sun = np.maximum(0.0, np.cos((hour - 12.5) / 14 * np.pi)) * (np.abs(hour - 12.5) < 7)
    damp = np.full(len(local), sky.humidity)
    columns = {
        "air_temp": air,
        "humidity": damp,
        "dew_point": air - (1 - damp) * 20,
        "rain": rain,
        "rain_chance": np.where(rain > 0, 0.9, 0.05),
        "wind": wind,
        "gust": wind * 1.3,
        "radiation": 900 * height * sun,
        "snow_depth": np.where(late, sky.snow_m, 0.0),
        **soil,
    }
    fetched = datetime.combine(today, time(5), ZONE)
    return Series(start, columns, Source("a made-up sky", fetched))


def past_years(today: date) -> PastYears:
    """Twelve years of the season's sine, each a little warmer or colder than the last."""
    begin = date(today.year - 12, 1, 1)
    axis = np.arange(np.datetime64(begin), np.datetime64(date(today.year, 1, 1)))
    of_year = (axis - axis.astype("datetime64[Y]")).astype(np.float64) + 1
    year = axis.astype("datetime64[Y]").astype(int)
    shift = np.array([-1.5, 0.5, 1.0, -0.5, 0.0, 1.5])[year % 6]
    # A cold snap every twelfth day, else a sine would have a single first frost for all years.
    snap = np.where(np.arange(len(axis)) % 12 == 0, -4.0, 0.0)
    mean = season(of_year, 14.5, 11.5, 0) + shift + snap
    return PastYears(
        begin,
        air_max=mean + 6,
        air_min=mean - 6,
        rain=np.where(np.arange(len(axis)) % 6 == 0, 18.0, 0.0),
        radiation=np.maximum(4.0, 15 + 9 * np.cos((of_year - 172) / 365 * 2 * np.pi)),
        source=Source("a made-up sky", datetime(today.year, 1, 10, tzinfo=UTC)),
    )


LAWN = """\
[[lawn]]
name = "{name}"
grass = "{grass}"
area = "5000 ft2"
soil = "{soil}"
roots = "8 in"
{more}
"""


def lawn(
    grass: str = "tall-fescue", *, name: str = "front", soil: str = "loam", more: str = ""
) -> str:
    """A lawn's table as its owner writes it."""
    return LAWN.format(name=name, grass=grass, soil=soil, more=more)


def decide(
    today: date,
    sky: Sky,
    lawns: str,
    shelf: str,
    journal: str,
    *,
    more: str = "",
    latitude: float = 36.1,
    advised: Sequence[Advised] = (),
    house: int | None = None,
) -> Plan:
    """What the shipped rules come to for a situation, decided at 06:00 of its day."""
    site = (
        'id = "situation"\ntitle = "A situation"\nunits = "us"\n[place]\n'
        f'latitude = {latitude}\nlongitude = -79.9\nelevation = "890 ft"\n'
        f'zone = "{ZONE.key}"\n' + (f"house = {house}\n" if house else "") + f"{lawns}{more}"
    )
    read = read_site({"site.toml": site, "shelf.toml": shelf, "journal.txt": journal}, today=today)
    errors = [problem.sentence for problem in read.problems if not problem.warning]
    assert not errors, errors
    assert read.site is not None
    given = Given(
        site=read.site,
        shelf=read.shelf,
        journal=read.journal,
        book=shipped_book(),
        series=series(today, sky, latitude),
        advised=advised,
        attribution="made up",
        attribution_url="https://weather.example.org",
        past=past_years(today),
    )
    return make_plan(given, datetime.combine(today, time(6), ZONE))

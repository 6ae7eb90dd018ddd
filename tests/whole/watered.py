"""A lawn watered through real summers by four ways, and scored by a balance that is not ours.

The way of the house is asked every morning, through the walk that makes every plan: past weather as
it was, coming days as a forecast in error, the owner's journal with the water given so far. What it
plans for that same day is given. The two others go by the calendar.

The score is kept by pyfao56 (USDA-ARS), set up as in `test_published_soil_water`: the same soil,
roots and demand; a day is one of stress where the library's Ks, that of the morning, is below 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pyfao56
from chicago import of_years
from numpy.typing import NDArray

from advisor.conditions.site_weather import site_weather
from advisor.conditions.weather_days import weather_days
from advisor.plan.choice import Walk
from advisor.plan.fold import walk
from advisor.plan.view import Setting
from advisor.rulebook.book import Rulebook, RuleFile
from advisor.rulebook.read import read_rulebook
from advisor.series.hourly import Series, Source
from advisor.shipped import shipped
from advisor.site.events import Advised
from advisor.site.load import read_site
from advisor.site.sums import Sums, sums
from advisor.site.words import WATERING
from advisor.turf.soils import AVAILABLE_WATER, crop_coefficients

Floats = NDArray[np.float64]

FIRST, LAST = (5, 1), (9, 30)
"""The season in which water is given and scored, both days in it."""

SOAKED = (4, 30)
"""The day on which every lawn is watered through, whatever its way; it counts for none."""

SOAKING = 45.0
"""Enough for an empty root zone [mm]."""

AHEAD = 7
"""Days of a forecast, today included."""

INCH = 25.4

CHAMPION = (
    'latitude = 40.4\nlongitude = -101.7\nelevation = "1000 m"\nzone = "America/Denver"\n',
    ZoneInfo("America/Denver"),
)
BRUSSELS = (
    'latitude = 50.8\nlongitude = 4.36\nelevation = "100 m"\nzone = "Europe/Brussels"\n',
    ZoneInfo("Europe/Brussels"),
)
CHICAGO = (
    'latitude = 41.98\nlongitude = -87.9\nelevation = "205 m"\nzone = "America/Chicago"\n',
    ZoneInfo("America/Chicago"),
)
"""Where the stations lie, in the words of site.toml, and their clocks."""

HEAD = 'id = "score"\ntitle = "Score"\nunits = "metric"\n[place]\n'
LAWN = """\
[[lawn]]
name = "front"
grass = "tall-fescue"
area = "400 m2"
soil = "loam"
roots = "10 in"
cover = "good"
"""
SOIL, ROOTS_M, P_TABLE, CURVE = "loam", 0.254, 0.40, 61.0


@dataclass(frozen=True)
class Year:
    """A year's weather from 1 April to 10 October, a value a day: C, C, mm, mm."""

    days: list[date]
    low: Floats
    high: Floats
    rain: Floats
    et0: Floats
    place: tuple[str, ZoneInfo] = CHAMPION

    def index(self, month_day: tuple[int, int]) -> int:
        return self.days.index(date(self.days[0].year, *month_day))

    @property
    def season(self) -> slice:
        return slice(self.index(FIRST), self.index(LAST) + 1)

    @property
    def demand(self) -> Floats:
        """What the grass would use where it lacks nothing [mm/d]."""
        months = np.array([day.month - 1 for day in self.days])
        return np.asarray(crop_coefficients("cool-season"))[months] * self.et0


@dataclass(frozen=True)
class Score:
    """Stress days, water given [mm] and what drained or ran off [mm], over the season."""

    stress: int
    water: float
    lost: float
    lacked: float


@dataclass(frozen=True)
class Errors:
    """How a forecast errs at a lead of so many days: chance that rain is missed, chance that a dry
    day has rain in it, spread of amounts (of the logarithm) and of demand."""

    missed: float = 0.10
    missed_a_day: float = 0.04
    false: float = 0.05
    false_a_day: float = 0.015
    amount: float = 0.30
    amount_a_day: float = 0.08
    demand: float = 0.05
    demand_a_day: float = 0.015


def forecast(
    year: Year, today: int, errors: Errors, rng: np.random.Generator, days: int = AHEAD
) -> tuple[Floats, Floats]:
    """Rain and ET0 [mm] as forecast on a morning for that day and those after it, `days` in all."""
    lead = np.arange(days)
    ahead = slice(today, today + days)
    true, demand = year.rain[ahead], year.et0[ahead]
    wet = year.rain[year.rain > 0.2]
    missed = rng.random(days) < errors.missed + errors.missed_a_day * lead
    false = rng.random(days) < errors.false + errors.false_a_day * lead
    spread = errors.amount + errors.amount_a_day * lead
    # A lognormal of mean 1: amounts err, but are not too wet or too dry on the whole.
    scale = np.exp(spread * rng.standard_normal(days) - spread**2 / 2)
    rain = np.where(missed, 0.0, true * scale)
    rain = np.where((true <= 0.2) & false, rng.choice(wet, days) * scale, rain)
    blur = errors.demand + errors.demand_a_day * lead
    return rain, demand * np.exp(blur * rng.standard_normal(days))


@cache
def water_rules() -> Rulebook:
    """The shipped rules for watering, alone."""
    texts = sorted(shipped("rules").glob("*.rules"))
    book = read_rulebook([RuleFile(p.name, p.read_text(encoding="utf-8")) for p in texts])
    assert not book.problems
    kept = {name: rule for name, rule in book.rules.items() if WATERING in rule.tasks}
    return replace(book, rules=kept)


def advised(year: Year, errors: Errors, seed: int, more: str = "") -> Floats:
    """Water [mm] of each day by the advisor; `more` is more of site.toml."""
    rng = np.random.default_rng(seed)
    given = np.zeros(len(year.days))
    soaked = year.days[year.index(SOAKED)]
    lines = [f"journal from {year.days[0]}", f"{soaked}  front  watered {SOAKING:.0f} mm"]
    for today in range(year.season.start, year.season.stop):
        rain, et0 = forecast(year, today, errors, rng)
        mm = _on_the_day(year, today, rain, et0, "\n".join(lines) + "\n", more)
        if mm > 0:
            given[today] = mm
            lines.append(f"{year.days[today]}  front  watered {mm:.2f} mm")
    return given


def _on_the_day(
    year: Year, today: int, rain: Floats, et0: Floats, journal: str, more: str
) -> float:
    """What the walk plans for a morning itself [mm]."""
    setting, _, done = walked(year, today, rain, et0, journal, more)
    return sum(
        choice.water_mm
        for choice in done.choices
        if choice.task == WATERING and choice.day == setting.today
    )


def walked(
    year: Year, today: int, rain: Floats, et0: Floats, journal: str, more: str,
    told: Sequence[Advised] = (),
) -> tuple[Setting, Sums, Walk]:  # fmt: skip
    """A morning's walk, by its forecast and by what the journal and earlier mails say."""
    now = datetime.combine(year.days[today], time(3, 30), year.place[1])
    read = read_site(
        {"site.toml": HEAD + year.place[0] + LAWN + more, "shelf.toml": "", "journal.txt": journal},
        today=year.days[today],
    )
    assert read.site is not None, read.problems
    end = today + len(rain)
    shared = site_weather(
        _series(year, end, np.concatenate([year.rain[:today], rain]), now), read.site, now
    )
    assert shared is not None
    # The station's own ET0, which its temperatures alone do not give.
    values = np.concatenate([year.et0[:today], et0])
    assert len(shared.daily.days) == len(values)
    shared = replace(shared, et0=replace(shared.et0, values=values))
    setting = Setting(read.site, read.shelf, water_rules(), shared, now)
    counted = sums(read.site, read.shelf, read.journal, told, year.days[today])
    return setting, counted, walk(setting, counted, now, {})


def _series(year: Year, end: int, rain: Floats, now: datetime) -> Series:
    """The first `end` days hour by hour: a wave between low and high, rain at three in the
    afternoon, as most of it falls there."""
    start = datetime.combine(year.days[0], time(), year.place[1]).astimezone(UTC)
    stop = datetime.combine(year.days[0] + timedelta(end), time(), year.place[1]).astimezone(UTC)
    hours = int((stop - start) / timedelta(hours=1))
    ends = np.arange(1, hours + 1)
    day, hour = np.minimum((ends - 1) // 24, end - 1), (ends - 1) % 24
    mean, half = (year.high + year.low)[day] / 2, (year.high - year.low)[day] / 2
    falling = np.where(hour == 15, rain[day], 0.0)
    columns = {"air_temp": mean + half * np.cos((hour - 15) / 24 * 2 * np.pi), "rain": falling}
    return Series(start, columns, Source("the station", now.astimezone(UTC)))


def weekly_inch(year: Year) -> Floats:
    """An inch on the first day of each week, whatever falls."""
    return _every(year, 7, INCH)


def every_other_day(year: Year, mm: float = INCH * 2 / 7) -> Floats:
    """The same depth every second day; an inch a week if not said otherwise."""
    return _every(year, 2, mm)


def _every(year: Year, days: int, mm: float) -> Floats:
    given = np.zeros(len(year.days))
    given[year.season][::days] = mm
    return given


def score(year: Year, given: Floats) -> Score:
    """The season by pyfao56."""
    capacity, wilting = AVAILABLE_WATER[SOIL]
    keys = pd.DatetimeIndex(year.days).strftime("%Y-%j")
    sky = pyfao56.Weather()
    sky.wndht = 2.0
    sky.wdata = pd.DataFrame(dict.fromkeys(sky.cnames, np.nan), index=keys)
    # With a coefficient of 1 the reference is the demand of turf.
    sky.wdata["Rain"], sky.wdata["ETref"] = year.rain, year.demand
    sky.wdata["RHmin"], sky.wdata["Wndsp"] = 45.0, 2.0
    water = pyfao56.Irrigation()
    # Water comes before dawn, and the library's day takes its Ks from the evening before: so
    # what is given on a morning is entered there, for every way alike.
    entered = np.roll(given, -1)
    entered[year.index(SOAKED)] += SOAKING
    water.idata = pd.DataFrame({"Depth": entered, "fw": 1.0, "ieff": 100.0}, index=keys)
    soil = pyfao56.Parameters(
        Kcbini=1.0, Kcbmid=1.1, Lini=10_000, thetaFC=capacity, thetaWP=wilting, theta0=capacity,
        Zrini=ROOTS_M, Zrmax=ROOTS_M, pbase=P_TABLE, Ze=0.0, CN2=_curve(),
    )  # fmt: skip
    model = pyfao56.Model(keys[0], keys[-1], soil, sky, irr=water, roff=True)
    model.run()
    season = model.odata.iloc[year.season]
    ks = season["Ks"].astype(float)
    lost = season["DP"].astype(float).sum() + season["Runoff"].astype(float).sum()
    return Score(
        int((ks < 1 - 1e-9).sum()), float(given[year.season].sum()), float(lost),
        float((season["ETc"] - season["T"]).astype(float).sum()),
    )  # fmt: skip


def _curve() -> float:
    """The curve number with which the library sheds what ours does, in its wet class."""
    storage = 25400.0 / CURVE - 254.0
    wet = 100.0 / (1.0 + storage / 250.0)
    return 0.427 * wet / (1.0 - 0.00573 * wet)


def summed(scores: Sequence[Score]) -> Score:
    return Score(
        sum(s.stress for s in scores), sum(s.water for s in scores), sum(s.lost for s in scores),
        sum(s.lacked for s in scores),
    )  # fmt: skip


def chicago(year: int) -> Year:
    """A year at O'Hare: rain as reported (an unknown hour counts as dry), ET0 by Penman-Monteith
    from temperature, dew point and wind, with sunlight estimated."""
    zone, hours = CHICAGO[1], of_years(year).hours
    first = datetime(year, 4, 1, tzinfo=zone).astimezone(UTC)
    last = datetime(year, 10, 11, tzinfo=zone).astimezone(UTC)
    rows = [hours.get(first + timedelta(hours=n + 1), {}) for n in range(_hours(first, last))]

    def column(name: str, scale: float = 1.0) -> Floats:
        return np.array([np.nan if row.get(name) is None else scale * float(row[name])
                         for row in rows])  # fmt: skip

    series = Series(
        first,
        {
            "air_temp": column("temperature_2m"),
            "dew_point": column("dew_point_2m"),
            "humidity": column("relative_humidity_2m", 0.01),
            "wind": column("wind_speed_10m"),
            "rain": column("precipitation"),
        },
        Source("the station", last),
    )
    text = HEAD + CHICAGO[0] + LAWN
    site = read_site({"site.toml": text, "shelf.toml": "", "journal.txt": ""}).site
    assert site is not None
    days = weather_days(series, site, last - timedelta(hours=1))
    assert days is not None and not np.isnan(days.et0.values).any()
    daily = days.daily
    return Year(daily.days, daily.air_min, daily.air_max, daily.rain_low, days.et0.values, CHICAGO)


def _hours(first: datetime, last: datetime) -> int:
    return int((last - first) / timedelta(hours=1))


def champion(year: int) -> Year:
    """A year at Champion, Nebraska; see the head of `champion_summers.txt` for where it is from."""
    return _of_table("champion", (2016, 2017, 2018).index(year), date(year, 4, 1), CHAMPION)


def brussels(year: int) -> Year:
    """A year at Brussels; see the head of `brussels_summers.txt` for where it is from."""
    return _of_table("brussels", (2003, 2004, 2005).index(year), date(year, 4, 1), BRUSSELS)


def _of_table(name: str, index: int, first: date, place: tuple[str, ZoneInfo]) -> Year:
    table = np.loadtxt(Path(__file__).with_name(f"{name}_summers.txt"))
    last = date(first.year, 10, 10)
    days = [first + timedelta(n) for n in range((last - first).days + 1)]
    return Year(days, *table.reshape(3, len(days), 4)[index].T, place=place)

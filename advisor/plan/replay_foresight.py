"""The weather as it was known on a past morning: what had come by then, and one of three views of
what was still to come.

- `perfect`: what then came. No forecast is ever that good, so what follows from it flatters.
- `issued`: a forecast as it was given at the time.
- `climatology`: only the calendar. See `by_the_calendar`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from advisor.language.words import tell
from advisor.series.hourly import COLUMNS, HOUR, Floats, Series, Source
from advisor.series.years import PastYears
from advisor.turf.air import saturation_vapour_pressure

Foresight = Literal["perfect", "issued", "climatology", "none"]

DAYS_AHEAD = 16
"""Days that a forecast of the service reaches, today included."""

DAYS_BACK = 92
"""Days that a new installation knows of the past; a season's sums begin with the year."""

WET_HOUR = 0.1
"""Rain of an hour that a chance of rain speaks of [mm]."""

WET_DAY = 1.0
"""Rain from which a past day counts as wet [mm; the usual definition of a wet day]."""

SPELLS = 6
"""A day as so many spells that are wet or dry by themselves: from the chance of a wet day to that
of an hour [judgement]."""

AROUND = 7
"""Days before and after its date from which a day of the calendar takes its climate [judgement]."""

RECENT = 30
"""Days whose mean, hour by hour, stands for what past years do not tell [judgement]."""

_NIGHT = (20, 6)
"""Solar hours over which the mean rain is laid, so that hours of work go by its chance."""


@dataclass(frozen=True)
class Known:
    """What was known at a moment, and what sort of foresight it holds."""

    series: Series
    foresight: Foresight


def perfect(truth: Series, now: datetime) -> Known | None:
    """What had come by `now`, and for the 16 days from it what then came. The chance of rain is
    then 0 or 1. None where `truth` does not reach `now`."""
    hour = _floor(now)
    ahead = _cut(truth, hour, hour + timedelta(DAYS_AHEAD))
    if not ahead.hours:
        return None
    rain = ahead.column("rain")
    chance = np.where(np.isnan(rain), np.nan, (rain > WET_HOUR).astype(float))
    hindsight = Series(ahead.start, {**ahead.columns, "rain_chance": chance}, ahead.source)
    source = Source(tell("{provider}, as it came", provider=truth.source.provider), now)
    return Known(_joined(truth, hour, hindsight, source), "perfect")


def issued(truth: Series, run: Series) -> Known:
    """What had come by the moment of a forecast, and that forecast. `run` may hold past hours too;
    they are not looked at."""
    given = run.source.fetched_at
    ahead = _cut(run, _floor(given), run.start + timedelta(hours=run.hours))
    return Known(_joined(truth, _floor(given), ahead, run.source, run.notes), "issued")


def by_the_calendar(
    truth: Series, past: PastYears | None, now: datetime, longitude: float
) -> Known | None:
    """What had come by `now`, and 16 days that know only the calendar.

    From past years, over the week before and after each date: the mean highest and lowest
    temperature, laid through the day as a cosine with its top at 15:00 by the sun; the mean sum of
    sunlight, laid between 6:00 and 18:00; the mean rain, laid over the night; and the chance of a
    wet day, as that of one of six spells of the day. What past years do not tell (dew point,
    wind, gusts, snow; everything without past years) is the last thirty days' mean at that hour,
    their rain laid out in the same way.
    Soil is not told: it is worked out from the air, as for any source that lacks it.

    None where `truth` tells nothing of the month before `now`.
    """
    hour = _floor(now)
    recent = _cut(truth, hour - timedelta(RECENT), hour)
    if not recent.hours or np.isnan(recent.column("air_temp")).all():
        return None
    hours = DAYS_AHEAD * 24
    starts = int(hour.timestamp()) + HOUR * np.arange(hours, dtype=np.int64)
    clock = (starts // HOUR) % 24
    usual = _by_clock(recent)
    columns = {name: values[clock] for name, values in usual.items()}
    fell = np.broadcast_to(np.array([_recent_rain(recent)]), (hours, 2)).T
    columns |= _rain_columns(_solar(starts, longitude) % 24, fell[0], fell[1])
    if past is not None:
        columns |= _climate(past, starts, longitude)
    if "dew_point" in columns:
        # air that is colder than its usual dew point is saturated
        columns["dew_point"] = np.minimum(columns["dew_point"], columns["air_temp"])
        columns.pop("humidity", None)
        columns["humidity"] = _humidity(columns["air_temp"], columns["dew_point"])
    name = tell("the calendar, from past years") if past else tell("the last thirty days")
    source = Source(name, now)
    ahead = Series(hour, columns, source)
    return Known(_joined(truth, hour, ahead, source), "climatology")


def daily_rain(truth: Series, zone: ZoneInfo) -> dict[date, float]:
    """Rain [mm] that is known of each local day."""
    days, day_of = truth.local_days(zone)
    totals = np.bincount(day_of, np.nan_to_num(truth.column("rain")), minlength=len(days))
    return dict(zip(days, totals.tolist(), strict=True))


def _floor(moment: datetime) -> datetime:
    seconds = int(moment.timestamp())
    return datetime.fromtimestamp(seconds - seconds % HOUR, UTC)


def _cut(series: Series, first: datetime, last: datetime) -> Series:
    """The rows of hours that begin at or after `first` and end by `last`."""
    begin = max(0, int((first - series.start).total_seconds()) // HOUR)
    stop = min(series.hours, int((last - series.start).total_seconds()) // HOUR)
    stop = max(begin, stop)
    columns = {name: values[begin:stop] for name, values in series.columns.items()}
    return Series(series.start + timedelta(hours=begin), columns, series.source, series.notes)


def _joined(
    truth: Series, turn: datetime, ahead: Series, source: Source, notes: tuple[str, ...] = ()
) -> Series:
    """`truth` up to `turn` and `ahead` from there, on one axis. Hours further back than a service
    would know that was set up before the year turned are left out: they decide nothing."""
    past = _cut(truth, _season_begins(turn), turn)
    start = past.start if past.hours else ahead.start
    gap = int((ahead.start - start).total_seconds()) // HOUR
    hours = max(gap + ahead.hours, past.hours)
    columns = {}
    for name in COLUMNS:
        if name not in past.columns and name not in ahead.columns:
            continue
        column = np.full(hours, np.nan)
        column[: past.hours] = past.column(name)
        column[gap : gap + ahead.hours] = ahead.column(name)
        columns[name] = column
    return Series(start, columns, source, notes)


def _season_begins(turn: datetime) -> datetime:
    """92 days before the earlier of the two last turns of a season, 1 January and 1 July: the sums
    of a season lie behind it, north and south of the equator."""
    year, month = (turn.year, 1) if turn.month >= 7 else (turn.year - 1, 7)
    begins = datetime(year, month, 1, tzinfo=UTC)
    return begins - timedelta(DAYS_BACK)


_RECENT_COLUMNS = (
    "air_temp", "dew_point", "wind", "gust", "radiation", "snow_depth"
)  # fmt: skip


def _by_clock(recent: Series) -> dict[str, Floats]:
    """The mean of each GMT hour over the recent days, shape (24,); NaN where nothing is known."""
    starts = recent.ends() - HOUR
    clock = (starts // HOUR) % 24
    found = {}
    for name in _RECENT_COLUMNS:
        values = recent.column(name)
        known = ~np.isnan(values)
        count = np.bincount(clock[known], minlength=24)
        total = np.bincount(clock[known], values[known], minlength=24)
        found[name] = np.where(count > 0, total / np.maximum(1, count), np.nan)
    return found


def _recent_rain(recent: Series) -> tuple[float, float]:
    """The mean rain [mm] of the recent days and the share of wet ones, of those that are known."""
    rain = recent.column("rain")
    by_day = rain[len(rain) % 24 :].reshape(-1, 24).sum(axis=1)
    known = by_day[~np.isnan(by_day)]
    if not len(known):
        return float("nan"), float("nan")
    return float(known.mean()), float((known >= WET_DAY).mean())


def _rain_columns(hour: NDArray[np.int64], rain: Floats, wet: Floats) -> dict[str, Floats]:
    """Mean rain of the day [mm] and the chance of a wet day, by solar hours of the day."""
    night = (hour >= _NIGHT[0]) | (hour < _NIGHT[1])
    return {
        "rain": np.where(night, rain / _NIGHT_HOURS, 0.0) + 0.0 * rain,  # unknown stays unknown
        "rain_chance": 1 - (1 - wet) ** (1 / SPELLS),
    }


def _solar(starts: NDArray[np.int64], longitude: float) -> NDArray[np.int64]:
    """Hours since 1970 by the mean sun."""
    return (starts + round(longitude * 240)) // HOUR


def _climate(past: PastYears, starts: NDArray[np.int64], longitude: float) -> dict[str, Floats]:
    """Hours from the climate of their dates; a column is left out where it is not known."""
    solar = _solar(starts, longitude)
    hour = solar % 24
    dates = [date(1970, 1, 1) + timedelta(int(day)) for day in solar // 24]
    distinct = sorted(set(dates))
    row = {day: i for i, day in enumerate(distinct)}
    of = np.array([row[day] for day in dates])
    of_year = np.array([_of_year(past.first + timedelta(n)) for n in range(len(past.air_max))])
    climate = np.array([_of_date(past, of_year, day) for day in distinct])[of]
    high, low, rain, sun, wet = climate.T
    middle = hour + 0.5
    top = np.cos((hour + 1 - 15) / 24 * 2 * np.pi)
    by_day = np.where(
        (middle > 6) & (middle < 18), np.sin((middle - 6) / 12 * np.pi), 0.0
    )  # sums to 7.66 over a day
    columns = {
        "air_temp": (high + low) / 2 + (high - low) / 2 * top,
        "radiation": sun * 1e6 / HOUR * by_day / _SUN_SHAPE,
        **_rain_columns(hour, rain, wet),
    }
    return {name: values for name, values in columns.items() if not np.isnan(values).any()}


_SUN_SHAPE = float(np.sum(np.sin((np.arange(6, 18) + 0.5 - 6) / 12 * np.pi)))
_NIGHT_HOURS = 24 - _NIGHT[0] + _NIGHT[1]


def _of_year(day: date) -> float:
    """Where a date stands in the year, in days from 0 to 365.25."""
    begins = date(day.year, 1, 1)
    length = (date(day.year + 1, 1, 1) - begins).days
    return (day - begins).days / length * 365.25


def _of_date(past: PastYears, of_year: Floats, day: date) -> tuple[float, ...]:
    """Of a date: mean high and low [C], rain [mm], sunlight [MJ/m2], and the share of wet days."""
    apart = np.abs(of_year - _of_year(day))
    near = np.minimum(apart, 365.25 - apart) <= AROUND + 0.5
    rain = past.rain[near]

    def mean(values: Floats) -> float:
        known = values[~np.isnan(values)]
        return float(known.mean()) if len(known) else float("nan")

    wet = np.where(np.isnan(rain), np.nan, (rain >= WET_DAY).astype(float))
    return (
        mean(past.air_max[near]), mean(past.air_min[near]), mean(rain),
        mean(past.radiation[near]), mean(wet),
    )  # fmt: skip


def _humidity(air: Floats, dew: Floats) -> Floats:
    return np.minimum(1.0, saturation_vapour_pressure(dew) / saturation_vapour_pressure(air))

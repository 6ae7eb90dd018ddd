"""Hours of local days as the clock shows them, and what is known of each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from plan_cases import TODAY, ZONE, files, moment, weather

from advisor.conditions.hours import HourFacts, clock_hours, hour_facts
from advisor.conditions.table import Column
from advisor.conditions.vocabulary import FACTS
from advisor.conditions.weather_days import WeatherDays, weather_days
from advisor.series.hourly import HOUR, Series
from advisor.series.quantity import Kind, read_quantity
from advisor.turf.heat import heat_index
from advisor.turf.hourly_sun import equation_of_time
from advisor.turf.sun import daylight_hours

PAST, AHEAD = 2, 3
"""Days of the made-up weather before today, and from today on."""

HOURLY = [fact for fact in FACTS.values() if fact.hourly]


@dataclass(frozen=True)
class Asked:
    """Hours, and the days and the series that they were made from."""

    facts: HourFacts
    days: WeatherDays
    series: Series

    def number(self, name: str) -> Column:
        return self.facts.numbers[name]

    def words(self, name: str) -> list[str]:
        words = (*FACTS[name].words, "unknown")
        return [words[code] for code in self.facts.words[name].codes]

    def rows(self, name: str) -> NDArray[np.float64]:
        """The column of the series from the hour before the first one that was asked for."""
        first = int((self.facts.starts[0] - self.series.start).total_seconds()) // HOUR
        return self.series.column(name)[first - 1 :]


def ask(
    series: Series | None = None,
    *,
    today: date = TODAY,
    zone: str = ZONE,
    latitude: float = 40.0,
    longitude: float = -79.0,
    span: tuple[int, int] = (PAST, PAST + 1),
) -> Asked:
    """The hours of today, or of the days of `span`."""
    series = series or weather(today=today, past=PAST, ahead=AHEAD, zone=zone)
    site = files(zone=zone, latitude=latitude, today=today).site
    assert site is not None
    place = site.place.model_copy(update={"longitude": longitude})
    days = weather_days(series, site.model_copy(update={"place": place}), moment(today, zone=zone))
    assert days is not None
    return Asked(hour_facts(days, place, *span), days, series)


def any_weather(seed: int, zone: str = ZONE, today: date = TODAY) -> Series:
    """A series of which every number differs."""
    plain = weather(today=today, past=PAST, ahead=AHEAD, zone=zone)
    luck = np.random.default_rng(seed)
    wild = {
        name: luck.uniform(0.0, 1.0 if name in ("humidity", "rain_chance") else 35.0, plain.hours)
        for name in plain.columns
    }
    return Series(plain.start, wild, plain.source)


def test_every_hourly_fact_is_there() -> None:
    """Numbers and words of the vocabulary, in their range, each with an origin."""
    asked = ask(any_weather(1), span=(0, PAST + AHEAD))
    names = {*asked.facts.numbers, *asked.facts.words}
    assert names == {fact.name for fact in HOURLY}
    for fact in HOURLY:
        if fact.kind is None:
            assert asked.facts.words[fact.name].codes.shape == (120,)
            assert asked.facts.words[fact.name].origin(0)
            continue
        column = asked.number(fact.name)
        assert column.low.shape == column.high.shape == (120,)
        assert column.known[1:-1].all(), fact.name
        assert column.origin(0)


def test_hours_of_a_plain_day() -> None:
    """They begin at midnight by the clock and know their day."""
    facts = ask(span=(PAST, PAST + 2)).facts
    assert facts.starts[0] == moment(TODAY, "00:00")
    assert facts.clock.tolist() == [*range(24), *range(24)]
    assert facts.day_of.tolist() == [PAST] * 24 + [PAST + 1] * 24


def test_no_days_no_hours() -> None:
    assert ask(span=(PAST, PAST)).facts.starts == []
    for span in ((-1, 2), (3, 2), (0, PAST + AHEAD + 1)):
        with pytest.raises(ValueError, match="days must be 0 to 5"):
            ask(span=span)


@pytest.mark.parametrize(
    ("today", "clock"),
    [
        (date(2026, 3, 8), [0, 1, *range(3, 24)]),
        (date(2026, 11, 1), [0, 1, *range(1, 24)]),
    ],
)
def test_days_on_which_clocks_change(today: date, clock: list[int]) -> None:
    """23 hours without the one from 2 to 3; 25 with the one from 1 to 2 twice. None is lost."""
    asked = ask(any_weather(2, today=today), today=today)
    assert asked.facts.clock.tolist() == clock
    steps = np.diff([start.timestamp() for start in asked.facts.starts])
    assert set(steps.tolist()) == {HOUR}
    gusts = asked.rows("gust")[1 : len(clock) + 1]
    assert asked.number("gust").low.tolist() == gusts.tolist()


def test_a_clock_put_back_by_half_an_hour() -> None:
    """Lord Howe goes from 2:00 back to 1:30, and from 2:00 on to 2:30: a short hour each."""
    place = ZoneInfo("Australia/Lord_Howe")
    back = clock_hours(date(2026, 4, 5), place)
    assert [hour for _, _, hour in back] == [0, 1, *range(1, 24)]
    assert [end - start for start, end, _ in back[:4]] == [HOUR, HOUR, HOUR // 2, HOUR]
    on = clock_hours(date(2026, 10, 4), place)
    assert [hour for _, _, hour in on] == [*range(24)]
    assert [end - start for start, end, _ in on[:4]] == [HOUR, HOUR, HOUR // 2, HOUR]


def test_a_day_that_was_left_out() -> None:
    """Samoa had no 30 December 2011."""
    assert clock_hours(date(2011, 12, 30), ZoneInfo("Pacific/Apia")) == []


zones = st.sampled_from(
    [ZONE, "Asia/Kolkata", "Asia/Kathmandu", "Australia/Lord_Howe", "America/St_Johns",
     "America/Havana", "America/Santiago", "Africa/Cairo", "Pacific/Chatham", "UTC"]
)  # fmt: skip


@given(zones, st.dates(date(2012, 1, 1), date(2030, 12, 31)))
def test_hours_tile_the_day(zone: str, day: date) -> None:
    """From midnight to midnight without gap, none longer than an hour, named as the clock was."""
    place = ZoneInfo(zone)
    hours = clock_hours(day, place)
    midnights = [datetime.combine(d, time(), place).timestamp() for d in (day, day + timedelta(1))]
    assert [hours[0][0], hours[-1][1]] == midnights
    for (start, end, clock), after in zip(hours, [*hours[1:], None], strict=True):
        assert 0 < end - start <= HOUR
        assert after is None or after[0] == end
        for second in (start, (start + end) // 2, end - 1):
            local = datetime.fromtimestamp(second, place)
            assert (local.date(), local.hour) == (day, clock)


def test_numbers_of_whole_hours() -> None:
    """Means of both ends, the higher end of wind and heat, and the hour's own rain and gust."""
    asked = ask(any_weather(3))
    air, humidity, wind = (asked.rows(name)[:25] for name in ("air_temp", "humidity", "wind"))
    heat = heat_index(air, humidity)
    wanted = {
        "air_temp": (air[:-1] + air[1:]) / 2,
        "humidity": (humidity[:-1] + humidity[1:]) / 2,
        "wind": np.maximum(wind[:-1], wind[1:]),
        "heat_index": np.maximum(heat[:-1], heat[1:]),
        **{name: asked.rows(name)[1:25] for name in ("rain", "rain_chance", "gust")},
    }
    for name, values in wanted.items():
        assert asked.number(name).low == pytest.approx(values), name
        assert asked.number(name).high == pytest.approx(values), name


def test_hours_between_those_of_the_series() -> None:
    """In India an hour lies in two rows: means are shared, rain is between them, the rest is the
    worse of both."""
    asked = ask(any_weather(4, "Asia/Kolkata"), zone="Asia/Kolkata", longitude=78.0)
    assert asked.facts.starts[0].minute == 30
    assert asked.facts.clock.tolist() == [*range(24)]
    # The first hour runs from half past an hour of UTC: rows[1] and rows[2] hold it.
    air, wind, rain = (asked.rows(name) for name in ("air_temp", "wind", "rain"))
    assert asked.number("air_temp").low[0] == pytest.approx((air[0] + 2 * air[1] + air[2]) / 4)
    assert asked.number("wind").low[0] == max(wind[:3])
    assert asked.number("rain").low[0] == min(rain[1:3])
    assert asked.number("rain").high[0] == max(rain[1:3])
    for name in ("gust", "rain_chance"):
        assert asked.number(name).low[0] == asked.number(name).high[0] == max(asked.rows(name)[1:3])
    assert "two hours of it" in asked.number("wind").origin(0)
    assert "two hours" not in ask().number("wind").origin(0)


def test_a_share_by_the_minutes() -> None:
    """In Nepal an hour begins a quarter past one of UTC: three quarters of it lie in that row."""
    asked = ask(any_weather(5, "Asia/Kathmandu"), zone="Asia/Kathmandu", longitude=84.0)
    air = asked.rows("air_temp")
    middle = [(air[n] + air[n + 1]) / 2 for n in (0, 1)]
    assert asked.facts.starts[0].minute == 15
    wanted = 0.75 * middle[0] + 0.25 * middle[1]
    assert asked.number("air_temp").low[0] == pytest.approx(wanted)


def test_origin_tells_past_from_forecast() -> None:
    """The made-up weather was given at 5 in the morning."""
    origin = ask().number("wind").origin
    assert origin(4) == "past weather of made-up weather"
    assert origin(5) == "forecast of made-up weather"


def hole(name: str, hour: int, value: float = np.nan, **columns: float) -> Series:
    """Plain weather in which one row of today differs."""
    series = weather(past=PAST, ahead=AHEAD, **columns)
    column = series.column(name).copy()
    column[PAST * 24 + hour] = value
    return Series(series.start, {**series.columns, name: column}, series.source)


def test_unknown_rain_may_be_any() -> None:
    rain = ask(hole("rain", 9)).number("rain")
    assert (rain.low[9], rain.high[9]) == (0.0, np.inf)
    assert (rain.low[8], rain.high[8]) == (0.0, 0.0)


def test_unknown_wind() -> None:
    """A known end of an hour is the least that it can be; without any it is unknown."""
    wind = ask(hole("wind", 9, wind=3.0)).number("wind")
    assert wind.low[8:12].tolist() == [3.0] * 4
    assert wind.high[8:12].tolist() == [3.0, np.inf, np.inf, 3.0]
    none = ask(weather(past=PAST, ahead=AHEAD, wind=None)).number("wind")
    assert (none.low == -np.inf).all()
    assert (none.high == np.inf).all()


def test_a_mean_needs_both_ends() -> None:
    air = ask(hole("air_temp", 9)).number("air_temp")
    assert np.flatnonzero(~air.known).tolist() == [9, 10]


def test_beyond_the_series_nothing_is_known() -> None:
    """The last instant of a series is not carried on."""
    whole = weather(past=PAST, ahead=AHEAD)
    cut = {name: column[: PAST * 24 + 30] for name, column in whole.columns.items()}
    asked = ask(Series(whole.start, cut, whole.source), span=(PAST, PAST + 2))
    for name, column in asked.facts.numbers.items():
        assert column.known[:30].all(), name
        assert not column.known[30:].any(), name
        assert (column.high[30:] == np.inf).all(), name
        assert (column.low[30:] == (0.0 if name == "rain" else -np.inf)).all(), name
    assert set(asked.words("leaf")[30:]) == {"unknown"}


def test_before_the_series_nothing_is_known() -> None:
    """Its first instant is the end of its first hour: of that one the wind has a lower bound."""
    wind = ask(span=(0, 1)).number("wind")
    assert (wind.low[0], wind.high[0]) == (2.0, np.inf)
    assert wind.known[1:].all()


def test_a_chance_by_hindsight() -> None:
    """Where the source gives none: what fell in hours that are over, unknown in those to come."""
    series = weather(past=PAST, ahead=AHEAD, rain_at={(0, 3): 0.2, (0, 4): 0.1}, rain_chance=None)
    chance = ask(series).number("rain_chance")
    assert chance.low[2:5].tolist() == chance.high[2:5].tolist() == [0.0, 1.0, 0.0]
    assert (chance.high[5:] == np.inf).all()


@pytest.mark.parametrize(
    ("humidity", "rain", "word"),
    [
        (0.89, 0.0, "dry"),
        (0.90, 0.0, "wet"),
        (0.50, 0.1, "wet"),
        (np.nan, 0.1, "wet"),
        (0.90, np.nan, "wet"),
        (np.nan, 0.0, "unknown"),
        (0.50, np.nan, "unknown"),
    ],
)
def test_leaves(humidity: float, rain: float, word: str) -> None:
    """Wet from 90 % or by rain; dry only where neither is so for sure (turf.leaf_wetness)."""
    hours = (PAST + AHEAD) * 24
    series = weather(past=PAST, ahead=AHEAD, humidity=humidity, rain=np.full(hours, rain))
    assert set(ask(series).words("leaf")) == {word}


def test_leaves_by_either_end() -> None:
    """One damp instant wets the hours on both sides of it."""
    wet = [
        n for n, word in enumerate(ask(hole("humidity", 9, 0.95)).words("leaf")) if word == "wet"
    ]
    assert wet == [9, 10]


def test_leaves_between_two_rows() -> None:
    """Where rain fell in one row of two nobody says whether it fell in the hour."""
    series = weather(
        past=PAST, ahead=AHEAD, zone="Asia/Kolkata", rain_at={(0, 5): 1.0, (0, 6): 1.0}
    )
    words = ask(series, zone="Asia/Kolkata", longitude=78.0).words("leaf")
    # Rows are named by the local hour in which they begin, at half past: 5:30 to 7:30.
    assert words[4:9] == ["dry", "unknown", "wet", "unknown", "dry"]


@pytest.mark.parametrize(
    ("today", "sun", "inversion"),
    [(date(2026, 6, 21), "up", "unlikely"), (date(2026, 12, 21), "down", "likely")],
)
def test_polar_day_and_night(today: date, sun: str, inversion: str) -> None:
    """Svalbard: in June no hour of still air is near a night, in December every one is."""
    zone = "Arctic/Longyearbyen"
    still = weather(today=today, past=PAST, ahead=AHEAD, zone=zone, wind=0.5)
    asked = ask(still, today=today, zone=zone, latitude=78.2, longitude=15.6)
    assert set(asked.words("sun")) == {sun}
    assert set(asked.words("inversion")) == {inversion}


def _sunrise_and_sunset(latitude: float, longitude: float, day: date) -> tuple[float, float]:
    """Unix seconds, by half the length of the day on both sides of noon by the sun."""
    of_year = day.timetuple().tm_yday
    half = 1800 * float(daylight_hours(np.deg2rad(latitude), of_year))
    noon = 12 * HOUR - 240 * longitude - HOUR * float(equation_of_time(of_year))
    zero = datetime.combine(day, time(), UTC).timestamp()
    return zero + noon - half, zero + noon + half


@given(st.floats(-55, 55), st.dates(date(2026, 1, 5), date(2026, 12, 20)))
def test_sun_and_still_air_follow_sunrise_and_sunset(latitude: float, today: date) -> None:
    """Sun for the whole hour; an inversion from 2 h before sunset to 1 h after sunrise.

    Hours that begin or end within five minutes of a limit are left out: the two ways take the
    sun's place at other instants.
    """
    still = weather(today=today, past=PAST, ahead=AHEAD, wind=0.5)
    asked = ask(still, today=today, latitude=latitude)
    rise, set_ = _sunrise_and_sunset(latitude, -79.0, today)
    for n, start in enumerate(asked.facts.starts):
        begin, end = start.timestamp(), start.timestamp() + HOUR
        limits = (rise, set_, rise + HOUR, set_ - 2 * HOUR)
        if any(abs(edge - limit) < 300 for edge in (begin, end) for limit in limits):
            continue
        assert (asked.words("sun")[n] == "up") == (begin > rise and end < set_)
        night = begin < rise + HOUR or end > set_ - 2 * HOUR
        assert (asked.words("inversion")[n] == "likely") == night


def test_wind_of_an_inversion() -> None:
    """Below 3 mph at either end (university pesticide-stewardship pages); unknown wind by night."""
    three = read_quantity("3 mph", Kind.SPEED)
    for wind, word in ((three - 0.01, "likely"), (three, "unlikely"), (np.nan, "unknown")):
        asked = ask(weather(past=PAST, ahead=AHEAD, wind=wind))
        assert asked.words("inversion")[1] == word
        assert asked.words("inversion")[12] == "unlikely"
    lull = ask(hole("wind", 2, 0.0, wind=3.0)).words("inversion")
    assert lull[:5] == ["unlikely", "unlikely", "likely", "likely", "unlikely"]
    half = ask(hole("wind", 2, wind=3.0)).words("inversion")
    assert half[:5] == ["unlikely", "unlikely", "unknown", "unknown", "unlikely"]


def test_a_lull_between_two_rows() -> None:
    """In India a calm instant touches the three hours whose rows it ends or begins."""
    series = weather(past=PAST, ahead=AHEAD, zone="Asia/Kolkata", wind=3.0)
    series.column("wind")[PAST * 24 + 2] = 0.0
    words = ask(series, zone="Asia/Kolkata", longitude=78.0).words("inversion")
    # Row 2 of the day begins at 2:30 by the clock, so it ends at 3:30.
    assert [n for n, word in enumerate(words) if word == "likely"] == [2, 3, 4]


@given(st.integers(0, 2**32 - 1), st.sampled_from([TODAY, date(2026, 3, 8), date(2026, 11, 1)]))
def test_hours_agree_with_their_day(seed: int, today: date) -> None:
    """The highest, lowest and sum of a day's hours are those of the daily facts."""
    asked = ask(any_weather(seed, today=today), today=today)
    daily = asked.days.daily

    def of(name: str) -> NDArray[np.float64]:
        return asked.number(name).low

    assert of("gust").max() == daily.gust[PAST]
    assert of("rain_chance").max() == daily.rain_chance[PAST]
    assert of("rain").max() == daily.rain_peak[PAST]
    assert of("rain").sum() == pytest.approx(daily.rain_low[PAST])
    assert of("heat_index").max() >= daily.heat_index[PAST]
    assert of("wind").max() >= daily.wind[PAST]
    air = asked.rows("air_temp")[: len(asked.facts.starts) + 1]
    assert of("air_temp").mean() == pytest.approx(
        daily.air_mean[PAST] + (air[0] - air[-1]) / 2 / len(asked.facts.starts)
    )


def test_same_arguments_same_hours() -> None:
    first, second = ask(any_weather(6)), ask(any_weather(6))
    assert first.facts.starts == second.facts.starts
    for name, column in first.facts.numbers.items():
        assert np.array_equal(column.low, second.number(name).low)

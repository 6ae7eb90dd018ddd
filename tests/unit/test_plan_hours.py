"""The hours of a day for a job: dry, still to come, by the wall clock, as the label wants."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from plan_cases import (
    NOW,
    PAST,
    TODAY,
    ZONE,
    action,
    book,
    decide,
    files,
    moment,
    opens,
    weather,
)

from advisor.plan.hours import LONGEST, Stretch, best_hours
from advisor.series.hourly import Series
from advisor.site.free_time import SHORTEST


def hours(
    series: Series,
    day: date = TODAY,
    now: datetime = NOW,
    zone: str = ZONE,
    wind_max: float | None = None,
    air_max: float | None = None,
) -> tuple[str, str] | None:
    found: Stretch | None = best_hours(
        series, ZoneInfo(zone), day, now, wind_max=wind_max, air_max=air_max
    )
    return found.text() if found else None


def on_today(name: str, by_hour: dict[int, float], usual: float) -> Any:
    """A column that has its usual value but in the given hours of today."""
    values = np.full((PAST + 10) * 24, usual)
    for hour, value in by_hour.items():
        values[PAST * 24 + hour] = value
    return {name: values}


def test_a_fine_day_begins_in_the_morning():
    """On a day that is the same all along, the first five hours of work are taken."""
    assert hours(weather()) == ("07:00", "12:00")


def test_rain_is_left_out():
    """No hour with rain, or with a real chance of it, is in the stretch."""
    assert hours(weather(rain_at={(0, 9): 1.0})) == ("10:00", "15:00")
    assert hours(weather(rain_at={(0, 9): 0.1})) == ("07:00", "12:00")
    assert hours(weather(**on_today("rain_chance", {8: 0.5, 15: 0.5}, 0.0))) == ("09:00", "14:00")


def test_too_short_is_none():
    """A single dry hour between showers is not enough for a job."""
    wet = {(0, hour): 1.0 for hour in range(24) if hour % 2}
    assert hours(weather(rain_at=wet)) is None
    two = {(0, hour): 1.0 for hour in range(24) if hour not in (13, 14)}
    assert hours(weather(rain_at=two)) == ("13:00", "15:00")


def test_unknown_rain_opens_no_hour():
    """An hour whose rain is not known is not dry; an unknown chance is left to the amount."""
    assert hours(weather(**on_today("rain", {10: np.nan}, 0.0))) == ("11:00", "16:00")
    assert hours(weather(rain_chance=None)) == ("07:00", "12:00")
    series = weather()
    dry = {name: c for name, c in series.columns.items() if name != "rain"}
    assert hours(Series(series.start, dry, series.source)) is None


def test_label_limits():
    """Hours that are windier or hotter than the label allows are left out, unknown ones too.

    Wind and air are told at the end of an hour, so what blows at the end of one also begins the
    next.
    """
    windy = weather(**on_today("wind", dict.fromkeys(range(7, 11), 6.0), 2.0))
    assert hours(windy, wind_max=5.0) == ("12:00", "17:00")
    assert hours(weather(wind=None), wind_max=5.0) is None
    assert hours(weather(wind=None)) == ("07:00", "12:00")
    hot = weather(**on_today("air_temp", dict.fromkeys(range(11, 19), 31.0), 20.0))
    assert hours(hot, air_max=30.0) == ("07:00", "11:00")
    assert hours(weather(air_temp=np.full((PAST + 10) * 24, np.nan)), air_max=30.0) is None


def test_calmest_of_equals():
    """Among stretches of the same length the calmest is taken."""
    winds = dict.fromkeys(range(7, 12), 4.0) | dict.fromkeys(range(12, 19), 1.0)
    assert hours(weather(**on_today("wind", winds, 2.0))) == ("13:00", "18:00")


def test_only_what_is_still_to_come():
    """Decided at noon, the morning is over; decided in the evening, the day is."""
    assert hours(weather(), now=moment(clock="12:00")) == ("12:00", "17:00")
    assert hours(weather(), now=moment(clock="18:00")) is None
    tomorrow = TODAY + timedelta(1)
    assert hours(weather(), day=tomorrow, now=moment(clock="18:00")) == ("07:00", "12:00")


def test_beyond_the_series():
    """A day that the forecast does not reach has no hours."""
    assert hours(weather(), day=TODAY + timedelta(10)) is None
    assert hours(weather(), day=TODAY - timedelta(PAST + 1)) is None


@pytest.mark.parametrize("day", [date(2026, 3, 8), date(2026, 11, 1)])
def test_clocks_that_change(day: date):
    """On the days of 23 and 25 hours, hours are still those of the wall clock."""
    series = weather(today=day, past=2, ahead=2, rain_at={(0, 9): 2.0})
    assert hours(series, day=day, now=moment(day, "04:00")) == ("10:00", "15:00")


def test_zone_of_half_an_hour():
    """Where the service's hours begin at half past, no wet hour reaches into the stretch."""
    zone = "Asia/Kolkata"
    # The service's hour from 11:30 to 12:30 by the wall clock is wet.
    series = weather(zone=zone, rain_at={(0, 11): 5.0})
    found = hours(series, now=moment(clock="06:00", zone=zone), zone=zone)
    assert found is not None
    assert time.fromisoformat(found[1]) <= time(11, 30) or time.fromisoformat(found[0]) >= time(
        12, 30
    )


@settings(max_examples=60, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(st.sets(st.integers(0, 23)), st.sets(st.integers(0, 23)), st.integers(0, 23))
def test_never_in_rain_wind_or_the_past(wet: set[int], windy: set[int], now: int):
    """Whatever the day, the stretch is dry, calm, in working hours and not over."""
    series = weather(
        past=1,
        ahead=1,
        rain_at=dict.fromkeys([(0, hour) for hour in wet], 1.0),
        wind=np.array([2.0] * 24 + [9.0 if hour in windy else 2.0 for hour in range(24)]),
    )
    found = hours(series, now=moment(clock=f"{now:02d}:00"), wind_max=5.0)
    if found is None:
        # Wind is told at the end of an hour, and so at the beginning of the next.
        fit = [
            hour not in wet | windy and hour - 1 not in windy and hour >= now
            for hour in range(7, 19)
        ]
        assert not any(all(fit[n : n + SHORTEST]) for n in range(len(fit) - SHORTEST + 1))
        return
    inside = range(int(found[0][:2]), int(found[1][:2]))
    assert not set(inside) & (wet | windy)
    assert inside.start >= max(7, now)
    assert inside.stop <= 19
    assert SHORTEST <= len(inside) <= LONGEST


@pytest.mark.parametrize(
    ("today", "wet", "hours"),
    [
        # At 40 N, 79 W the sun of 31 October sets at about 18:13, by daylight saving time, and that
        # of 31 December rises at about 07:38 (an almanac's figures, from memory).
        (date(2026, 10, 31), range(6, 14), ("14:00", "18:00")),
        (date(2026, 12, 31), range(10, 24), ("08:00", "10:00")),
        (date(2026, 5, 13), range(6, 14), ("14:00", "19:00")),
    ],
)
def test_nobody_works_in_the_dark(today: date, wet: range, hours: tuple[str, str]):
    series = weather(today=today, rain_at={(0, hour): 1.0 for hour in wet})
    plan = decide(files(today=today), book(opens()), series, now=moment(today))
    found = action(plan)
    assert found.day == today
    assert (found.start, found.end) == hours


@pytest.mark.parametrize(
    ("night", "dry", "expected"),
    [
        # Dry from 14:00 on, with the rain of the night after it at that hour of the clock.
        ((1, 3), 12.0, None),
        ((1, 3), 10.0, ("14:00", "17:00")),
        ((1, 3), 6.0, ("14:00", "19:00")),
        ((1, 9), 12.0, ("14:00", "19:00")),
        ((3, 0), 12.0, ("14:00", "19:00")),
        # Past the end of the forecast nobody knows.
        ((3, 0), 24.0 * 10, None),
    ],
)
def test_a_label_that_wants_it_dry_is_not_rained_on_in_the_night(
    night: tuple[int, int], dry: float, expected: tuple[str, str] | None
):
    """How long after the work the rain comes is what counts, and not on which day."""
    series = weather(rain_at={(0, hour): 1.0 for hour in range(6, 14)} | {night: 5.0})
    found = best_hours(
        series, ZoneInfo(ZONE), TODAY, NOW, wind_max=None, air_max=None, dry_hours=dry
    )
    assert (found.text() if found else None) == expected

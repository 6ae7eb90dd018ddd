"""When a digest is due: at the hour that the zone's clock shows, once for each scheduled date.

The clocks of the zones are the tz database's. What counts as right is spelled out here on its own:
the first minute, counted along UTC, at which the zone's clock shows the hour or has passed it.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from zone_table import DAY, FIRST, MINUTE, YEARS, ZONES, changes

from advisor.service.schedule import WEEKDAYS, digest_due, next_digest, scheduled
from advisor.site import fields

HOUR = timedelta(hours=1)
LONG_AGO = datetime(2020, 1, 1, tzinfo=UTC)
NEW_YORK = ZoneInfo("America/New_York")
TENTH = datetime(2027, 1, 10, 6, tzinfo=NEW_YORK)


def first_minute(day: date, hour: str, zone: ZoneInfo) -> datetime:
    """The first minute of UTC at which the zone's clock has reached the hour of the day."""
    wanted = datetime.combine(day, time.fromisoformat(hour))
    guess = wanted.replace(tzinfo=zone).astimezone(UTC)
    if not any(abs(change - guess) < DAY for change in changes(zone)):
        return guess
    minute = guess - 4 * HOUR
    while minute.astimezone(zone).replace(tzinfo=None) < wanted:
        minute += MINUTE
    return minute


def ticks(zone: ZoneInfo, moments: list[datetime]) -> list[datetime]:
    """Each minute for hours around each change of clocks and around each moment; one a day else."""
    begin = datetime(FIRST, 1, 1, 0, 17, tzinfo=UTC)
    chosen = {begin + n * DAY for n in range(365 * YEARS)}
    for change in changes(zone):
        chosen.update(change + n * MINUTE for n in range(-130, 131))
    for moment in moments:
        chosen.update(moment + n * MINUTE for n in (-1, 0))
    return sorted(chosen)


def of_weekday(weekday: str, days: int = 365 * YEARS - 3) -> Iterator[date]:
    for n in range(2, days):
        day = date(FIRST, 1, 1) + n * DAY
        if day.weekday() == WEEKDAYS.index(weekday):
            yield day


@pytest.mark.parametrize(("name", "hour"), [*ZONES.items(), *((name, "06:00") for name in ZONES)])
def test_one_digest_for_each_scheduled_date_of_five_years(name: str, hour: str) -> None:
    """On the weekdays on which this zone changes its clocks, at the very minute, once."""
    zone = ZoneInfo(name)
    weekdays = {
        WEEKDAYS[(change - MINUTE).astimezone(zone).weekday()] for change in changes(zone)
    } | {WEEKDAYS[change.astimezone(zone).weekday()] for change in changes(zone)}
    for weekday in sorted(weekdays or {"sunday"}):
        expected = {day: first_minute(day, hour, zone) for day in of_weekday(weekday)}
        last: date | None = None
        went: dict[date, datetime] = {}
        for now in ticks(zone, list(expected.values())):
            due = digest_due(now, weekday, hour, zone, last, LONG_AGO)
            if due is not None and due.on in expected:
                assert due.on not in went and not due.late
                went[due.on] = now
            last = due.on if due is not None else last
        assert went == expected


def test_the_table_has_gaps_folds_and_midnights() -> None:
    """The zones above do bring the cases that they are there for, and their hours lie in gaps."""
    moved = {
        name
        for name, hour in ZONES.items()
        for day in (date(FIRST, 1, 1) + n * DAY for n in range(365))
        if scheduled(day, hour, ZoneInfo(name)).astimezone(ZoneInfo(name)).strftime("%H:%M") != hour
    }
    still = {name for name in ZONES if not changes(ZoneInfo(name))}
    assert moved == set(ZONES) - still and len(still) == 3
    midnight = half = back = forward = 0
    for zone in map(ZoneInfo, ZONES):
        for change in changes(zone):
            before = (change - MINUTE).astimezone(zone)
            after = change.astimezone(zone)
            step = (after.utcoffset() or DAY) - (before.utcoffset() or DAY)
            forward += step > timedelta(0)
            back += step < timedelta(0)
            half += abs(step) == 30 * MINUTE
            midnight += step > timedelta(0) and before.time() == time(23, 59)
    assert min(forward, back) >= 100 and midnight >= 25 and half == 2 * YEARS


@pytest.mark.parametrize(
    ("zone", "day", "hour", "moment"),
    [
        # Directive 2000/84/EC, articles 2 and 3: at 01:00 GMT on the last Sundays of March, October
        ("Europe/Berlin", date(2026, 3, 29), "02:30", datetime(2026, 3, 29, 1, 0)),
        ("Europe/Berlin", date(2026, 10, 25), "02:30", datetime(2026, 10, 25, 0, 30)),
        ("Europe/Berlin", date(2026, 10, 25), "03:00", datetime(2026, 10, 25, 2, 0)),
        # 15 U.S.C. 260a: at 2 a.m. on the second Sunday of March and the first of November
        ("America/New_York", date(2026, 3, 8), "02:30", datetime(2026, 3, 8, 7, 0)),
        ("America/New_York", date(2026, 11, 1), "01:30", datetime(2026, 11, 1, 5, 30)),
        ("America/New_York", date(2026, 11, 1), "06:00", datetime(2026, 11, 1, 11, 0)),
        # Samoa's International Date Line Act 2011: Thursday 29 December was followed by Saturday
        ("Pacific/Apia", date(2011, 12, 30), "06:00", datetime(2011, 12, 30, 10, 0)),
    ],
)
def test_the_hour_by_published_law(zone: str, day: date, hour: str, moment: datetime) -> None:
    assert scheduled(day, hour, ZoneInfo(zone)) == moment.replace(tzinfo=UTC)


def test_the_weekdays_are_those_of_the_site() -> None:
    """The list is written twice, to keep the daemon light; it is the same one."""
    assert WEEKDAYS == fields.WEEKDAYS


@pytest.mark.parametrize(
    ("weekday", "hour"),
    [("0", "06:00"), ("Sunday", "06:00"), ("sunday", "6"), ("sunday", "24:00"), ("sunday", "6:0x")],
)
def test_a_schedule_that_is_none_is_named(weekday: str, hour: str) -> None:
    with pytest.raises(ValueError, match="such as"):
        digest_due(TENTH, weekday, hour, NEW_YORK, None, LONG_AGO)
    with pytest.raises(ValueError, match="such as"):
        next_digest(TENTH, weekday, hour, NEW_YORK, None, LONG_AGO)


def test_an_instant_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="time zone"):
        digest_due(datetime(2027, 1, 10), "sunday", "06:00", NEW_YORK, None, LONG_AGO)

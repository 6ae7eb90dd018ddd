"""A service that looks now and then: asleep, with a clock that steps, with a changed weekday."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from zone_table import DAY, FIRST, MINUTE, YEARS, ZONES

from advisor.service.schedule import (
    CLOCK_SANE,
    WEEKDAYS,
    Due,
    digest_due,
    last_believed,
    next_digest,
    scheduled,
)

HOUR = timedelta(hours=1)
LONG_AGO = datetime(2020, 1, 1, tzinfo=UTC)
NEW_YORK = ZoneInfo("America/New_York")


@dataclass
class Machine:
    """A service with an outbox: it looks, and queues what is due under its name."""

    weekday: str = "sunday"
    hour: str = "06:00"
    zone: ZoneInfo = NEW_YORK
    first_seen: datetime = LONG_AGO
    went: list[tuple[date, datetime]] = field(default_factory=list)

    def look(self, now: datetime) -> Due | None:
        due = digest_due(now, self.weekday, self.hour, self.zone, self.last(now), self.first_seen)
        if due is not None:
            self.went.append((due.on, now))
        return due

    def last(self, now: datetime) -> date | None:
        days = [max(on, at.astimezone(self.zone).date()) for on, at in self.went]
        return last_believed(days, now, self.zone)

    def awake(self, start: datetime, stop: datetime, every: timedelta = 10 * MINUTE) -> None:
        while start < stop:
            self.look(start)
            start += every

    def names(self) -> list[date]:
        return [on for on, _ in self.went]


def local(day: int, hour: int = 6, minute: int = 0, month: int = 1) -> datetime:
    """A moment of 2027 in New York. Sundays of January: 3, 10, 17, 24, 31."""
    return datetime(2027, month, day, hour, minute, tzinfo=NEW_YORK).astimezone(UTC)


@pytest.mark.parametrize(
    ("woke", "expected"),
    [
        (local(10, 5, 59), None),
        (local(10, 6, 0), Due(date(2027, 1, 10), late=False)),
        (local(10, 7, 0), Due(date(2027, 1, 10), late=False)),
        (local(10, 7, 1), Due(date(2027, 1, 10), late=True)),
        (local(12, 22, 0), Due(date(2027, 1, 10), late=True)),
        (local(13, 6, 0), Due(date(2027, 1, 10), late=True)),
        (local(13, 6, 1), None),
        (local(16, 12, 0), None),
        (local(17, 8, 0), Due(date(2027, 1, 17), late=True)),
    ],
)
def test_a_machine_asleep_at_the_hour(woke: datetime, expected: Due | None) -> None:
    """One digest on waking, marked late; missed by more than three days it is left out."""
    machine = Machine()
    machine.awake(local(3), local(3, 12))
    assert machine.names() == [date(2027, 1, 3)]
    assert machine.look(woke) == expected
    assert machine.look(woke + MINUTE) is None or expected is None


@pytest.mark.parametrize("late", [0, 24, 48, 72])
def test_a_late_digest_does_not_cost_the_next_one(late: int) -> None:
    """Three days late and four days apart make a week."""
    machine = Machine()
    machine.look(local(10) + timedelta(hours=late))
    machine.awake(local(14), local(18))
    assert machine.names() == [date(2027, 1, 10), date(2027, 1, 17)]


def test_the_three_days_are_by_the_local_clock() -> None:
    """Over the hour that comes twice, 72 hours would end on the fourth day."""
    machine = Machine("friday", "23:30")
    machine.look(datetime(2027, 11, 8, 23, 29, tzinfo=NEW_YORK))
    assert machine.names() == [date(2027, 11, 5)]
    assert (
        digest_due(
            datetime(2027, 11, 8, 23, 31, tzinfo=NEW_YORK),
            "friday",
            "23:30",
            NEW_YORK,
            None,
            LONG_AGO,
        )
        is None
    )


def test_the_first_run_makes_up_for_nothing() -> None:
    machine = Machine(first_seen=local(10, 6, 0))
    machine.awake(local(10, 6, 0), local(17, 5, 59))
    assert machine.names() == []
    machine = Machine(first_seen=local(10, 5, 59))
    machine.awake(local(10, 5, 59), local(10, 12))
    assert machine.names() == [date(2027, 1, 10)]


@pytest.mark.parametrize(
    ("last", "due"), [(5, True), (6, True), (7, False), (9, False), (10, False), (11, False)]
)
def test_a_date_is_skipped_if_a_digest_went_less_than_four_days_before(
    last: int, due: bool
) -> None:
    """One sent by hand counts like any other."""
    found = digest_due(local(10, 6), "sunday", "06:00", NEW_YORK, date(2027, 1, last), LONG_AGO)
    assert found == (Due(date(2027, 1, 10), late=False) if due else None)


def test_a_clock_set_back_by_an_hour_repeats_nothing() -> None:
    for step in range(-70, 71, 7):
        machine = Machine()
        machine.awake(local(10, 4), local(10, 6) + step * MINUTE, MINUTE)
        machine.awake(local(10, 5) + step * MINUTE, local(10, 8), MINUTE)
        assert machine.names() == [date(2027, 1, 10)]


def test_a_clock_that_was_weeks_ahead_silences_nothing() -> None:
    """Put right again, each date comes once; only a name that the wrong clock used up is gone."""
    machine = Machine()
    machine.awake(local(3), local(12))
    machine.awake(local(1, 12, month=2), local(1, 13, month=2))
    assert machine.names() == [date(2027, 1, 3), date(2027, 1, 10), date(2027, 1, 31)]
    machine.awake(local(12, 1), local(9, 1, month=2))
    names = machine.names()
    assert len(set(names)) == len(names)
    assert names[3:] == [date(2027, 1, 17), date(2027, 1, 24), date(2027, 2, 7)]


def test_a_clock_that_jumps_weeks_ahead_lists_no_missed_dates() -> None:
    """Nor does it take longer: one digest, for the newest date."""
    machine = Machine()
    machine.awake(local(3), local(4))
    machine.awake(local(21, 7, month=2), local(22, 7, month=2))
    assert machine.names() == [date(2027, 1, 3), date(2027, 2, 21)]


def test_a_clock_that_is_not_set_makes_nothing_due() -> None:
    machine = Machine(first_seen=local(2))
    machine.awake(local(3), local(4))
    unset = datetime(1970, 1, 1, tzinfo=UTC)
    machine.awake(unset, unset + 30 * DAY, HOUR)
    assert machine.names() == [date(2027, 1, 3)]
    fresh = Machine(first_seen=local(2))
    fresh.awake(unset, unset + 30 * DAY, HOUR)
    assert fresh.names() == []
    machine.awake(local(9), local(11))
    assert machine.names() == [date(2027, 1, 3), date(2027, 1, 10)]
    assert unset.date() < CLOCK_SANE <= date(2027, 1, 1)


def test_a_first_run_under_a_clock_that_was_ahead_is_no_silence() -> None:
    machine = Machine(first_seen=local(1, month=12))
    machine.awake(local(9), local(18))
    assert machine.names() == [date(2027, 1, 10), date(2027, 1, 17)]


@pytest.mark.parametrize("weekday", WEEKDAYS)
def test_a_changed_weekday_leaves_four_to_ten_days(weekday: str) -> None:
    """Whenever in the week the owner changes it, and to whatever hour."""
    for hour in ("04:00", "06:00", "22:00"):
        for shift in range(0, 8 * 24, 11):
            machine = Machine()
            machine.awake(local(3), local(10) + timedelta(hours=shift), 2 * HOUR)
            machine.weekday, machine.hour = weekday, hour
            machine.awake(local(10) + timedelta(hours=shift), local(14, month=2), 2 * HOUR)
            names = machine.names()
            gaps = [(b - a).days for a, b in pairwise(names)]
            assert all(4 <= gap <= 10 for gap in gaps), (weekday, hour, shift, names)
            assert all(name.weekday() == WEEKDAYS.index(weekday) for name in names[-2:])


hours = st.sampled_from(["00:00", "00:30", "04:00", "06:00", "12:00", "23:30"])
zones = st.sampled_from(sorted(ZONES)).map(ZoneInfo)
starts = st.integers(0, 365 * YEARS * 24).map(
    lambda n: datetime(FIRST, 1, 1, tzinfo=UTC) + n * HOUR
)


@given(
    zone=zones,
    start=starts,
    weekdays=st.lists(st.sampled_from(WEEKDAYS), min_size=1, max_size=5),
    times=st.lists(hours, min_size=5, max_size=5),
    naps=st.lists(st.integers(1, 24 * 60), min_size=40, max_size=120),
    change_after=st.lists(st.integers(0, 12), min_size=5, max_size=5),
)
def test_awake_daily_never_two_within_four_days_nor_ten_days_of_silence(
    zone: ZoneInfo,
    start: datetime,
    weekdays: list[str],
    times: list[str],
    naps: list[int],
    change_after: list[int],
) -> None:
    """Asleep for up to a day at a time; the owner changes the weekday after some looks, though
    not twice without a digest in between."""
    machine = Machine(weekdays[0], times[0], zone)
    now, change, looks, went_then = start, 1, 0, 0
    for nap in naps:
        now += nap * MINUTE
        machine.look(now)
        looks += 1
        if (
            change < len(weekdays)
            and len(machine.went) > went_then
            and looks > change_after[change]
        ):
            machine.weekday, machine.hour = weekdays[change], times[change]
            change, looks, went_then = change + 1, 0, len(machine.went)
    days = [at.astimezone(zone).date() for _, at in machine.went]
    for (_, at), day, (name, later) in zip(machine.went, days, machine.went[1:], strict=False):
        assert 4 <= (name - day).days <= 10
        assert later.astimezone(zone).date() - name <= 2 * DAY and later > at
    if machine.went:
        assert (now.astimezone(zone).date() - days[-1]).days <= 11


@given(
    zone=zones,
    start=starts,
    weekday=st.sampled_from(WEEKDAYS),
    hour=hours,
    naps=st.lists(st.integers(1, 20 * 24 * 60), max_size=60),
)
def test_whatever_the_naps_no_two_within_four_days(
    zone: ZoneInfo, start: datetime, weekday: str, hour: str, naps: list[int]
) -> None:
    machine = Machine(weekday, hour, zone)
    for nap in naps:
        start += nap * MINUTE
        machine.look(start)
    days = [at.astimezone(zone).date() for _, at in machine.went]
    assert all((b - a).days >= 4 for a, b in pairwise(days))
    assert len(set(machine.names())) == len(machine.names())


@given(
    zone=zones,
    now=starts,
    weekday=st.sampled_from(WEEKDAYS),
    hour=hours,
    since=st.none() | st.integers(-1, 40),
    seen=st.integers(-40 * 24, 12),
)
def test_the_next_digest_is_when_it_becomes_due(
    zone: ZoneInfo, now: datetime, weekday: str, hour: str, since: int | None, seen: int
) -> None:
    """Not a minute before, and not later."""
    today = now.astimezone(zone).date()
    last = None if since is None else today - since * DAY
    first_seen = now + seen * HOUR
    if digest_due(now, weekday, hour, zone, last, first_seen) is not None:
        last = today
    at = next_digest(now, weekday, hour, zone, last, first_seen)
    due = digest_due(at, weekday, hour, zone, last, first_seen)
    assert at > now and due is not None and not due.late
    assert scheduled(due.on, hour, zone) == at
    for probe in {now + (at - now) * share / 7 for share in range(1, 7)} | {at - MINUTE}:
        if probe > now:
            assert digest_due(probe, weekday, hour, zone, last, first_seen) is None


def test_the_next_digest_after_one_that_is_due() -> None:
    """Each digest names the date of the next one, at the moment when it is decided."""
    asked = ("sunday", "06:00", NEW_YORK, date(2027, 1, 3), LONG_AGO)
    assert next_digest(local(9), *asked) == local(10)
    assert next_digest(local(10), *asked) == local(17)
    assert next_digest(local(13), *asked) == local(17)


def test_the_next_digest_after_one_by_hand_is_on_the_weekday() -> None:
    """Sent on Wednesday; Sunday's is due now, so the tenth day after Wednesday is none."""
    asked = ("sunday", "06:00", NEW_YORK, date(2027, 1, 6), LONG_AGO)
    assert next_digest(local(9), *asked) == local(10)
    assert next_digest(local(10), *asked) == local(17)


def test_the_next_digest_of_a_service_that_is_new() -> None:
    """Nothing before it was first there, though a clock set back shows an earlier moment."""
    asked = ("sunday", "06:00", NEW_YORK, None, local(10, 7))
    assert next_digest(local(10, 5), *asked) == local(17)


def test_a_last_digest_weeks_ahead_is_not_believed() -> None:
    """Though one of tomorrow is: the site may have moved to a zone further west."""
    asked = ("sunday", "06:00", NEW_YORK)
    due = Due(date(2027, 1, 10), late=False)
    assert digest_due(local(10), *asked, date(2027, 1, 31), LONG_AGO) == due
    assert digest_due(local(10), *asked, date(2027, 1, 12), LONG_AGO) == due
    assert digest_due(local(10), *asked, date(2027, 1, 11), LONG_AGO) is None
    assert next_digest(local(9), *asked, date(2027, 1, 31), LONG_AGO) == local(10)

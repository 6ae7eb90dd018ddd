"""When the owner can work: what [free] of site.toml may say, and what it comes to day by day."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_cases import files, lawn

from advisor.site.fields import WEEKDAYS
from advisor.site.free_time import FreeTime, long_enough, whole_hours
from advisor.site.load import SiteFiles, read_site

WEDNESDAY = date(2026, 7, 1)


def free(text: str) -> FreeTime:
    site = files(lawn(), more=f"[free]\n{text}\n").site
    assert site is not None
    return site.free


def load(text: str) -> SiteFiles:
    site = (
        'id = "made-up"\ntitle = "Made-up place"\nunits = "us"\n[place]\nlatitude = 40.0\n'
        'longitude = -79.0\nelevation = "500 ft"\nzone = "America/New_York"\n' + lawn()
    )
    return read_site({"site.toml": f"{site}[free]\n{text}\n", "journal.txt": ""})


def test_nothing_stated_allows_all():
    """Without [free] no day and no hour is taken out."""
    nothing = FreeTime()
    assert nothing.hours_on(WEDNESDAY) is None
    assert nothing.allows(WEDNESDAY)


@pytest.mark.parametrize(("text", "hours"), [
    ('weekdays = ["wednesday"]', None),
    ('weekdays = ["saturday", "sunday"]', set()),
    ('hours = ["09:00-12:00"]', {9, 10, 11}),
    ('hours = ["09:30-12:30"]', {10, 11}),
    ('hours = ["09:00-10:30", "10:30-12:00"]', {9, 10, 11}),
    ('hours = ["09:00-12:00"]\nwednesday = ["17:00-19:00"]', {17, 18}),
    ('hours = ["09:00-12:00"]\nthursday = ["17:00-19:00"]', {9, 10, 11}),
    ('wednesday = ["17:00-19:00"]', {17, 18}),
    ('away = ["2026-07-01"]', set()),
    ("away = [2026-07-01]", set()),
    ('away = ["2026-06-28 to 2026-07-01"]', set()),
    ('away = ["2026-07-01 to 2026-07-12"]', set()),
    ('away = ["2026-07-02 to 2026-07-12"]', None),
    ('away = ["2026-06-28 to 2026-06-30"]\nhours = ["09:00-12:00"]', {9, 10, 11}),
    ('weekdays = ["wednesday"]\nhours = ["09:00-12:00"]\naway = ["2026-07-01"]', set()),
])  # fmt: skip
def test_what_it_comes_to_on_a_wednesday(text: str, hours: set[int] | None):
    """Weekdays, hours, hours of one weekday and days away, alone and together."""
    found = free(text).hours_on(WEDNESDAY)
    assert found == (None if hours is None else frozenset(hours))


@pytest.mark.parametrize(("text", "line", "what", "hint"), [
    ('weekdays = ["wensday"]', 16, "“wensday” is no day of the week", "wednesday"),
    ('hours = ["9-12"]', 16, "a time of day was expected", '"09:00-12:00"'),
    ('hours = ["20:00-06:00"]', 16, "does not run over midnight", '"09:00-12:00"'),
    ('hours = ["18:00-21:00"]', 16, "no 2 whole hours of it lie between 07:00 and 19:00", "09:00"),
    ('hours = ["09:30-11:00"]', 16, "no 2 whole hours", "09:00"),
    ('sunday = ["05:00-08:00"]', 16, "no 2 whole hours", "09:00"),
    ('away = ["2026-07-12 to 2026-07-04"]', 16, "2026-07-04 comes before 2026-07-12", "away ="),
    ('away = ["2026-02-30"]', 16, "not in the calendar", "away ="),
    ('away = ["july"]', 16, "“july” is no date", "away ="),
    ('away = ["2026-07-04 to 2026-07-05 to 2026-07-06"]', 16, "a day or days from-to", "away ="),
    ("away = [true]", 16, "text in quotes was expected", "away ="),
    ('away = "2026-07-04"', 16, "a list in square brackets", "away ="),
    ('weekday = ["sunday"]', 16, "no key is called “weekday”", "weekdays"),
    ('weekdays = ["saturday"]\nsunday = ["09:00-12:00"]', 17,
     "sunday has hours, but is not among your weekdays", '"sunday"'),
    ('hours = ["09:00-12:00"]\nsunday = []', 17, "sunday has no hours in its list", "left out"),
])  # fmt: skip
def test_what_makes_no_sense_is_told_with_its_place(text: str, line: int, what: str, hint: str):
    """The line, what is wrong with it, and a right one."""
    read = load(text)
    assert read.site is None
    (error,) = read.errors
    assert (error.line, what in error.what, hint in error.hint) == (line, True, True), error


def test_keeps_its_own_weekday_in_step():
    """Hours of a weekday beside weekdays that name it are no mistake."""
    assert not load('weekdays = ["saturday"]\nsaturday = ["09:00-12:00"]').errors


spans = st.tuples(st.integers(0, 1438), st.integers(1, 1439)).filter(lambda s: s[0] < s[1])


@given(st.lists(spans, max_size=4))
def test_an_hour_counts_where_all_its_minutes_are_free(found: list[tuple[int, int]]):
    """Minute by minute: an hour is free when each of its minutes lies in some stretch."""
    hours = whole_hours(found)
    for hour in range(24):
        minutes = range(60 * hour, 60 * hour + 60)
        assert (hour in hours) == all(any(a <= m < b for a, b in found) for m in minutes)


@given(st.sets(st.sampled_from(WEEKDAYS)), st.integers(0, 400))
def test_weekdays_repeat_for_ever(names: set[str], ahead: int):
    """A day is free when its weekday is named, whenever that is."""
    day = WEDNESDAY + timedelta(ahead)
    stated = FreeTime(weekdays=tuple(names))
    assert stated.allows(day) == (not names or WEEKDAYS[day.weekday()] in names)


@pytest.mark.parametrize(("hours", "enough"), [
    ({7, 8}, True), ({17, 18}, True), ({18, 19}, False), ({6, 7}, False), ({9, 11, 13}, False),
])  # fmt: skip
def test_a_job_needs_two_hours_of_the_working_day(hours: set[int], enough: bool):
    assert long_enough(frozenset(hours)) is enough

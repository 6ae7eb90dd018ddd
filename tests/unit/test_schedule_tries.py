"""When the forecast is asked for, and a mail tried again: spaced, scattered, and never for ever."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.service.schedule import next_fetch, next_try

MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
NOW = datetime(2027, 4, 10, 9, 30, tzinfo=UTC)
MADE = NOW

moments = st.integers(0, 10**9).map(lambda n: NOW + timedelta(seconds=n))
homes = st.text("0123456789abcdef", min_size=1, max_size=32)


def looks(home: str, first: datetime, count: int) -> list[datetime]:
    """The times at which a home asks while every answer comes."""
    found = [first]
    for _ in range(count):
        found.append(next_fetch(found[-1], found[-1], 0, None, home))
    return found


@given(home=homes, first=moments)
def test_a_home_asks_every_three_hours_at_a_minute_of_its_own(home: str, first: datetime) -> None:
    """Give or take five minutes; a day has eight looks."""
    found = looks(home, first, 60)
    assert timedelta(hours=1.5) <= found[1] - first <= timedelta(hours=4.7)
    gaps = [b - a for a, b in pairwise(found[1:])]
    assert all(abs(gap - 3 * HOUR) <= 10 * MINUTE for gap in gaps)
    minutes = [look.minute for look in found[1:]]
    assert max(minutes) - min(minutes) <= 10 and min(minutes) >= 4
    assert len(set(gaps)) > 20  # it does wander


def test_homes_are_spread_over_the_hours_and_minutes() -> None:
    """A thousand homes that were switched on together do not stay together."""
    second = [looks(f"home-{n}", NOW, 2)[2] for n in range(1000)]
    per_minute: dict[tuple[int, int], int] = {}
    for at in second:
        per_minute[at.hour, at.minute] = per_minute.get((at.hour, at.minute), 0) + 1
    assert len(per_minute) > 120 and max(per_minute.values()) < 30
    assert not {minute for _, minute in per_minute} & {0, 1, 2, 3}


def test_the_same_home_gets_the_same_answer() -> None:
    assert looks("abc", NOW, 5) == looks("abc", NOW, 5) != looks("abd", NOW, 5)


@pytest.mark.parametrize(
    ("failures", "wait"), [(1, 0.5), (2, 2), (3, 10), (4, 30), (5, 60), (6, 60), (500, 60)]
)
def test_failures_wait_longer_and_longer(failures: int, wait: float) -> None:
    """30 s, 2, 10, 30 minutes, then an hour, each times 0.5 to 1.5."""
    waits = []
    for n in range(300):
        at = next_fetch(NOW, NOW - DAY, failures, None, f"home-{n}")
        assert at.minute >= 4
        if not 4 <= at.minute <= 8:  # may have been moved out of the crowded minutes
            waits.append((at - NOW) / MINUTE)
    assert wait * 0.5 <= min(waits) <= wait * 0.75 and wait * 1.25 <= max(waits) < wait * 1.5


@given(at=moments, failures=st.integers(0, 9), home=homes, asked=st.none() | st.integers(-60, 3000))
def test_it_is_never_in_the_crowded_minutes_nor_before_the_service_allows(
    at: datetime, failures: int, home: str, asked: int | None
) -> None:
    retry_after = None if asked is None else at + asked * MINUTE
    found = next_fetch(at, at if failures == 0 else None, failures, retry_after, home)
    assert found.minute >= 4
    if retry_after is not None:
        assert found >= min(retry_after, at + DAY)
        assert found <= max(at + 6 * HOUR, retry_after + 10 * MINUTE)
    assert at < found <= at + DAY + 10 * MINUTE


def test_it_asks_at_once_when_it_never_had_an_answer_or_the_clock_was_ahead() -> None:
    assert next_fetch(NOW, None, 0, None, "abc") == NOW
    assert next_fetch(NOW, NOW + 20 * DAY, 0, None, "abc") == NOW
    assert next_fetch(NOW + DAY, NOW, 0, None, "abc") < NOW + DAY  # overdue stays overdue


@pytest.mark.parametrize(
    ("tries", "wait"), [(1, 1), (2, 2), (3, 4), (4, 8), (5, 16), (6, 32), (7, 60), (900, 60)]
)
def test_a_mail_waits_twice_as_long_each_time_up_to_an_hour(tries: int, wait: int) -> None:
    waits = []
    for n in range(300):
        again = next_try(MADE, tries, NOW, f"<{n}@example.org>")
        assert again is not None
        waits.append((again - NOW) / MINUTE)
    assert wait * 0.5 <= min(waits) <= wait * 0.6 and wait * 1.4 <= max(waits) < wait * 1.5


@given(mark=st.text(max_size=30))
def test_a_mail_that_never_goes_is_given_up_after_five_days(mark: str) -> None:
    """RFC 5321, 4.5.4.1: at least 4 to 5 days; and tries are not so close as to annoy a server."""
    now, tries = MADE, 0
    while True:
        tries += 1
        again = next_try(MADE, tries, now, mark)
        if again is None:
            break
        assert again > now
        now = again
    assert timedelta(days=4.9) < now - MADE <= 5 * DAY
    assert 80 < tries < 250


def test_a_mail_made_by_a_clock_that_was_ahead_is_tried_on() -> None:
    assert next_try(MADE + 20 * DAY, 3, NOW, "a") is not None
    assert next_try(MADE, 3, NOW + 5 * DAY, "a") is None


def test_words_that_mean_nothing_are_refused() -> None:
    with pytest.raises(ValueError, match="only after a failure"):
        next_try(MADE, 0, NOW, "a")
    with pytest.raises(ValueError, match="time zone"):
        next_try(MADE, 1, datetime(2027, 4, 10), "a")
    with pytest.raises(ValueError, match="time zone"):
        next_fetch(datetime(2027, 4, 10), None, 0, None, "abc")

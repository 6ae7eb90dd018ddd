"""When past weather is looked up: at night, once a day, and calmly after a failure."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from zone_table import ZONES

from advisor.service.schedule import next_look_up

NOW = datetime(2027, 4, 1, 12, 30, tzinfo=UTC)
MOMENTS = st.datetimes(datetime(2026, 1, 1), datetime(2028, 1, 1), timezones=st.just(UTC))
PLACE = st.from_regex(r"[0-9]{2}\.[0-9]{4},-[0-9]{2}\.[0-9]{4}", fullmatch=True)


@given(MOMENTS, st.sampled_from(sorted(ZONES)), PLACE)
def test_the_next_night_that_is_20_hours_ahead(now: datetime, name: str, place: str) -> None:
    """Between one and five by the site's clock, at a minute that few choose."""
    zone = ZoneInfo(name)
    night = next_look_up(now, 0, None, zone, place)
    assert timedelta(hours=20) <= night - now <= timedelta(hours=47)
    assert 1 <= night.astimezone(zone).hour < 5
    assert night.minute >= 4
    following = next_look_up(night, 0, None, zone, place)
    assert timedelta(hours=21) <= following - night <= timedelta(hours=27)


def test_homes_are_scattered_over_the_night() -> None:
    zone = ZoneInfo("America/New_York")
    nights = {next_look_up(NOW, 0, None, zone, f"3{n}.5500,-80.3500") for n in range(10)}
    assert len(nights) >= 8


@pytest.mark.parametrize(
    ("failures", "minutes"), [(1, 10), (2, 60), (3, 240), (4, 1440), (50, 1440)]
)
def test_waits_after_failures(failures: int, minutes: int) -> None:
    """Each wait times 0.5 to 1.5, and some minutes more where everybody asks."""
    for n in range(20):
        again = next_look_up(NOW, failures, None, ZoneInfo("UTC"), f"place {n}")
        wait = (again - NOW) / timedelta(minutes=1)
        assert 0.5 * minutes <= wait <= 1.5 * minutes + 8
        assert again.minute >= 4


def test_what_the_service_asks_for_wins_if_it_is_later_up_to_a_day() -> None:
    zone = ZoneInfo("UTC")
    assert next_look_up(NOW, 1, NOW + timedelta(hours=9), zone, "x") == NOW + timedelta(hours=9)
    far = next_look_up(NOW, 1, NOW + timedelta(days=9), zone, "x")
    assert far == NOW + timedelta(days=1)
    soon = next_look_up(NOW, 1, NOW + timedelta(seconds=1), zone, "x")
    assert soon >= NOW + timedelta(minutes=5)

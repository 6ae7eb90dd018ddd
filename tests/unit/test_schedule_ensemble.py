"""When the ensemble may be asked for: twice a day, and calmly after a failure."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from advisor.service.schedule import FETCH_EVERY, next_ensemble

NOW = datetime(2027, 4, 1, 12, 30, tzinfo=UTC)


def test_twice_a_day_behind_forecasts_three_hours_apart() -> None:
    asked, planned = [], NOW
    for turn in range(80):
        now = NOW + turn * FETCH_EVERY
        if planned <= now:
            asked.append(now)
            planned = next_ensemble(now, 0, None, "home")
    apart = {later - earlier for earlier, later in pairwise(asked)}
    assert apart == {timedelta(hours=12)}


@pytest.mark.parametrize(("failures", "minutes"), [(1, 10), (2, 60), (3, 240), (9, 1440)])
def test_waits_after_failures(failures: int, minutes: int) -> None:
    for n in range(20):
        wait = (next_ensemble(NOW, failures, None, f"place {n}") - NOW) / timedelta(minutes=1)
        assert 0.5 * minutes <= wait <= 1.5 * minutes + 8


def test_what_the_service_asks_for_wins_if_it_is_later() -> None:
    later = NOW + timedelta(hours=9)
    assert next_ensemble(NOW, 1, later, "home") == later

"""Made-up ensembles for tests."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray
from plan_cases import TODAY, ZONE, moment

from advisor.series.ensemble import Ensemble
from advisor.series.hourly import Source

Floats = NDArray[np.float64]


def ensemble(
    wet: Mapping[int, Mapping[tuple[int, int], float]] | None = None,
    *,
    members: int = 10,
    days: int = 10,
    today: date = TODAY,
    fetched: datetime | None = None,
    step: int = 1,
) -> Ensemble:
    """Dry members over whole local days from today, but for the rain of `wet`: by member, by day
    from today and hour of the clock, in mm of the hour that begins then."""
    zone = ZoneInfo(ZONE)
    start = datetime.combine(today, time(), zone).astimezone(UTC)
    rain = np.zeros((members, 24 * days))
    for member, hours in (wet or {}).items():
        for (day, hour), mm in hours.items():
            rain[member, 24 * day + hour] = mm
    at = fetched or moment(today, "05:00")
    return Ensemble(start, {"rain": rain}, Source("made-up members", at), step)


def wet_members(count: int, day: int, mm: float, hour: int = 2) -> Mapping:  # type: ignore[type-arg]
    """The first `count` members with rain on a day."""
    return {member: {(day, hour): mm} for member in range(count)}

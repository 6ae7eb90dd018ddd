"""Answers with made-up contents for tests of the store."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np

from advisor.series.hourly import HOUR, Series, Source
from advisor.store.database import Store

START = datetime(2026, 4, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Fetched:
    """As the weather package gives it, with made-up contents."""

    series: Series
    fetched_at: datetime
    provider: str = "A test"
    url: str = "https://weather.test/"
    notes: tuple[str, ...] = ()


def fetched(at: float, first: int, columns: Mapping[str, list[float]], **more: object) -> Fetched:
    """An answer given `at` hours after START whose first hour ends `first` hours after it."""
    when = START + timedelta(hours=at)
    series = Series(
        START + timedelta(hours=first - 1),
        {name: np.array(values, dtype=float) for name, values in columns.items()},
        Source("A test", when),
    )
    return Fetched(series, when, **more)  # type: ignore[arg-type]


def at(hours: float) -> datetime:
    return START + timedelta(hours=hours)


def values(store: Store, as_of: float, name: str = "rain", place: str = "home") -> dict[int, float]:
    """Known values by the hour (after START) at whose end they stand."""
    stored = store.series(place, at(as_of))
    assert stored is not None
    ends = (stored.series.ends() - int(START.timestamp())) // HOUR
    column = stored.series.column(name)
    return {int(e): float(v) for e, v in zip(ends, column, strict=True) if not math.isnan(v)}

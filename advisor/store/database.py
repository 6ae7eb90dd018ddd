"""The store: one SQLite file for weather and digests. Losing it costs history and nothing else."""

from __future__ import annotations

from advisor.store.digest_log import DigestLog
from advisor.store.weather_log import WeatherLog


class Store(WeatherLog, DigestLog):
    """Everything that is kept, at a path or in ":memory:". See the two logs for what it does."""

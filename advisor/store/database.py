"""The store: one SQLite file for weather, digests and mails. Losing it costs history only."""

from __future__ import annotations

from advisor.store.answer_log import AnswerLog
from advisor.store.archive_log import ArchiveLog
from advisor.store.digest_log import DigestLog
from advisor.store.ensemble_log import EnsembleLog
from advisor.store.memory import Memory
from advisor.store.outbox import Outbox
from advisor.store.weather_log import WeatherLog


class Store(WeatherLog, ArchiveLog, EnsembleLog, DigestLog, Outbox, AnswerLog, Memory):
    """Everything that is kept, at a path or in ":memory:". See its seven parts for what it does."""

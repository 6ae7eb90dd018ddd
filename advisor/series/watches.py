"""Watches and warnings of storms, floods and tropical weather, as a look at a service found."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Watch:
    """One watch or warning: `event` in the service's words; `begins` and `ends` are instants, None
    where the service did not say."""

    event: str
    begins: datetime | None = None
    ends: datetime | None = None


@dataclass(frozen=True)
class Watches:
    """What one look found. `failure` is a sentence where it failed: then nothing is known."""

    looked_at: datetime
    found: tuple[Watch, ...] = ()
    failure: str = ""

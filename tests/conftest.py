"""What all tests share: how hypothesis searches, and surroundings that no test inherits."""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

# Speed is measured in benchmarks, so no example has a deadline. A change is judged by the same
# examples every time (CI); at a desk each run looks for new ones.
settings.register_profile("desk", deadline=None)
settings.register_profile("judge", deadline=None, derandomize=True)
settings.load_profile("judge" if os.environ.get("CI") else "desk")

SCRUBBED = (
    "HTTP_PROXY", "HTTPS_PROXY", "ALL_PROXY", "NO_PROXY", "http_proxy", "https_proxy",
    "all_proxy", "no_proxy", "SSL_CERT_FILE", "STATE_DIRECTORY", "CREDENTIALS_DIRECTORY",
    "JOURNAL_STREAM", "NOTIFY_SOCKET", "WATCHDOG_USEC",
)  # fmt: skip


@pytest.fixture(autouse=True)
def plain_surroundings(monkeypatch: pytest.MonkeyPatch) -> None:
    """A proxy, a certificate store or a service manager of the machine's decides no test."""
    for name in SCRUBBED:
        monkeypatch.delenv(name, raising=False)

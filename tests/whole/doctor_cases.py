"""Asking `doctor` and `status` in tests, and a store as a service leaves it."""

from __future__ import annotations

import argparse
import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from command_line import Said

from advisor.cli import doctor
from advisor.cli.exits import Exit
from advisor.store.database import Store

NOW = datetime(2025, 4, 1, 10, tzinfo=UTC)
"""The demo's today at its digest's hour."""


def ask(
    capsys: pytest.CaptureFixture[str],
    command: Any,
    site: Path,
    state: Path,
    *,
    as_json: bool = False,
) -> Said:
    capsys.readouterr()
    code = command.run(argparse.Namespace(site=str(site), state=str(state), json=as_json))
    printed = capsys.readouterr()
    return Said(int(code), printed.out, printed.err)


def findings(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> dict[str, dict[str, str]]:
    """The doctor's findings by name, of several of one name the last."""
    said = ask(capsys, doctor, site, state, as_json=True)
    found = json.loads(said.out)
    faults = [one for one in found["findings"] if one["state"] == "fault"]
    assert found["faults"] == len(faults)
    assert said.code == (Exit.PROBLEMS if faults else Exit.DONE)
    assert all(one["mend"] for one in found["findings"] if one["state"] != "ok")
    return {one["name"]: one for one in found["findings"]}


def database(state: Path) -> Path:
    return state / "tansy-hollow" / "swardcast.sqlite3"


def well(state: Path) -> Store:
    """A store as a service leaves it that looked a minute ago."""
    database(state).parent.mkdir(parents=True)
    store = Store(database(state))
    facts = {
        "first_seen": NOW - timedelta(30),
        "last_fetch_ok": NOW - timedelta(hours=2),
        "last_decision": NOW - timedelta(2),
        "last_mail": NOW - timedelta(2),
    }
    for key, at in facts.items():
        store.remember("tansy-hollow", key, at.isoformat())
    store.remember("tansy-hollow", "wake_at", str(int(NOW.timestamp()) + 60))
    put(store, 2)
    return store


def put(store: Store, days_ago: int, purpose: str = "digest", outcome: str = "sent") -> None:
    """A mail in the outbox, and what became of it."""
    at = NOW - timedelta(days_ago)
    store.queue("tansy-hollow", at.date(), "ada@tansy-hollow.example", purpose, f"<{purpose}>",
                b"mail", at)  # fmt: skip
    letter = store.letters("tansy-hollow")[-1]
    if outcome == "sent":
        store.letter_sent(letter.id, at)
    elif outcome == "dead":
        store.letter_failed(letter.id, at, None, "The server refused the person: 550 gone.")
    else:
        store.letter_failed(letter.id, at, NOW + timedelta(minutes=5), "The server is not there.")

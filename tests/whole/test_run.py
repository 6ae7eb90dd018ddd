"""The real daemon with its real turns, on the demo: it fetches, says when it looks again, stops."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

from advisor.cli.main import main

ROOT = Path(__file__).parents[2]
PATIENCE = 60.0


def test_the_daemon_runs_a_turn_and_stops_when_it_is_asked_to(tmp_path: Path) -> None:
    site, state = tmp_path / "site", tmp_path / "state"
    assert main(["init", str(site), "--demo"]) == 0
    words = [sys.executable, "-m", "advisor.cli.main", "run", str(site), "--state", str(state)]
    log = tmp_path / "log"
    with (
        log.open("wb") as file,
        subprocess.Popen(
            words, cwd=ROOT, stdout=file, stderr=file, env={**os.environ, "PYTHONPATH": str(ROOT)}
        ) as daemon,
    ):
        try:
            woken = _wake_at(state / "tansy-hollow" / "swardcast.sqlite3")
            assert woken > time.time()
        finally:
            daemon.send_signal(signal.SIGTERM)
            code = daemon.wait(30)
    said = log.read_text(encoding="utf-8")
    assert code == 0, said
    assert "fetched the forecast" in said
    assert "wrote down no time" not in said


def _wake_at(database: Path) -> float:
    """When the daemon is to look again, once its first turn has written that down."""
    deadline = time.monotonic() + PATIENCE
    while time.monotonic() < deadline:
        if database.exists():
            with closing(sqlite3.connect(f"{database.as_uri()}?mode=ro", uri=True)) as opened:
                try:
                    row = opened.execute(
                        "SELECT value FROM memory WHERE key = 'wake_at'"
                    ).fetchone()
                except sqlite3.OperationalError:
                    row = None  # the tables are being made
            if row is not None:
                return float(row[0])
        time.sleep(0.2)
    raise AssertionError("no turn was run")

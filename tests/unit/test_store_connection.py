"""The file under the store: opened late, moved forward only, sound after a kill."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from advisor.store.connection import instant, microseconds
from advisor.store.database import Store
from advisor.store.errors import StoreError
from advisor.store.schema import MIGRATIONS

AT = datetime(2026, 4, 10, 9, 0, tzinfo=UTC)
ON = date(2026, 4, 10)


def test_nothing_is_made_before_the_first_use(tmp_path: Path) -> None:
    path = tmp_path / "state.db"
    with Store(path) as store:
        assert not path.exists()
        assert store.last_sent("home") is None
        assert path.exists()


def test_it_is_opened_to_survive_a_power_cut(tmp_path: Path) -> None:
    """A write-ahead log, synced at each commit (2 is FULL in SQLite's documentation)."""
    with Store(tmp_path / "state.db") as store, store.reading() as database:
        assert database.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
        assert database.execute("PRAGMA synchronous").fetchone()[0] == 2
        assert database.execute("PRAGMA user_version").fetchone()[0] == len(MIGRATIONS)


def test_a_newer_schema_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "state.db"
    with Store(path) as store:
        store.remember_digest("home", ON, AT, "{}", sent=True)
    plain = sqlite3.connect(path)
    plain.execute("PRAGMA user_version = 99")
    plain.close()
    with Store(path) as store, pytest.raises(StoreError, match=r"newer Swardcast .schema 99"):
        store.last_sent("home")
    plain = sqlite3.connect(path)
    assert plain.execute("SELECT count(*) FROM digest").fetchone() == (1,)
    plain.close()


def test_a_failed_step_leaves_the_schema_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "state.db"
    with Store(path) as store:
        store.remember_digest("home", ON, AT, "{}", sent=True)
    broken = (*MIGRATIONS, ("CREATE TABLE more (n INTEGER)", "CREATE TABLE digest (n INTEGER)"))
    monkeypatch.setattr("advisor.store.connection.MIGRATIONS", broken)
    with Store(path) as store, pytest.raises(StoreError, match="digest already exists"):
        store.last_sent("home")
    monkeypatch.setattr("advisor.store.connection.MIGRATIONS", MIGRATIONS)
    with Store(path) as store, store.reading() as database:
        assert "more" not in database.table_names()
        assert database.execute("PRAGMA user_version").fetchone()[0] == len(MIGRATIONS)


def test_a_later_step_is_taken_over_what_is_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "state.db"
    with Store(path) as store:
        store.remember_digest("home", ON, AT, "{}", sent=True)
    monkeypatch.setattr(
        "advisor.store.connection.MIGRATIONS", (*MIGRATIONS, ("CREATE TABLE more (n INTEGER)",))
    )
    with Store(path) as store:
        assert store.last_sent("home") == ON


@pytest.mark.parametrize("what", ["no folder", "a folder", "no database"])
def test_a_file_that_cannot_be_used_is_one_sentence(tmp_path: Path, what: str) -> None:
    path = {"no folder": tmp_path / "none" / "state.db", "a folder": tmp_path}.get(
        what, tmp_path / "state.db"
    )
    if what == "no database":
        path.write_text("This is a letter to the editor, and no database at all. " * 20)
    with Store(path) as store, pytest.raises(StoreError) as caught:
        store.last_sent("home")
    sentence = str(caught.value)
    assert str(path) in sentence and sentence.endswith(".") and "\n" not in sentence


def test_a_file_that_another_holds_is_named(tmp_path: Path) -> None:
    path = tmp_path / "state.db"
    with Store(path) as first, Store(path, busy_seconds=0.01) as second:
        assert second.last_sent("home") is None
        with first.changing(), pytest.raises(StoreError, match="in use by another"):
            second.remember_digest("home", ON, AT, "{}", sent=True)
        second.remember_digest("home", ON, AT, "{}", sent=True)
        assert first.last_sent("home") == ON


def test_an_error_within_a_change_keeps_nothing_of_it(tmp_path: Path) -> None:
    with Store(tmp_path / "state.db") as store:
        with pytest.raises(RuntimeError, match="power"), store.changing() as database:
            database.execute(
                'INSERT INTO digest (site, "on", decided, plan, sent) '
                "VALUES ('home', '2026-04-10', 1, '{}', 1)"
            )
            raise RuntimeError("power")
        assert store.last_sent("home") is None


def test_a_store_is_opened_per_job(tmp_path: Path) -> None:
    """Used from another thread it says so; it does not corrupt anything."""
    store = Store(tmp_path / "state.db")
    assert store.last_sent("home") is None
    said: list[str] = []

    def use() -> None:
        try:
            store.last_sent("home")
        except StoreError as error:
            said.append(str(error))

    thread = threading.Thread(target=use)
    thread.start()
    thread.join()
    assert len(said) == 1 and "thread" in said[0]
    store.close()


def test_closing_twice_and_using_again(tmp_path: Path) -> None:
    store = Store(tmp_path / "state.db")
    store.remember_digest("home", ON, AT, "{}", sent=True)
    store.close()
    store.close()
    assert store.last_sent("home") == ON
    store.close()


def test_instants_come_back_to_the_microsecond() -> None:
    for moment in (
        AT,
        datetime(1969, 12, 31, 23, 59, 59, 999_999, UTC),
        datetime.max.replace(tzinfo=UTC),
    ):
        assert instant(microseconds(moment)) == moment


READER = """
import os, sys
from datetime import UTC, date, datetime
import sqlite_utils  # as root: the other user may not read the libraries
from advisor.store.database import Store
from advisor.store.errors import StoreError
if os.geteuid() == 0:
    os.setgroups([]); os.setgid(65534); os.setuid(65534)
with Store(sys.argv[1]) as store:
    print(store.last_sent("home"))
    try:
        store.remember_digest("home", date(2026, 5, 1), datetime.now(UTC), "{}", True)
    except StoreError as error:
        print(error)
"""


@pytest.mark.parametrize("held", [True, False], ids=["daemon runs", "daemon stopped"])
def test_who_may_only_read_reads(held: bool) -> None:
    """The state belongs to the service; its group reads it, whether or not the service runs."""
    with tempfile.TemporaryDirectory() as made:  # pytest's own folder is closed to other users
        folder, path = Path(made), Path(made) / "state.db"
        store = Store(path)
        store.remember_digest("home", ON, AT, "{}", sent=True)
        if not held:
            store.close()
        for file in folder.iterdir():
            file.chmod(0o444)
        folder.chmod(0o555)
        try:
            ran = subprocess.run(
                [sys.executable, "-c", READER, str(path)],
                capture_output=True,
                text=True,
                env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
                cwd=folder,
                check=True,
            )
        finally:
            folder.chmod(0o755)
            store.close()
    first, second = ran.stdout.splitlines()
    assert first == str(ON)
    assert "read-only for this user" in second


WRITER = """
import sys
from datetime import UTC, date, datetime, timedelta
from advisor.store.database import Store
store = Store(sys.argv[1])
for n in range(100_000):
    store.remember_digest("home", date(2026, 1, 1), datetime.fromtimestamp(n, UTC), "{}", True)
    print(n, flush=True)
"""


def test_what_was_acknowledged_survives_a_kill(tmp_path: Path) -> None:
    """SIGKILL in the middle of writing: nothing acknowledged is lost, and the file is sound."""
    path = tmp_path / "state.db"
    with subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path)],
        stdout=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parents[2],
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
    ) as writer:
        assert writer.stdout is not None
        lines = [writer.stdout.readline() for _ in range(25)]
        writer.send_signal(signal.SIGKILL)
        lines += writer.stdout.readlines()
    acknowledged = [int(line) for line in lines if line.endswith("\n")]
    with Store(path) as store:
        found = len(store.sent_plans("home", AT))
        with store.reading() as database:
            assert database.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert acknowledged[-1] >= 24
    assert len(acknowledged) <= found <= len(acknowledged) + 1

"""What the service manager hears, at a socket that is one; and the lock that only one may hold."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from advisor.service.lock import HeldError, LockError, take_lock
from advisor.service.notify import Notifier, watchdog_seconds


@contextmanager
def manager(address: str) -> Iterator[socket.socket]:
    """A service manager's end: a datagram socket with a path, or with an abstract name (@)."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as listener:
        listener.bind("\0" + address[1:] if address.startswith("@") else address)
        listener.settimeout(5)
        yield listener


@pytest.fixture(params=["path", "abstract"])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    if request.param == "path":
        return str(tmp_path / "notify")
    return f"@swardcast-test-{os.getpid()}"


def test_ready_comes_as_one_datagram(address: str) -> None:
    """At a path and at an abstract name. Source of the words: sd_notify(3)."""
    with manager(address) as listener:
        assert Notifier(address).ready("1 served.")
        assert listener.recv(4096).decode().splitlines() == [
            "READY=1", "STATUS=1 served.", "WATCHDOG=1",
        ]  # fmt: skip


def test_alive_feeds_the_watchdog_and_stopping_does_not(tmp_path: Path) -> None:
    address = str(tmp_path / "notify")
    with manager(address) as listener:
        speaker = Notifier(address)
        assert speaker.alive("next: home at 12:00.")
        assert "WATCHDOG=1" in listener.recv(4096).decode().splitlines()
        assert speaker.stopping()
        assert listener.recv(4096).decode().splitlines()[0] == "STOPPING=1"


def test_a_status_cannot_smuggle_in_a_second_word(tmp_path: Path) -> None:
    """A line break within would begin another message."""
    address = str(tmp_path / "notify")
    with manager(address) as listener:
        Notifier(address).alive("a\nSTOPPING=1")
        assert listener.recv(4096).decode().splitlines() == ["WATCHDOG=1", "STATUS=a STOPPING=1"]


@pytest.mark.parametrize("address", [None, "", "/nowhere/at/all", "@swardcast-no-one", "vsock:2:1"])
def test_nobody_listens(address: str | None) -> None:
    """Without a manager nothing is said, and nothing breaks."""
    assert not Notifier(address).ready("")


@pytest.mark.parametrize(
    ("environment", "seconds"),
    [
        ({}, None),
        ({"WATCHDOG_USEC": "300000000"}, 300.0),
        ({"WATCHDOG_USEC": "300000000", "WATCHDOG_PID": "7"}, 300.0),
        ({"WATCHDOG_USEC": "300000000", "WATCHDOG_PID": "8"}, None),
        ({"WATCHDOG_USEC": "0"}, None),
        ({"WATCHDOG_USEC": "soon"}, None),
    ],
)
def test_watchdog_seconds(environment: dict[str, str], seconds: float | None) -> None:
    """For process 7. Source: sd_watchdog_enabled(3)."""
    assert watchdog_seconds(environment, 7) == seconds


def test_lock_is_for_one(tmp_path: Path) -> None:
    """The second is told who has it; once given back it can be taken again."""
    first = take_lock(tmp_path / "state" / "home", "daemon.lock")
    with pytest.raises(HeldError, match=f"process {os.getpid()}$"):
        take_lock(tmp_path / "state" / "home", "daemon.lock")
    first.release()
    first.release()
    take_lock(tmp_path / "state" / "home", "daemon.lock").release()


def test_lock_of_the_dead_is_free(tmp_path: Path) -> None:
    """A process that was killed holds nothing, though its file is still there."""
    held = (
        "import sys, time; from pathlib import Path; from advisor.service.lock import take_lock\n"
        "lock = take_lock(Path(sys.argv[1]), 'daemon.lock'); print('held', flush=True)\n"
        "time.sleep(60)"
    )
    with subprocess.Popen(
        [sys.executable, "-c", held, str(tmp_path)], stdout=subprocess.PIPE
    ) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == b"held\n"
        with pytest.raises(HeldError, match=f"process {other.pid}$"):
            take_lock(tmp_path, "daemon.lock")
        other.kill()
    take_lock(tmp_path, "daemon.lock").release()


def test_lock_makes_a_state_folder_that_its_group_may_read(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        take_lock(tmp_path / "home", "daemon.lock").release()
    finally:
        os.umask(before)
    assert (tmp_path / "home").stat().st_mode & 0o777 == 0o750
    assert (tmp_path / "home" / "daemon.lock").stat().st_mode & 0o777 == 0o640


def test_lock_that_cannot_be_made_says_what_to_mend(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(LockError, match="choose another folder with --state"):
        take_lock(tmp_path / "file" / "home", "daemon.lock")

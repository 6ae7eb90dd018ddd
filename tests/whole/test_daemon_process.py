"""The daemon as a process of its own, with a manager that listens and a stand-in for the turn."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from command_line import surroundings

HEAVY = (
    "babel", "httpx", "icalendar", "imap_tools", "jinja2", "lark", "numpy", "pydantic", "resvg_py",
    "sqlite_utils",
)  # fmt: skip
"""What belongs into a turn, which gives its memory back; the daemon stays for months."""

LARGEST_MEGABYTES = 60

STAND_IN = """
import os, sqlite3, sys, time
folder, base, sleeps = sys.argv[1:]
state = os.path.join(base, os.path.basename(folder))
with open(os.path.join(state, "turn.pid"), "w") as file:
    file.write(f"{os.getpid()} {os.environ.get('NOTIFY_SOCKET')}\\n")
time.sleep(float(sleeps))
db = sqlite3.connect(os.path.join(state, "swardcast.sqlite3"))
db.execute("CREATE TABLE IF NOT EXISTS memory (site, key, value, UNIQUE (site, key))")
wake = str(time.time() + 3600)
db.execute("INSERT OR REPLACE INTO memory VALUES (?, 'wake_at', ?)",
           (os.path.basename(folder), wake))
db.commit()
"""

PROGRAM = f"""
import argparse, functools, signal, sys
signal.signal(signal.SIGHUP, signal.SIG_DFL)  # whoever runs the tests may ignore it, as nohup does
import advisor.cli.run as command
from advisor.service.served import Pace
words = argparse.ArgumentParser()
words.add_argument("sites", nargs="+")
words.add_argument("--state")
words.add_argument("--tick", type=float, default=60.0)
words.add_argument("--sleeps", default="0")
given = words.parse_args()
def turn(folder, base):
    with open("modules", "w") as file:
        file.write("\\n".join(sys.modules))
    return [sys.executable, "-S", "-E", "-c", {STAND_IN!r}, str(folder), str(base), given.sleeps]
command.Daemon = functools.partial(command.Daemon, command=turn, pace=Pace(tick=given.tick))
sys.exit(command.run(given))
"""
"""The command `run`, but for what it starts and how often it ticks."""


@dataclass
class Process:
    """A daemon that runs, and the datagrams that its service manager hears."""

    process: subprocess.Popen[bytes]
    manager: socket.socket
    folder: Path

    def hear(self, word: str) -> str:
        """The next datagram with a word in it."""
        while True:
            said = self.manager.recv(4096).decode()
            if word in said.splitlines():
                return said

    def state(self) -> Path:
        return self.folder / "state" / "home"

    def megabytes(self) -> float:
        status = Path(f"/proc/{self.process.pid}/status").read_text(encoding="ascii")
        line = next(line for line in status.splitlines() if line.startswith("VmRSS:"))
        return int(line.split()[1]) / 1024

    def handles(self) -> int:
        return len(os.listdir(f"/proc/{self.process.pid}/fd"))  # noqa: PTH208

    def end(self, number: signal.Signals = signal.SIGTERM) -> tuple[int, str]:
        """Its exit code and all that it logged."""
        self.process.send_signal(number)
        _, err = self.process.communicate(timeout=20)
        return self.process.returncode, err.decode()


@contextmanager
def daemon(folder: Path, *words: str, **environment: str) -> Iterator[Process]:
    """A daemon that serves folder/home."""
    home = folder / "home"
    home.mkdir(exist_ok=True)
    (home / "site.toml").write_text('id = "home"\n', encoding="utf-8")
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(str(folder / "notify"))
        manager.settimeout(20)
        process = subprocess.Popen(
            [sys.executable, "-c", PROGRAM, str(home), "--state", str(folder / "state"), *words],
            stderr=subprocess.PIPE,
            cwd=folder,
            env={**surroundings(), "NOTIFY_SOCKET": str(folder / "notify"), **environment},
        )
        try:
            yield Process(process, manager, folder)
        finally:
            process.kill()
            process.communicate()


def until(true: Callable[[], bool], seconds: float = 10.0) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.01)


def alive(pid: int) -> bool:
    """Whether a process is there, and no corpse."""
    try:
        return Path(f"/proc/{pid}/stat").read_text(encoding="ascii").split()[2] != "Z"
    except OSError:
        return False


def test_daemon_is_small(tmp_path: Path) -> None:
    """At most 60 MB between turns, and nothing heavy imported, once it has started one."""
    with daemon(tmp_path, "--tick", "0.1") as running:
        running.hear("READY=1")
        for _ in range(5):
            running.hear("WATCHDOG=1")
        assert running.megabytes() <= LARGEST_MEGABYTES
        code, err = running.end()
    assert code == 0, err
    loaded = {name.split(".")[0] for name in (tmp_path / "modules").read_text().splitlines()}
    assert "apscheduler" in loaded
    assert not loaded.intersection(HEAVY)


def test_daemon_stays_small(tmp_path: Path) -> None:
    """Hundreds of ticks leave no open file and no more than a few megabytes behind."""
    with daemon(tmp_path, "--tick", "0.005") as running:
        for _ in range(50):
            running.hear("WATCHDOG=1")
        before, handles = running.megabytes(), running.handles()
        for _ in range(400):
            running.hear("WATCHDOG=1")
        assert running.handles() <= handles + 2  # a tick may be in the midst of a look
        assert running.megabytes() <= before + 4


def test_ready_tells_what_comes_next(tmp_path: Path) -> None:
    """First the turn at work; once it has ended, when the next one is."""
    with daemon(tmp_path, "--tick", "0.1", "--sleeps", "0.3") as running:
        assert "STATUS=1 served; at work: home." in running.hear("READY=1")
        said = ""
        while "next: home at 20" not in said:
            said = running.hear("WATCHDOG=1")


def test_turn_does_not_speak_to_the_service_manager(tmp_path: Path) -> None:
    """The socket is the daemon's: its child is not given it."""
    with daemon(tmp_path) as running:
        until((running.state() / "swardcast.sqlite3").exists)
        assert (running.state() / "turn.pid").read_text().split()[1] == "None"


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_signal_stops_the_daemon_and_its_turn(tmp_path: Path, number: signal.Signals) -> None:
    """Within seconds, with exit code 0, though the turn would have gone on for a minute."""
    with daemon(tmp_path, "--sleeps", "60") as running:
        running.hear("READY=1")
        pid_file = running.state() / "turn.pid"
        until(lambda: pid_file.exists() and bool(pid_file.read_text()))
        turn = int(pid_file.read_text().split()[0])
        assert alive(turn)
        began = time.monotonic()
        code, err = running.end(number)
        assert time.monotonic() - began < 5
        assert code == 0, err
        assert not alive(turn)
        running.hear("STOPPING=1")
        assert "Traceback" not in err


def test_second_daemon_is_refused(tmp_path: Path) -> None:
    """With exit code 75 and one sentence; the first goes on. A killed one leaves no lock."""
    with daemon(tmp_path, "--tick", "0.1") as first:
        first.hear("READY=1")
        again = subprocess.run(
            [
                sys.executable, "-c", PROGRAM,
                str(tmp_path / "home"), "--state", str(tmp_path / "state"),
            ],
            capture_output=True, env=surroundings(), cwd=tmp_path, timeout=20, check=False,
        )  # fmt: skip
        assert again.returncode == 75
        said = again.stderr.decode()
        assert f"is held by process {first.process.pid}" in said
        assert "stop that one first" in said
        assert said.count("\n") == 1
        first.hear("WATCHDOG=1")
        first.end(signal.SIGKILL)
    (tmp_path / "notify").unlink()
    with daemon(tmp_path) as third:
        third.hear("READY=1")


def test_what_is_no_folder_is_refused(tmp_path: Path) -> None:
    """With exit code 78: the service manager does not try that again."""
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(tmp_path / "none"), "--state", str(tmp_path / "state")],
        capture_output=True, env=surroundings(), cwd=tmp_path, timeout=20, check=False,
    )  # fmt: skip
    assert done.returncode == 78
    assert "No such file or directory; name a site's folder" in done.stderr.decode()
    assert done.stderr.count(b"\n") == 1


@pytest.mark.parametrize("ours", [True, False])
def test_log_has_levels_for_the_journal_only(tmp_path: Path, ours: bool) -> None:
    """`<N>` when standard error is the journal that $JOURNAL_STREAM names, and not when a shell
    inherited that from its desktop. Source: sd-daemon(3), systemd.exec(5)."""
    read, write = os.pipe()
    told = os.fstat(write)
    stream = f"{told.st_dev}:{told.st_ino if ours else told.st_ino + 1}"
    with os.fdopen(read, "rb") as log:
        done = subprocess.run(
            [
                sys.executable, "-c", PROGRAM,
                str(tmp_path / "\x1b[31mred"), "--state", str(tmp_path / "state"),
            ],
            stderr=write, cwd=tmp_path, timeout=20, check=False,
            env={**surroundings(), "JOURNAL_STREAM": stream},
        )  # fmt: skip
        os.close(write)
        said = log.read().decode()
    assert done.returncode == 78
    assert said.startswith("<3>/") is ours
    assert "\x1b" not in said, "a folder's name sets no colours"

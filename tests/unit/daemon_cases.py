"""A daemon for tests: clocks that are set by hand, and a stand-in for the turn of a site."""

from __future__ import annotations

import logging
import sqlite3
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from advisor.service.daemon import Clocks, Daemon
from advisor.service.served import Pace
from advisor.service.stop import Stop

NOON = 1_800_000_000.0
"""Unix seconds in 2027: the wall clock at the start of a test."""

BELIEVED = NOON - 1e7

FAST = Pace(tick=0.05, clocks=0.02, deadline=0.5, grace=0.5, work=1.0)

STAND_IN = """
import sqlite3, sys, time
from pathlib import Path
folder, base, wake, code, sleeps, deaf = sys.argv[1:]
if deaf == "deaf":
    import signal
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
state = Path(base) / Path(folder).name
with (state / "turns").open("a") as file:
    file.write("begun\\n")
time.sleep(float(sleeps))
if wake:
    db = sqlite3.connect(state / "swardcast.sqlite3")
    db.execute("PRAGMA journal_mode = WAL")
    db.execute("CREATE TABLE IF NOT EXISTS memory (site, key, value, UNIQUE (site, key))")
    db.execute("INSERT OR REPLACE INTO memory VALUES (?, 'wake_at', ?)", (Path(folder).name, wake))
    db.commit()
    db.close()
with (state / "turns").open("a") as file:
    file.write("ended\\n")
sys.exit(int(code))
"""
"""Writes down that it ran and when it wants to be woken, as a turn does. Its id is its folder's."""


@dataclass
class Hands:
    """Two clocks with hands that a test moves."""

    wall: float = NOON
    steady: float = 1000.0

    def pass_(self, seconds: float) -> None:
        self.wall += seconds
        self.steady += seconds


@dataclass
class Running:
    """A turn's stand-in: what the next one will do, and what those before did."""

    wake: float | None = NOON + 3600
    code: int = 0
    sleeps: float = 0.0
    deaf: bool = False
    begun: list[Path] = field(default_factory=list)

    def words(self, folder: Path, base: Path) -> Sequence[str]:
        self.begun.append(folder)
        wake = "" if self.wake is None else repr(self.wake)
        return [
            sys.executable, "-S", "-E", "-c", STAND_IN, str(folder), str(base), wake,
            str(self.code), str(self.sleeps), "deaf" if self.deaf else "",
        ]  # fmt: skip


def lay_site(folder: Path, name: str = "") -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "site.toml").write_text(f'id = "{name or folder.name}"\n', encoding="utf-8")
    return folder


def store_wake(state: Path, site: str, value: object) -> None:
    """Write down when a site wants to be woken, as its turn would."""
    state.mkdir(parents=True, exist_ok=True)
    with closing(sqlite3.connect(state / "swardcast.sqlite3")) as database:
        database.execute("PRAGMA journal_mode = WAL")
        database.execute("CREATE TABLE IF NOT EXISTS memory (site, key, value, UNIQUE(site, key))")
        database.execute("INSERT OR REPLACE INTO memory VALUES (?, 'wake_at', ?)", (site, value))
        database.commit()


@contextmanager
def daemon(
    named: Sequence[Path],
    base: Path,
    turn: Running,
    hands: Hands | None = None,
    pace: Pace = FAST,
    environment: dict[str, str] | None = None,
    stop: Stop | None = None,
) -> Iterator[Daemon]:
    """A daemon that has taken its sites; they are given back at the end."""
    clocks = Clocks()
    if hands is not None:
        clocks = Clocks(wall=lambda: hands.wall, steady=lambda: hands.steady)
    made = Daemon(
        named, base, stop or Stop(), environment=environment or {}, believed=BELIEVED,
        command=turn.words, clocks=clocks, pace=pace,
    )  # fmt: skip
    made.open()
    try:
        yield made
    finally:
        made.close()


def settle(made: Daemon) -> None:
    """Look, and wait for the turns that this started, and see to their end."""
    made.look(patience=0.0)
    for site in made.served:
        if site.child is not None:
            assert site.child.wait(10.0)
    made.look(patience=0.0)


def until(true: Callable[[], bool], seconds: float = 10.0) -> None:
    """Wait for something that another thread or program does."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.01)


@contextmanager
def in_the_background(made: Daemon, stop: Stop) -> Iterator[list[bool]]:
    """The daemon running, as it would in its own process; stopped at the end."""
    ended: list[bool] = []
    thread = threading.Thread(target=lambda: ended.append(made.run()))
    thread.start()
    try:
        yield ended
    finally:
        stop.ask()
        thread.join(15)
        assert not thread.is_alive()


class Heard(logging.Handler):
    """The daemon's log lines."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(record.getMessage())


@contextmanager
def heard() -> Iterator[list[str]]:
    """What the daemon logs meanwhile."""
    handler = Heard()
    logger = logging.getLogger("swardcast")
    before, logger.propagate = logger.level, False
    logger.setLevel(logging.INFO)
    logger.addHandler(handler)
    try:
        yield handler.lines
    finally:
        logger.removeHandler(handler)
        logger.setLevel(before)
        logger.propagate = True

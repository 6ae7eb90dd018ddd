"""Killed at random moments under load, the service repeats a mail at worst and loses none.

Run as a program, this file is the part that is killed: `test_kill_loop.py DATABASE PORT`.
"""

# ruff: noqa: N802 - the server finds its hooks by these names

from __future__ import annotations

import json
import os
import random
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from advisor.service.postman import PERHAPS, Postman
from advisor.site.place import Mail
from advisor.store.database import Store
from advisor.store.outbox import Draft

HERE = "127.0.0.1"
HOME = "home"
READERS = ("robin@example.net", "sam@example.net")
FIRST = date(2027, 1, 1)
BEGIN = datetime(2027, 1, 1, 11, tzinfo=UTC)
DAY = timedelta(days=1)
CONNECT = socket.create_connection

KILLS = 200
KILLS_BY_SERVER = 20
"""Further ones that come when the mail is taken and the answer is not yet on its way."""


# What is killed.


def letter_of(on: date, life: int, reader: str) -> Draft:
    """Bytes made from the date, and from which life it was that made them: a digest decided anew
    after a kill would not come out the same, so a name that is given twice would show."""
    name = f"<{on}.{life}.{reader.partition('@')[0]}@example.org>"
    head = f"From: lawn@example.org\r\nTo: {reader}\r\nMessage-ID: {name}\r\n\r\n"
    body = f"Digest of {on}, made in life {life}.\r\n..\r\n.\r\n" * 200
    return Draft(reader, name, (head + body).encode())


def work(path: str, port: int, life: int) -> None:
    """Queue the digest of one date after the other and deliver, until killed. Life 0 queues
    nothing and goes on until nothing waits any more."""
    parent = os.getppid()
    mail = Mail.model_validate(
        {
            "from": "lawn@example.org",
            "to": READERS,
            "server": HERE,
            "port": port,
            "security": "none",
        }
    )
    with Store(path) as store:
        postman = Postman(HOME, mail, store, Path(path).parent, {})
        os.write(1, f"{os.getpid()}\n".encode())
        # The newest names are asked for again, as by a turn that does not know how far it came.
        day = max((len(store.letters(HOME)) // len(READERS)) - 2, 0)
        while os.getppid() == parent:
            now = BEGIN + day * DAY + timedelta(microseconds=life)
            if life:
                on = FIRST + day * DAY
                store.remember_digest(HOME, on, now, "{}", sent=False)
                drafts = [letter_of(on, life, reader) for reader in READERS]
                store.queue_all(HOME, on, "digest", drafts, now)
            elif not store.letters(HOME, "ready"):
                return
            postman.deliver_due(now)
            day += 1


def neighbour(path: str) -> None:
    """Reads and writes the same file all the time, as the commands and the daemon may."""
    parent = os.getppid()
    with Store(path) as store:
        while os.getppid() == parent:
            store.letters(HOME, "ready")
            store.remember("another", "count", str(time.monotonic()))
            time.sleep(0.005)  # SQLite has no queue: without any pause nobody else gets a turn


def connected_at_once(
    address: tuple[str, int], timeout: float, source: tuple[str, int] | None = None
) -> socket.socket:
    """A connection that holds no short piece back: else most of a life, and so most of the
    kills, would fall into one wait of 40 ms between a mail's text and its closing dot."""
    connection = CONNECT(address, timeout, source)
    connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    return connection


def breed(path: str, port: int) -> None:
    """Beget a process for each line that comes in: it has its imports behind it when it begins."""
    socket.create_connection = connected_at_once  # type: ignore[assignment]
    with Store(path) as store:
        store.letters(HOME)
    if not (beside := os.fork()):
        neighbour(path)
        os._exit(0)
    for line in sys.stdin:
        word, life = line.split()
        if word == "live":
            child = os.fork()
            if not child:
                work(path, port, int(life))
                os._exit(0)
        else:  # reaped only when asked to, so that its number is nobody else's until then
            print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
    os.kill(beside, signal.SIGKILL)
    os.waitpid(beside, 0)


# Who kills, and who is asked afterwards.


@dataclass(frozen=True)
class Taken:
    """A mail that the server accepted."""

    recipient: str
    message_id: str
    message: bytes


class Post:
    """A server's handler: puts off one mail of five once, and can kill whoever hands one over."""

    def __init__(self) -> None:
        self.taken: list[Taken] = []
        self.put_off: set[str] = set()
        self.victim: int | None = None

    async def handle_DATA(self, _server: object, _session: object, envelope: Any) -> str:
        message = bytes(envelope.original_content)
        name = message.partition(b"Message-ID: ")[2].partition(b"\r\n")[0].decode()
        if sum(name.encode()) % 5 == 0 and name not in self.put_off:
            self.put_off.add(name)
            return "451 later"
        (recipient,) = envelope.rcpt_tos
        self.taken.append(Taken(recipient, name, message))
        if self.victim is not None:
            os.kill(self.victim, signal.SIGKILL)
            self.victim = None
        return "250 taken"

    def names(self) -> set[str]:
        return {one.message_id for one in self.taken}


@contextmanager
def serving(handler: Post) -> Iterator[int]:
    from aiosmtpd.controller import Controller

    with socket.create_server((HERE, 0)) as free:
        port = int(free.getsockname()[1])
    controller = Controller(handler, hostname=HERE, port=port)
    controller.start()
    try:
        yield port
    finally:
        controller.stop()


class Breeder:
    """The process that begets; each life is begun, killed and reaped from here."""

    def __init__(self, path: Path, port: int) -> None:
        root = str(Path(__file__).parents[2])
        self.process = subprocess.Popen(
            [sys.executable, __file__, str(path), str(port)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            # No list of authorities: nothing here speaks TLS, and each takes 50 ms to read.
            env={**os.environ, "PYTHONPATH": root, "SSL_CERT_FILE": os.devnull},
        )

    def begin(self, life: int) -> int:
        """The number of the new process, when it is about to begin with its work."""
        return int(self._ask(f"live {life}"))

    def ended(self) -> int:
        """How the last one ended: 0, or the signal with a minus."""
        return int(self._ask("reap 0"))

    def _ask(self, line: str) -> str:
        assert self.process.stdin is not None and self.process.stdout is not None
        self.process.stdin.write(line + "\n")
        self.process.stdin.flush()
        return self.process.stdout.readline()

    def close(self) -> None:
        self.process.communicate(timeout=20)


def compare(path: Path, post: Post) -> dict[str, int]:
    """Hold the store against the server; how many mails there are of each state."""
    with closing(sqlite3.connect(path)) as plain:
        letters = plain.execute(
            'SELECT message_id, state, "on", created, note FROM letter'
        ).fetchall()
        counted = set(plain.execute('SELECT "on", decided FROM digest WHERE sent').fetchall())
    accepted, states = post.names(), {"ready": 0, "sent": 0, "dead": 0, "replaced": 0}
    arrived, cut_off = set(), set()
    for name, state, on, decided, note in letters:
        states[state] += 1
        if name in accepted:
            arrived.add((on, decided))
        if note.startswith(PERHAPS):
            cut_off.add((on, decided))
        if state == "sent":
            assert name in accepted, f"{name} is marked sent and was never accepted"
            assert (on, decided) in counted, f"{name} is sent, and its digest does not count"
    # A try that was cut off may have arrived, for all that the store can know: that counts too.
    assert counted <= arrived | cut_off, "a digest counts as advised that reached nobody"
    return states


def span(breeder: Breeder, post: Post) -> float:
    """The longest that a life should last, in seconds: 0.08, or more where a busy machine would
    get no mail out within that. The first life tells."""
    began = time.monotonic()
    child = breeder.begin(1)
    while len(post.taken) < 2 and time.monotonic() - began < 10:
        time.sleep(0.002)
    took = time.monotonic() - began
    os.kill(child, signal.SIGKILL)
    assert breeder.ended() == -signal.SIGKILL
    return min(max(took, 0.08), 0.15)


def test_200_kills_lose_no_mail_and_rename_none(tmp_path: Path) -> None:
    """As read from the server: every mail queued was accepted, each under one Message-ID with
    the same bytes; and after each kill nothing is marked sent that was not accepted."""
    path, post, chance = tmp_path / "swardcast.sqlite3", Post(), random.Random(20270411)
    waiting = 0
    with serving(post) as port:
        breeder = Breeder(path, port)
        try:
            longest = span(breeder, post)
            for life in range(2, KILLS + KILLS_BY_SERVER + 2):
                by_server = life % (KILLS // KILLS_BY_SERVER + 1) == 0
                child = breeder.begin(life)
                if by_server:
                    post.victim = child
                else:
                    time.sleep(chance.uniform(0.005, longest))
                    os.kill(child, signal.SIGKILL)
                assert breeder.ended() == -signal.SIGKILL
                waiting += compare(path, post)["ready"] > 0
            breeder.begin(0)
            assert breeder.ended() == 0
        finally:
            breeder.close()
    states = compare(path, post)
    with Store(path) as store:
        letters = {(letter.recipient, letter.on): letter for letter in store.letters(HOME)}
        with store.reading() as database:
            assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    dates = {on for _, on in letters}
    assert set(letters) == {(reader, on) for reader in READERS for on in dates}
    assert dates == {FIRST + n * DAY for n in range(len(dates))}

    came: dict[tuple[str, date], list[Taken]] = {}
    for one in post.taken:
        on = date.fromisoformat(one.message_id[1:11])
        came.setdefault((one.recipient, on), []).append(one)
    assert set(came) == set(letters), "what was queued is what was accepted"
    for key, times in came.items():
        life = int(times[0].message_id[1:].split(".")[1])
        draft = letter_of(key[1], life, key[0])
        assert {(one.message_id, one.message) for one in times} == {
            (draft.message_id, draft.message)
        }
        assert letters[key].message_id == draft.message_id
    assert states["sent"] == len(letters)

    doubles = len(post.taken) - len(came)
    print(
        json.dumps(
            {
                "kills": KILLS + KILLS_BY_SERVER,
                "mails": len(letters),
                "put off": len(post.put_off),
                "kills that left mails waiting": waiting,
                "doubles": doubles,
            }
        )
    )
    # Else the kills would have come at moments at which nothing can go wrong.
    assert doubles >= KILLS_BY_SERVER
    assert waiting >= KILLS // 4
    assert len(dates) >= 10
    assert post.put_off


if __name__ == "__main__":
    breed(sys.argv[1], int(sys.argv[2]))

"""A raw mail server that answers what a test tells it to, however rude."""

from __future__ import annotations

import socket
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress

HERE = "127.0.0.1"
DROP = b""
"""In place of an answer: the connection is closed without one."""


class Rude:
    """A raw server. `answers` maps a verb, a whole line in capitals, or "." (the mail's end), to
    what is said; "" is the greeting. What it is not told, it answers as a kind server."""

    def __init__(self, answers: dict[str, bytes], tls: ssl.SSLContext | None, at_once: bool):
        self.answers = answers
        self.lines: list[str] = []
        self.mails: list[bytes] = []
        self.connections = 0
        self.before_answer: Callable[[str], None] = lambda _step: None
        self._tls, self._at_once = tls, at_once
        self._listening = socket.create_server((HERE, 0))
        self.port = int(self._listening.getsockname()[1])
        self._thread = threading.Thread(target=self._serve)

    def begin(self) -> None:
        self._thread.start()

    def end(self) -> None:
        self._listening.shutdown(socket.SHUT_RDWR)  # wakes the one who waits in accept
        self._thread.join(5)
        self._listening.close()
        assert not self._thread.is_alive()

    def verbs(self) -> list[str]:
        return [line.partition(" ")[0].upper() for line in self.lines]

    def _serve(self) -> None:
        while True:
            try:
                connection, _ = self._listening.accept()
            except OSError:
                return
            self.connections += 1
            connection.settimeout(5)
            # The other side may not like us, and leave.
            with ExitStack() as held, suppress(OSError):
                held.enter_context(connection)
                if self._at_once:
                    connection = held.enter_context(self._wrapped(connection))
                self._talk(connection, held)

    def _wrapped(self, connection: socket.socket) -> ssl.SSLSocket:
        assert self._tls is not None
        return self._tls.wrap_socket(connection, server_side=True)

    def _talk(self, connection: socket.socket, held: ExitStack) -> None:
        lines = held.enter_context(connection.makefile("rb"))
        self._say(connection, self.answers.get("", b"220 hello"))
        while line := lines.readline().decode().rstrip("\r\n"):
            self.lines.append(line)
            verb = line.partition(" ")[0].upper()
            answer = self.answers.get(line.upper(), self.answers.get(verb, self._kind(verb)))
            self.before_answer(verb)
            self._say(connection, answer)
            if not answer or verb == "QUIT":
                break
            if verb == "STARTTLS" and answer.startswith(b"220"):
                connection = held.enter_context(self._wrapped(connection))
                lines = held.enter_context(connection.makefile("rb"))
            elif answer.startswith(b"354"):
                self.mails.append(self._mail(lines.readline))
                self.before_answer(".")
                answer = self.answers.get(".", b"250 taken")
                self._say(connection, answer)
                if not answer:
                    break

    def _kind(self, verb: str) -> bytes:
        tls = "250-STARTTLS\r\n" if self._tls is not None and not self._at_once else ""
        return {
            "EHLO": f"250-here\r\n{tls}250 AUTH PLAIN LOGIN".encode(),
            "STARTTLS": b"220 go on",
            "AUTH": b"235 come in",
            "DATA": b"354 tell",
            "QUIT": b"221 bye",
        }.get(verb, b"250 well")

    @staticmethod
    def _mail(readline: Callable[[], bytes]) -> bytes:
        taken = b""
        while (line := readline()) not in (b".\r\n", b""):
            taken += line[1:] if line.startswith(b".") else line
        return taken

    @staticmethod
    def _say(connection: socket.socket, answer: bytes) -> None:
        if answer:
            connection.sendall(answer + b"\r\n")


@contextmanager
def rude(
    answers: dict[str, bytes] | None = None,
    tls: ssl.SSLContext | None = None,
    at_once: bool = False,
) -> Iterator[Rude]:
    server = Rude({} if answers is None else answers, tls, at_once)
    server.begin()
    try:
        yield server
    finally:
        server.end()


def closed_port() -> int:
    """Where nobody listens."""
    with socket.create_server((HERE, 0)) as server:
        return int(server.getsockname()[1])

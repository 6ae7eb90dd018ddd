"""A stop that a signal may ask for at any moment, and that any thread may wait for."""

from __future__ import annotations

import os
import select
import signal
from types import FrameType


class Stop:
    """A request to stop, made once and for good.

    It is a pipe that becomes readable, since a signal may interrupt the very code that holds the
    lock of a `threading.Event`, and would then wait for itself.
    """

    def __init__(self) -> None:
        self._read, self._write = os.pipe()
        os.set_blocking(self._write, False)
        self._asked = False

    @property
    def asked(self) -> bool:
        return self._asked

    def ask(self) -> None:
        """From any thread, or from within a signal handler."""
        if not self._asked:
            self._asked = True
            os.write(self._write, b"x")

    def wait(self, seconds: float) -> bool:
        """Wait for the request, at most so long; whether it was made."""
        if not self._asked:
            # nobody reads the byte, so the pipe stays readable, for every thread
            select.select([self._read], [], [], max(0.0, seconds))
        return self._asked

    def on_signals(self) -> None:
        """Let SIGTERM, SIGINT and SIGHUP (unless ignored, as under nohup) ask for it."""
        for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
            if number is signal.SIGHUP and signal.getsignal(number) is signal.SIG_IGN:
                continue
            signal.signal(number, self._signalled)

    def _signalled(self, _number: int, _frame: FrameType | None) -> None:
        self.ask()

"""One short-lived program with a deadline, in a process group of its own."""

from __future__ import annotations

import os
import signal
import subprocess
from collections.abc import Mapping, Sequence


class Child:
    """A program that was started. Its moments are seconds on a clock that is never set.

    It speaks to the daemon's own standard error, and has no input. In its own session, a Ctrl-C at
    the terminal is the daemon's to answer; what it starts itself ends with it.
    """

    def __init__(
        self, words: Sequence[str], environment: Mapping[str, str], now: float, seconds: float
    ) -> None:
        """Start it at `now` and give it so many seconds. OSError when it cannot be started."""
        self._process = subprocess.Popen(
            words, stdin=subprocess.DEVNULL, env=dict(environment), start_new_session=True
        )
        self.pid = self._process.pid
        self.overdue = False
        self._deadline = now + seconds
        self._last_word: float | None = None

    def ended(self) -> int | None:
        """Its exit code (minus a signal's number), or None while it runs."""
        return self._process.poll()

    def hold_to_deadline(self, now: float, grace: float) -> None:
        """Beyond its deadline, ask it to end; after `grace` seconds more, end it."""
        if now >= self._deadline and self._last_word is None:
            self.overdue = True
            self.ask_to_end(now, grace)
        elif self._last_word is not None and now >= self._last_word:
            self.end()

    def ask_to_end(self, now: float, grace: float) -> None:
        self._last_word = now + grace
        self._send(signal.SIGTERM)

    def end(self) -> None:
        self._send(signal.SIGKILL)

    def wait(self, seconds: float) -> bool:
        """Wait for its end, at most so long; whether it came."""
        try:
            self._process.wait(max(0.0, seconds))
        except subprocess.TimeoutExpired:
            return False
        return True

    def _send(self, number: signal.Signals) -> None:
        # Not yet reaped, its number cannot belong to another.
        if self._process.poll() is None:
            os.killpg(self._process.pid, number)

"""Telling the service manager how the daemon is: one datagram to the socket it named.

Source: the manual page sd_notify(3) of systemd. No package is needed for it.
"""

from __future__ import annotations

import socket
from collections.abc import Mapping

CHILDREN_LACK = ("NOTIFY_SOCKET", "WATCHDOG_USEC", "WATCHDOG_PID")
"""Variables that are for the daemon alone: a child must not speak in its name."""

_MICROSECONDS = 1_000_000


class Notifier:
    """Speaks to the socket of $NOTIFY_SOCKET: a path, or a name that begins with @ (abstract).

    Without one, and when nobody listens there (any more), nothing is said: the daemon's work does
    not hang on it. Each method says whether the words went out.
    """

    def __init__(self, address: str | None) -> None:
        self._address: str | None = None
        if address and address[0] == "@":
            self._address = "\0" + address[1:]
        elif address and address[0] == "/":
            self._address = address

    def ready(self, status: str) -> bool:
        """The first look is over: what was ordered after this service may start."""
        return self._say(f"READY=1\nSTATUS={_line(status)}\nWATCHDOG=1")

    def alive(self, status: str) -> bool:
        """Feed the watchdog. For the tick alone: a thread that says it for another proves
        nothing."""
        return self._say(f"WATCHDOG=1\nSTATUS={_line(status)}")

    def stopping(self) -> bool:
        return self._say("STOPPING=1\nSTATUS=Stopping.")

    def _say(self, words: str) -> bool:
        if self._address is None:
            return False
        try:
            with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as speaker:
                speaker.settimeout(1)
                speaker.sendto(words.encode(), self._address)
        except OSError:
            return False
        return True


def watchdog_seconds(environment: Mapping[str, str], pid: int) -> float | None:
    """How often the service manager wants to hear from process `pid`, in seconds; None if it does
    not watch it."""
    if environment.get("WATCHDOG_PID", str(pid)) != str(pid):
        return None
    try:
        span = int(environment.get("WATCHDOG_USEC", ""))
    except ValueError:
        return None
    return span / _MICROSECONDS if span > 0 else None


def _line(text: str) -> str:
    """A line break would begin another message."""
    return " ".join(text.split())

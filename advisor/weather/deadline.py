"""One deadline for a whole exchange, however slowly the other side drips.

The HTTP client's timeouts are for each single read: a byte every few seconds satisfies them for
ever. So a timer closes the connection's socket when the time is up, and the read that waits on it
ends with an error.
"""

from __future__ import annotations

import contextlib
import socket
import threading
import time
from collections.abc import Mapping
from types import TracebackType


class Deadline:
    """A context; `trace` is given to the client so that the connection's socket is known here."""

    def __init__(self, seconds: float) -> None:
        self._end = time.monotonic() + seconds
        self._socket: socket.socket | None = None
        self._lock = threading.Lock()
        self._timer = threading.Timer(seconds, self._cut)
        self._timer.daemon = True

    def __enter__(self) -> Deadline:
        self._timer.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._timer.cancel()

    @property
    def left(self) -> float:
        """Seconds that are left; not below zero."""
        return max(0.0, self._end - time.monotonic())

    @property
    def passed(self) -> bool:
        return self.left == 0.0

    def trace(self, event: str, info: Mapping[str, object]) -> None:
        """Remember the newest socket that the client opened (a TLS one replaces the plain one)."""
        if not event.endswith((".connect_tcp.complete", ".start_tls.complete")):
            return
        found = getattr(info.get("return_value"), "get_extra_info", lambda _name: None)("socket")
        if isinstance(found, socket.socket):
            with self._lock:
                self._socket = found
            if self.passed:
                self._cut()

    def _cut(self) -> None:
        with self._lock:
            if self._socket is not None:
                # the socket may be closed already; the plain method leaves TLS state alone
                with contextlib.suppress(OSError):
                    socket.socket.shutdown(self._socket, socket.SHUT_RDWR)

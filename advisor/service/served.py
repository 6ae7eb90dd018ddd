"""One site that the daemon serves: its turns, what became of them, when the next is due."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from advisor.service.child import Child
from advisor.service.lock import Lock
from advisor.service.sites import stamp, wake_at

LOG = logging.getLogger("swardcast.daemon")

Command = Callable[[Path, Path], Sequence[str]]
"""From a site folder and the folder of all states to the words of the program to run."""

AS_ASKED = (0, 69, 75)
"""Exit codes of a turn that knows what it does (README, exit codes): when it is to be tried again
it has written down itself."""

HOUR, DAY = 3600.0, 86400.0


@dataclass(frozen=True)
class Pace:
    """How fast the daemon goes, in seconds. Tests go faster."""

    tick: float = 60.0
    clocks: float = 30.0  # between two comparisons of the clocks
    step: float = 10.0  # a clock that differs by more was set, or the machine slept
    deadline: float = 900.0  # for a turn
    grace: float = 10.0  # between asking a turn to end and ending it
    work: float = 45.0  # at most for a tick that starts one turn after another
    first_retry: float = 300.0  # after a turn that failed; doubled up to
    last_retry: float = HOUR
    longest_sleep: float = 25 * HOUR
    # a turn asks for less; a time further ahead was written under a wrong clock


@dataclass(frozen=True)
class Moment:
    """A moment on two clocks: unix seconds, and seconds on a clock that is never set."""

    wall: float
    steady: float


class Served:
    """A site whose state folder this daemon holds."""

    def __init__(self, folder: Path, name: str, base: Path, lock: Lock, pace: Pace) -> None:
        self.folder = folder
        self.name = name
        self.child: Child | None = None
        self._base = base
        self._lock = lock
        self._pace = pace
        self._started: Moment | None = None
        self._at_once = False
        self._failures = 0
        self._failure = ""
        self._not_before = 0.0
        self._told = 0.0
        self._stamp = stamp(folder)

    def due_at(self, now: Moment) -> float:
        """When the next turn is to be run, in unix seconds; not later than `now.wall` if it is
        due."""
        if self._at_once:
            return now.wall
        if self._failures and stamp(self.folder) == self._stamp:
            return now.wall + max(0.0, self._not_before - now.steady)
        wanted = wake_at(self._base / self.name, self.name)
        if self._failures or wanted is None:
            return now.wall
        slept = now.steady - self._started.steady if self._started else self._pace.longest_sleep
        if wanted - now.wall > self._pace.longest_sleep:
            return now.wall + max(0.0, self._pace.longest_sleep - slept)
        return wanted

    def wake(self) -> None:
        """Run a turn at the next look, whatever was written down: the clock was set."""
        self._at_once = True

    def start(self, command: Command, environment: Mapping[str, str], now: Moment) -> None:
        """Start a turn. One that cannot be started counts as one that failed."""
        self._at_once = False
        self._started = now
        self._stamp = stamp(self.folder)
        try:
            words = command(self.folder, self._base)
            self.child = Child(words, environment, now.steady, self._pace.deadline)
        except OSError as error:
            self._failed(f"could not be started: {error.strerror}", now)

    def tend(self, now: Moment) -> None:
        """See whether its turn has ended, and hold it to its deadline."""
        if self.child is None:
            return
        code = self.child.ended()
        if code is None:
            self.child.hold_to_deadline(now.steady, self._pace.grace)
            return
        overdue, self.child = self.child.overdue, None
        if overdue:
            minutes = self._pace.deadline / 60
            self._failed(f"had not ended after {minutes:g} minutes and was stopped", now)
        elif code not in AS_ASKED:
            self._failed(f"ended {_how(code)}", now)
        elif not self._looks_ahead(now):
            self._failed("wrote down no time at which to be run again", now)
        else:
            self._worked()

    def release(self) -> None:
        """Serve it no longer."""
        self._lock.release()

    def _looks_ahead(self, now: Moment) -> bool:
        """Whether the turn wrote down a time after its own start; without, it would be run each
        minute for ever."""
        wanted = wake_at(self._base / self.name, self.name)
        before = self._started.wall if self._started else now.wall
        return wanted is not None and (wanted > before or wanted > now.wall)

    def _failed(self, failure: str, now: Moment) -> None:
        self._failures += 1
        pause = min(
            self._pace.first_retry * 2.0 ** min(self._failures - 1, 30), self._pace.last_retry
        )
        self._not_before = now.steady + pause
        if failure != self._failure or now.steady - self._told >= DAY:
            again = f" (failure {self._failures} in a row)" if self._failures > 1 else ""
            LOG.error(
                "%s: the turn %s%s; next try in %g minutes.", self.name, failure, again, pause / 60
            )
            self._failure, self._told = failure, now.steady

    def _worked(self) -> None:
        if self._failures:
            LOG.info("%s: the turn works again.", self.name)
        self._failures, self._failure = 0, ""


def _how(code: int) -> str:
    return f"by signal {-code}" if code < 0 else f"with exit code {code}"

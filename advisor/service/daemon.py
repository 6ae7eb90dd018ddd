"""The daemon is a metronome: once a minute it looks whether a site wants to be woken, and starts a
short-lived program that does what is due. All that is heavy is loaded there, and given back.

The scheduler's only job is that tick. It comes from a trigger of our own, always a minute after
now: a trigger with times of its own would list every one that a jump of the clock passed over.
"""

from __future__ import annotations

import logging
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from apscheduler.events import EVENT_JOB_ERROR  # type: ignore[import-untyped]
from apscheduler.executors.pool import ThreadPoolExecutor  # type: ignore[import-untyped]
from apscheduler.schedulers.background import (  # type: ignore[import-untyped]
    BackgroundScheduler,
)
from apscheduler.triggers.base import BaseTrigger  # type: ignore[import-untyped]

from advisor.service.lock import DAEMON_LOCK, HeldError, LockError, take_lock
from advisor.service.notify import CHILDREN_LACK, Notifier
from advisor.service.served import Command, Moment, Pace, Served
from advisor.service.sites import SiteError, site_folders, site_id
from advisor.service.stop import Stop

LOG = logging.getLogger("swardcast.daemon")

AT_ONCE = 2
"""Turns that run at the same time: a small server has little memory."""

_SHORT = 0.2
"""Seconds between two looks at a turn that another one waits for."""


class EverySoOften(BaseTrigger):  # type: ignore[misc]
    """Always so many seconds after now, wherever the clock has gone meanwhile."""

    def __init__(self, seconds: float) -> None:
        self._span = timedelta(seconds=seconds)

    def get_next_fire_time(self, _previous: datetime | None, now: datetime) -> datetime:
        return now + self._span


@dataclass(frozen=True)
class Clocks:
    """The two clocks, in seconds: the wall's, which may be set, and one that only goes on."""

    wall: Callable[[], float] = time.time
    steady: Callable[[], float] = time.monotonic

    def now(self) -> Moment:
        return Moment(self.wall(), self.steady())


def turn_command(folder: Path, base: Path) -> Sequence[str]:
    """The words that run one turn of a site."""
    return [
        sys.executable, "-m", "advisor.cli.main", "turn", str(folder), "--state", str(base)
    ]  # fmt: skip


class Daemon:
    """Serves sites until it is asked to stop.

    `named`: site folders, or folders of sites. `base`: where their state folders lie. `believed`:
    unix seconds before which the wall clock is taken for wrong; no turn is run then.
    """

    def __init__(
        self,
        named: Sequence[Path],
        base: Path,
        stop: Stop,
        *,
        environment: Mapping[str, str],
        believed: float,
        command: Command = turn_command,
        clocks: Clocks | None = None,
        pace: Pace | None = None,
    ) -> None:
        self._named = [folder.absolute() for folder in named]
        self._base = base
        self._stop = stop
        self._notifier = Notifier(environment.get("NOTIFY_SOCKET"))
        self._environment = {k: v for k, v in environment.items() if k not in CHILDREN_LACK}
        self._believed = believed
        self._command = command
        self._clocks = clocks or Clocks()
        self._pace = pace or Pace()
        self._served: dict[Path, Served] = {}
        self._faults: dict[Path, str] = {}
        self._clock_is_wrong = False
        self._clock_was_set = False
        self._tick_failed = False

    @property
    def served(self) -> tuple[Served, ...]:
        """The sites that this daemon holds."""
        return tuple(self._served.values())

    def open(self) -> None:
        """Take the sites that can be served.

        Raises SiteError when something named is no folder, and LockError when another daemon has
        one of the sites or its state cannot be written: an operator who starts this now must know
        now. What goes wrong later is logged, and looked at again each tick.
        """
        for named in self._named:
            site_folders(named)
        self._survey(starting=True)
        if not self._served and not self._faults:
            LOG.warning(
                "No folder with a site.toml is there yet; new ones are found by themselves."
            )

    def run(self) -> bool:
        """Tick until asked to stop; whether that was how it ended (a tick that failed ends it)."""
        known = self._clocks.now()
        self.look(patience=0.0)
        self._notifier.ready(self._status())
        LOG.info("Ready. %s", self._status())
        scheduler = BackgroundScheduler(
            timezone=UTC, executors={"default": ThreadPoolExecutor(1)}, daemon=True
        )
        scheduler.add_listener(self._on_error, EVENT_JOB_ERROR)
        job = scheduler.add_job(
            self.tick,
            EverySoOften(self._pace.tick),
            max_instances=1,
            misfire_grace_time=None,
            coalesce=True,
        )
        scheduler.start()
        while not self._stop.wait(self._pace.clocks):
            now = self._clocks.now()
            if self._was_set(known, now):
                # the scheduler would wait until the old time comes again
                job.modify(next_run_time=datetime.now(UTC))
            known = now
        self._notifier.stopping()
        scheduler.shutdown(wait=True)
        self._end_children()
        return not self._tick_failed

    def tick(self) -> None:
        """One beat: look, then tell the service manager. Only this feeds its watchdog."""
        self.look(patience=self._pace.work)
        self._notifier.alive(self._status())

    def look(self, patience: float) -> None:
        """See to every site once: turns that ended or hang, turns that are due. While more are due
        than may run, wait up to `patience` seconds for those that do."""
        self._survey()
        if self._clock_was_set:
            self._clock_was_set = False
            for site in self._served.values():
                site.wake()
        began = self._clocks.steady()
        while self._tend() and not self._stop.asked:
            if self._clocks.steady() - began >= patience or self._stop.wait(_SHORT):
                return

    def close(self) -> None:
        """Give back every site."""
        for site in self._served.values():
            site.release()
        self._served.clear()

    def _survey(self, *, starting: bool = False) -> None:
        """Find the sites to serve, and their names: what was broken may be mended, and new ones
        may have come."""
        folders: dict[Path, None] = {}
        for named in self._named:
            try:
                folders |= dict.fromkeys(site_folders(named))
            except SiteError as error:
                self._fault(named, str(error))
                # what was served from there is served on: it may be a disk that is away
                folders |= {f: None for f in self._served if named in (f, f.parent)}
            else:
                if named not in folders:
                    self._mended(named)
        for folder in [f for f in self._served if f not in folders]:
            LOG.warning("%s is gone; it is no longer served.", folder)
            self._drop(folder)
        for folder in [f for f in self._faults if f not in folders and f not in self._named]:
            del self._faults[folder]
        for folder in folders:
            self._take(folder, starting=starting)

    def _take(self, folder: Path, *, starting: bool) -> None:
        try:
            name = site_id(folder)
        except SiteError as error:
            self._fault(folder, f"{error}; until that is mended the site is not served")
            return
        held = self._served.get(folder)
        if held is not None and held.name != name:
            LOG.warning("%s is now called %s, no longer %s.", folder, name, held.name)
            self._drop(folder)
            held = None
        if held is None:
            twin = next((s for s in self._served.values() if s.name == name), None)
            if twin is not None:
                self._fault(
                    folder,
                    f"{folder} has the same id as {twin.folder}, “{name}”; give it another, until"
                    " then it is not served",
                )
                return
            try:
                lock = take_lock(self._base / name, DAEMON_LOCK)
            except LockError as error:
                if starting:
                    raise
                why = "another daemon serves it: " if isinstance(error, HeldError) else ""
                self._fault(folder, f"{folder} is not served; {why}{error}")
                return
            self._served[folder] = Served(folder, name, self._base, lock, self._pace)
        self._mended(folder)

    def _drop(self, folder: Path) -> None:
        site = self._served.pop(folder)
        if site.child is not None:
            site.child.ask_to_end(self._clocks.steady(), self._pace.grace)
            if not site.child.wait(self._pace.grace):
                site.child.end()
        site.release()

    def _tend(self) -> bool:
        """Reap, and start what is due; whether something due has to wait for another's end."""
        now = self._clocks.now()
        for site in self._served.values():
            site.tend(now)
        if self._stop.asked or not self._clock_can_be_right(now):
            return False
        running = sum(site.child is not None for site in self._served.values())
        due = [(site.due_at(now), site) for site in self._sound() if site.child is None]
        due = sorted(((at, s) for at, s in due if at <= now.wall), key=lambda pair: pair[0])
        for _, site in due[: AT_ONCE - running]:
            site.start(self._command, self._environment, now)
        return len(due) > AT_ONCE - running

    def _sound(self) -> list[Served]:
        """The sites without a fault, each of whose site.toml can be read now."""
        return [site for folder, site in self._served.items() if folder not in self._faults]

    def _clock_can_be_right(self, now: Moment) -> bool:
        wrong = now.wall < self._believed
        if wrong and not self._clock_is_wrong:
            LOG.error("The clock says %s, which is past; nothing is done until it is set.",
                      _shown(now.wall))  # fmt: skip
        elif self._clock_is_wrong and not wrong:
            LOG.info("The clock is set: %s.", _shown(now.wall))
        self._clock_is_wrong = wrong
        return not wrong

    def _was_set(self, known: Moment, now: Moment) -> bool:
        """Whether the wall clock has gone otherwise than the steady one since `known`."""
        by = (now.wall - known.wall) - (now.steady - known.steady)
        if abs(by) <= self._pace.step:
            return False
        way = "was set back by" if by < 0 else "was set forward (or the machine slept) by"
        LOG.info(
            "The clock %s %s; every site is looked at.", way, timedelta(seconds=round(abs(by)))
        )
        self._clock_was_set = True
        return True

    def _fault(self, folder: Path, fault: str) -> None:
        if self._faults.get(folder) != fault:
            self._faults[folder] = fault
            LOG.error("%s.", fault)

    def _mended(self, folder: Path) -> None:
        if self._faults.pop(folder, None) is not None:
            LOG.info("%s: mended.", folder)

    def _status(self) -> str:
        """One line: what is served, what is not, and what comes next."""
        said = f"{len(self._sound())} served"
        if self._faults:
            said += f", {len(self._faults)} with a fault"
        if self._clock_is_wrong:
            return said + "; waiting for the clock to be set."
        now = self._clocks.now()
        running = [site.name for site in self._served.values() if site.child is not None]
        if running:
            return f"{said}; at work: {', '.join(running)}."
        coming = [(site.due_at(now), site.name) for site in self._sound()]
        if not coming:
            return said + "."
        at, name = min(coming)
        return f"{said}; next: {name} at {_shown(max(at, now.wall))}."

    def _end_children(self) -> None:
        children = [site.child for site in self._served.values() if site.child is not None]
        for child in children:
            child.ask_to_end(time.monotonic(), self._pace.grace)
        until = time.monotonic() + self._pace.grace
        for child in children:
            if not child.wait(until - time.monotonic()):
                child.end()
                child.wait(1.0)

    def _on_error(self, _event: object) -> None:
        # The scheduler has logged it and would go on. A tick that cannot tick is better begun
        # anew by the service manager than left to fail each minute.
        self._tick_failed = True
        self._stop.ask()


def _shown(wall: float) -> str:
    return datetime.fromtimestamp(wall).astimezone().strftime("%Y-%m-%d %H:%M %Z")

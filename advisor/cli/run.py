"""`swardcast run`: the daemon.

What other commands print with is too heavy for a process that stays: all its words are log lines.
"""

from __future__ import annotations

import argparse
import gc
import logging
import os
import sys
from collections.abc import Mapping
from datetime import UTC, datetime, time
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.service.daemon import Daemon
from advisor.service.lock import HeldError, LockError
from advisor.service.notify import watchdog_seconds
from advisor.service.schedule import CLOCK_SANE
from advisor.service.served import LOG, Pace
from advisor.service.sites import SiteError, state_base
from advisor.service.stop import Stop

_LEVELS = ((logging.ERROR, 3), (logging.WARNING, 4), (logging.INFO, 6))


def run(arguments: argparse.Namespace) -> int:
    gc.enable()  # the command switched it off for those that end within a second
    environment = os.environ
    _log(environment)
    stop = Stop()
    stop.on_signals()
    daemon = Daemon(
        [Path(site) for site in arguments.sites],
        state_base(arguments.state, environment),
        stop,
        environment=environment,
        believed=datetime.combine(CLOCK_SANE, time(), UTC).timestamp(),
    )
    _check_watchdog(environment)
    try:
        daemon.open()
        return Exit.DONE if daemon.run() else Exit.PROBLEMS
    except SiteError as error:
        LOG.error("%s.", error)
        return Exit.SITE
    except HeldError as error:
        LOG.error("Another daemon serves this site: %s. One is enough; stop that one first.", error)
        return Exit.LATER
    except LockError as error:
        LOG.error("%s.", error)
        return Exit.LATER
    finally:
        daemon.close()


def _check_watchdog(environment: Mapping[str, str]) -> None:
    wanted, tick = watchdog_seconds(environment, os.getpid()), Pace().tick
    if wanted is not None and wanted < 2 * tick:
        LOG.warning(
            "WatchdogSec is %g seconds, but the daemon speaks once in %g: make it 300.",
            wanted, tick,
        )  # fmt: skip


def _log(environment: Mapping[str, str]) -> None:
    """Log to standard error: with the level in front for systemd's journal, else with the time."""
    handler = logging.StreamHandler(sys.stderr)
    if _is_journal(environment):
        handler.setFormatter(_Clean("%(message)s", marked=True))
    else:
        handler.setFormatter(_Clean("%(asctime)s %(message)s", marked=False))
    # the scheduler's own notes on adding a job are nobody's news
    for name, level in (("swardcast", logging.INFO), ("apscheduler", logging.ERROR)):
        logger = logging.getLogger(name)
        logger.setLevel(level)
        logger.handlers[:] = [handler]
        logger.propagate = False


def _is_journal(environment: Mapping[str, str]) -> bool:
    """Whether standard error goes to systemd's journal: $JOURNAL_STREAM, which a shell may have
    inherited from its desktop, names the file's device and number."""
    try:
        here = os.fstat(sys.stderr.fileno())
    except (OSError, ValueError):
        return False
    return environment.get("JOURNAL_STREAM") == f"{here.st_dev}:{here.st_ino}"


class _Clean(logging.Formatter):
    """Lines without control sequences, which a folder's name may hold. `marked`: with `<N>` before
    each of them, as sd-daemon(3) has it; else only the first would have the level."""

    default_time_format = "%Y-%m-%d %H:%M:%S"
    default_msec_format = ""

    def __init__(self, form: str, *, marked: bool) -> None:
        super().__init__(form)
        self._marked = marked

    def format(self, record: logging.LogRecord) -> str:
        level = next((n for least, n in _LEVELS if record.levelno >= least), 7)
        mark = f"<{level}>" if self._marked else ""
        lines = super().format(record).split("\n")
        return "\n".join(mark + _visible(line) for line in lines)


def _visible(line: str) -> str:
    return "".join(sign if sign.isprintable() else "?" for sign in line)

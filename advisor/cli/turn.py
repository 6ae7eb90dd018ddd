"""`swardcast turn`: whatever is due now is done, once. The daemon starts it; so may a timer."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.say import err, out
from advisor.language.speaking import speaking
from advisor.service.folders import (
    FolderError,
    environment,
    make_state,
    read_files,
    read_folder,
    state_folder,
)
from advisor.service.last_good import keep
from advisor.service.lock import HeldError, LockError, take_lock
from advisor.service.schedule import CLOCK_SANE
from advisor.site.place import Site
from advisor.store.database import Store
from advisor.store.errors import StoreError


def run(arguments: argparse.Namespace) -> int:
    folder = Path(arguments.site)
    clock = datetime.now(UTC)
    if clock.date() < CLOCK_SANE:
        err(f"The clock shows {clock.date()}, which cannot be; nothing is done until it is set.")
        return Exit.LATER
    try:
        site = read_files(folder, None, today=None).site
        if site is None:
            err(f"{folder}/site.toml cannot be used; `swardcast check {folder}` says why.")
            return Exit.SITE
        if site.mail is None:
            err(f"{folder}/site.toml names nobody to write to; add a [mail] table.")
            return Exit.SITE
        now = moment(site, clock)
        state = state_folder(site.id, arguments.state, environment())
        with speaking(site.language):
            read = read_folder(folder, state, today=now.astimezone(site.place.zone_info).date())
        read = read.without_future_lines() if site.demo is not None else read
        from advisor.service.turn import Turn

        database = make_state(state)
        with take_lock(state, "turn.lock"), Store(database) as store:
            with speaking(site.language):
                unkept = keep(read.good, state)
            if unkept is not None:
                err(str(unkept))
                read = read.telling(unkept)
            said = Turn(site, site.mail, read, store, state, now, environment(), clock - now).run()
    except HeldError:
        err(f"Another turn for {folder} is under way; nothing was done.")
        return Exit.LATER
    except (FolderError, LockError, StoreError) as error:
        err(f"{str(error).rstrip('.')}.")
        return Exit.LATER
    out("\n".join(f"{site.id}: {line}" for line in said) or f"{site.id}: nothing was due")
    return Exit.DONE


def moment(site: Site, clock: datetime) -> datetime:
    """Now; for a demo the time of day is real, and the day its own."""
    if site.demo is None:
        return clock
    local = clock.astimezone(site.place.zone_info)
    return datetime.combine(site.demo.today, local.time(), site.place.zone_info)

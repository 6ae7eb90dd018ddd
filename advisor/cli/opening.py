"""What several commands begin with: read the site, find its state, know what day it is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from advisor.cli.say import err, problems
from advisor.service.folders import (
    FolderError,
    Read,
    environment,
    read_files,
    read_folder,
    state_folder,
)
from advisor.site.place import Site


@dataclass(frozen=True)
class Opened:
    """A site that could be read, as of a moment. `looking_back`: that moment is not now."""

    read: Read
    site: Site
    state: Path
    now: datetime
    looking_back: bool


def open_site(folder: Path, state: str | None, on: date | None) -> Opened | None:
    """Read a site for the moment that a command asks about; None when it cannot be read, which
    has then been said, with every problem."""
    try:
        first = read_files(folder, None, today=None)
        site = first.site
        if site is None:
            problems(first.errors)
            err(f"{folder} cannot be used until this is mended.")
            return None
        at = state_folder(site.id, state, environment())
        now, back = _moment(site, on)
        read = read_folder(folder, at, today=now.astimezone(site.place.zone_info).date())
        if back:
            read = read.without_future_lines()
    except FolderError as error:
        err(f"{error}.")
        return None
    return Opened(read, site, at, now, back)


def _moment(site: Site, on: date | None) -> tuple[datetime, bool]:
    clock = datetime.now(UTC)
    if on is None and site.demo is not None:
        on = site.demo.today
    if on is None or on == clock.astimezone(site.place.zone_info).date():
        return clock, False
    # a slow import (arrays and all that decides), for nothing where the moment is now
    from advisor.service.decide import digest_moment

    return digest_moment(site, on), True

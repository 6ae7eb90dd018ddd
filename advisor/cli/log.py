"""`swardcast log`: one line into the journal, checked before it is written."""

from __future__ import annotations

import argparse
from datetime import datetime
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.opening import open_site
from advisor.cli.say import err, out, problems
from advisor.service.folders import FolderError, append_line
from advisor.site.journal import check_line, write_line
from advisor.site.problem import Problem


def run(arguments: argparse.Namespace) -> int:
    opened = open_site(Path(arguments.site), arguments.state, None)
    if opened is None:
        return Exit.SITE
    site = opened.site
    today = datetime.now(site.place.zone_info).date()
    if site.demo is not None:
        today = site.demo.today
    day = arguments.on or today
    draft = f"{day.isoformat()}  {arguments.lawn}  {' '.join(arguments.words)}"
    checked = check_line(
        draft,
        lawns=[lawn.name for lawn in site.lawns],
        shelf=opened.read.files.shelf,
        today=today,
    )
    if isinstance(checked, Problem):
        problems([checked])
        err("Nothing was written.")
        return Exit.PROBLEMS
    line = write_line(checked.day, checked.lawn, checked.what)
    if any(
        (entry.day, entry.lawn, entry.text) == (checked.day, checked.lawn, checked.text)
        for entry in opened.read.files.journal.entries
    ):
        err(f"The journal has that line already; nothing was written: {line}")
        return Exit.PROBLEMS
    try:
        append_line(opened.read.folder / "journal.txt", line)
    except FolderError as error:
        err(f"{error}.")
        return Exit.LATER
    out(line)
    return Exit.DONE

"""`swardcast log`: one line into the journal, checked before it is written."""

from __future__ import annotations

import argparse
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.opening import Opened, open_site
from advisor.cli.say import err, out, problems
from advisor.service.folders import FolderError, append_line, journal_texts
from advisor.site.journal import check_line, read_journal, write_line
from advisor.site.load import JOURNAL_FILE
from advisor.site.problem import Problem
from advisor.site.spreaders import mismatches


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
        return _refused([checked])
    line = write_line(checked.day, checked.lawn, checked.what)
    try:
        raised = _raised(opened, line, today)
        if raised:
            return _refused(raised)
        append_line(opened.read.folder / JOURNAL_FILE, line)
    except FolderError as error:
        err(f"{error}.")
        return Exit.LATER
    out(line)
    return Exit.DONE


def _raised(opened: Opened, line: str, today: date) -> list[Problem]:
    """What would be wrong with the journal, once it had the line, that is not wrong already: the
    same line twice, or an undo of what is not there."""
    texts = journal_texts(opened.read.folder, opened.state)
    ended = texts.get(JOURNAL_FILE, "").removesuffix("\n")
    longer = {**texts, JOURNAL_FILE: f"{ended}\n{line}\n"}

    def wrong(read: dict[str, str]) -> list[Problem]:
        lawns = [lawn.name for lawn in opened.site.lawns]
        shelf = opened.read.files.shelf
        journal = read_journal(read, lawns=lawns, shelf=shelf, today=today)
        return [*journal.problems, *mismatches(opened.site, journal, shelf)]

    known = wrong(texts)
    return [problem for problem in wrong(longer) if problem.line and problem not in known]


def _refused(found: list[Problem]) -> int:
    # The line stands in no file yet, so it has no number.
    problems([replace(problem, file="this line", line=0) for problem in found])
    err("Nothing was written.")
    return Exit.PROBLEMS

"""`swardcast check`: every problem in what the owner wrote, at once."""

from __future__ import annotations

import argparse
from datetime import date, datetime
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.say import err, out, problems
from advisor.rulebook.trial import run_trials
from advisor.service.folders import FolderError, read_folder, state_folder
from advisor.service.weather import environment
from advisor.site.place import Site
from advisor.site.problem import Problem


def run(arguments: argparse.Namespace) -> int:
    folder = Path(arguments.site)
    try:
        read = read_folder(folder, None, today=None)
        if read.files.site is not None:
            state = state_folder(read.files.site.id, arguments.state, environment())
            today = _today(read.files.site)
            read = read_folder(folder, state, today=today)
    except FolderError as error:
        err(str(error))
        return Exit.SITE
    found = list(read.problems)
    trials = run_trials(read.book)
    found += [
        Problem(
            trial.file,
            trial.line,
            0,
            f"the trial of “{trial.rule}” wants “{trial.wanted}”, the rule says “{trial.got}”",
            "Change the rule or its trial, so that the two agree.",
        )
        for trial in trials
        if not trial.ok
    ]
    problems(found)
    mistakes = [problem for problem in found if not problem.warning]
    warnings = len(found) - len(mistakes)
    said = f"{len(read.book.rules)} rules and {len(trials)} trials read"
    if mistakes:
        out(f"{_count(len(mistakes), 'problem')} to mend; {said}.")
        return Exit.PROBLEMS
    beside = f", {_count(warnings, 'warning')}" if warnings else ""
    out(f"Nothing to mend{beside}; {said}.")
    return Exit.DONE


def _today(site: Site) -> date:
    if site.demo is not None:
        # The demo's journal tells its whole year: nothing in it is still to come.
        return date.max
    return datetime.now(site.place.zone_info).date()


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"

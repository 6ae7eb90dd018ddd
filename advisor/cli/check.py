"""`swardcast check`: every problem in what the owner wrote at once, and what the rules lean on."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.say import err, out, problems
from advisor.rulebook.book import Rulebook
from advisor.rulebook.changes import changes
from advisor.service.folders import (
    FolderError,
    Read,
    environment,
    read_files,
    read_folder,
    shipped_book,
    state_folder,
    unread_rule_files,
)
from advisor.site.law_told import told
from advisor.site.place import Site
from advisor.site.problem import Problem
from advisor.site.shelf import Shelf


def run(arguments: argparse.Namespace) -> int:
    folder = Path(arguments.site)
    state = None
    try:
        site = read_files(folder, None, today=None).site
        if site is None:
            read = read_folder(folder, None, today=None)
        else:
            state = state_folder(site.id, arguments.state, environment())
            read = read_folder(folder, state, today=_today(site))
    except FolderError as error:
        err(f"{error}.")
        return Exit.SITE
    own = [trial for trial in read.book.trials if trial.own]
    as_shipped = shipped_book()
    leaning, note = _leaning(read, state)
    found = [
        *read.problems,
        *_failed_trials(as_shipped),
        *_failed_trials(replace(read.book, trials=tuple(own))),
        *_restricted(read.files.shelf),
        *_unread(folder),
        *leaning,
    ]
    problems(found)
    mistakes = [problem for problem in found if not problem.warning]
    warnings = len(found) - len(mistakes)
    said = f"{len(read.book.rules)} rules and {len(as_shipped.trials) + len(own)} trials read"
    beside = f", {_count(warnings, 'warning')}" if warnings else ""
    to_mend = f"{_count(len(mistakes), 'problem')} to mend" if mistakes else "Nothing to mend"
    out(f"{to_mend}{'' if mistakes else beside}; {said}.")
    for line in (*changes(read.book, as_shipped), note):
        if line:
            out(f"  {line}")
    if arguments.law:
        _tell_law(read.files.site)
    return Exit.PROBLEMS if mistakes else Exit.DONE


def _tell_law(site: Site | None) -> None:
    """Every restriction as it was understood, for the owner to hold against the local code."""
    if site is None:
        out("The local law cannot be told: site.toml has a mistake.")
        return
    lines = told(site)
    out("The law as your site file states it:" if lines else "The site file states no local law.")
    for line in lines:
        out(f"  {line}")


def _leaning(read: Read, state: Path | None) -> tuple[list[Problem], str]:
    """Rules that lean on what this site never tells; or else why that was not looked at."""
    site = read.files.site
    if site is None or state is None:
        return [], ""
    # slow imports (arrays, the store), for nothing where the site cannot be read
    from advisor.rulebook.leaning import leaning
    from advisor.service.decide import digest_moment
    from advisor.service.lawn_tables import lawn_tables
    from advisor.store.errors import StoreError

    now = datetime.now(UTC) if site.demo is None else digest_moment(site, site.demo.today)
    try:
        lawns = lawn_tables(read, site, state, now)
    except StoreError as error:
        return [], f"Whether this site has every fact that rules read was not looked at: {error}"
    if not lawns:
        return [], "There is no weather yet to tell which facts this site has for its rules."
    return [
        Problem("facts", 0, 0, str(lacking), lacking.then, warning=True)
        for lacking in leaning(read.book, lawns, site.units)
    ], ""


def _unread(folder: Path) -> Iterator[Problem]:
    """Files that somebody may take for rules in force."""
    for name in unread_rule_files(folder):
        what = "this is not read: rules are in files rules/*.rules"
        yield Problem(name, 0, 0, what, "Rename or move it if it is meant.", warning=True)


def _restricted(shelf: Shelf) -> Iterator[Problem]:
    """Products that will never be advised, so that nobody waits for them."""
    for product in shelf.products:
        if product.restricted_use:
            yield Problem(
                "shelf.toml",
                0,
                0,
                f"“{product.name}” is for licensed people only and will not be advised",
                "Ask a licensed applicator, or take it off the shelf.",
                warning=True,
            )


def _failed_trials(book: Rulebook) -> Iterator[Problem]:
    if not book.trials:
        return
    # a slow import (arrays), for nothing where no trial is to be run
    from advisor.rulebook.trial import run_trials

    for trial in run_trials(book):
        if not trial.ok:
            yield Problem(
                trial.file,
                trial.line,
                1,
                f"the trial of “{trial.rule}” wants “{trial.wanted}”, the rule says “{trial.got}”",
                "\n".join((*trial.why, "Change the rule or its trial, so that the two agree.")),
                f"trial {trial.rule}",
                len(f"trial {trial.rule}"),
            )


def _today(site: Site) -> date:
    if site.demo is not None:
        # The demo's journal tells its whole year: nothing in it is still to come.
        return date.max
    return datetime.now(site.place.zone_info).date()


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"

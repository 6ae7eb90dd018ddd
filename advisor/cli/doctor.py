"""`swardcast doctor`: can it fetch, decide, write, send? Says what to mend."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.say import document, err, out
from advisor.digest.words import wrap
from advisor.service.checkup import Checkup, clock, site_files
from advisor.service.decide import digest_moment
from advisor.service.folders import (
    FolderError,
    environment,
    read_files,
    read_folder,
    state_folder,
)
from advisor.service.health import Finding, State
from advisor.store.errors import StoreError

WIDTH = 80


def run(arguments: argparse.Namespace) -> int:
    findings: list[Finding] = []
    try:
        for finding in _findings(Path(arguments.site), arguments.state):
            findings.append(finding)
            if not arguments.json:
                out("\n".join(lines(finding)))
    except FolderError as error:
        err(f"{error}.")
        return Exit.SITE
    except StoreError as error:
        err(str(error))
        return Exit.LATER
    faults = sum(finding.state is State.FAULT for finding in findings)
    warnings = sum(finding.state is State.WARNING for finding in findings)
    if arguments.json:
        document(json.dumps(_document(arguments.site, findings), indent=2))
    else:
        out("")
        out(_verdict(faults, warnings))
    return Exit.PROBLEMS if faults else Exit.DONE


def lines(finding: Finding) -> list[str]:
    """A finding for a terminal: how it came out, what it is, what to mend."""
    mark = finding.state.value.upper() if finding.state is State.FAULT else finding.state.value
    head = f"{mark:<9}{finding.name:<14}"
    told = wrap(finding.text, head, width=WIDTH)
    inset = " " * len(head)
    return told + wrap(f"Mend: {finding.mend}", inset, width=WIDTH) if finding.mend else told


def _findings(folder: Path, state: str | None) -> Iterator[Finding]:
    now = datetime.now(UTC)
    site = read_files(folder, None, today=None).site
    if site is None:
        yield from site_files(read_folder(folder, None, today=None))
        yield clock(now)
        return
    moment = now
    if site.demo is not None:
        moment = digest_moment(site, site.demo.today)
    at = state_folder(site.id, state, environment())
    today = moment.astimezone(site.place.zone_info).date()
    try:
        read = read_folder(folder, at, today=today)
    except FolderError as error:
        yield Finding("State folder", State.FAULT, f"{error}.", "Mend it, or choose another.")
        read = read_folder(folder, None, today=today)
    if site.demo is not None:
        read = read.without_future_lines()
    yield from site_files(read)
    yield clock(now)
    yield from Checkup(read, site, at, moment, environment()).run()


def _verdict(faults: int, warnings: int) -> str:
    beside = f", {_count(warnings, 'warning')}" if warnings else ""
    if faults:
        return f"{_count(faults, 'fault')} to mend{beside}."
    return f"All is well{beside}."


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _document(site: str, findings: list[Finding]) -> dict[str, object]:
    return {
        "site": site,
        "faults": sum(finding.state is State.FAULT for finding in findings),
        "findings": [
            {
                "name": finding.name,
                "state": finding.state.value,
                "text": finding.text,
                "mend": finding.mend or None,
            }
            for finding in findings
        ],
    }

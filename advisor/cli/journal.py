"""`swardcast journal`: the journal read back, with the year's sums of each lawn."""

from __future__ import annotations

import argparse
import json
import math
from pathlib import Path
from typing import Any

from advisor.cli.counting import counted
from advisor.cli.exits import Exit
from advisor.cli.opening import Opened, open_site
from advisor.cli.say import document, err, out, problems
from advisor.site.sums import Sums
from advisor.site.year_had import had_text, substances_had, tasks_since, year_had
from advisor.store.errors import StoreError


def run(arguments: argparse.Namespace) -> int:
    opened = open_site(Path(arguments.site), arguments.state, arguments.on)
    if opened is None:
        return Exit.SITE
    try:
        had = counted(opened)
    except StoreError as error:
        err(str(error))
        return Exit.LATER
    if arguments.json:
        document(json.dumps(_document(opened, had), indent=2))
        return Exit.DONE
    journal = opened.read.files.journal
    start = journal.start.isoformat() if journal.start else "no stated day"
    out(f"The journal of {opened.site.title} tells from {start}.\n")
    for entry in journal.entries:
        out(f"{entry.day}  {entry.lawn:<6}  {entry.text}")
    for asked in had.asks():
        advice = asked.advised
        out(f"{advice.day}  {advice.lawn:<6}  perhaps done: {advice.task} (advised, not answered)")
    if journal.problems:
        out("")
        problems(journal.problems)
    for lawn in opened.site.lawns:
        out(f"\n{lawn.shown}, {had.today.year}")
        for line in _lines(opened, had, lawn.name):
            out(f"  {line}")
    return Exit.DONE


def _lines(opened: Opened, had: Sums, lawn: str) -> list[str]:
    units = opened.site.units
    lines = [
        f"{substance}: {had_text(*year_had(had, lawn, substance), units)}"
        for substance in substances_had(had, lawn)
    ]
    return lines + [f"since {task}: {days}" for task, days in tasks_since(had, lawn)]


def _document(opened: Opened, had: Sums) -> dict[str, Any]:
    journal = opened.read.files.journal
    return {
        "site": opened.site.id,
        "on": had.today.isoformat(),
        "from": journal.start.isoformat() if journal.start else None,
        "entries": [
            {"date": e.day.isoformat(), "lawn": e.lawn, "text": e.text, "line": e.line}
            for e in journal.entries
        ],
        "perhaps": [
            {"date": a.advised.day.isoformat(), "lawn": a.advised.lawn, "task": a.advised.task}
            for a in had.asks()
        ],
        "unreadable": [str(problem) for problem in journal.problems],
        "lawns": [
            {
                "name": lawn.name,
                "g_per_m2": {
                    name: _bounds(had.total(lawn.name, name, had.today.year))
                    for name in substances_had(had, lawn.name)
                },
            }
            for lawn in opened.site.lawns
        ],
    }


def _bounds(total: tuple[float, float]) -> dict[str, float | None]:
    low, high = total
    return {"least": round(low, 3), "most": None if math.isinf(high) else round(high, 3)}

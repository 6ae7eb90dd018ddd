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
from advisor.series.quantity import Kind, show, show_small
from advisor.site.sums import Sums
from advisor.site.words import TASKS
from advisor.store.errors import StoreError

NUTRIENTS = ("nitrogen", "phosphorus", "potassium", "iron")


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
    lines = []
    for substance in _substances(opened, had, lawn):
        low, high = had.total(lawn, substance, had.today.year, upto=had.today)
        lines.append(f"{substance}: {_range(low, high, units)}")
    for task in TASKS:
        since_low, since_high = had.days_since(lawn, task, [had.today])
        least, most = float(since_low[0]), float(since_high[0])
        if math.isinf(most):
            continue
        days = (
            show(least, Kind.DURATION)
            if least == most
            else f"{least:.0f} to {show(most, Kind.DURATION)}"
        )
        lines.append(f"since {task}: {days}")
    return lines


def _range(low: float, high: float, units: str) -> str:
    least = show_small(low, units)
    if low == high:
        return least
    if math.isinf(high):
        return f"at least {least}; how much more cannot be told"
    return f"{least}, perhaps {show_small(high, units)}"


def _substances(opened: Opened, had: Sums, lawn: str) -> list[str]:
    actives = {name for product in opened.read.files.shelf.products for name in product.actives}
    year = had.today.year
    return [
        name
        for name in (*NUTRIENTS, *sorted(actives))
        if name == "nitrogen" or had.total(lawn, name, year, upto=had.today)[0] > 0
    ]


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
                    for name in _substances(opened, had, lawn.name)
                },
            }
            for lawn in opened.site.lawns
        ],
    }


def _bounds(total: tuple[float, float]) -> dict[str, float | None]:
    low, high = total
    return {"least": round(low, 3), "most": None if math.isinf(high) else round(high, 3)}

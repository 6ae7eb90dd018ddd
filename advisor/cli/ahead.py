"""`swardcast ahead`: when the coming windows are likely to open, and what to buy before."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.looking import look
from advisor.cli.opening import Opened, open_site
from advisor.cli.say import document, err, out, written
from advisor.digest.ahead_text import render_ahead
from advisor.digest.clean import cleaned
from advisor.language.speaking import speaking
from advisor.plan.ahead import YEARS_AT_LEAST, look_at_season
from advisor.plan.ahead_model import Ahead
from advisor.plan.compose import Given
from advisor.site.problem import nearest

QUICK = 30
"""Years times lawns that are asked within a second."""


def run(arguments: argparse.Namespace) -> int:
    opened = open_site(Path(arguments.site), arguments.state, arguments.on)
    if opened is None:
        return Exit.SITE
    with speaking(opened.site.language):
        return _told(arguments, opened)


def _told(arguments: argparse.Namespace, opened: Opened) -> int:
    lawns = [lawn.name for lawn in opened.site.lawns]
    if arguments.lawn and arguments.lawn not in lawns:
        near = nearest(arguments.lawn, lawns) or f"There is {', '.join(lawns)}."
        err(f"No lawn is called “{arguments.lawn}”. {near}")
        return Exit.WORDS
    given = look(opened)
    if given is None:
        return Exit.LATER
    _progress(given, 1 if arguments.lawn else len(lawns))
    ahead = look_at_season(given, opened.now, lawn=arguments.lawn)
    if ahead is None:
        err(_no_past(given))
        return Exit.NO_FORECAST
    if arguments.out and not _write(ahead, Path(arguments.out), quiet=arguments.json):
        return Exit.LATER
    if arguments.json:
        document(cleaned(ahead).model_dump_json(indent=2))
    elif not arguments.out:
        out(render_ahead(ahead))
    return Exit.DONE


def _progress(given: Given, lawns: int) -> None:
    """Who waits at a terminal for longer than a second is told what for."""
    years = len(given.past.years) if given.past is not None else 0
    if years * lawns > QUICK and sys.stderr.isatty():
        err(f"Asking the rules of {years} past years on {lawns} lawns ...")


def _write(ahead: Ahead, folder: Path, *, quiet: bool) -> bool:
    from advisor.digest.ahead_page import render_page
    from advisor.digest.ahead_picture import wide
    from advisor.digest.files import write_texts  # templates: a slow import

    texts = {"ahead.html": render_page(ahead), "ahead.svg": wide(ahead).svg()}
    return written(folder, lambda: write_texts(folder, texts), quiet=quiet)


def _no_past(given: Given) -> str:
    """Why nothing can be said of the coming windows, and how past years come."""
    if given.past is not None:
        some = f"Only {len(given.past.years)} past years are known, and {YEARS_AT_LEAST} are wanted"
    else:
        some = "No past years are known here yet"
    if given.site.weather.recorded is not None:
        return f"{some}: the recording has none (`past_years.json.gz`)."
    return (
        f"{some}. The service fetches them once from the archive, behind a forecast that arrived:"
        " with `swardcast run`, or `swardcast turn SITE`. `swardcast status SITE` says whether the"
        " archive could be reached."
    )

"""A replay as a page of its own, and its files: no script, nothing to load, light or dark."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from markupsafe import Markup

from advisor.digest import replay_text as words
from advisor.digest.clean import cleaned
from advisor.digest.files import write_whole_files
from advisor.digest.templating import template
from advisor.digest.timeline import finding, timeline
from advisor.language.dates import language_tag
from advisor.language.sentences import as_sentence
from advisor.language.words import tell
from advisor.plan.replay_model import Compared, Replay, Run
from advisor.plan.words import task_short


def write_replay(folder: Path, replay: Replay) -> list[Path]:
    """Writes replay.html, replay.svg, journal.txt and replay.json, and makes the folder if need be.

    The journal is that of the own rules, with forecasts as issued where there is such a run. All
    files are made before the first is written. OSError as it comes.
    """
    first = words.ordered(replay)[0]
    contents: Mapping[str, bytes] = {
        "replay.html": render_page(replay).encode(),
        "replay.svg": timeline(replay).encode(),
        "journal.txt": ("\n".join(first.journal) + "\n").encode(),
        "replay.json": replay_json(replay).encode(),
    }
    return write_whole_files(folder, contents)


def replay_json(replay: Replay) -> str:
    """The replay as `replay.json` has it: clean texts, two spaces in, a line break at its end."""
    return cleaned(replay).model_dump_json(by_alias=True, indent=2) + "\n"


def render_page(replay: Replay) -> str:
    """The replay as one HTML document."""
    clean = cleaned(replay)
    return (
        template("replay.html.j2").render(
            language=language_tag(clean.site.units),
            title=tell(
                "{site}, {first} to {last}, lived again",
                site=clean.site.title,
                first=clean.first,
                last=clean.last,
            ),
            headings=words.week_headings(),
            about=words.about(clean),
            pictures=_pictures(clean),
            runs=[
                _run(clean, run, raw)
                for run, raw in zip(words.ordered(clean), words.ordered(replay), strict=True)
            ],
            compared=[_compared(clean, one) for one in clean.compared],
            credit=clean.credit,
            flattering=tell(words.FLATTERING),
            no_holds=as_sentence(tell(words.NO_HOLDS)),
        )
        + "\n"
    )


def _pictures(replay: Replay) -> list[dict[str, Any]]:
    found = []
    for rules, name in (("own", replay.rules), ("against", replay.against)):
        runs = [run for run in words.ordered(replay) if run.rules == rules]
        if runs:
            found.append(
                {
                    "title": tell("The season")
                    if replay.against is None
                    else tell("The season by {rules}", rules=name),
                    # a drawing escapes its own texts
                    "desk": Markup(timeline(replay, rules)),
                    "phone": Markup(timeline(replay, rules, narrow=True)),
                    "finding": finding(runs),
                }
            )
    return found


def _run(replay: Replay, run: Run, raw: Run) -> dict[str, Any]:
    units = replay.site.units
    written = replay.owner == "obeys"
    return {
        "title": words.headed(replay, run),
        "flattering": run.flattering,
        "calendar": words.known_how(run),
        "totals": [
            {
                "title": lawn.title,
                "applications": lawn.applications,
                "water": lawn.water_text,
                "substances": words.substance_texts(lawn),
                "limits": words.limit_texts(lawn),
            }
            for lawn in run.totals
        ],
        "held": [
            {
                "title": f"{held.lawn}, {task_short(held.task)}",
                "open": tell("{number} days", number=held.open_days),
                "held": tell("{number} days", number=held.held_days),
                "by": held.by,
            }
            for held in run.held
        ],
        "weeks": [row for week in run.weeks for row in words.week_rows(week, units)],
        "journal": "\n".join(raw.journal),
        "journal_title": tell("The journal that this owner wrote")
        if written
        else tell("The journal"),
    }


def _compared(replay: Replay, compared: Compared) -> dict[str, Any]:
    title, one, other = words.compared_head(replay, compared)
    return {
        "title": title,
        "one": one,
        "other": other,
        "how": words.differ_words(replay, compared),
        "weeks": [(str(w.on), w.lawn, task_short(w.task), w.one, w.other) for w in compared.weeks],
        "totals": [
            (mine.title, words.total_words(mine), words.total_words(theirs))
            for mine, theirs in zip(
                replay.runs[compared.one].totals, replay.runs[compared.other].totals, strict=True
            )
        ],
    }

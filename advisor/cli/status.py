"""`swardcast status`: what the service did last, what waits, and what is overdue."""

from __future__ import annotations

import argparse
import json
import os
from datetime import datetime
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.opening import Opened, open_site
from advisor.cli.say import document, err, out
from advisor.digest.words import age_text, wrap
from advisor.service.folders import SEASON_FILE, database_file
from advisor.service.health import (
    Clock,
    Finding,
    LetterLike,
    Remembered,
    letter_text,
    overdue,
    recalled,
)
from advisor.service.places import place_key
from advisor.service.schedule import next_digest
from advisor.store.database import Store
from advisor.store.errors import StoreError

WIDTH = 80
MOST_MISTAKES = 3


def run(arguments: argparse.Namespace) -> int:
    opened = open_site(Path(arguments.site), arguments.state, None)
    if opened is None:
        return Exit.SITE
    try:
        seen = _seen(opened)
    except StoreError as error:
        err(str(error))
        return Exit.LATER
    site, now = opened.site, opened.now
    clock = Clock(site.digest.weekday, site.digest.hour, site.place.zone_info, site.units)
    late = overdue(seen, clock, now)
    coming = next_digest(
        now, clock.weekday, clock.hour, clock.zone, seen.last_digest, seen.first_seen or now
    )
    if arguments.json:
        document(json.dumps(_document(opened, seen, coming, late), indent=2))
    else:
        out("\n".join(_lines(opened, clock, seen, coming, late)))
    return Exit.PROBLEMS if late else Exit.DONE


def _seen(opened: Opened) -> Remembered:
    path = database_file(opened.state)
    if not os.path.exists(path):  # noqa: PTH110 - never raises, whatever may not be entered
        return Remembered()
    with Store(path) as store:
        return recalled(store, opened.site.id, place_key(opened.site))


def _lines(
    opened: Opened, clock: Clock, seen: Remembered, coming: datetime, late: tuple[Finding, ...]
) -> list[str]:
    now = opened.now
    found = [
        f"{opened.site.title}, {clock.at(now, now)} ({clock.zone.key})",
        "",
        *_row("Last forecast", _past(seen.last_fetch, clock, now)),
        *(_row("Past weather", f"not to be had: {seen.past_error}") if seen.past_error else []),
        *_row("Last decision", _past(seen.last_decision, clock, now)),
        *_row("Last mail", _mail(seen, clock, now)),
        *_waiting(seen.waiting, clock, now),
        *(_row("Answers", _answers(seen, clock, now)) if opened.site.answers else []),
        *_row("Next digest", clock.at(coming, now)),
    ]
    if (page := _season_page(opened)) is not None:
        found += _row("Season page", page)
    if seen.wake_at is not None:
        found += _row("Looks again", clock.at(seen.wake_at, now))
    found += _to_mend(opened)
    found.append("")
    for finding in late:
        found += wrap(finding.text, "OVERDUE  ", width=WIDTH)
        found += wrap(f"Mend: {finding.mend}", " " * 9, width=WIDTH)
    return found if late else [*found, "Nothing is overdue."]


def _row(label: str, text: str) -> list[str]:
    return wrap(text, f"{label:<15}", width=WIDTH)


def _past(at: datetime | None, clock: Clock, now: datetime) -> str:
    if at is None:
        return "none yet"
    return f"{clock.at(at, now)} ({age_text((now - at).total_seconds() / 3600)} ago)"


def _answers(seen: Remembered, clock: Clock, now: datetime) -> str:
    read = f"read {_past(seen.answers_read, clock, now)}" if seen.answers_read else "none read yet"
    return f"{read}; the mailbox fails: {seen.answers_error}" if seen.answers_error else read


def _mail(seen: Remembered, clock: Clock, now: datetime) -> str:
    told = [_past(seen.last_mail, clock, now)] if seen.last_mail else []
    if seen.last_digest:
        told.append(f"newest digest: {clock.day(seen.last_digest, now)}")
    return "; ".join(told) or "none yet"


def _season_page(opened: Opened) -> str | None:
    """The page that the newest digest left in the state folder."""
    path = opened.state / SEASON_FILE
    return str(path) if os.path.exists(path) else None  # noqa: PTH110 - as above


def _to_mend(opened: Opened) -> list[str]:
    """Mistakes in the owner's rules, which decide what is in force."""
    found: list[str] = []
    mistakes = _mistakes(opened)
    for place, said in enumerate(mistakes[:MOST_MISTAKES]):
        found += _row("" if place else "To mend", said)
    left = len(mistakes) - MOST_MISTAKES
    return found + (_row("", f"and {left} more: `swardcast check`") if left > 0 else [])


def _mistakes(opened: Opened) -> list[str]:
    return [p.sentence for p in opened.read.book.problems if not p.warning]


def _waiting(letters: tuple[LetterLike, ...], clock: Clock, now: datetime) -> list[str]:
    if not letters:
        return _row("Waiting mail", "none")
    found: list[str] = []
    for place, letter in enumerate(letters):
        tries = "not tried yet"
        if letter.tries:
            tries = f"tried {'once' if letter.tries == 1 else f'{letter.tries} times'}"
        again = f", next at {clock.at(letter.next_try, now)}" if letter.next_try else ""
        note = f". {letter.note}" if letter.note else ""
        found += _row(
            "" if place else "Waiting mail",
            f"{letter_text(letter, clock, now)}: {tries}{again}{note}",
        )
    return found


def _document(
    opened: Opened, seen: Remembered, coming: datetime, late: tuple[Finding, ...]
) -> dict[str, object]:
    return {
        "site": opened.site.id,
        "now": opened.now.isoformat(),
        "last_fetch": _iso(seen.last_fetch),
        "past_weather_error": seen.past_error or None,
        "last_decision": _iso(seen.last_decision),
        "last_mail": _iso(seen.last_mail),
        "answers_read": _iso(seen.answers_read),
        "answers_error": seen.answers_error or None,
        "last_digest": seen.last_digest.isoformat() if seen.last_digest else None,
        "next_digest": coming.isoformat(),
        "looks_again": _iso(seen.wake_at),
        "season_page": _season_page(opened),
        "waiting": [_letter(letter) for letter in seen.waiting],
        "given_up": [_letter(letter) for letter in seen.dead],
        "to_mend": _mistakes(opened),
        "overdue": [
            {"name": finding.name, "text": finding.text, "mend": finding.mend} for finding in late
        ],
    }


def _letter(letter: LetterLike) -> dict[str, object]:
    return {
        "on": letter.on.isoformat(),
        "to": letter.recipient,
        "purpose": letter.purpose,
        "created": letter.created.isoformat(),
        "tries": letter.tries,
        "next_try": _iso(letter.next_try),
        "note": letter.note or None,
    }


def _iso(at: datetime | None) -> str | None:
    return at.isoformat() if at is not None else None

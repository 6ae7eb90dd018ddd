"""`swardcast replay`: a past season lived again. Nothing is announced, and nothing is kept."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.looking import open_store
from advisor.cli.opening import Opened, open_site
from advisor.cli.say import document, err, out, problems, written
from advisor.digest.replay_text import render_replay
from advisor.language.speaking import speaking
from advisor.language.words import tell
from advisor.plan.replay_model import Replay
from advisor.rulebook.book import Rulebook
from advisor.service.folders import FolderError, book_of, environment, read_folder, shipped_book
from advisor.service.replay import Asked, ReplayError, Sight, past_weather, replay
from advisor.site.problem import Problem
from advisor.store.errors import StoreError

SHIPPED = "shipped"
"""The word that names the shipped rules with none of the owner's."""

OFTEN, SELDOM = 0.2, 5.0
"""Seconds between two words of progress: on a terminal, which writes over the last, and else."""

QUIET = 1.0
"""Seconds before progress is told at all."""


def run(arguments: argparse.Namespace) -> int:
    opened = open_site(Path(arguments.site), arguments.state, None)
    if opened is None:
        return Exit.SITE
    with speaking(opened.site.language):
        return _told(arguments, opened)


def _told(arguments: argparse.Namespace, opened: Opened) -> int:
    try:
        asked = _asked(arguments, opened)
        if asked is None:
            return Exit.SITE
        lived = _lived(opened, asked)
    except ReplayError as error:
        err(str(error))
        return Exit.WORDS
    except StoreError as error:
        err(str(error))
        return Exit.LATER
    except FolderError as error:
        err(f"{error}.")
        return Exit.WORDS
    if arguments.out and not _write(arguments, lived):
        return Exit.LATER
    if arguments.json:
        from advisor.digest.replay_page import replay_json

        document(replay_json(lived))
    elif not arguments.out:
        out(render_replay(lived))
    return Exit.DONE


def _asked(arguments: argparse.Namespace, opened: Opened) -> Asked | None:
    """What the words ask for; None where a rulebook has a mistake, which has then been said."""
    book, named = opened.read.book, tell("your own beside the shipped ones")
    if not (opened.read.folder / "rules").is_dir():
        named = tell("the shipped ones")
    if arguments.rules:
        book, named = _book(arguments.rules), _named(arguments.rules)
    against = _book(arguments.against) if arguments.against else None
    for one in (book, against):
        if one is not None and (one.holds_everything or _mistakes(one)):
            problems(_mistakes(one))
            err("With a broken rule file everything would be held; mend it first.")
            return None
    sights: tuple[Sight, ...] = (
        ("issued", "perfect") if arguments.foresight == "both" else (arguments.foresight,)
    )
    return Asked(
        arguments.first, arguments.last, arguments.owner, sights, book, named, against,
        _named(arguments.against) if arguments.against else "",
    )  # fmt: skip


def _book(folder: str) -> Rulebook:
    if folder == SHIPPED and not Path(folder).exists():
        return shipped_book()
    return book_of(Path(folder))


def _named(folder: str) -> str:
    """A rulebook's name for people."""
    if folder == SHIPPED and not Path(folder).exists():
        return tell("the shipped ones")
    return tell("those in {folder} beside the shipped ones", folder=folder)


def _mistakes(book: Rulebook) -> list[Problem]:
    return [problem for problem in book.problems if not problem.warning]


def _lived(opened: Opened, asked: Asked) -> Replay:
    """The replay, by the whole journal: each day's digest sees its lines up to that day."""
    progress = Progress()
    read = read_folder(opened.read.folder, opened.state, today=None)
    try:
        with open_store(opened) as store:
            weather = past_weather(
                opened.site, opened.read.folder, store, opened.now, environment()
            )
            return replay(opened.site, read, opened.state, weather, asked, progress)
    finally:
        progress.end()


@dataclass
class Progress:
    """Tells on standard error how far it is, once it takes longer than a second."""

    began: float = field(default_factory=time.monotonic)
    told: float = 0.0
    clock: Callable[[], float] = time.monotonic

    def __call__(self, done: int, of: int) -> None:
        now = self.clock()
        terminal = sys.stderr.isatty()
        if now - self.began < QUIET or now - self.told < (OFTEN if terminal else SELDOM):
            return
        self.told = now
        text = f"{done} of {of} digests"
        if terminal:
            sys.stderr.write(f"\r{text}")
            sys.stderr.flush()
        else:
            err(text)

    def end(self) -> None:
        """Leave a clean line on a terminal."""
        if self.told and sys.stderr.isatty():
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()


def _write(arguments: argparse.Namespace, lived: Replay) -> bool:
    from advisor.digest.replay_page import write_replay  # templates: a slow import

    folder = Path(arguments.out)
    return written(folder, lambda: write_replay(folder, lived), quiet=arguments.json)

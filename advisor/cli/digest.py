"""`swardcast digest`: decide for a moment; print, write or send the digest."""

from __future__ import annotations

import argparse
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.opening import Opened, open_site
from advisor.cli.say import err, out
from advisor.digest.files import plan_json, write_files
from advisor.service.decide import decide
from advisor.service.send import send, write
from advisor.service.weather import environment, refresh
from advisor.store.database import Store
from advisor.store.errors import StoreError


def run(arguments: argparse.Namespace) -> int:
    opened = open_site(Path(arguments.site), arguments.state, arguments.on)
    if opened is None:
        return Exit.SITE
    if arguments.send and opened.site.mail is None:
        err("site.toml names nobody to write to; add a [mail] table, or leave --send out.")
        return Exit.SITE
    try:
        with _store(opened, keep=arguments.send) as store:
            return _digest(arguments, opened, store)
    except StoreError as error:
        err(str(error))
        return Exit.LATER


def _store(opened: Opened, *, keep: bool) -> Store:
    """The site's store. A look at a recorded site leaves nothing behind on the disk."""
    path = opened.state / "swardcast.sqlite3"
    if opened.site.weather.recorded is not None and not keep and not path.exists():
        return Store(":memory:")
    try:
        opened.state.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"{opened.state} cannot be made: {error.strerror}; choose another with --state."
        ) from error
    return Store(path)


def _digest(arguments: argparse.Namespace, opened: Opened, store: Store) -> int:
    site, now = opened.site, opened.now
    failure = ""
    if not opened.looking_back or site.weather.recorded is not None:
        failure = refresh(site, opened.read.folder, store, now, environment())
    decision = decide(opened.read, site, store, now, failure)
    plan = decision.plan
    if arguments.out:
        written = write(plan, site.mail)
        try:
            files = write_files(
                Path(arguments.out), plan,
                text=written.text, html=written.html, mail=written.mail,
            )  # fmt: skip
        except OSError as error:
            err(f"{arguments.out} cannot be written: {error.strerror}.")
            return Exit.LATER
        out("\n".join(str(file) for file in files))
    elif arguments.json:
        out(plan_json(plan).rstrip("\n"))
    elif not arguments.send:
        from advisor.digest.text import render_text

        out(render_text(plan).rstrip("\n"))
    if arguments.send and site.mail is not None:
        sent = send(decision, site, site.mail, store, opened.state, environment())
        for recipient, outcome in sent.outcomes.items():
            out(f"{recipient}: {outcome.sentence}")
        if not sent.complete:
            return Exit.LATER if sent.try_again else Exit.PROBLEMS
    return Exit.NO_FORECAST if plan.cannot_tell else Exit.DONE

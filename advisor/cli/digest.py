"""`swardcast digest`: decide for a moment; print, write or send the digest."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.looking import open_store, refreshed
from advisor.cli.opening import Opened, open_site
from advisor.cli.say import document, err, out, written
from advisor.digest.files import plan_json, write_files, write_texts
from advisor.language.speaking import speaking
from advisor.plan.model import Plan
from advisor.service.decide import Decision, decide
from advisor.service.folders import SEASON_FILE, FolderError, environment
from advisor.service.last_good import keep
from advisor.service.schedule import next_digest
from advisor.store.database import Store
from advisor.store.errors import StoreError
from advisor.store.snapshot import may_only_read


def run(arguments: argparse.Namespace) -> int:
    opened = open_site(Path(arguments.site), arguments.state, arguments.on)
    if opened is None:
        return Exit.SITE
    if arguments.send and opened.site.mail is None:
        err("site.toml names nobody to write to; add a [mail] table, or leave --send out.")
        return Exit.SITE
    try:
        with (
            speaking(opened.site.language),
            open_store(opened, keep=arguments.send) as store,
        ):
            return _digest(arguments, _kept(opened, store), store)
    except StoreError as error:
        err(str(error))
    except FolderError as error:
        err(f"{error}.")
    return Exit.LATER


def _kept(opened: Opened, store: Store) -> Opened:
    """Keep copies of the owner's rules, where this command writes state anyway."""
    if store.path == ":memory:" or may_only_read(Path(store.path)):
        return opened
    unkept = keep(opened.read.good, opened.state)
    return opened if unkept is None else replace(opened, read=opened.read.telling(unkept))


def _digest(arguments: argparse.Namespace, opened: Opened, store: Store) -> int:
    failure = refreshed(opened, store)
    decision = decide(opened.read, opened.site, store, opened.now, failure, season=True)
    if arguments.send:
        decision = replace(decision, plan=_named_next(opened, decision.plan))
    plan = decision.plan
    if arguments.out and not _write(arguments, opened, decision, store):
        return Exit.LATER
    code = _send(arguments, opened, store, decision) if arguments.send else Exit.DONE
    if arguments.json:
        document(plan_json(plan))
    elif not arguments.out and not arguments.send:
        from advisor.digest.text import render_text

        out(render_text(plan).rstrip("\n"))
    if code is Exit.DONE and plan.cannot_tell:
        return Exit.NO_FORECAST
    return code


def _named_next(opened: Opened, plan: Plan) -> Plan:
    """With the date of the digest that will follow this one, now that it is sent: a scheduled
    date too close behind it is skipped."""
    times = opened.site.digest
    zone = opened.site.place.zone_info
    following = next_digest(opened.now, times.weekday, times.hour, zone, plan.on, opened.now)
    return plan.model_copy(update={"next_digest": following.astimezone(zone).date()})


def _write(arguments: argparse.Namespace, opened: Opened, decision: Decision, store: Store) -> bool:
    from advisor.service.season import season_page  # templates: slow imports
    from advisor.service.send import write

    plan = decision.plan
    digest, folder = write(plan, opened.site.mail), Path(arguments.out)
    season = {SEASON_FILE: season_page(decision, store)}
    return written(
        folder,
        lambda: [
            *write_files(
                folder,
                plan,
                text=digest.text,
                html=digest.html,
                mail=digest.mail,
                calendar=digest.calendar,
            ),
            *write_texts(folder, season),
        ],
        quiet=arguments.json,
    )


def _send(arguments: argparse.Namespace, opened: Opened, store: Store, decision: Decision) -> Exit:
    from advisor.service.season import keep_season
    from advisor.service.send import send

    mail = opened.site.mail
    assert mail is not None  # said by `run` before anything was decided
    sent = send(decision, opened.site, mail, store, opened.state, environment())
    # With --json, what is read by a program stays one document.
    say = err if arguments.json else out
    for recipient, outcome in sent.outcomes.items():
        say(f"{recipient}: {outcome.sentence}")
    for failure in keep_season(decision, store, opened.state):
        err(failure)
    if sent.complete:
        return Exit.DONE
    return Exit.LATER if sent.try_again else Exit.PROBLEMS

"""What past years tell of the windows beyond the forecast, kept for the day on which it was made.

It asks the rules of as many years as there are, which takes some tenths of a second; what it says
changes from day to day by little. So a digest has it made once a day, and again where the owner's
files, the rules or the past years changed since.
"""

from __future__ import annotations

import hashlib
import json
from contextlib import suppress
from datetime import datetime
from pprint import pformat

from pydantic import ValidationError

from advisor import __version__
from advisor.plan.ahead import look_at_season
from advisor.plan.ahead_model import Ahead
from advisor.plan.coming import told_by_digest
from advisor.plan.compose import Given
from advisor.plan.model import Next
from advisor.service.places import place_key
from advisor.store.database import Store
from advisor.store.errors import StoreError

COMING = "coming"
"""What it is kept under."""


def coming(given: Given, store: Store, now: datetime) -> tuple[Next, ...]:
    """What a digest at `now` tells of windows beyond the forecast; nothing without past years."""
    ahead = ahead_of(given, store, now)
    return told_by_digest(ahead) if ahead is not None else ()


def ahead_of(given: Given, store: Store, now: datetime) -> Ahead | None:
    """The season ahead at `now`, as it was kept or made anew; None without enough past years."""
    if given.past is None:
        return None
    place, stamp = place_key(given.site), _stamp(given, now)
    kept = _kept(store.recall(place, COMING), stamp)
    if kept is not None:
        return kept
    ahead = look_at_season(given, now)
    if ahead is None:
        return None
    # whoever may only read the database is told it too, and works it out each time
    with suppress(StoreError):
        told = {"stamp": stamp, "ahead": ahead.model_dump(mode="json")}
        store.remember(place, COMING, json.dumps(told))
    return ahead


def _kept(text: str | None, stamp: str) -> Ahead | None:
    """What was kept under that stamp; None where it was another's, or cannot be read."""
    try:
        told = json.loads(text or "{}")
        return Ahead.model_validate(told["ahead"]) if told.get("stamp") == stamp else None
    except (ValueError, AttributeError, KeyError, TypeError, ValidationError):
        return None


def _stamp(given: Given, now: datetime) -> str:
    """Changes with the local day, with the program and with all that the answer rests on, in its
    words too, but the newest forecast."""
    past = given.past
    rests_on = (
        __version__,
        now.astimezone(given.site.place.zone_info).date(),
        given.site,
        given.shelf,
        [(rule.name, rule.kind, rule.tasks, rule.on, rule.says, rule.source, rule.broken, rule.lets,
          [(c.keyword, c.text) for c in rule.conditions])
         for rule in given.book.rules.values()],
        [(s.name, s.written) for s in given.book.settings.values()],
        # sets are written in their own order, which another process may not share
        pformat(given.journal, width=1),
        [(a.id, a.day, a.task, a.lawn) for a in given.advised],
        (past.first, past.last, past.source) if past is not None else None,
    )  # fmt: skip
    return hashlib.sha256(repr(rests_on).encode()).hexdigest()

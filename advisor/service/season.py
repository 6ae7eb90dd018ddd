"""The season page of a decision: made anew with each digest, kept in the state folder."""

from __future__ import annotations

from pathlib import Path

from advisor.digest.season_page import render_season
from advisor.plan.season import look_over_season
from advisor.service.coming import ahead_of
from advisor.service.decide import Decision
from advisor.service.disk import write_private
from advisor.service.folders import SEASON_FILE
from advisor.store.database import Store

_UNFINISHED = ".season.html.unfinished"
"""What a killed program left under this name is overwritten."""


def season_page(decision: Decision, store: Store) -> str:
    """The page of all that a decision was made from, as one HTML document."""
    now = decision.plan.decided_at
    ahead = ahead_of(decision.given, store, now)
    return render_season(look_over_season(decision.given, decision.plan, ahead, now))


def keep_season(decision: Decision, store: Store, state: Path) -> list[str]:
    """Write the page into the state folder, whole or not at all, for who may read what is there.

    Returns what kept it from being written, for the log: it is never a reason to do no more.
    """
    page = season_page(decision, store)
    try:
        write_private(state / _UNFINISHED, page.encode())
        (state / _UNFINISHED).replace(state / SEASON_FILE)
    except OSError as error:
        return [f"the season page cannot be written: {error.strerror}"]
    return []

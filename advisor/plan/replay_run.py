"""One replayed season as the document tells it: its digests, what was done, totals and holds."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time
from typing import Literal

from advisor.plan.replay import Season, live
from advisor.plan.replay_held import grass_spells
from advisor.plan.replay_model import Run
from advisor.plan.replay_owner import ObeyingOwner, RealOwner
from advisor.plan.replay_totals import (
    done_by_deeds,
    done_by_journal,
    from_deeds,
    from_journal,
    lawn_totals,
)
from advisor.series.hourly import Series
from advisor.site.sums import sums


def run_season(
    season: Season,
    owner: ObeyingOwner | RealOwner,
    rules: Literal["own", "against"],
    foresight: Literal["perfect", "issued"],
    truth: Series,
    progress: Callable[[date], None] = lambda _: None,
) -> Run:
    """Live through a season and tell what came of it. `truth` is the weather as it came.

    The totals of an owner who obeys are those of the deeds; their journal says the same. Those of
    a real journal are the journal's, with what was perhaps done beside them.
    """
    site, shelf, first, last = season.site, season.shelf, season.first, season.last
    lived = live(season, owner, progress)
    journal = owner.journal(last)
    if isinstance(owner, ObeyingOwner):
        counted = sums(site, shelf, journal, (), last)
        tallies = [from_deeds(owner.deeds, lawn, shelf) for lawn in site.lawns]
        done = list(done_by_deeds(owner.deeds, site))
    else:
        counted = sums(site, shelf, journal, lived.advised, last)
        tallies = [from_journal(counted, lawn, first, last) for lawn in site.lawns]
        done = done_by_journal(counted, site, first, last)
    noon = datetime.combine(last, time(12), site.place.zone_info)
    grass = grass_spells(site, shelf, season.book, truth, season.past(noon), counted, first, last)
    return Run(
        rules=rules,
        foresight=foresight,
        flattering=foresight == "perfect",
        weeks=lived.weeks,
        done=tuple(done),
        totals=tuple(
            lawn_totals(site, lawn, shelf, tally, counted, first, last)
            for lawn, tally in zip(site.lawns, tallies, strict=True)
        ),
        held=lived.held,
        grass=grass,
        journal=tuple(owner.text(last).rstrip("\n").split("\n")),
    )

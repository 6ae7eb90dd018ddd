"""One decision: what was read, what is stored and a moment, to a plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time

from advisor.language.speaking import speaking
from advisor.language.words import tell, tell_many
from advisor.plan.announced import Sent, announced
from advisor.plan.compose import Given, make_plan
from advisor.plan.model import Heard, Plan
from advisor.plan.recant import announced_hours
from advisor.service.coming import coming
from advisor.service.folders import Read
from advisor.service.places import place_key
from advisor.service.watches import remembered
from advisor.site.events import Advised
from advisor.site.load import ANSWERS_FILE
from advisor.site.place import Site
from advisor.store.database import Store
from advisor.weather.credit import (
    ATTRIBUTION,
    ATTRIBUTION_URL,
    LICENCE_URL,
    PAST_ATTRIBUTION,
    RECORDED_CREDIT,
)


@dataclass(frozen=True)
class Decision:
    """A plan, the stored run of weather that it rests on (None without any), and all that it was
    made from."""

    plan: Plan
    run_id: int | None
    given: Given


def digest_moment(site: Site, day: date) -> datetime:
    """The instant of a day at which the site's digest is decided."""
    hour, minute = (int(part) for part in site.digest.hour.split(":"))
    return datetime.combine(day, time(hour, minute), site.place.zone_info)


def decide(
    read: Read, site: Site, store: Store, now: datetime, failure: str = "", *, season: bool = False
) -> Decision:
    """Decide from a site that could be read and the weather that is stored as of `now`.

    `failure` is a sentence on a fetch that went wrong; the digest tells it. With `season` it tells
    of the windows beyond the forecast too.
    """
    given, run_id = given_for(read, site, store, now, failure)
    if season:
        given = replace(given, coming=coming(given, store, now))
    untold = store.untold(site.id)
    plan = make_plan(given, now).model_copy(
        update={
            "answers": _heard(site, untold.heard),
            "unheard": sum(n for why, n in untold.left.items() if why not in _NO_ANSWERS),
        }
    )
    return Decision(plan, run_id, given)


_NO_ANSWERS = frozenset({"without a token", "automatic", "replayed"})
"""Why a mail was left alone that was no answer, or was one that is taken already: somebody's other
mail is no business of a digest. `status` counts them."""

MOST_HEARD = 30
"""Things heard by mail that a digest tells one by one."""


def _heard(site: Site, heard: Sequence[tuple[str, bool]]) -> tuple[Heard, ...]:
    told = [Heard(text=text, understood=good) for text, good in heard[:MOST_HEARD]]
    more = len(heard) - len(told)
    if more:
        with speaking(site.language):
            text = tell_many(
                "{count} more thing was said; what was written down stands in {file}.",
                "{count} more things were said; what was written down stands in {file}.",
                more,
                file=ANSWERS_FILE,
            )
        told.append(Heard(text=text, understood=True))
    return tuple(told)


def given_for(
    read: Read, site: Site, store: Store, now: datetime, failure: str = ""
) -> tuple[Given, int | None]:
    """What a decision is made from, and the stored run of weather in it (None without any)."""
    stored = store.series(place_key(site), as_of=now)
    given = Given(
        site=site,
        shelf=read.files.shelf,
        journal=read.files.journal,
        book=read.book,
        series=stored.series if stored is not None else None,
        advised=advised_before(store, site, now),
        attribution=_credit(site, store),
        attribution_url=ATTRIBUTION_URL,
        licence_url=LICENCE_URL if site.weather.recorded is None else "",
        problems=tuple(problem.sentence for problem in read.problems),
        failure=failure,
        past=store.past_years(place_key(site), as_of=now),
        watches=remembered(site, store),
        announced_hours=announced_hours(sent_before(store, site, now)),
        ensemble=None if site.weather.no_ensemble else store.ensemble(place_key(site), as_of=now),
    )
    return given, stored.run_id if stored is not None else None


def _credit(site: Site, store: Store) -> str:
    if site.weather.recorded is not None:
        return tell(RECORDED_CREDIT)
    return tell(PAST_ATTRIBUTION if store.from_archive(place_key(site)) else ATTRIBUTION)


def advised_before(store: Store, site: Site, now: datetime) -> list[Advised]:
    """The advice of digests that were sent before a moment, as far as later ones let it stand."""
    return announced(sent_before(store, site, now))


def sent_before(store: Store, site: Site, now: datetime) -> list[Sent]:
    """What the digests told to do that were sent before a moment, oldest first."""
    zone = site.place.zone_info
    return [
        # By the day it was made: one that is late speaks of no day before that.
        Sent(advice.decided_at.astimezone(zone).date(), advice.decided, tuple(advice.actions))
        for advice in store.advised(site.id, before=now)
    ]

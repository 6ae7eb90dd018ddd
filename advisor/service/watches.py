"""Looking out for storm watches where a site's law speaks of them and its owner names a service.

What a look found is remembered with its moment; the plan holds what the law covers where the last
look failed or is too old, so a look that fails fails nothing else; a silent service delays the
forecast by the client's patience, at most every half hour.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime, timedelta

from advisor.series.watches import Watch, Watches
from advisor.service.health import Finding, State
from advisor.service.places import place_key
from advisor.site.place import Site
from advisor.store.database import Store

LOOK_EVERY = timedelta(minutes=30)
"""A look this young is not repeated, whatever is restarted how often; nor is one that failed."""

REMEMBERED = "storm_watches"


def is_asked(site: Site) -> bool:
    """Whether a service is to be asked: the owner names one, the law speaks of storms, and the
    weather is not a recording, of which no service knows."""
    return (
        site.weather.watches is not None
        and site.weather.recorded is None
        and any(law.storms for law in site.ordinances)
    )


def look_out(site: Site, store: Store, now: datetime, base_url: str | None = None) -> str:
    """Look, if it is time, and remember what was found; a sentence where it failed, else empty.
    `base_url` is another address than the service's own, for tests."""
    if not is_asked(site):
        return ""
    last = remembered(site, store)
    if last is not None and timedelta(0) <= now - last.looked_at < LOOK_EVERY:
        return last.failure
    # the client is a slow import, for nothing where what was found is only read back
    from advisor.service.provider import asked_place
    from advisor.weather.watches import ALERTS_URL, StormWatches

    found = StormWatches(asked_place(site), base_url=base_url or ALERTS_URL).look(now)
    store.remember(place_key(site), REMEMBERED, _written(found))
    return found.failure


def remembered(site: Site, store: Store) -> Watches | None:
    """The last look at the service; None where there was none."""
    text = store.recall(place_key(site), REMEMBERED)
    if text is None:
        return None
    try:
        found = json.loads(text)
        return Watches(
            datetime.fromisoformat(found["looked_at"]),
            tuple(Watch(event, _read(begin), _read(end)) for event, begin, end in found["found"]),
            found["failure"],
        )
    except (ValueError, TypeError, KeyError):
        return None  # another release wrote it otherwise: as if nobody had looked, which holds


def looked_out(site: Site, store: Store) -> Iterator[Finding]:
    """What the doctor says of the last look, where one is wanted."""
    if not is_asked(site):
        return
    found = remembered(site, store)
    if found is None or found.failure:
        why = "nobody was asked." if found is None else found.failure
        yield Finding(
            "Storm watches",
            State.FAULT,
            f"Whether one is in force cannot be told: {why}",
            "What the law covers is held until it can. Without the service your journal tells"
            " (`watch until`, `watch over`): take `watches` out of [weather].",
        )
        return
    named = ", ".join(watch.event for watch in found.found) or "none is in force"
    yield Finding("Storm watches", State.OK, f"The national weather service answers: {named}.")


def _written(watches: Watches) -> str:
    return json.dumps({
        "looked_at": watches.looked_at.isoformat(),
        "found": [
            [watch.event, _iso(watch.begins), _iso(watch.ends)] for watch in watches.found
        ],
        "failure": watches.failure,
    })  # fmt: skip


def _iso(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat()


def _read(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text)

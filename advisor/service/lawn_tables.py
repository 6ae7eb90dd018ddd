"""The facts of a site's lawns as its newest weather tells them, for a look at its rules."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path

from advisor.conditions.facts import lawn_facts
from advisor.conditions.site_weather import site_weather
from advisor.rulebook.leaning import Grown
from advisor.service.decide import advised_before
from advisor.service.folders import Read, database_file
from advisor.service.places import place_key
from advisor.site.place import Site
from advisor.site.sums import sums
from advisor.store.database import Store


def lawn_tables(read: Read, site: Site, state: Path, now: datetime) -> tuple[Grown, ...]:
    """Each lawn with its facts, as of the newest weather that is stored, or is recorded with the
    site; none where there is neither.

    Asks nobody. Raises StoreError for a database that cannot be read.
    """
    path = database_file(state)
    if os.path.exists(path):  # noqa: PTH110 - never raises, whatever may not be entered
        with Store(path) as store:
            found = _tables(read, site, store, now)
        if found:
            return found
    if site.weather.recorded is None:
        return ()
    # a slow import (the client), for nothing where weather is stored
    from advisor.service.weather import refresh

    with Store(":memory:") as store:
        refresh(site, read.folder, store, now, {})
        return _tables(read, site, store, now)


def _tables(read: Read, site: Site, store: Store, now: datetime) -> tuple[Grown, ...]:
    stored = store.series(place_key(site), as_of=now)
    if stored is None:
        return ()
    # Weather may be days old where the service does not run: it is looked at as it was then.
    then = min(now, stored.series.source.fetched_at)
    past = store.past_years(place_key(site), as_of=then)
    weather = site_weather(stored.series, site, then, past)
    if weather is None:
        return ()
    day = weather.daily.days[weather.daily.today]
    advised = advised_before(store, site, then)
    counted = sums(site, read.files.shelf, read.files.journal, advised, day)
    return tuple(
        Grown(
            lawn.name, lawn.grass, lawn.grass_class,
            lawn_facts(weather, site, lawn, counted).table,
        )
        for lawn in site.lawns
    )  # fmt: skip

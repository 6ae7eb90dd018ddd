"""The facts of a site's lawns as its newest weather tells them, for a look at its rules."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path

from advisor.plan.asked import views
from advisor.rulebook.leaning import Grown
from advisor.service.decide import given_for
from advisor.service.folders import Read, database_file
from advisor.service.places import place_key
from advisor.site.place import Site
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
    # It may be days old where the service does not run, so it is looked at as it was then.
    then = store.newest_fetch(place_key(site), now)
    if then is None:
        return ()
    given, _ = given_for(read, site, store, then)
    return tuple(
        Grown(
            view.lawn.name,
            view.lawn.grass,
            view.lawn.grass_class,
            view.facts.table,
            view.setting.hours,
        )
        for view in views(given, then)
    )

"""What commands that look at a site's weather share: its store, and bringing that up to date."""

from __future__ import annotations

from pathlib import Path

from advisor.cli.opening import Opened
from advisor.cli.say import err
from advisor.plan.compose import Given
from advisor.service.decide import given_for
from advisor.service.folders import FolderError, database_file, environment, make_state
from advisor.service.weather import refresh
from advisor.store.database import Store
from advisor.store.errors import StoreError
from advisor.store.snapshot import may_only_read


def open_store(opened: Opened, *, keep: bool = False) -> Store:
    """The site's store. A look at a recorded site leaves nothing behind on the disk.

    Raises StoreError, or FolderError where there can be no state folder.
    """
    path = database_file(opened.state)
    if opened.site.weather.recorded is not None and not keep and not path.exists():
        return Store(":memory:")
    return Store(make_state(opened.state))


def refreshed(opened: Opened, store: Store) -> str:
    """Bring the weather up to date, where this moment and this user can; a sentence on failure."""
    site = opened.site
    if opened.looking_back and site.weather.recorded is None:
        return ""
    if store.path != ":memory:" and may_only_read(Path(store.path)):
        return ""  # whoever may only look sees what the service has fetched
    return refresh(site, opened.read.folder, store, opened.now, environment())


def look(opened: Opened) -> Given | None:
    """What a decision would be made from; None when the store fails, which has then been said."""
    try:
        with open_store(opened) as store:
            failure = refreshed(opened, store)
            given, _ = given_for(opened.read, opened.site, store, opened.now, failure)
    except StoreError as error:
        err(str(error))
        return None
    except FolderError as error:
        err(f"{error}.")
        return None
    if failure:
        err(f"The newest forecast could not be had: {failure}")
    return given

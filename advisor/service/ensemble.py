"""Getting the ensemble into the store: twice a day, behind a forecast that arrived, if at all.

It tells how sure a day is and is never needed: what fails is remembered for whoever asks, waits,
and neither delays nor fails anything else.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path

from advisor.service.places import place_key
from advisor.service.provider import asked_place, weather_key
from advisor.service.schedule import next_ensemble
from advisor.site.place import Site
from advisor.store.database import Store
from advisor.weather.credit import RECORDED
from advisor.weather.ensemble import ENSEMBLE_MODEL, ENSEMBLE_URL, OpenEnsemble
from advisor.weather.errors import Unreachable, WeatherError
from advisor.weather.recorded_ensembles import RecordedEnsembles

LONGEST_PAUSE = timedelta(days=2)
"""No look lies further ahead than this; one that does was set by a clock that ran ahead."""

NEXT, FAILURES, LAST_ERROR = "ensemble_next", "ensemble_failures", "ensemble_error"
"""What is remembered of a place: when to ask next, failures in a row, the newest as a sentence."""


def wanted(site: Site, folder: Path) -> bool:
    """Whether there is an ensemble to ask for: the owner wants one, and an address is known."""
    if site.weather.no_ensemble:
        return False
    if site.weather.recorded is not None:
        return RecordedEnsembles.are_in(folder / site.weather.recorded)
    # An address of the owner's for the forecast says nothing of one for the ensemble.
    return site.weather.ensemble_url is not None or site.weather.base_url is None


def ask(
    site: Site, folder: Path, store: Store, now: datetime, environment: Mapping[str, str]
) -> None:
    """Ask for the ensemble and store it. Raises WeatherError, which says when to ask again."""
    client = OpenEnsemble(
        asked_place(site),
        base_url=site.weather.ensemble_url or ENSEMBLE_URL,
        api_key=weather_key(site, environment),
        model=site.weather.ensemble_model or ENSEMBLE_MODEL,
    )
    if site.weather.recorded is not None:
        transport = RecordedEnsembles(folder / site.weather.recorded, now)
        # The recording has hours of its own, made one by one.
        client = OpenEnsemble(asked_place(site), transport=transport, provider=RECORDED, step=1)
    store.keep_ensemble(place_key(site), client.fetch(now).ensemble)


def ask_if_due(
    site: Site, folder: Path, store: Store, now: datetime, environment: Mapping[str, str]
) -> list[str]:
    """Ask for the ensemble, if it is wanted and time; return what was done, for the log."""
    if not wanted(site, folder) or not _due(site, store, now):
        return []
    failures, retry_after, said, failure = 0, None, "fetched the ensemble", ""
    try:
        ask(site, folder, store, now, environment)
    except WeatherError as error:
        failures = int(store.recall(place_key(site), FAILURES) or 0) + 1
        retry_after = error.retry_after if isinstance(error, Unreachable) else None
        failure = str(error)
        said = f"no ensemble: {failure}"
    if site.weather.recorded is None:
        planned = next_ensemble(now, failures, retry_after, place_key(site))
        store.remember(place_key(site), NEXT, planned.isoformat())
        store.remember(place_key(site), FAILURES, str(failures))
    store.remember(place_key(site), LAST_ERROR, failure)
    return [said]


def _due(site: Site, store: Store, now: datetime) -> bool:
    place = place_key(site)
    if site.weather.recorded is not None:
        # A recording has one ensemble a day, from midnight GMT.
        held = store.newest_ensemble(place, now)
        return held is None or held.astimezone(UTC).date() != now.astimezone(UTC).date()
    found = store.recall(place, NEXT)
    planned = datetime.fromisoformat(found) if found else None
    return planned is None or planned <= now or planned - now > LONGEST_PAUSE

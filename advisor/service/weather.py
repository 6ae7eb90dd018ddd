"""Getting a site's weather into the store: from the service, or from the demo's recording."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from pathlib import Path

from advisor.service.archive import look_up
from advisor.service.ensemble import ask_if_due
from advisor.service.places import place_key
from advisor.service.provider import asked_place, weather_key
from advisor.service.watches import look_out
from advisor.site.place import Site
from advisor.store.database import Store
from advisor.weather.credit import RECORDED
from advisor.weather.errors import WeatherError
from advisor.weather.recorded import RecordedTransport
from advisor.weather.service import BASE_URL, MOST_PAST_DAYS, OpenForecast

FRESH_FOR = timedelta(minutes=30)
"""A stored forecast this young is not asked for again, whatever is restarted how often."""

SOIL_MODEL = "icon_seamless"
"""A model whose soil layers keep their depths; the best mixture changes its own without notice."""

BEST_MATCH = "best-match"
"""What an owner writes to have the soil from the same mixture, and the same request, as the air."""

OVERLAP_DAYS = 2
"""Days of past that each answer repeats, so that late corrections arrive."""


def refresh(
    site: Site, folder: Path, store: Store, now: datetime, environment: Mapping[str, str]
) -> str:
    """Bring the store up to date for `now`; return a sentence on what failed, or the empty text.

    A failure is no exception: what is stored goes on serving, with its age. The ensemble and past
    weather are looked up behind the forecast, and a failure of those is not told here.
    """
    held = store.newest_fetch(place_key(site), now)
    if held is None or now - held >= FRESH_FOR:
        try:
            fetch(site, folder, store, now, environment)
        except WeatherError as error:
            return str(error)
    ask_if_due(site, folder, store, now, environment)
    look_up(site, folder, store, now, environment)
    return ""


def fetch(
    site: Site, folder: Path, store: Store, now: datetime, environment: Mapping[str, str]
) -> None:
    """Ask for the weather and store it. Raises WeatherError, which says when to ask again.

    Storm watches are looked for beside it; of a look that fails the plan tells.
    """
    look_out(site, store, now)
    held = store.newest_fetch(place_key(site), now)
    if site.weather.recorded is not None:
        _replay(site, folder / site.weather.recorded, store, now, held)
    else:
        _ask(_client(site, environment), site, store, now, held)


def _past_days(now: datetime, held: datetime | None) -> int:
    if held is None:
        return MOST_PAST_DAYS
    return min(MOST_PAST_DAYS, (now - held).days + OVERLAP_DAYS)


def _ask(
    client: OpenForecast, site: Site, store: Store, now: datetime, held: datetime | None
) -> None:
    store.keep(place_key(site), client.fetch(now, _past_days(now, held)))


def _replay(
    site: Site, recording: Path, store: Store, now: datetime, held: datetime | None
) -> None:
    """Ask the recording as often as a service that had been running would have needed to.

    One answer reaches 92 days back; so that a look at October knows January, the answers that
    would have been stored on the way are asked for first, oldest first.
    """
    moments = [now]
    if held is None:
        first = RecordedTransport.begins(recording)
        while moments[-1] - timedelta(MOST_PAST_DAYS - 1) > first:
            moments.append(moments[-1] - timedelta(MOST_PAST_DAYS - 1))
    for moment in reversed(moments):
        client = OpenForecast(
            asked_place(site),
            transport=RecordedTransport(recording, moment),
            provider=RECORDED,
        )
        days_ahead = 16 if moment == now else 1
        store.keep(place_key(site), client.fetch(moment, _past_days(moment, held), days_ahead))


def _client(site: Site, environment: Mapping[str, str]) -> OpenForecast:
    return OpenForecast(
        asked_place(site),
        base_url=site.weather.base_url or BASE_URL,
        api_key=weather_key(site, environment),
        soil_model=_soil_model(site.weather.soil_model),
    )


def _soil_model(wanted: str | None) -> str | None:
    """The model to ask for soil values; None asks for all in one request."""
    if wanted is None:
        return SOIL_MODEL
    return None if wanted.replace("_", "-") == BEST_MATCH else wanted

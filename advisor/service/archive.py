"""Getting past weather into the store: the hours of the year so far, the days of past years.

A look is seldom and polite. Hours are asked for in one request, only those that are missing, at
most once a night; past years in one request, once. What comes back unknown is asked for again for
two weeks and then left alone. What fails waits, and neither delays nor fails anything else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from advisor.service.health import PAST_ERROR
from advisor.service.places import place_key
from advisor.service.provider import asked_place, weather_key
from advisor.service.schedule import ARCHIVE_EVERY, next_look_up
from advisor.site.place import Site
from advisor.store.archive_log import YEARS_KEPT
from advisor.store.database import Store
from advisor.weather.archive import ARCHIVE_URL, OpenArchive
from advisor.weather.credit import RECORDED
from advisor.weather.errors import Unreachable, WeatherError
from advisor.weather.recorded_years import RecordedYears

DELAY = timedelta(days=5)
"""The archive's newest reanalysis is this far behind (its documentation); younger hours are known
from the forecast service, or are too fresh to be asked for."""

RE_ASKED_FOR = timedelta(days=14)
"""An hour that the archive does not know is asked for again for so long after it was first so."""

YEAR_IS_WHOLE = timedelta(days=7)
"""A year counts as past when so much of the next has gone by: the archive has caught up."""

LONGEST_PAUSE = timedelta(days=3)
"""No look lies further ahead than this; one that does was set by a clock that ran ahead."""

NEXT, FAILURES, LAST = "archive_next", "archive_failures", "archive_last"
"""What is remembered of a place, beside the newest failure as a sentence: when to look next,
failures in a row, and when hours were last asked for."""


def look_up(
    site: Site, folder: Path, store: Store, now: datetime, environment: Mapping[str, str]
) -> list[str]:
    """Ask for what past weather is missing, if it is time; return what was done, for the log.

    Comes after a forecast that arrived: hours which that one knows are not asked for.
    """
    look = _Look(site, store, now, [])
    try:
        if site.weather.recorded is not None:
            look.at_recording(folder / site.weather.recorded)
            return look.said
        # An address of the owner's for the forecast says nothing of one for the archive.
        address = site.weather.archive_url or (None if site.weather.base_url else ARCHIVE_URL)
        if address is None or not look.due():
            return []
        client = OpenArchive(
            asked_place(site), base_url=address, api_key=weather_key(site, environment)
        )
        look.year_so_far(client)
        look.past_years(client)
    except WeatherError as error:
        look.failed(error)
    else:
        look.done()
    return look.said


def next_look(site: Site, store: Store) -> datetime | None:
    """When past weather is to be looked up next; None before the first look."""
    found = store.recall(place_key(site), NEXT)
    return datetime.fromisoformat(found) if found else None


def year_turned(site: Site, now: datetime) -> datetime:
    """The local midnight from which a season's sums are counted: 1 January, or 1 July south of
    the equator."""
    month = 7 if site.place.latitude < 0 else 1
    today = now.astimezone(site.place.zone_info).date()
    year = today.year if today.month >= month else today.year - 1
    return datetime(year, month, 1, tzinfo=site.place.zone_info)


@dataclass
class _Look:
    """One look for past weather; `said` is what came of it."""

    site: Site
    store: Store
    now: datetime
    said: list[str]

    @property
    def _place(self) -> str:
        return place_key(self.site)

    @property
    def _today(self) -> datetime:
        return self.now.astimezone(UTC).replace(hour=0, minute=0, second=0, microsecond=0)

    def due(self) -> bool:
        planned = next_look(self.site, self.store)
        return planned is None or planned <= self.now or planned - self.now > LONGEST_PAUSE

    def at_recording(self, recording: Path) -> None:
        """A recording has no hours but those of its weather; past years where it has some."""
        if RecordedYears.are_in(recording):
            self.past_years(
                OpenArchive(
                    asked_place(self.site),
                    transport=RecordedYears(recording),
                    provider=RECORDED,
                )
            )

    def year_so_far(self, client: OpenArchive) -> None:
        asked = self.store.recall(self._place, LAST)
        if asked and timedelta(0) <= self.now - datetime.fromisoformat(asked) < ARCHIVE_EVERY:
            return
        hours = self.store.unknown_hours(
            self._place,
            # A day more, so that the first one counts though its first hours be missing.
            year_turned(self.site, self.now) - timedelta(days=1),
            # The row before midnight is the last one of a GMT day.
            self._today - DELAY - timedelta(hours=1),
            self.now - RE_ASKED_FOR,
        )
        if not len(hours):
            return
        first, last = (datetime.fromtimestamp(int(end), UTC).date() for end in hours[[0, -1]])
        found = self.store.fill(self._place, client.fetch(self.now, first, last))
        self.store.remember(self._place, LAST, self.now.isoformat())
        self.said.append(f"filled {found} of {len(hours)} missing hours from the archive")

    def past_years(self, client: OpenArchive) -> None:
        year = (self._today - YEAR_IS_WHOLE).year
        span = self.store.unasked_days(
            self._place, date(self._today.year - YEARS_KEPT, 1, 1), date(year - 1, 12, 31)
        )
        if span is None:
            return
        self.store.keep_years(self._place, client.past_years(self.now, *span))
        self.said.append(f"fetched the days from {span[0]} to {span[1]} from the archive")

    def failed(self, error: WeatherError) -> None:
        failures = int(self.store.recall(self._place, FAILURES) or 0) + 1
        retry_after = error.retry_after if isinstance(error, Unreachable) else None
        self._plan(failures, str(error), retry_after)
        self.said.append(f"no past weather: {error}")

    def done(self) -> None:
        self._plan(0, "", None)

    def _plan(self, failures: int, error: str, retry_after: datetime | None) -> None:
        zone = self.site.place.zone_info
        planned = next_look_up(self.now, failures, retry_after, zone, self._place)
        self.store.remember(self._place, FAILURES, str(failures))
        self.store.remember(self._place, PAST_ERROR, error)
        self.store.remember(self._place, NEXT, planned.isoformat())

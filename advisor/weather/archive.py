"""The archive of past weather: the hours of the year so far, and the days of past years.

The year so far is asked for hour by hour, since a day that counts is a local day and its lowest
and highest are taken here, as they are of the forecast's hours. Ten past years are asked for day
by day: as hours they would be 88 000 rows, twenty times the bytes and far over what is read at
once, for dates that are wanted to some days. Those days are GMT days, as the service sums them up;
its local days lie an hour off for half the year, and half an hour off in zones of half hours.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time

from advisor.language.words import later, tell
from advisor.series.hourly import Source
from advisor.series.years import PastYears
from advisor.weather.answer import DAILY as DAYS
from advisor.weather.answer import read_answer, read_rows
from advisor.weather.client import Client, Fetched, covers, instant
from advisor.weather.exchange import Received
from advisor.weather.variables import DAILY, PAST

ARCHIVE_URL = "https://archive-api.open-meteo.com/v1/archive"

YEARS_MODEL = "era5_seamless"
"""One reanalysis for all past years: the best mixture changes its source in 2017."""

FIRST_DAY = date(1940, 1, 1)
"""Where the archive begins."""


@dataclass(frozen=True)
class OpenArchive(Client):
    """The client of the archive."""

    base_url: str = ARCHIVE_URL

    def fetch(self, now: datetime, first: date, last: date) -> Fetched:
        """The hours labelled with the days from `first` to `last`, days counted in GMT, before
        today. `now` is an instant with its zone.

        Soil, snow and chances are left unknown. Raises Unreachable, BadAnswer or Misconfigured;
        ValueError for a `now` without a zone.
        """
        now = instant(now)
        received, url = self._ask(now, first, last, hourly=",".join(PAST), wind_speed_unit="ms")
        answer = read_answer(
            received.body,
            received.status,
            received.content_type,
            wanted=PAST,
            source=Source(self.provider, now),
            secret=self.api_key,
            retry_after=received.retry_after,
        )
        ends = answer.series.ends()
        covers(int(ends[0]), int(ends[-1]), _at(first), _at(last, 23), grace=0)
        return Fetched(answer.series, now, (received.body,), self.provider, url, answer.notes)

    def past_years(self, now: datetime, first: date, last: date) -> PastYears:
        """The days from `first` to `last`, GMT days before today, in one request.

        Raises as `fetch` does.
        """
        now = instant(now)
        received, _ = self._ask(
            now, first, last,
            daily=",".join(variable.name for variable in DAILY), models=YEARS_MODEL,
        )  # fmt: skip
        rows = read_rows(
            received.body,
            received.status,
            received.content_type,
            section=DAYS,
            wanted=DAILY,
            now=now,
            model=YEARS_MODEL,
            secret=self.api_key,
            retry_after=received.retry_after,
        )
        covers(rows.times[0], rows.times[-1], _at(first), _at(last), grace=0)
        return PastYears(first, source=Source(self.provider, now), **rows.columns)

    def _ask(self, now: datetime, first: date, last: date, **what: str) -> tuple[Received, str]:
        """The answer to one request, and that request without the key."""
        base = self._address(later("The past weather"), *_wrong_days(now, first, last))
        parameters = self._parameters(
            **what, start_date=first.isoformat(), end_date=last.isoformat()
        )
        with self._connected() as connected:
            received = self._get(connected, base, parameters)
        return received, str(base.copy_merge_params(parameters))


def _wrong_days(now: datetime, first: date, last: date) -> Iterator[str]:
    if not FIRST_DAY <= first <= last < now.date():
        yield tell(
            "the days {first} to {last} do not follow one another between 1940 and today",
            first=first,
            last=last,
        )


def _at(day: date, hour: int = 0) -> datetime:
    return datetime.combine(day, time(hour), UTC)

"""What the clients of the open weather service share: a place, an address, a key, one request.

No retries: when to ask again is decided from stored state, which outlives this process.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime

import httpx

from advisor import __version__
from advisor.language.words import tell
from advisor.series.hourly import Series
from advisor.weather.credit import PROVIDER
from advisor.weather.errors import BadAnswer, Misconfigured
from advisor.weather.exchange import Patience, Received, ask, open_client

USER_AGENT = f"swardcast/{__version__}"


@dataclass(frozen=True)
class Place:
    """Where the weather is wanted: degrees north and east, and metres above the sea if known."""

    latitude: float
    longitude: float
    elevation_m: float | None = None


@dataclass(frozen=True)
class Fetched:
    """What one fetch brought. `bodies` are the answers as received, the main one first; `url` is
    the main request without the key; `notes` are sentences for the owner."""

    series: Series
    fetched_at: datetime
    bodies: tuple[bytes, ...]
    provider: str
    url: str
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Client:
    """The base of a client. `api_key` appears in no text, log line or result; `transport` stands
    in for the network in tests and in the demo, and `provider` names who truly answers."""

    place: Place
    base_url: str
    api_key: str | None = field(default=None, repr=False)
    transport: httpx.BaseTransport | None = None
    patience: Patience = field(default_factory=Patience)
    provider: str = PROVIDER

    def _address(self, what: str, *wrong: str) -> httpx.URL:
        """The service's address, once the settings are right; `wrong` are further phrases on what
        is not. `what`, a message, is what cannot be asked for otherwise. Raises Misconfigured."""
        found = [*self._wrong(), *wrong]
        if found:
            raise Misconfigured(
                tell(
                    "{what} cannot be asked for: {reasons}.",
                    what=tell(what),
                    reasons="; ".join(found),
                )
            )
        try:
            url = httpx.URL(self.base_url)
        except (httpx.InvalidURL, TypeError):
            raise Misconfigured(tell("The weather service's address is no address.")) from None
        if url.scheme not in ("https", "http") or not re.fullmatch(r"[^\s%\[\]]+", url.host):
            raise Misconfigured(tell("The weather service's address does not begin with https://."))
        if url.userinfo or url.query or url.fragment:
            raise Misconfigured(
                tell(
                    "The weather service's address holds more than host and path: a key has its"
                    " own setting, and the rest of the request is made here."
                )
            )
        return url

    def _wrong(self) -> Iterator[str]:
        place = self.place
        if not -90 <= place.latitude <= 90:
            yield tell("the latitude is not between -90 and 90")
        if not -180 <= place.longitude <= 180:
            yield tell("the longitude is not between -180 and 180")
        if place.elevation_m is not None and not (
            math.isfinite(place.elevation_m) and -500 <= place.elevation_m <= 9000
        ):
            yield tell("the elevation is not between -500 m and 9000 m")
        if self.api_key is not None and not re.fullmatch(r"[!-~]+", self.api_key):
            yield tell("the key is empty or has signs in it that no key has")

    @contextmanager
    def _connected(self) -> Iterator[httpx.Client]:
        with open_client(USER_AGENT, self.patience, self.transport, self.api_key) as connected:
            yield connected

    def _parameters(self, **more: str) -> dict[str, str]:
        """The request without the key. Always GMT: in zones of half hours the service's own local
        rows are valid half an hour off their label."""
        parameters = {
            "latitude": f"{self.place.latitude:.5f}",
            "longitude": f"{self.place.longitude:.5f}",
            **more,
            "timezone": "GMT",
            "timeformat": "unixtime",
        }
        if self.place.elevation_m is not None:
            parameters["elevation"] = f"{self.place.elevation_m:.0f}"
        return parameters

    def _get(
        self, connected: httpx.Client, url: httpx.URL, parameters: Mapping[str, str]
    ) -> Received:
        """One request; its answer is not checked yet."""
        keyed = {**parameters, "apikey": self.api_key} if self.api_key else parameters
        return ask(connected, url.copy_merge_params(keyed), self.patience, self.api_key)


def instant(now: datetime) -> datetime:
    """`now` in UTC; ValueError for one without a zone."""
    if now.tzinfo is None:
        raise ValueError("now needs a time zone")
    return now.astimezone(UTC)


def covers(
    begins: float, stops: float, first: datetime, last: datetime, *, grace: float, hint: str = ""
) -> None:
    """Refuse an answer whose rows run from `begins` to `stops` (unix seconds) when it was asked
    for `first` to `last`, with seconds of grace at each end."""
    if abs(begins - first.timestamp()) > grace or abs(stops - last.timestamp()) > grace:

        def day(seconds: float) -> date:
            return datetime.fromtimestamp(seconds, UTC).date()

        said = tell(
            "The weather service answered for {first} to {last}; {asked_first} to {asked_last} was"
            " asked for.",
            first=day(begins),
            last=day(stops),
            asked_first=first.date(),
            asked_last=last.date(),
        )
        raise BadAnswer(f"{said} {hint}".rstrip())

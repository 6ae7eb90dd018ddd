"""Storm, flood and tropical watches and warnings in force at a place, from the United States'
national weather service: one polite request, no retries.

That service needs no key. It asks for a name of the caller (User-Agent) and an Accept header, for
coordinates of at most four decimals, and for no more than that. It speaks of the United States and
their territories alone; its data are in the public domain.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, ValidationError
from pydantic_core import from_json

from advisor.language.words import later, tell
from advisor.series.watches import Watch, Watches
from advisor.weather.answer import LARGEST
from advisor.weather.client import Client, instant
from advisor.weather.errors import BadAnswer, WeatherError, quoted
from advisor.weather.exchange import Received
from advisor.weather.refusal import refuse

ALERTS_URL = "https://api.weather.gov/alerts/active"

MEDIA_TYPE = "application/geo+json"

KINDS = ("watch", "warning")
"""What a law waits for; advisories and statements are less."""

DANGERS = ("storm", "flood", "tropical", "hurricane", "typhoon", "tornado", "surge")
"""Words of the events that ordinances name; "storm" is in thunderstorms and winter storms too,
which holds more than some of them ask for."""

LONGEST = timedelta(days=366)
"""No watch begins or ends so far from now; judgement."""


class _Outside(BaseModel):
    model_config = ConfigDict(extra="ignore", frozen=True)


class _Alert(_Outside):
    event: str = Field(min_length=1)
    status: str | None = None
    kind: str | None = Field(default=None, alias="messageType")
    effective: AwareDatetime | None = None
    ends: AwareDatetime | None = None


class _Feature(_Outside):
    properties: _Alert


class _Pages(_Outside):
    next: str | None = None


class _Alerts(_Outside):
    type: str
    features: tuple[_Feature, ...]
    pagination: _Pages | None = None


@dataclass(frozen=True)
class StormWatches(Client):
    """The client; it is made for one place, like that of the forecast."""

    base_url: str = ALERTS_URL

    def look(self, now: datetime) -> Watches:
        """What is in force at `now`, an instant with its zone. A look that fails is no exception:
        it says why, and then nothing is known."""
        now = instant(now)
        try:
            return Watches(now, tuple(self._found(now)))
        except WeatherError as error:
            return Watches(now, failure=str(error))

    def _found(self, now: datetime) -> Iterator[Watch]:
        base = self._address(later("Storm watches"))
        place = self.place
        point = f"{_short(place.latitude)},{_short(place.longitude)}"
        with self._connected() as connected:
            connected.headers["Accept"] = MEDIA_TYPE
            received = self._get(connected, base, {"point": point})
        yield from read_alerts(received, now)


def _short(degrees: float) -> str:
    """At most four decimals, none of them a nought at the end: others are sent elsewhere."""
    return f"{round(degrees, 4) + 0.0:.4f}".rstrip("0").rstrip(".")


def read_alerts(received: Received, now: datetime) -> Iterator[Watch]:
    """The watches and warnings in an answer that ordinances speak of. Raises WeatherError."""
    if received.status != 200:
        refuse(received.body, received.status, now=now, retry_after=received.retry_after)
    if len(received.body) > LARGEST:
        raise BadAnswer(tell("The service for storm watches answers without end."))
    if "json" not in received.content_type.lower():
        kind = quoted(received.content_type) or tell("nothing said")
        raise BadAnswer(
            tell(
                "The service for storm watches answered with something else ({kind}): the network"
                " may want a sign-in first.",
                kind=kind,
            )
        )
    try:
        alerts = _Alerts.model_validate(from_json(received.body))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = quoted(".".join(str(part) for part in first["loc"]))
        raise BadAnswer(
            tell("The answer on storm watches is not as it should be, at “{where}”.", where=where)
        ) from None
    except ValueError:
        raise BadAnswer(tell("The answer on storm watches cannot be read.")) from None
    if alerts.type != "FeatureCollection":
        raise BadAnswer(tell("The answer on storm watches is no list of them."))
    if alerts.pagination is not None and alerts.pagination.next:
        raise BadAnswer(tell("The answer on storm watches is only a part of them."))
    for alert in (feature.properties for feature in alerts.features):
        if _counts(alert):
            # It is in force from when it was given out, not only when the storm is to come. Where
            # no end is stated it goes on: an `expires` is when the message is written anew.
            yield Watch(quoted(alert.event), *_stretch(alert, now))


def _stretch(alert: _Alert, now: datetime) -> tuple[datetime | None, datetime | None]:
    """When it begins and ends; None where the answer tells nothing that can be true."""
    begins, ends = (
        moment if moment is not None and abs(moment - now) < LONGEST else None
        for moment in (alert.effective, alert.ends)
    )
    if begins is not None and ends is not None and ends < begins:
        return None, None
    return begins, ends


def _counts(alert: _Alert) -> bool:
    """Whether it is a watch or warning of a danger that ordinances name, and no drill. What does
    not say what it is counts."""
    if (alert.status or "Actual").lower() != "actual" or (alert.kind or "").lower() == "cancel":
        return False
    event = alert.event.lower()
    return any(word in event for word in KINDS) and any(word in event for word in DANGERS)

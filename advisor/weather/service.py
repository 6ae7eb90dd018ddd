"""The open forecast service: two polite requests, one `Fetched`.

The first asks for what is in the air, from whichever model is best there; the second for the soil
from one named model, since the best mixture changes its soil layers without notice. No retries:
when to ask again is decided from stored state, which outlives this process.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta

import httpx
import numpy as np

from advisor import __version__
from advisor.series.hourly import HOUR, Floats, Series, Source
from advisor.weather.answer import Answer, read_answer
from advisor.weather.credit import PROVIDER
from advisor.weather.errors import BadAnswer, Misconfigured, WeatherError
from advisor.weather.exchange import Patience, ask, open_client
from advisor.weather.variables import ABOVE, SOIL

BASE_URL = "https://api.open-meteo.com/v1/forecast"
USER_AGENT = f"swardcast/{__version__}"

MOST_PAST_DAYS = 92
MOST_FORECAST_DAYS = 16


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
class OpenForecast:
    """The client. `api_key` appears in no text, log line or result; `transport` stands in for the
    network in tests and in the demo, and `provider` names who truly answers."""

    place: Place
    base_url: str = BASE_URL
    api_key: str | None = field(default=None, repr=False)
    soil_model: str | None = "icon_seamless"
    transport: httpx.BaseTransport | None = None
    patience: Patience = field(default_factory=Patience)
    provider: str = PROVIDER

    def fetch(self, now: datetime, past_days: int, forecast_days: int = 16) -> Fetched:
        """Weather from `past_days` (0 to 92) before today to `forecast_days` (1 to 16) from today,
        days counted in GMT. `now` is an instant with its zone.

        Raises Unreachable, BadAnswer or Misconfigured; ValueError for a `now` without a zone. When
        only the soil fails, the rest stands, soil is unknown and a note says why.
        """
        if now.tzinfo is None:
            raise ValueError("now needs a time zone")
        now = now.astimezone(UTC)
        self._check(past_days, forecast_days)
        base = self._base()
        source = Source(self.provider, now)
        first, last = _window(now, past_days, forecast_days)
        names = ABOVE if self.soil_model else (*ABOVE, *SOIL)
        with open_client(USER_AGENT, self.patience, self.transport, self.api_key) as client:

            def get(wanted: Sequence[str], model: str | None) -> tuple[Answer, bytes]:
                parameters = self._parameters(wanted, model, past_days, forecast_days)
                if self.api_key:
                    parameters["apikey"] = self.api_key
                received = ask(
                    client, base.copy_merge_params(parameters), self.patience, self.api_key
                )
                answer = read_answer(
                    received.body,
                    received.status,
                    received.content_type,
                    wanted=wanted,
                    source=source,
                    model=model,
                    secret=self.api_key,
                    retry_after=received.retry_after,
                )
                _covers(answer.series, first, last)
                return answer, received.body

            main, body = get(names, None)
            bodies = [body]
            columns, notes = dict(main.series.columns), list(main.notes)
            if self.soil_model:
                try:
                    soil, body = get(SOIL, self.soil_model)
                except WeatherError as error:
                    notes.append(f"Soil temperatures are unknown. {error}")
                else:
                    bodies.append(body)
                    columns.update(_aligned(soil.series, main.series))
                    if any(np.isfinite(values).any() for values in soil.series.columns.values()):
                        notes += soil.notes
                    else:
                        notes.append(
                            f"The soil model {self.soil_model} has nothing for this place: soil "
                            "temperatures are unknown."
                        )
        url = base.copy_merge_params(self._parameters(names, None, past_days, forecast_days))
        series = Series(main.series.start, columns, source, tuple(notes))
        return Fetched(series, now, tuple(bodies), self.provider, str(url), tuple(notes))

    def _parameters(
        self, wanted: Sequence[str], model: str | None, past_days: int, forecast_days: int
    ) -> dict[str, str]:
        """The request without the key. Always GMT: in zones of half hours the service's own local
        rows are valid half an hour off their label."""
        parameters = {
            "latitude": f"{self.place.latitude:.5f}",
            "longitude": f"{self.place.longitude:.5f}",
            "hourly": ",".join(wanted),
            "wind_speed_unit": "ms",
            "timezone": "GMT",
            "timeformat": "unixtime",
            "past_days": str(past_days),
            "forecast_days": str(forecast_days),
        }
        if self.place.elevation_m is not None:
            parameters["elevation"] = f"{self.place.elevation_m:.0f}"
        if model:
            parameters["models"] = model
        return parameters

    def _check(self, past_days: int, forecast_days: int) -> None:
        wrong = []
        place = self.place
        if not -90 <= place.latitude <= 90:
            wrong.append("the latitude is not between -90 and 90")
        if not -180 <= place.longitude <= 180:
            wrong.append("the longitude is not between -180 and 180")
        if place.elevation_m is not None and not (
            math.isfinite(place.elevation_m) and -500 <= place.elevation_m <= 9000
        ):
            wrong.append("the elevation is not between -500 m and 9000 m")
        if not 0 <= past_days <= MOST_PAST_DAYS:
            wrong.append(f"the past days are not between 0 and {MOST_PAST_DAYS}")
        if not 1 <= forecast_days <= MOST_FORECAST_DAYS:
            wrong.append(f"the forecast days are not between 1 and {MOST_FORECAST_DAYS}")
        if self.soil_model and not re.fullmatch(r"[a-z0-9_]+", self.soil_model):
            wrong.append("the soil model's name is not one word of small letters, digits and _")
        if self.api_key is not None and not re.fullmatch(r"[!-~]+", self.api_key):
            wrong.append("the key is empty or has signs in it that no key has")
        if wrong:
            raise Misconfigured(f"The forecast cannot be asked for: {'; '.join(wrong)}.")

    def _base(self) -> httpx.URL:
        try:
            url = httpx.URL(self.base_url)
        except (httpx.InvalidURL, TypeError):
            raise Misconfigured("The forecast service's address is no address.") from None
        if url.scheme not in ("https", "http") or not re.fullmatch(r"[^\s%\[\]]+", url.host):
            raise Misconfigured("The forecast service's address does not begin with https://.")
        if url.userinfo or url.query or url.fragment:
            raise Misconfigured(
                "The forecast service's address holds more than host and path: a key has its own "
                "setting, and the rest of the request is made here."
            )
        return url


def _window(now: datetime, past_days: int, forecast_days: int) -> tuple[datetime, datetime]:
    """First and last row of the answer that was asked for, as instants."""
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
    return (
        midnight - timedelta(past_days),
        midnight + timedelta(forecast_days) - timedelta(hours=1),
    )


def _covers(series: Series, first: datetime, last: datetime) -> None:
    """Refuse an answer for other days than those asked for, one day of grace at each end (the two
    clocks may stand on either side of midnight)."""
    ends = series.ends()
    grace = 24 * HOUR
    begins, stops = int(ends[0]), int(ends[-1])
    if abs(begins - first.timestamp()) > grace or abs(stops - last.timestamp()) > grace:

        def day(seconds: float) -> date:
            return datetime.fromtimestamp(seconds, UTC).date()

        raise BadAnswer(
            f"The forecast service answered for {day(begins)} to {day(stops)}; {first.date()} to "
            f"{last.date()} was asked for. Look at this machine's clock."
        )


def _aligned(soil: Series, main: Series) -> dict[str, Floats]:
    """The soil columns on the main axis; hours that only one of them has are unknown or left."""
    shift = int(soil.start.timestamp() - main.start.timestamp()) // HOUR
    columns = {}
    for name, values in soil.columns.items():
        on_main = np.full(main.hours, np.nan)
        begin, stop = max(0, shift), min(main.hours, shift + len(values))
        if begin < stop:
            on_main[begin:stop] = values[begin - shift : stop - shift]
        columns[name] = on_main
    return columns

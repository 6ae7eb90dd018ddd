"""The open forecast service: two polite requests, one `Fetched`.

The first asks for what is in the air, from whichever model is best there; the second for the soil
from one named model, since the best mixture changes its soil layers without notice. No retries:
when to ask again is decided from stored state, which outlives this process.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from advisor.language.words import later, tell
from advisor.series.hourly import HOUR, Floats, Series, Source
from advisor.weather.answer import Answer, read_answer
from advisor.weather.client import Client, Fetched, Place, covers, instant
from advisor.weather.errors import WeatherError
from advisor.weather.variables import ABOVE, SOIL

__all__ = ["BASE_URL", "MOST_PAST_DAYS", "Fetched", "OpenForecast", "Place"]

BASE_URL = "https://api.open-meteo.com/v1/forecast"

MOST_PAST_DAYS = 92
MOST_FORECAST_DAYS = 16


@dataclass(frozen=True)
class OpenForecast(Client):
    """The client of the forecast; `soil_model` None takes the soil from the same mixture."""

    base_url: str = BASE_URL
    soil_model: str | None = "icon_seamless"

    def fetch(self, now: datetime, past_days: int, forecast_days: int = 16) -> Fetched:
        """Weather from `past_days` (0 to 92) before today to `forecast_days` (1 to 16) from today,
        days counted in GMT. `now` is an instant with its zone.

        Raises Unreachable, BadAnswer or Misconfigured; ValueError for a `now` without a zone. When
        only the soil fails, the rest stands, soil is unknown and a note says why.
        """
        now = instant(now)
        base = self._address(later("The forecast"), *self._wrong_request(past_days, forecast_days))
        source = Source(self.provider, now)
        first, last = _window(now, past_days, forecast_days)
        names = ABOVE if self.soil_model else (*ABOVE, *SOIL)

        def parameters(wanted: Sequence[str], model: str | None) -> dict[str, str]:
            return self._parameters(
                hourly=",".join(wanted),
                wind_speed_unit="ms",
                past_days=str(past_days),
                forecast_days=str(forecast_days),
                **({"models": model} if model else {}),
            )

        with self._connected() as connected:

            def get(wanted: Sequence[str], model: str | None) -> tuple[Answer, bytes]:
                received = self._get(connected, base, parameters(wanted, model))
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
                ends = answer.series.ends()
                covers(
                    int(ends[0]), int(ends[-1]), first, last,
                    # the two clocks may stand on either side of midnight
                    grace=24 * HOUR, hint=tell("Look at this machine's clock."),
                )  # fmt: skip
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
        url = base.copy_merge_params(parameters(names, None))
        series = Series(main.series.start, columns, source, tuple(notes))
        return Fetched(series, now, tuple(bodies), self.provider, str(url), tuple(notes))

    def _wrong_request(self, past_days: int, forecast_days: int) -> Iterator[str]:
        if not 0 <= past_days <= MOST_PAST_DAYS:
            yield tell("the past days are not between 0 and {most}", most=MOST_PAST_DAYS)
        if not 1 <= forecast_days <= MOST_FORECAST_DAYS:
            yield tell("the forecast days are not between 1 and {most}", most=MOST_FORECAST_DAYS)
        if self.soil_model and not re.fullmatch(r"[a-z0-9_]+", self.soil_model):
            yield tell("the soil model's name is not one word of small letters, digits and _")


def _window(now: datetime, past_days: int, forecast_days: int) -> tuple[datetime, datetime]:
    """First and last row of the answer that was asked for, as instants."""
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
    return (
        midnight - timedelta(past_days),
        midnight + timedelta(forecast_days) - timedelta(hours=1),
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

"""Recorded weather, answered as the forecast service would have answered at a given moment.

The demo and its replays read a folder through the very client that reads the network:

- `weather.json.gz`: one body of the service (GMT, unix time) with what happened;
- `forecasts.zip`: members `YYYY-MM-DD.json`, each a body with the forecast as issued at 00:00 GMT
  of that day, rows from 01:00 GMT on.
"""

from __future__ import annotations

import gzip
import json
import zipfile
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

import httpx

from advisor.series.hourly import HOUR
from advisor.weather.errors import Misconfigured

_SOIL_MODEL_REACH = 180 * HOUR
UNREADABLE = (
    OSError,
    EOFError,
    LookupError,
    TypeError,
    ValueError,
    zipfile.BadZipFile,
    zlib.error,
)
_MOST_DAYS = {"past_days": 92, "forecast_days": 16}


@dataclass(frozen=True)
class _Rows:
    """Rows of one body: the first one's unix time, how many, and the columns."""

    first: int
    count: int
    columns: Mapping[str, Sequence[float | None]]

    def span(self, name: str, start: int, stop: int) -> list[float | None]:
        """The values of the hours from `start` to before `stop`; None where there is none."""
        first, last = (start - self.first) // HOUR, (stop - self.first) // HOUR
        wanted = max(0, last - first)
        column = self.columns.get(name, ())
        found = list(column[max(0, first) : max(0, last)])
        before = min(wanted, max(0, -first))
        return [None] * before + found + [None] * (wanted - before - len(found))


class _Refused(Exception):  # noqa: N818 - reads as what happened
    """What the service would answer with status 400 and this reason."""


class Recording(httpx.BaseTransport):
    """A service that answers at `now`, an instant with its zone, from the recording in `folder`.

    Its kinds raise Misconfigured, from within a request, when the recording cannot be read.
    """

    def __init__(self, folder: Path, now: datetime) -> None:
        if now.tzinfo is None:
            raise ValueError("now needs a time zone")
        self._folder = folder
        self._now = now.astimezone(UTC)


class RecordedTransport(Recording):
    """The recorded forecast service."""

    @staticmethod
    def begins(folder: Path) -> datetime:
        """The first instant at which the recording in `folder` can be asked.

        Raises Misconfigured when it cannot be read.
        """
        archive = folder / "forecasts.zip"
        try:
            first = min(_issued(archive, archive.stat().st_mtime_ns))
        except UNREADABLE as error:
            raise unreadable(folder, error) from None
        return datetime(first.year, first.month, first.day, tzinfo=UTC)

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        try:
            body = self._body(request.url.params)
        except _Refused as refused:
            return httpx.Response(400, json={"error": True, "reason": str(refused)})
        except UNREADABLE as error:
            raise unreadable(self._folder, error) from None
        return httpx.Response(200, json=body)

    def _body(self, query: httpx.QueryParams) -> dict[str, Any]:
        archive = self._folder / "forecasts.zip"
        recording = self._folder / "weather.json.gz"
        head, past = _weather(recording, recording.stat().st_mtime_ns)
        issued = _issued(archive, archive.stat().st_mtime_ns)
        names = [name for given in query.get_list("hourly") for name in given.split(",") if name]
        for name in names:
            if name not in past.columns:
                raise _Refused(
                    f"Cannot initialize WeatherVariable from invalid String value {name} for key "
                    "hourly"
                )
        past_days = _days(query, "past_days", 0)
        forecast_days = _days(query, "forecast_days", 7)
        today = self._now.date()
        if today not in issued or not past.first <= self._now.timestamp() < (
            past.first + past.count * HOUR
        ):
            span = f" from {min(issued)} to {max(issued)}" if issued else ""
            raise _Refused(f"Parameter 'now' is out of allowed range{span}")
        ahead = _forecast(archive, archive.stat().st_mtime_ns, today)
        now = int(self._now.timestamp())
        midnight = now - now % (24 * HOUR)
        times = range(midnight - past_days * 24 * HOUR, midnight + forecast_days * 24 * HOUR, HOUR)
        soil_to = now + _SOIL_MODEL_REACH if query.get("models") else times.stop
        hourly: dict[str, list[Any]] = {"time": list(times)}
        # Rows up to now are what happened; the first row after it is the forecast's.
        turn = min(max(times.start, now - now % HOUR + HOUR), times.stop)
        for name in names:
            reach = min(times.stop, soil_to - soil_to % HOUR + HOUR)
            end = max(turn, reach if name.startswith("soil_") else times.stop)
            hourly[name] = [
                *past.span(name, times.start, turn),
                *ahead.span(name, turn, end),
                *[None] * ((times.stop - end) // HOUR),
            ]
        units = head["hourly_units"]
        return {
            **{key: head[key] for key in ("latitude", "longitude", "elevation") if key in head},
            "utc_offset_seconds": 0,
            "timezone": "GMT",
            "hourly_units": {"time": "unixtime", **{name: units[name] for name in names}},
            "hourly": hourly,
        }


def unreadable(folder: Path, error: Exception) -> Misconfigured:
    """The error for a recording that is not there or damaged."""
    return Misconfigured(
        f"The recorded weather in {folder.name} cannot be read: {type(error).__name__}."
    )


def _days(query: httpx.QueryParams, name: str, usual: int) -> int:
    given = query.get(name, str(usual))
    if not given.isdecimal() or int(given) > _MOST_DAYS[name]:
        raise _Refused(f"Parameter '{name}' is out of allowed range from 0 to {_MOST_DAYS[name]}")
    return int(given)


def _rows(body: Mapping[str, Any]) -> _Rows:
    hourly = body["hourly"]
    times = hourly["time"]
    if times != list(range(times[0], times[0] + len(times) * HOUR, HOUR)):
        raise ValueError("the recorded hours do not follow one another")
    columns = {name: values for name, values in hourly.items() if name != "time"}
    if any(len(values) != len(times) for values in columns.values()):
        raise ValueError("the recorded columns differ in length")
    return _Rows(times[0], len(times), columns)


@lru_cache(maxsize=4)
def _weather(path: Path, _changed: int) -> tuple[dict[str, Any], _Rows]:
    """What happened, and the head of its body. A replay asks hundreds of times: read it once."""
    with gzip.open(path, "rb") as file:
        body = json.load(file)
    rows = _rows(body)
    return {key: value for key, value in body.items() if key != "hourly"}, rows


@lru_cache(maxsize=4)
def _issued(path: Path, _changed: int) -> frozenset[date]:
    with zipfile.ZipFile(path) as archive:
        return frozenset(
            date.fromisoformat(name.removesuffix(".json"))
            for name in archive.namelist()
            if name.endswith(".json")
        )


@lru_cache(maxsize=4)
def _forecast(path: Path, _changed: int, day: date) -> _Rows:
    """The forecast of a day; a fetch asks for it twice, for the air and for the soil."""
    with zipfile.ZipFile(path) as archive:
        return _rows(json.loads(archive.read(f"{day.isoformat()}.json")))

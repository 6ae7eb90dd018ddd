"""Recorded past years, answered as the archive would answer: `past_years.json.gz` in a recording.

One body of the archive, daily in GMT and unix time. Days that it does not hold are null; columns
that it does not have are left out of the answer.
"""

from __future__ import annotations

import gzip
import json
from datetime import UTC, date, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

import httpx

from advisor.weather.recorded import UNREADABLE, unreadable

_DAY = 86_400


class RecordedYears(httpx.BaseTransport):
    """Answers from the recording in `folder`.

    Raises Misconfigured, from within a request, when the recording cannot be read.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    @staticmethod
    def are_in(folder: Path) -> bool:
        """Whether the recording in `folder` holds past years."""
        return _file(folder).is_file()

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        try:
            return httpx.Response(200, json=self._body(request.url.params))
        except UNREADABLE as error:
            raise unreadable(self._folder, error) from None

    def _body(self, query: httpx.QueryParams) -> dict[str, Any]:
        file = _file(self._folder)
        body = _years(file, file.stat().st_mtime_ns)
        sent = body["daily"]
        first, last = (_midnight(query[name]) for name in ("start_date", "end_date"))
        times = range(first, last + _DAY, _DAY)
        row = {time: i for i, time in enumerate(sent["time"])}
        names = [name for name in query["daily"].split(",") if name in sent]
        rows = [row.get(time) for time in times]
        columns = {name: [None if at is None else sent[name][at] for at in rows] for name in names}
        units = {name: body["daily_units"][name] for name in ("time", *names)}
        return body | {"daily_units": units, "daily": {"time": list(times), **columns}}


def _file(folder: Path) -> Path:
    return folder / "past_years.json.gz"


def _midnight(day: str) -> int:
    begins = date.fromisoformat(day)
    return int(datetime(begins.year, begins.month, begins.day, tzinfo=UTC).timestamp())


@lru_cache(maxsize=2)
def _years(path: Path, _changed: int) -> dict[str, Any]:
    with gzip.open(path, "rb") as file:
        body: dict[str, Any] = json.load(file)
    return body

"""Recorded ensembles, answered as the ensemble service would have answered at a given moment.

`ensembles.zip` in a recording: members `YYYY-MM-DD.json`, each a body of the service (GMT, unix
time) as issued at 00:00 GMT of that day. Hours that it does not hold are null.
"""

from __future__ import annotations

import json
import zipfile
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

import httpx

from advisor.series.hourly import HOUR
from advisor.weather.recorded import UNREADABLE, Recording, unreadable

_DAY = 24 * HOUR


class RecordedEnsembles(Recording):
    """The recorded ensemble service."""

    @staticmethod
    def are_in(folder: Path) -> bool:
        """Whether the recording in `folder` holds ensembles."""
        return _file(folder).is_file()

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        file = _file(self._folder)
        today = self._now.date()
        try:
            body = _issued(file, file.stat().st_mtime_ns, today)
            if body is None:
                reason = f"No ensemble was recorded on {today}"
                return httpx.Response(400, json={"error": True, "reason": reason})
            return httpx.Response(200, json=self._cut(body, request.url.params))
        except UNREADABLE as error:
            raise unreadable(self._folder, error) from None

    def _cut(self, body: dict[str, Any], query: httpx.QueryParams) -> dict[str, Any]:
        midnight = int(self._now.timestamp()) // _DAY * _DAY
        times = range(
            midnight - int(query["past_days"]) * _DAY,
            midnight + int(query["forecast_days"]) * _DAY,
            HOUR,
        )
        names = tuple(query["hourly"].split(","))
        row = {time: i for i, time in enumerate(body["hourly"]["time"])}
        rows = [row.get(time) for time in times]
        columns = {
            name: [None if at is None else values[at] for at in rows]
            for name, values in body["hourly"].items()
            if name.startswith(names)
        }
        units = {name: body["hourly_units"][name] for name in ("time", *columns)}
        return body | {"hourly_units": units, "hourly": {"time": list(times), **columns}}


def _file(folder: Path) -> Path:
    return folder / "ensembles.zip"


@lru_cache(maxsize=4)
def _issued(path: Path, _changed: int, day: date) -> dict[str, Any] | None:
    """The ensemble of a day; None where there is none."""
    with zipfile.ZipFile(path) as archive:
        try:
            text = archive.read(f"{day.isoformat()}.json")
        except KeyError:
            return None
    body: dict[str, Any] = json.loads(text)
    return body

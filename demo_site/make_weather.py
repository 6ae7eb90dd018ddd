"""Makes the recorded weather of the demo: `python demo_site/make_weather.py`.

Nothing here was measured. The place is invented, the weather comes from seeded chance, and the
same call always writes the same bytes. The year is 2025, with the 92 days before it and the 18
after. What must happen in it, and its dates:

| local days       | what happens                                                          |
| ---------------- | --------------------------------------------------------------------- |
| 19 to 25 January | nights of -10 C; soil at 6 cm below 0 C; 5 to 10 cm of snow from 21   |
| 14 to 20 Feb.    | a false spring: 21 C, soil at 6 cm above 10 C for three or four days  |
| 22 to 26 Feb.    | soil at 6 cm back under 5 C                                           |
| 14 to 22 March   | soil at 6 cm above 10 C for good (mean of five days)                  |
| 1 to 4 April     | dry, mild, light wind                                                 |
| 10 April         | the last frost                                                        |
| 14 to 22 April   | soil at 6 cm above 15.6 C for good                                    |
| 5 to 15 May      | soil at 10 cm above 18.3 C for good; 8 to 13 May some 70 mm of rain   |
| 20 to 30 June    | maxima above 30 C, hardly any rain                                    |
| 1 to 27 July     | less than 8 mm; maxima 33 to 37 C, minima 20 to 23 C                  |
| 28 July          | 60 to 75 mm within six hours, foretold                                |
| 10 to 24 August  | hot, one shower                                                       |
| from 8 September | maxima under 29 C, soil at 10 cm under 23 C                           |
| 20 to 24 Sept.   | some 50 mm, then fine until 6 October                                 |
| 9 and 10 October | an early frost, -1 to -2.5 C, then mild again                         |
| 20 to 22 Nov.    | the first hard freeze, under -5 C                                     |

The dates as constants stand in `making/year.py`, with the courses and storms that bring them
about. The files have the shape of the open forecast service: instants at the row's time, sums,
means and gusts over the hour before it, times in Unix seconds, `null` where a forecast says
nothing. An ensemble of ten goes with each forecast: rain that errs as the forecast's does, each
by chance of its own. The ten years before, day by day in the shape of the archive service, come
from `making/past_years.py`; their last 92 days are the recorded ones.
"""

from __future__ import annotations

import gzip
import io
import json
import zipfile
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
from making.errors import HOURS
from making.fields import Floats, unix
from making.forecast import ENSEMBLE_HOURS, Forecast, issue
from making.past_years import past_years
from making.weather import BEGIN, Weather, make
from making.year import (
    ELEVATION,
    FIRST,
    FIRST_ISSUE,
    LAST,
    LAST_ISSUE,
    LATITUDE,
    LONGITUDE,
)

HERE = Path(__file__).parent
UNITS = {
    "time": "unixtime",
    "temperature_2m": "°C",
    "relative_humidity_2m": "%",
    "dew_point_2m": "°C",
    "precipitation": "mm",
    "precipitation_probability": "%",
    "wind_speed_10m": "m/s",
    "wind_gusts_10m": "m/s",
    "shortwave_radiation": "W/m²",
    "snow_depth": "m",
    "soil_temperature_0cm": "°C",
    "soil_temperature_6cm": "°C",
    "soil_temperature_18cm": "°C",
    "soil_temperature_54cm": "°C",
}
ZIP_DATE = (2026, 1, 1, 0, 0, 0)
"""The date that every member of the archive bears, so that the bytes do not change."""


def _rounded(values: Floats, digits: int) -> list[float]:
    rounded: list[float] = (np.round(values, digits) + 0.0).tolist()  # + 0.0: no minus zero
    return rounded


def _whole(values: Floats) -> list[int | None]:
    return [None if np.isnan(v) else int(v) for v in np.rint(values)]


def _answer(first: int, columns: Weather | Forecast, rows: slice, probability: Floats) -> Any:
    """An answer as the service gives it; the row at `rows.start` is labelled `first`."""
    count = len(columns.rain[rows])
    gust = np.maximum(columns.gust[rows], columns.wind[rows])
    hourly: dict[str, list[Any]] = {
        "time": [first + 3600 * n for n in range(count)],
        "temperature_2m": _rounded(columns.temperature[rows], 1),
        "relative_humidity_2m": _whole(columns.humidity[rows]),
        "dew_point_2m": _rounded(columns.dew_point[rows], 1),
        "precipitation": _rounded(columns.rain[rows], 1),
        "precipitation_probability": _whole(100.0 * probability),
        "wind_speed_10m": _rounded(columns.wind[rows], 1),
        "wind_gusts_10m": _rounded(gust, 1),
        "shortwave_radiation": _whole(columns.light[rows]),
        "snow_depth": _rounded(columns.snow[rows], 2),
    }
    for name, soil in zip(list(UNITS)[-4:], columns.soil, strict=True):
        hourly[name] = _rounded(soil[rows], 1)
    return {
        "latitude": LATITUDE,
        "longitude": LONGITUDE,
        "generationtime_ms": 0.0,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        "timezone_abbreviation": "GMT",
        "elevation": ELEVATION,
        "hourly_units": UNITS,
        "hourly": hourly,
    }


def _ensemble(forecast: Forecast) -> Any:
    """An ensemble as the service gives it: the first way is its control run."""
    hourly: dict[str, list[Any]] = {
        "time": [unix(forecast.day) + 3600 * (n + 1) for n in range(ENSEMBLE_HOURS)]
    }
    for n, rain in enumerate(forecast.ways):
        hourly["precipitation" + (f"_member{n:02}" if n else "")] = _rounded(rain, 1)
    return {
        "latitude": LATITUDE,
        "longitude": LONGITUDE,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        "elevation": ELEVATION,
        "hourly_units": {name: "unixtime" if name == "time" else "mm" for name in hourly},
        "hourly": hourly,
    }


def _text(answer: Any) -> bytes:
    return json.dumps(answer, ensure_ascii=False, separators=(",", ":")).encode()


def build(first_issue: date, last_issue: date) -> tuple[bytes, Iterator[tuple[str, bytes]]]:
    """The recorded weather, and the forecasts issued from `first_issue` to `last_issue`.

    Gives the text of the weather and pairs of (member's name, its text). All is worked out each
    time, since errors are handed on from issue to issue; only the writing is less for fewer days.
    """
    weather = make()
    forecasts = list(issue(weather, FIRST - timedelta(1), LAST))
    start = (FIRST - BEGIN).days * 24
    stop = ((LAST - BEGIN).days + 1) * 24
    # What the chance of rain was, looked at less than a day before. The first row ends a day.
    chances = np.concatenate([f.chance[:24] for f in forecasts])[23:][: stop - start]
    recorded = _text(_answer(unix(FIRST), weather, slice(start, stop), chances))
    chosen = [f for f in forecasts if first_issue <= f.day <= last_issue]
    return recorded, (
        (f"{f.day}.json", _text(_answer(unix(f.day) + 3600, f, slice(0, HOURS), f.chance)))
        for f in chosen
    )


def build_ensembles(first_issue: date, last_issue: date) -> Iterator[tuple[str, bytes]]:
    """Pairs of (member's name, its text) of the ensembles issued between two days."""
    for forecast in issue(make(), FIRST - timedelta(1), LAST):
        if first_issue <= forecast.day <= last_issue:
            yield f"{forecast.day}.json", _text(_ensemble(forecast))


def build_past() -> bytes:
    """The text of the ten years of daily past."""
    return _text(past_years(make()))


def packed(recorded: bytes) -> bytes:
    """An answer's text as a gzip file without a date."""
    return gzip.compress(recorded, compresslevel=9, mtime=0)


def archived(members: Iterator[tuple[str, bytes]]) -> bytes:
    """The forecasts as a zip file, every member dated ZIP_DATE."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        for name, text in members:
            about = zipfile.ZipInfo(name, date_time=ZIP_DATE)
            about.compress_type = zipfile.ZIP_DEFLATED
            about.create_system = 3
            about.external_attr = 0o644 << 16
            archive.writestr(about, text, compresslevel=9)
    return file.getvalue()


def main() -> None:
    """Writes the files and says how large they are."""
    recorded, members = build(FIRST_ISSUE, LAST_ISSUE)
    folder = HERE / "recorded"
    folder.mkdir(exist_ok=True)
    for name, data in (
        ("weather.json.gz", packed(recorded)),
        ("forecasts.zip", archived(members)),
        ("ensembles.zip", archived(build_ensembles(FIRST_ISSUE, LAST_ISSUE))),
        ("past_years.json.gz", packed(build_past())),
    ):
        (folder / name).write_bytes(data)
        print(f"{name}: {len(data):,} bytes")


if __name__ == "__main__":
    main()

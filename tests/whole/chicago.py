"""A real year, Chicago O'Hare 2015, in the shape in which the open forecast service answers.

The data: station 725300 of NOAA's Integrated Surface Database in its lite form (public), as the
package diyepw carries it, a row an hour in GMT: year month day hour, then air temperature, dew
point, pressure, wind direction, wind, sky, rain of 1 hour, rain of 6 hours; tenths of C, m/s and
mm; -9999 missing, rain of -1 a trace. 2015 has 8,758 of its 8,760 rows.

Rain. The format's notes (from memory) say that many stations report precipitation only when some
fell, so that a missing value tends to mean none; but they promise it for no hour, and here it is
not needed: this station reports nearly every hour, zeros included. So nothing is assumed:

- an hour's own report stands as it is, a trace as 0 mm (it is less than can be measured);
- where it is missing and the 6-hour report that covers the hour is there, what that report has
  above the hours that are known is spread evenly over those that are not (11 hours on 5 local days
  of 2015, 18.6 mm in all);
- where neither is there, rain is null (13 hours in 2015: 12 on the local days of 11, 12 and
  27 February, and the first, which belongs to 31 December).

Where all six hours are known the 6-hour report is not used, though the two disagree (849 against
1,028 mm in 2015): neither is known to be right, and hourly rain is what the service gives.

Humidity follows from air temperature and dew point (FAO-56 eq. 11). What the station does not
measure is null: gusts, radiation, snow depth, chance of rain, every soil temperature.
"""

from __future__ import annotations

import gzip
import importlib.util
import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo

from weather_server import UNITS, Query

SITE = Path(__file__).with_name("chicago_site")
ZONE = ZoneInfo("America/Chicago")
HOUR = timedelta(hours=1)
MISSING = -9999

Row = Mapping[str, float | None]
"""One hour by the service's names; what is not in it is null."""


@dataclass(frozen=True)
class Station:
    """The hours by the instant at which they end, and those whose rain was not reported as such:
    `shared` took it from a 6-hour report, `unknown` has none."""

    hours: Mapping[datetime, Row]
    shared: frozenset[datetime]
    unknown: frozenset[datetime]

    def air(self, first: date, last: date) -> list[float]:
        """Air temperatures [C] of the local days from `first` to and with `last`."""
        return [
            float(value)
            for end, row in self.hours.items()
            if first <= local_day(end) <= last and (value := row["temperature_2m"]) is not None
        ]


def local_day(end: datetime) -> date:
    """The local day in which the hour that ends at `end` begins."""
    return (end - HOUR).astimezone(ZONE).date()


@cache
def station() -> Station:
    """2015, and 2016 for what the last digests of 2015 look ahead to."""
    return of_years(2015, 2016)


def of_years(*years: int) -> Station:
    """The station over these years, of which 2015 to 2017 are there."""
    reports = {end: values for year in years for end, values in _reports(year)}
    rain, shared = _rain(reports)
    first, last = min(reports), max(reports)
    axis = [first + n * HOUR for n in range((last - first) // HOUR + 1)]
    hours = {}
    for end in axis:
        air, dew, _pressure, _direction, wind, *_ = reports.get(end, (MISSING,) * 8)
        hours[end] = {
            "temperature_2m": _tenths(air),
            "dew_point_2m": _tenths(dew),
            "relative_humidity_2m": _humidity(_tenths(air), _tenths(dew)),
            "wind_speed_10m": _tenths(wind),
            "precipitation": rain.get(end),
        }
    return Station(hours, shared, frozenset(axis) - frozenset(rain))


def _reports(year: int) -> Iterable[tuple[datetime, tuple[int, ...]]]:
    package = importlib.util.find_spec("diyepw")
    assert package is not None and package.origin is not None
    path = Path(package.origin).parent / "data" / "noaa_isd_lite_files" / f"725300-{year}.gz"
    for line in gzip.decompress(path.read_bytes()).decode("ascii").splitlines():
        year_, month, day, hour, *values = (int(word) for word in line.split())
        yield datetime(year_, month, day, hour, tzinfo=UTC), tuple(values)


def _tenths(value: int) -> float | None:
    return None if value == MISSING else value / 10


def _humidity(air: float | None, dew: float | None) -> float | None:
    """Relative humidity in percent from two temperatures [C], FAO-56 eq. 11."""
    if air is None or dew is None:
        return None

    def vapour(t: float) -> float:
        return math.exp(17.27 * t / (t + 237.3))

    return round(min(100.0, 100 * vapour(dew) / vapour(air)), 1)


def _rain(
    reports: Mapping[datetime, tuple[int, ...]],
) -> tuple[dict[datetime, float], frozenset[datetime]]:
    """Rain [mm] of each hour that can be told, and the hours that a 6-hour report told."""
    rain = {end: max(0, values[6]) / 10 for end, values in reports.items() if values[6] != MISSING}
    found: dict[datetime, float] = {}
    for end, values in reports.items():
        if values[7] == MISSING or end.hour % 6:
            continue
        window = [end - n * HOUR for n in range(6)]
        dark = [hour for hour in window if hour not in rain]
        left = max(0, values[7]) / 10 - sum(rain.get(hour, 0.0) for hour in window)
        found |= {hour: round(max(0.0, left) / len(dark), 2) for hour in dark}
    return rain | found, frozenset(found)


@dataclass
class Service:
    """What answers for the station at the instant that the test sets: all that is asked for before
    and after it, the forecast being what then happened."""

    now: datetime

    def __call__(self, query: Query) -> bytes:
        midnight = self.now.astimezone(UTC).replace(hour=0, minute=0, second=0, microsecond=0)
        first = midnight - timedelta(int(query.get("past_days", "0")))
        days = int(query.get("past_days", "0")) + int(query.get("forecast_days", "7"))
        ends = [first + n * HOUR for n in range(24 * days)]
        names = query["hourly"].split(",")
        rows = [station().hours.get(end, {}) for end in ends]
        document = {
            "latitude": 41.98,
            "longitude": -87.9,
            "generationtime_ms": 0.3,
            "utc_offset_seconds": 0,
            "timezone": "GMT",
            "timezone_abbreviation": "GMT",
            "elevation": 205.0,
            "hourly_units": {name: UNITS[name] for name in ("time", *names)},
            "hourly": {"time": [int(end.timestamp()) for end in ends]}
            | {name: [row.get(name) for row in rows] for name in names},
        }
        return json.dumps(document).encode()


def lay_down(folder: Path, forecast_url: str, mail_port: int) -> None:
    """Write the site into a folder, with the test's own servers in it."""
    for path in SITE.iterdir():
        text = path.read_text(encoding="utf-8")
        if path.name == "site.toml":
            for stands, wanted in (
                ('"http://127.0.0.1:1/v1/forecast"', f'"{forecast_url}"'),
                ("port = 1\n", f"port = {mail_port}\n"),
            ):
                assert text.count(stands) == 1
                text = text.replace(stands, wanted)
        (folder / path.name).write_text(text, encoding="utf-8")

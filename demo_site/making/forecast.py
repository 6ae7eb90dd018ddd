"""Forecasts as they would have been issued: the weather as it was, with errors that grow."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import NormalDist

import numpy as np

from making import soil
from making.errors import HOURS, fields, grows
from making.fields import (
    Floats,
    box,
    cloud_cover,
    damp,
    grass_drive,
    gusts,
    lying_snow,
    near_rain,
    rain_chill,
    vapour,
)
from making.rain import fall
from making.sun import under_cloud
from making.weather import BEGIN, DAYS, Weather

MEMBERS = 10
"""Other ways that the rain might go, from which the chance of rain is counted."""

ENSEMBLE_HOURS = 10 * 24
"""Hours of those ways that are recorded as an ensemble."""

CHANCE_HOURS = 14 * 24
"""Hours for which a chance of rain is given; after them there is none."""

SLIP = grows((0, 0.3), (24, 0.9), (48, 2.2), (72, 4.0), (120, 8.0), (240, 18.0))
"""Hours by which rain comes early or late (standard deviation)."""
STRENGTH = grows((0, 0.06), (24, 0.12), (48, 0.2), (120, 0.35), (240, 0.5))
"""Scatter of its amount (standard deviation of the logarithm)."""
FORESEEN = grows(
    (0, 0.999), (24, 0.995), (72, 0.96), (120, 0.87), (168, 0.7), (240, 0.4), (336, 0.2)
)
"""How likely the forecast is about this weather at all; else it shows that of another year."""
SEEN = np.array([NormalDist().inv_cdf(float(p)) for p in FORESEEN])

SKILL = grows((0, 1.0), (48, 0.98), (120, 0.88), (168, 0.72), (240, 0.42), (336, 0.25))
"""Share that a forecast keeps of what sets the weather apart from its climate."""
MISS = grows((0, 0.4), (24, 0.8), (72, 1.3), (120, 1.9), (168, 2.4), (240, 2.9))
"""Error of the air's temperature in K besides (standard deviation)."""


@dataclass(frozen=True)
class Forecast:
    """One issue at 00:00 GMT of `day`; arrays of HOURS, in the units of `Weather`.

    `chance` is a fraction, NaN after CHANCE_HOURS; `soil` has shape (4, HOURS); `ways` are the
    other ways that the rain might go, shape (MEMBERS, ENSEMBLE_HOURS): they err as `rain` does,
    each by chance of its own.
    """

    day: date
    temperature: Floats
    dew_point: Floats
    humidity: Floats
    rain: Floats
    chance: Floats
    wind: Floats
    gust: Floats
    light: Floats
    snow: Floats
    soil: Floats
    ways: Floats


class Rains:
    """The rain that was, and that of other years, summed up so that it can be shifted in time."""

    def __init__(self, rain: Floats) -> None:
        self.summed = np.cumsum(rain)
        self.others = [
            np.cumsum(fall(BEGIN, DAYS, 1000 + k, scripted=False)) for k in range(MEMBERS + 1)
        ]

    def foretold(self, at: int, slip: Floats, strength: Floats, choice: Floats) -> Floats:
        """Rain of HOURS from hour `at` in MEMBERS + 1 ways, each field of that many rows."""
        hours = np.arange(self.summed.size, dtype=float)
        when = (
            at + np.arange(HOURS + 1) + np.concatenate([slip[:, :1] * SLIP[0], slip * SLIP], axis=1)
        )
        when = np.maximum.accumulate(when, axis=1)
        this = np.diff(np.interp(when, hours, self.summed), axis=1)
        other = np.diff(np.stack([s[at : at + HOURS + 1] for s in self.others]), axis=1)
        rain: Floats = np.where(choice < SEEN, this, other)
        return rain * np.exp(np.clip(strength, -1.5, 1.5) * STRENGTH - STRENGTH**2 / 2.5)


def _share_wet(members: Floats) -> Floats:
    """Chance of more than 0.1 mm in each hour, from the members and the hours beside it."""
    wet = (members > 0.1).mean(axis=0)
    near = 0.5 * wet + 0.5 * box(wet, 3)
    share: Floats = np.clip(near, 0.0, 1.0) * 0.98 + 0.01
    share[CHANCE_HOURS:] = np.nan
    return share


def _one(weather: Weather, rains: Rains, day: date, noise: Floats, drive_error: Floats) -> Forecast:
    """The issue of one day, with snow and soil still as they were.

    Writes the error of what drives the soil into `drive_error`, shape (HOURS,).
    """
    at = (day - BEGIN).days * 24
    span = slice(at + 1, at + HOURS + 1)
    air, dew, sky = noise[:3]
    blow = np.clip(noise[3], -2.0, 2.0)
    ways = noise[4:].reshape(3, MEMBERS + 1, HOURS)
    members = rains.foretold(at, *ways)
    rain = members[0]

    near = near_rain(rain)
    faded = np.sqrt(1 - SKILL**2)
    cloud = cloud_cover(SKILL * weather.mood[span] + faded * sky, near)
    light = under_cloud(weather.clear[span], cloud)

    was = weather.temperature[span]
    normal = weather.normal[span]
    # Summer's weather is steadier than winter's, and so are its errors.
    season = 1.2 - 0.5 * np.clip((normal - 3.0) / 22.0, 0.0, 1.0)
    departs = box(weather.temperature[at - 24 : at + HOURS + 25], 25)[25:-24] - normal
    less_sun = (
        box((weather.light[at - 4 : at + HOURS + 1]), 5)[5:]
        / 1000.0
        * (cloud - weather.cloud[span])
    )
    temperature = was - (1 - SKILL) * departs + MISS * season * air - 3.0 * less_sun
    temperature += rain_chill(weather.rain[span], was) - rain_chill(rain, temperature)
    dry = weather.dry_dew[span] + 0.75 * (temperature - was) + 0.6 * MISS * season * dew
    point = damp(dry, near, temperature)

    calm = np.log(2.4)
    log_wind = calm + SKILL * (np.log(weather.wind[span]) - calm) + 0.4 * faded * blow
    wind = np.exp(log_wind + 0.08 * blow)
    gust = gusts(wind, weather.gustiness[span], rain, temperature)

    drive_error[:] = grass_drive(temperature, light, cloud) - grass_drive(
        was, weather.light[span], weather.cloud[span]
    )
    humidity = 100.0 * np.minimum(vapour(point) / vapour(temperature), 1.0)
    return Forecast(
        day, temperature, point, humidity, rain, _share_wet(members[1:]), wind, gust, light,
        weather.snow[span], weather.soil[:, span], members[1:, :ENSEMBLE_HOURS].copy(),
    )  # fmt: skip


def issue(weather: Weather, first: date, last: date) -> Iterator[Forecast]:
    """Every day's forecast from `first` to `last`.

    Snow builds up from what lay at the hour of issue. The soil's error is what the error above
    the grass brings into it, by conduction.
    """
    days = (last - first).days + 1
    rains = Rains(weather.rain)
    memories = [18.0, 14.0, 8.0, 10.0]
    memories += [30.0] * (MEMBERS + 1) + [20.0] * (MEMBERS + 1) + [26.0] * (MEMBERS + 1)
    drives = np.zeros((HOURS, days))
    made = []
    for n, noise in enumerate(fields(first.toordinal(), days, memories)):
        made.append(_one(weather, rains, first + timedelta(n), noise, drives[:, n]))
    warmer = soil.conduct(drives, np.zeros((len(soil.NODES), days)))
    snow = lying_snow(
        np.stack([one.rain for one in made]),
        np.stack([one.temperature for one in made]),
        weather.snow[[(one.day - BEGIN).days * 24 for one in made]],
    )
    for n, one in enumerate(made):
        yield replace(one, soil=one.soil + warmer[:, :, n], snow=snow[n])

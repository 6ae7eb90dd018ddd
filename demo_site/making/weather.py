"""The weather as it was: air, sky, wind, snow and soil, hour by hour, from chance and courses."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from making import soil
from making.fields import (
    Floats,
    chance,
    cloud_cover,
    damp,
    grass_drive,
    gusts,
    lying_snow,
    near_rain,
    rain_chill,
    unix,
    vapour,
    wave,
)
from making.rain import STANDARD, fall, warm_half
from making.sun import clear_sky, under_cloud
from making.year import CALM, COURSES, FIRST, LAST, NO_OTHER_RAIN

SPIN_UP = 62
"""Days before the record in which the soil finds its temperature."""
BEYOND = 20
"""Days after the record that the last forecasts look into."""

BEGIN = FIRST - timedelta(SPIN_UP)
DAYS = SPIN_UP + (LAST - FIRST).days + 1 + BEYOND

YEARS_RAIN = 152
"""Of many years of chance rain, one with a fair share in every month."""

LEAD_IN = 3.0
"""Days over which a course takes over from the free weather, and gives it back."""


@dataclass(frozen=True)
class Weather:
    """Hourly arrays of one shape, labelled by the end of the hour; first label 00:00 GMT of BEGIN.

    C, mm, m/s, W/m2, m. `mood` is the normal variable behind the fair-weather cloud, `soil` has
    shape (4, hours), `normal` is the air's smooth climate, `dry_dew` the dew
    point but for rain, `gustiness` the gust in winds when no rain falls.
    """

    labels: Floats
    temperature: Floats
    normal: Floats
    dew_point: Floats
    dry_dew: Floats
    humidity: Floats
    rain: Floats
    mood: Floats
    cloud: Floats
    clear: Floats
    light: Floats
    wind: Floats
    gust: Floats
    gustiness: Floats
    snow: Floats
    soil: Floats


def _climate(days: Floats) -> Floats:
    """Mean air temperature of the climate on a day of the year."""
    mean: Floats = 14.4 + 11.2 * np.cos(2 * np.pi * (days - 202.0) / 365.25)
    return mean


def _inside(spans: tuple[tuple[date, date], ...], days: list[date]) -> Floats:
    return np.array([float(any(a <= d <= b for a, b in spans)) for d in days])


def highs_and_lows(days: list[date], wet: Floats) -> tuple[Floats, Floats]:
    """Daily highs and lows of the air; `wet` (0 to 1) is how much it rains on the day."""
    count = len(days)
    warm = np.array([warm_half(d) for d in days])
    mean = _climate(np.array([d.timetuple().tm_yday for d in days], dtype=float))
    drift = wave(chance(2), count, 2.6) * (3.9 - 2.1 * warm)
    of_high = chance(3).standard_normal(count) * 0.9
    of_low = chance(4).standard_normal(count) * 1.1
    half = 5.9 + 0.5 * np.sin(np.pi * warm) - 1.7 * wet
    high = mean + half + drift + of_high - 1.4 * wet * warm
    low = mean - half + drift + of_low + 0.6 * wet
    ordinals = np.array([d.toordinal() for d in days], dtype=float)
    for course in COURSES:
        when = np.array([p[0].toordinal() for p in course.points], dtype=float)
        outside = np.maximum(np.maximum(when[0] - ordinals, ordinals - when[-1]), 0.0)
        hold = np.clip(1.0 - outside / LEAD_IN, 0.0, 1.0)
        led_high = np.interp(ordinals, when, [p[1] for p in course.points])
        led_low = np.interp(ordinals, when, [p[2] for p in course.points])
        led_high += course.chance * (0.6 * drift + of_high)
        led_low += course.chance * (0.6 * drift + of_low)
        high = hold * led_high + (1 - hold) * high
        low = hold * led_low + (1 - hold) * low
    return np.maximum(high, low + 1.5), low


def _air(count: int, high: Floats, low: Floats, noon: Floats, half_day: Floats) -> Floats:
    """Hourly air from daily highs and lows: lowest at sunrise, highest three hours after noon."""
    sunrise = noon - half_day + 0.3
    top = noon + 3.0
    times = np.stack([sunrise, top], axis=1).ravel()
    values = np.stack([low, high], axis=1).ravel()
    hours = np.arange(count, dtype=float)
    at = np.clip(np.searchsorted(times, hours, side="right") - 1, 0, len(times) - 2)
    share = np.clip((hours - times[at]) / (times[at + 1] - times[at]), 0.0, 1.0)
    # The evening cools fastest just after the top, the morning warms evenly.
    bent = np.where(at % 2 == 0, share, share**0.75)
    air: Floats = values[at] + (values[at + 1] - values[at]) * (1 - np.cos(np.pi * bent)) / 2
    return air


def _dry_dew(low: Floats, noon: Floats, hours: Floats, warm: Floats) -> Floats:
    """Dew point but for rain: near the morning's low, mixed down at midday."""
    daily = low - 0.8 * (1.0 - warm) - 0.75 * np.abs(wave(chance(5), len(low), 2.0))
    dew = np.interp(hours, noon - 6.0, daily)
    midday = np.maximum(np.cos(2 * np.pi * (hours - noon[0]) / 24), 0)
    dry: Floats = dew + 0.6 - 1.0 * midday + 0.3 * wave(chance(6), len(hours), 4.0)
    return dry


def make() -> Weather:
    """The whole weather, spin-up and lookout included: always the same."""
    count = 24 * DAYS
    hours = np.arange(count, dtype=float)
    labels = unix(BEGIN) + 3600.0 * hours
    days = [BEGIN + timedelta(n) for n in range(-2, DAYS + 3)]
    day_of_year = np.array([d.timetuple().tm_yday for d in days], dtype=float)
    noon = np.array([(d - BEGIN).days * 24 + 12 + 5.36 for d in days])
    half_day = 6.05 + 1.25 * np.sin(2 * np.pi * (day_of_year - 80) / 365.25)

    rain = fall(BEGIN, DAYS, YEARS_RAIN, scripted=True)
    near = near_rain(rain)
    local = np.roll(rain, -STANDARD - 1).reshape(-1, 24)
    wet = np.zeros(len(days))
    wet[2:-3] = np.minimum(1.0, (local > 0).sum(axis=1) / 6.0)
    high, low = highs_and_lows(days, wet)

    dry = np.interp(hours, noon, _inside(NO_OTHER_RAIN, days))
    mood = 0.8 * wave(chance(7), count, 30.0) + 0.6 * wave(chance(8), count, 4.0)
    mood = mood - 0.7 * dry * (1 - near) + 0.35
    cloud = cloud_cover(mood, near)
    warm = np.interp(hours, noon, [warm_half(d) for d in days])
    clear = clear_sky(labels) * (0.97 - 0.06 * warm)  # summer's haze
    light = under_cloud(clear, cloud)

    temperature = _air(count, high, low, noon, half_day)
    rough = wave(chance(9), count, 3.0)
    temperature = temperature + 0.22 * rough
    temperature = temperature - rain_chill(rain, temperature)

    dry_dew = _dry_dew(low, noon, hours, np.array([warm_half(d) for d in days]))
    dew = damp(dry_dew, near, temperature)
    humidity = 100.0 * np.minimum(vapour(dew) / vapour(temperature), 1.0)

    level = (
        2.5
        * np.exp(0.33 * wave(chance(10), len(days), 1.5))
        * (1 + 0.22 * np.cos(2 * np.pi * (day_of_year - 75) / 365.25))
    )
    level *= 1.0 - 0.4 * _inside(CALM, days)
    by_sun = np.roll(clear, 2) / 1000.0
    wind = np.interp(hours, noon, level) * (0.68 + 0.95 * by_sun)
    wind = wind * np.exp(0.2 * wave(chance(11), count, 3.0)) + 0.9 * near * (1 - 0.5 * warm)
    gustiness = 1.6 + 0.18 * np.abs(chance(12).standard_normal(count))
    gust = gusts(wind, gustiness, rain, temperature)

    snow = lying_snow(rain, temperature, np.zeros(()))
    start = soil.settled(15.2, 11.0, 202.0, float(BEGIN.timetuple().tm_yday))
    ground = soil.conduct(grass_drive(temperature, light, cloud), start, snow)
    normal = _climate(np.interp(hours, noon, np.arange(len(days)) + day_of_year[0]))
    return Weather(
        labels, temperature, normal, dew, dry_dew, humidity, rain, mood, cloud, clear, light,
        wind, gust, gustiness, snow, ground,
    )  # fmt: skip

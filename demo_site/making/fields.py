"""Small tools on hourly arrays: axes, smoothing, humidity. The last axis is always hours."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SEED = 20250728


def chance(*what: int) -> np.random.Generator:
    """A generator of its own for each purpose, so that one change does not stir the rest."""
    return np.random.default_rng([SEED, *what])


def unix(day: date) -> int:
    """Unix seconds at 00:00 GMT of a day."""
    return int(datetime.combine(day, time(), UTC).timestamp())


def box(values: Floats, width: int) -> Floats:
    """Centred running mean over `width` (odd) hours; the ends repeat."""
    half = width // 2
    ends = [(0, 0)] * (values.ndim - 1) + [(half + 1, half)]
    summed = np.cumsum(np.pad(values, ends, mode="edge"), axis=-1)
    mean: Floats = (summed[..., width:] - summed[..., :-width]) / width
    return mean


def wave(rng: np.random.Generator, count: int, memory: float) -> Floats:
    """Noise of unit variance whose correlation falls to 1/e over `memory` steps."""
    keep = np.exp(-1.0 / memory)
    fresh = rng.standard_normal(count) * np.sqrt(1 - keep**2)
    out = np.empty(count)
    last = rng.standard_normal()
    for i, value in enumerate(fresh):
        last = keep * last + value
        out[i] = last
    return out


def vapour(temperature: Floats) -> Floats:
    """Saturation vapour pressure in hPa at a temperature in C (Magnus; WMO-No. 8's figures)."""
    pressure: Floats = 6.112 * np.exp(17.62 * temperature / (243.12 + temperature))
    return pressure


def near_rain(rain: Floats) -> Floats:
    """How much the sky is a rain sky, 0 to 1: full in rain, fading over some hours about it."""
    wet = 1.0 - np.exp(-rain / 0.3)
    return np.maximum(wet, np.minimum(1.0, 1.3 * box(box(wet, 5), 3)))


def cloud_cover(mood: Floats, near: Floats) -> Floats:
    """Share of cloud from a normal variable `mood` and the nearness of rain."""
    fair = 1.0 / (1.0 + np.exp(-1.5 * mood + 0.4))
    cover: Floats = 1.0 - (1.0 - fair) * (1.0 - 0.92 * near)
    return cover


def grass_drive(temperature: Floats, light: Floats, cloud: Floats) -> Floats:
    """The temperature that drives the soil under grass: sun warms it, a clear sky cools it."""
    drive: Floats = temperature + 0.009 * light - 1.3 * (1.0 - cloud)
    return drive


def rain_chill(rain: Floats, temperature: Floats) -> Floats:
    """K by which falling rain cools warm air."""
    storm = box(np.minimum(rain, 8.0), 3)
    chill: Floats = 1.4 * storm**0.7 * np.clip((temperature - 14.0) / 10.0, 0.0, 1.0)
    return chill


def damp(dry: Floats, near: Floats, temperature: Floats) -> Floats:
    """Dew point from that of rainless air: close to the air in rain, never above it.

    Above 25 C it rises only a fifth as fast: so much the sea gives, and hardly more.
    """
    point = dry + np.maximum(temperature - 0.35 - dry, 0.0) * near**1.5
    point = np.minimum(point, 25.0 + 0.2 * (point - 25.0))
    capped: Floats = np.minimum(point, temperature - 0.08)
    return capped


def gusts(wind: Floats, gustiness: Floats, rain: Floats, temperature: Floats) -> Floats:
    """Highest gust of the hour in m/s; the squalls of warm rain come on top."""
    warm = np.clip((temperature - 5.0) / 15.0, 0.0, 1.0)
    gust: Floats = wind * gustiness + 0.9 + 1.4 * warm * np.minimum(rain, 12.0) ** 0.8
    return gust


def lying_snow(rain: Floats, temperature: Floats, start: Floats) -> Floats:
    """Depth of snow in m at the end of each hour.

    Snow falls at 1 C or colder, 1 cm a millimetre; it settles by 0.4 % an hour, melts by 0.7 mm
    of depth an hour and degree, and is washed away by warm rain.
    """
    depth = np.empty_like(rain)
    now = start
    for hour in range(rain.shape[-1]):
        warmth = temperature[..., hour]
        falls = rain[..., hour]
        now = now * 0.996 + np.where(warmth <= 1.0, falls * 0.01, -falls * 0.004)
        now = np.maximum(now - 0.0007 * np.maximum(warmth, 0.0), 0.0)
        depth[..., hour] = now
    return depth

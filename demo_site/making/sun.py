"""The sun's height and what clouds leave of its light."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from making.year import LATITUDE, LONGITUDE

Floats = NDArray[np.float64]

SUBSTEPS = 12
"""Instants within an hour over which light is averaged."""


def sine_of_height(seconds: Floats) -> Floats:
    """Sine of the sun's height at Unix `seconds`, any shape.

    Declination and equation of time by Spencer's series (1971), as printed in many textbooks;
    good to about 0.1 degrees, which is all that invented weather needs.
    """
    days = seconds / 86400.0
    year_start = (days - 20089.0) % 365.25  # day 20089 is 1 January 2025
    angle = 2 * np.pi * year_start / 365.25
    declination = (
        0.006918
        - 0.399912 * np.cos(angle)
        + 0.070257 * np.sin(angle)
        - 0.006758 * np.cos(2 * angle)
        + 0.000907 * np.sin(2 * angle)
        - 0.002697 * np.cos(3 * angle)
        + 0.00148 * np.sin(3 * angle)
    )
    minutes = 229.18 * (
        0.000075
        + 0.001868 * np.cos(angle)
        - 0.032077 * np.sin(angle)
        - 0.014615 * np.cos(2 * angle)
        - 0.040849 * np.sin(2 * angle)
    )
    solar_hours = (days % 1.0) * 24.0 + LONGITUDE / 15.0 + minutes / 60.0
    hour_angle = np.pi * (solar_hours - 12.0) / 12.0
    latitude = np.radians(LATITUDE)
    height: Floats = np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(
        declination
    ) * np.cos(hour_angle)
    return height


def clear_sky(hour_ends: Floats) -> Floats:
    """Light under a clear sky in W/m2, mean over the hour that ends at each Unix time.

    Haurwitz (1945): 1098 s exp(-0.057 / s), with s the sine of the sun's height.
    """
    before = (np.arange(SUBSTEPS) + 0.5) / SUBSTEPS * 3600.0
    sine = sine_of_height(hour_ends[:, None] - before)
    up = np.maximum(sine, 1e-3)
    light: Floats = np.where(sine > 0, 1098.0 * up * np.exp(-0.057 / up), 0.0).mean(axis=1)
    return light


def under_cloud(clear: Floats, cloud: Floats) -> Floats:
    """Clear-sky light less what a share of cloud (0 to 1) takes; Kasten and Czeplak (1980)."""
    left: Floats = clear * (1.0 - 0.75 * cloud**3.4)
    return left

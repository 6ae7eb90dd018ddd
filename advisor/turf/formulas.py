"""The bare formulas of FAO-56, unchecked, so that a chain of them checks its input only once.

The functions that others call stand in `air`, `sun` and `evapotranspiration`; they hold units,
ranges and sources. Numbers in brackets are those of Allen, Pereira, Raes and Smith (1998), FAO
Irrigation and Drainage Paper 56.
"""

from __future__ import annotations

import numpy as np

from advisor.turf.ranges import Floats

SOLAR_CONSTANT = 0.0820  # MJ/m2/min
STEFAN_BOLTZMANN = 4.903e-9  # MJ/K4/m2/d
ALBEDO = 0.23  # of the reference grass
_YEAR_ANGLE = 2 * np.pi / 365


def saturation(t: Floats) -> Floats:
    """[11] kPa from C."""
    return 0.6108 * np.exp(17.27 * t / (t + 237.3))


def slope(t: Floats) -> Floats:
    """[13] kPa/C from C."""
    shifted = t + 237.3
    return 4098.0 * 0.6108 * np.exp(17.27 * t / shifted) / (shifted * shifted)


def pressure(elevation: Floats) -> Floats:
    """[7] kPa from m."""
    return 101.3 * ((293.0 - 0.0065 * elevation) / 293.0) ** 5.26


def psychrometric(pressure_kpa: Floats) -> Floats:
    """[8] kPa/C from kPa."""
    return 0.665e-3 * pressure_kpa


def declination(day: Floats) -> Floats:
    """[24] rad."""
    return 0.409 * np.sin(_YEAR_ANGLE * day - 1.39)


def declination_rises(day: Floats) -> Floats:
    """Sign of the change of [24]: above zero while the sun moves north."""
    return np.cos(_YEAR_ANGLE * day - 1.39)


def sunset_angle(latitude: Floats, decl: Floats) -> Floats:
    """[25] rad; 0 in polar night and pi in polar day."""
    cosine = -np.tan(latitude) * np.tan(decl)
    angle: Floats = np.arccos(np.minimum(np.maximum(cosine, -1.0), 1.0))
    return angle


def extraterrestrial(latitude: Floats, day: Floats) -> Floats:
    """[21] MJ/m2/d, with the inverse distance of the sun [23]."""
    decl = declination(day)
    sunset = sunset_angle(latitude, decl)
    distance = 1.0 + 0.033 * np.cos(_YEAR_ANGLE * day)
    height = sunset * np.sin(latitude) * np.sin(decl)
    height = height + np.cos(latitude) * np.cos(decl) * np.sin(sunset)
    # In polar night the sum is zero but for rounding, which may fall on the wrong side of it.
    ra: Floats = np.maximum(distance * height * (24.0 * 60.0 / np.pi * SOLAR_CONSTANT), 0.0)
    return ra


def clear_sky(ra: Floats, elevation: Floats) -> Floats:
    """[37] MJ/m2/d."""
    return (0.75 + 2e-5 * elevation) * ra


def net_long(
    tmax: Floats, tmin: Floats, ea: Floats, rs: Floats, rso: Floats, floor: float
) -> Floats:
    """[39] MJ/m2/d; the share of clear-sky radiation is held between `floor` and 1."""
    dark = rso <= 0.0
    share = rs / np.where(dark, 1.0, rso)
    share = np.where(dark & ~np.isnan(rs), 1.0, share) if np.any(dark) else share
    cloud = 1.35 * np.minimum(np.maximum(share, floor), 1.0) - 0.35
    high, low = tmax + 273.16, tmin + 273.16
    high, low = high * high, low * low
    emitted = STEFAN_BOLTZMANN / 2 * (high * high + low * low)
    return emitted * (0.34 - 0.14 * np.sqrt(ea)) * cloud

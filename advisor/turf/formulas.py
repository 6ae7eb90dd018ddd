"""The bare formulas of FAO-56, unchecked, so that a chain of them checks its input only once.

The functions that others call stand in `air`, `sun` and `evapotranspiration`; they hold units,
ranges and sources. Numbers in brackets are those of Allen, Pereira, Raes and Smith (1998), FAO
Irrigation and Drainage Paper 56.
"""

from __future__ import annotations

import numpy as np

from advisor.turf.ranges import Floats

SOLAR_CONSTANT = 0.0820  # MJ/m2/min
ALBEDO = 0.23  # of the reference grass
MM_PER_MJ = 0.408  # [20]
_YEAR_ANGLE = 2 * np.pi / 365


def saturation(t: Floats) -> Floats:
    """[11] kPa from C."""
    return 0.6108 * np.exp(17.27 * t / (t + 237.3))


def dew_point(logarithm: Floats) -> Floats:
    """[11] solved for the temperature: C from the logarithm of kPa / 0.6108."""
    return 237.3 * logarithm / (17.27 - logarithm)


def slope(t: Floats, constant: float = 4098 * 0.6108) -> Floats:
    """[13] kPa/C from C."""
    shifted = t + 237.3
    return constant * np.exp(17.27 * t / shifted) / (shifted * shifted)


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


def nearness(day: Floats) -> Floats:
    """[23] Square of the mean distance of the sun over its distance."""
    return 1.0 + 0.033 * np.cos(_YEAR_ANGLE * day)


def sunset_angle(latitude: Floats, decl: Floats) -> Floats:
    """[25] rad; 0 in polar night and pi in polar day."""
    cosine = -np.tan(latitude) * np.tan(decl)
    angle: Floats = np.arccos(np.minimum(np.maximum(cosine, -1.0), 1.0))
    return angle


def extraterrestrial(latitude: Floats, day: Floats) -> Floats:
    """[21] MJ/m2/d, with the inverse distance of the sun [23]."""
    decl = declination(day)
    sunset = sunset_angle(latitude, decl)
    height = sunset * np.sin(latitude) * np.sin(decl)
    height = height + np.cos(latitude) * np.cos(decl) * np.sin(sunset)
    # In polar night the sum is zero but for rounding, which may fall on the wrong side of it.
    ra: Floats = np.maximum(nearness(day) * height * (24.0 * 60.0 / np.pi * SOLAR_CONSTANT), 0.0)
    return ra


def clear_sky(ra: Floats, elevation: Floats) -> Floats:
    """[37] MJ/m2/d."""
    return (0.75 + 2e-5 * elevation) * ra


def share_of_clear(rs: Floats, rso: Floats, floor: float) -> Floats:
    """Rs/Rso, held between `floor` and 1; 1 where rso is 0."""
    dark = rso <= 0.0
    share = rs / np.where(dark, 1.0, rso)
    share = np.where(dark & ~np.isnan(rs), 1.0, share) if np.any(dark) else share
    return np.minimum(np.maximum(share, floor), 1.0)


def fourth(t: Floats) -> Floats:
    """K4 from C."""
    kelvin = t + 273.16
    square = kelvin * kelvin
    return square * square


def net_long(emitted: Floats, ea: Floats, share: Floats) -> Floats:
    """[39] from what a black surface emits, kPa and the share of clear-sky radiation."""
    return emitted * (0.34 - 0.14 * np.sqrt(ea)) * (1.35 * share - 0.35)


def combined(
    t: Floats,
    slope_kpa: Floats,
    gamma: Floats,
    energy: Floats,
    wind: Floats,
    deficit: Floats,
    numerator: float,
    resistance: Floats | float,
) -> Floats:
    """[6, 53] mm, not below 0, from C, kPa/C, MJ/m2, m/s and kPa."""
    drying = gamma * numerator / (t + 273.0) * wind * np.maximum(deficit, 0.0)
    et0 = (MM_PER_MJ * slope_kpa * energy + drying) / (
        slope_kpa + gamma * (1.0 + resistance * wind)
    )
    return np.maximum(et0, 0.0)

"""What a few readings of a thermometer say of a model: its error at that place, and how sure."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from advisor.turf.heat_conduction import damping_depth, periodic_temperature
from advisor.turf.ranges import Floats, within

BIAS_SD = 1.5
"""What the model is off at a place for weeks on end, before anything was read there [C].

Judgement, from published errors: Zheng, Hunt and Running (1993) state standard errors of 1.5 to
2.9 C for soil from air. 1.5 for the place and 2.0 for the day make 2.5 C together.
"""

READING_SD = 2.0
"""What one reading differs from the model's day once the place's error is known [C]: the day's own
error, the spot, and a household thermometer. Judgement, see `BIAS_SD`."""

OF_SWING = 0.5
"""Share of the daily swing at the depth that stays unsure when a reading is taken to the day's
mean. Judgement: the swing of a morning is no sine, and its height is modelled."""

WARMEST_HOUR = 14.0
"""Solar time at which the surface is warmest; from memory, textbooks say 13 to 14."""

CROWD_DAYS = 5.0
"""Readings of one spell of weather share its error and tell little more than one of them [days;
judgement]."""

HALF_LIFE_DAYS = 60.0
"""Days after which a reading tells half of what it told: the error changes with the season
[judgement]."""

WILD = 3.0
"""A reading that differs by more than so many of its standard deviations is not believed."""

READING = (-60.0, 100.0, "C")


def reading_of_day(
    reading_c: ArrayLike,
    depth_m: ArrayLike,
    solar_hour: ArrayLike,
    surface_swing_c: ArrayLike,
    diffusivity_m2_s: float,
) -> tuple[Floats, Floats]:
    """A reading taken to the mean of its day, and its standard deviation about the model's day.

    The daily wave of a half-space under a surface that swings as a sine, warmest at 14 h, is taken
    off. Its standard deviation is 2 C and half the swing at the depth together; where the hour is
    not known (NaN) nothing is taken off and the whole swing is counted.

    Parameters
    ----------
    reading_c : array_like
        What the thermometer showed [C], -60 to 100.
    depth_m : array_like
        Depth of the reading [m], 0 to 20.
    solar_hour : array_like
        When it was read, by the sun: 12 is noon; 0 to 24 [h].
    surface_swing_c : array_like
        Half of the surface's range on that day [C], 0 to 120.
    diffusivity_m2_s : float
        Thermal diffusivity of the ground [m2/s], 0.05e-6 to 2e-6.

    Returns
    -------
    tuple of ndarray
        Mean of the day, and its standard deviation [C].

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    reading = within("reading_c", reading_c, READING)
    hour = within("solar_hour", solar_hour, (0.0, 24.0, "h"))
    deep = np.asarray(depth_m, dtype=np.float64) / damping_depth(diffusivity_m2_s, 1.0)
    swing = np.asarray(surface_swing_c, dtype=np.float64) * np.exp(-deep)
    wave = periodic_temperature(
        hour / 24, depth_m, 0.0, surface_swing_c, WARMEST_HOUR / 24 - 0.5, diffusivity_m2_s, 1.0
    )
    timed = ~np.isnan(hour)
    unsure = np.where(timed, OF_SWING, 1.0) * swing
    return reading - np.where(timed, wave, 0.0), np.hypot(READING_SD, unsure)


def believable(off_c: ArrayLike, sd_c: ArrayLike) -> NDArray[np.bool_]:
    """Whether what a reading is off the model can be the place's error and the reading's together.

    Not when it exceeds three standard deviations of both, before any reading; NaN is not believed.

    Parameters
    ----------
    off_c, sd_c : array_like
        Reading less model, and its standard deviation about the model's day [C].

    Returns
    -------
    ndarray of bool
    """
    together = np.hypot(BIAS_SD, np.asarray(sd_c, dtype=np.float64))
    return np.asarray(np.abs(np.asarray(off_c, dtype=np.float64)) <= WILD * together)


def correction(
    off_c: ArrayLike, sd_c: ArrayLike, read_on: ArrayLike, days: ArrayLike
) -> tuple[Floats, Floats]:
    """The model's error at the place as readings tell it, by day, and its standard deviation.

    The normal mean with a normal prior (mean 0, SD `BIAS_SD`): the sum of w x off over
    (1 / BIAS_SD^2 + sum of w), with w = 1 / sd^2. So few readings move little. A reading's w
    halves for each 60 days between it and the day that is asked, and is divided among the
    readings of its spell: by the sum of exp(-|days apart| / 5) over all of them.

    Parameters
    ----------
    off_c, sd_c : array_like, shape (readings,)
        Reading less model, and its standard deviation [C]; sd above 0. All known.
    read_on, days : array_like, shape (readings,) and (days,)
        Day numbers of the readings, and of the days that are asked.

    Returns
    -------
    tuple of ndarray, shape (days,)
        What is to be added to the model, and its standard deviation [C]: 0 and `BIAS_SD` without
        readings.

    Raises
    ------
    ValueError
        A number lies outside its range or is not known.
    """
    off = within("off_c", off_c, (-200.0, 200.0, "C"))
    sd = within("sd_c", sd_c, (1e-3, 1000.0, "C"))
    if np.isnan(off).any() or np.isnan(sd).any():
        raise ValueError("off_c and sd_c must be known, not NaN")
    on, asked = np.asarray(read_on, dtype=np.float64), np.asarray(days, dtype=np.float64)
    crowd = np.exp(-np.abs(on[:, None] - on) / CROWD_DAYS).sum(axis=0)
    aged = 0.5 ** (np.abs(asked[:, None] - on) / HALF_LIFE_DAYS)
    weight = aged / (sd * sd * crowd)
    precision = 1.0 / BIAS_SD**2 + weight.sum(axis=1)
    return (weight @ off) / precision, 1.0 / np.sqrt(precision)

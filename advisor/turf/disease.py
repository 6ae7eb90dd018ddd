"""Pressure of turf diseases: how far the weather favours them.

Pressure is never a diagnosis. It says that the weather suits a fungus, not that it is there, that
the grass can take it, or that anything is to be treated. Each function names the grass that its
model was made for; for another grass it says little.

Element by element on arrays that broadcast together. A number that cannot be is refused with a
ValueError that names it and the range. Indices and probabilities of unknown weather are NaN. The
conditions that are lists of limits (flags 1, 0, NaN) follow three-valued logic: a limit that is
known to be missed settles the list, whatever else is unknown.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.turf.ranges import AIR, FRACTION, WATER, Floats, within
from advisor.turf.spells import above, at_least, every, some

_HOURS = (0.0, 48.0, "h")
_INDEX = (-1000.0, 100.0, "")


def dollar_spot(air_mean_5d: ArrayLike, humidity_mean_5d: ArrayLike) -> Floats:
    """Probability of dollar spot, for creeping bentgrass (the grass is from memory).

    Smith, Kerns, Walker, Roberts, Horvath and Bhullar (2018), PLoS ONE 13(3): e0194216:
    logit p = -11.4041 + 0.0894 RH + 0.1932 T, RH in % and T in C, both means of five whole days
    (`spells.trailing_mean`), nights included. The coefficients were read in two independent codes
    that cite it, not in the paper. It rises with warmth and with humidity.

    The range of 10 to 35 C is from memory. Outside it the model says nothing, so the answer is
    unknown: not an error, since every winter goes there, and not a small number either.

    Parameters
    ----------
    air_mean_5d : array_like
        Mean air temperature of the last five days [C], -90 to 60; the model holds from 10 to 35.
    humidity_mean_5d : array_like
        Mean relative humidity of the same days [fraction], 0 to 1.

    Returns
    -------
    ndarray
        Probability [fraction], 0 to 1; NaN outside the model's range.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    t = within("air_mean_5d", air_mean_5d, AIR)
    r = within("humidity_mean_5d", humidity_mean_5d, FRACTION) * 100.0
    chance = 1.0 / (1.0 + np.exp(-(-11.4041 + 0.0894 * r + 0.1932 * t)))
    return np.where((t >= 10) & (t <= 35), chance, np.nan)


def dollar_spot_pressure(probability: ArrayLike) -> Floats:
    """Pressure of dollar spot: moderate from 20 %, the threshold of Smith et al. (2018).

    High from 40 %, the highest of the thresholds (20, 30, 40 %) that Zhang et al. (2022) tried;
    that this is to be called high is judgement.

    Parameters
    ----------
    probability : array_like
        As from `dollar_spot` [fraction], 0 to 1.

    Returns
    -------
    ndarray
        0, 1 or 2: low, moderate or high (the words are ours).

    Raises
    ------
    ValueError
        A number lies outside the range.
    """
    chance = within("probability", probability, FRACTION)
    return at_least(chance, 0.20) + at_least(chance, 0.40)


def brown_patch_index(humidity_mean: ArrayLike, air_min: ArrayLike) -> Floats:
    """Environmental index of brown patch, for perennial ryegrass (the grass is from memory).

    Fidanza, Dernoeden and Grybauskas (1996), Phytopathology 86:385-390:
    E = -21.5 + 0.15 RH + 1.4 T - 0.033 T^2, RH the day's mean in % and T its lowest air temperature
    in C. The authors' warning at 6 foretold 85 % of outbreaks. It rises with humidity, but with
    warmth only up to 21.2 C; nights warmer than that lower it again. The paper states no range
    that was read: the equation is meant for summer and simply goes far below 0 in the cold.

    Parameters
    ----------
    humidity_mean : array_like
        Mean relative humidity of the day [fraction], 0 to 1.
    air_min : array_like
        Lowest air temperature of the day [C], -90 to 60.

    Returns
    -------
    ndarray
        Index; at most 8.4.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    r = within("humidity_mean", humidity_mean, FRACTION) * 100.0
    t = within("air_min", air_min, AIR)
    return -21.5 + 0.15 * r + 1.4 * t - 0.033 * t * t


def brown_patch_pressure(index: ArrayLike) -> Floats:
    """Pressure of brown patch: moderate from 5 (Kentucky extension), high from 6 (the authors).

    Parameters
    ----------
    index : array_like
        As from `brown_patch_index`, -1000 to 100.

    Returns
    -------
    ndarray
        0, 1 or 2: low, moderate or high.

    Raises
    ------
    ValueError
        A number lies outside the range.
    """
    known = within("index", index, _INDEX)
    return at_least(known, 5.0) + at_least(known, 6.0)


def brown_patch_six(
    *,
    hours_from_95: ArrayLike,
    humidity_mean: ArrayLike,
    wet_hours: ArrayLike,
    rain_mm: ArrayLike,
    air_min: ArrayLike,
    soil_min: ArrayLike,
) -> Floats:
    """Whether a day fulfils the six-variable companion of the brown patch index.

    Fidanza, Dernoeden and Grybauskas (1996), for perennial ryegrass (the grass is from memory):
    humidity of 95 % or more for 8 h or more; its mean 75 % or more; leaves wet for 6 h or more, or
    12 mm of rain or more; lowest temperature of air and of soil 16 C or more. It never falls when
    any of its inputs rises, so bounds of hours may be tried at both ends.

    Parameters
    ----------
    hours_from_95 : array_like
        Hours of the day with 95 % humidity or more [h], 0 to 48.
    humidity_mean : array_like
        Mean relative humidity of the day [fraction], 0 to 1.
    wet_hours : array_like
        Hours of the day with wet leaves [h], 0 to 48.
    rain_mm : array_like
        Rain of the day [mm], 0 to 2000.
    air_min, soil_min : array_like
        Lowest temperature of air and of soil [C], -90 to 60.

    Returns
    -------
    ndarray
        1, 0 or NaN.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    return every(
        at_least(within("hours_from_95", hours_from_95, _HOURS), 8.0),
        at_least(within("humidity_mean", humidity_mean, FRACTION), 0.75),
        some(
            at_least(within("wet_hours", wet_hours, _HOURS), 6.0),
            at_least(within("rain_mm", rain_mm, WATER), 12.0),
        ),
        at_least(within("air_min", air_min, AIR), 16.0),
        at_least(within("soil_min", soil_min, AIR), 16.0),
    )


def brown_patch_kentucky(
    *,
    hours_over_95: ArrayLike,
    soil_mean: ArrayLike,
    soil_min: ArrayLike,
    air_mean: ArrayLike,
    air_min: ArrayLike,
    rain_36h_mm: ArrayLike,
) -> Floats:
    """Whether a day fulfils the second brown patch model of Kentucky extension.

    Humidity above 95 % for 10 h or more; soil with a mean above 70 F (21.1 C) and a lowest above
    64 F (17.8 C); air with a mean above 68 F (20 C) and a lowest above 59 F (15 C); 0.1 in
    (2.54 mm) of rain or more in the 36 h before. For cool-season turf (from memory). It never
    falls when any of its inputs rises.

    Parameters
    ----------
    hours_over_95 : array_like
        Hours of the day with more than 95 % humidity [h], 0 to 48.
    soil_mean, soil_min, air_mean, air_min : array_like
        Mean and lowest temperature of the day, of soil and of air [C], -90 to 60.
    rain_36h_mm : array_like
        Rain of the 36 h before [mm], 0 to 2000.

    Returns
    -------
    ndarray
        1, 0 or NaN.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    return every(
        at_least(within("hours_over_95", hours_over_95, _HOURS), 10.0),
        above(within("soil_mean", soil_mean, AIR), (70.0 - 32.0) / 1.8),
        above(within("soil_min", soil_min, AIR), (64.0 - 32.0) / 1.8),
        above(within("air_mean", air_mean, AIR), 20.0),
        above(within("air_min", air_min, AIR), 15.0),
        at_least(within("rain_36h_mm", rain_36h_mm, WATER), 2.54),
    )


def pythium_pressure(air_max: ArrayLike, air_min: ArrayLike, humid_hours: ArrayLike) -> Floats:
    """Pressure of Pythium blight on cool-season turf, from noon to noon.

    High by Nutter, Cole and Schein (1983), Plant Disease 67:1126-1128: a highest temperature above
    30 C, and after it 14 h or more of humidity above 90 % while it stays above 20 C. Moderate by
    the looser rule that extension uses: above 82 F (27.8 C), 9 h or more, and above 68 F (20 C).
    Both matter only where the soil is saturated or the leaves stay wet. It never falls when any of
    the three rises, so bounds of hours may be tried at both ends.

    Parameters
    ----------
    air_max : array_like
        Highest air temperature from noon to noon [C], -90 to 60.
    air_min : array_like
        Lowest air temperature of the same time [C], -90 to 60; not compared with `air_max`.
    humid_hours : array_like
        Hours of it with more than 90 % humidity [h], 0 to 48.

    Returns
    -------
    ndarray
        0, 1 or 2: low, moderate or high; NaN where what is known does not
        settle it.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    high = within("air_max", air_max, AIR)
    warm = above(within("air_min", air_min, AIR), 20.0)
    hours = within("humid_hours", humid_hours, _HOURS)
    looser = every(above(high, (82.0 - 32.0) / 1.8), at_least(hours, 9.0), warm)
    return looser + every(above(high, 30.0), at_least(hours, 14.0), warm)


def gray_leaf_spot_conducive(wet_air_mean: ArrayLike, wet_hours: ArrayLike) -> Floats:
    """Whether wet leaves were warm for long enough to let gray leaf spot in: perennial ryegrass.

    Uddin et al. (2003) found infection between 20 and 32 C, most at 28 C, with leaves wet for 3 to
    36 h, more the longer they were wet (the grass is from memory). This flag says only that a spell
    lies where they found it; how much is not told. It rises with the hours, and with warmth only to
    32 C.

    Parameters
    ----------
    wet_air_mean : array_like
        Mean air temperature while the leaves were wet [C], -90 to 60.
    wet_hours : array_like
        Longest wet spell [h], 0 to 48.

    Returns
    -------
    ndarray
        1, 0 or NaN.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    warmth = within("wet_air_mean", wet_air_mean, AIR)
    return every(
        at_least(warmth, 20.0),
        at_least(-warmth, -32.0),
        at_least(within("wet_hours", wet_hours, _HOURS), 3.0),
    )

"""Reference evapotranspiration of well-watered grass, an hour at a time: FAO-56 and ASCE-EWRI.

Element by element on arrays that broadcast together; NaN in gives NaN out; a number that cannot
be is refused with a ValueError that names it and the range. Numbers in brackets are equations of
FAO-56 (see `air`). `reference` chooses the form: `FAO56` [53], or the standardized equation of
ASCE-EWRI (2005) for short or tall crops.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.turf import formulas
from advisor.turf.ranges import (
    AIR,
    ELEVATION,
    FRACTION,
    RADIATION_HOUR,
    VAPOUR,
    WIND,
    Floats,
    within,
)
from advisor.turf.reference import FAO56, Reference

MJ_PER_WATT_HOUR = 0.0036
"""Radiation of an hour [MJ/m2] from its mean [W/m2]."""


def net_longwave_of_hour(
    air_temp: ArrayLike,
    vapour_pressure: ArrayLike,
    share: ArrayLike,
    reference: Reference = FAO56,
) -> Floats:
    """Heat that the grass radiates to the sky in an hour, less what comes back [39].

    Parameters
    ----------
    air_temp : array_like
        Mean air temperature of the hour [C], -90 to 60.
    vapour_pressure : array_like
        Actual vapour pressure [kPa], 0 to 10.
    share : array_like
        Share of clear-sky radiation [fraction], 0 to 1, as from `hourly_sun.share_by_hours`.
    reference : Reference
        Whose rounding of the Stefan-Boltzmann constant is used.

    Returns
    -------
    ndarray
        Rnl [MJ/m2/h], positive when the grass loses.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    emitted = reference.radiates_hour * formulas.fourth(within("air_temp", air_temp, AIR))
    return formulas.net_long(
        emitted,
        within("vapour_pressure", vapour_pressure, VAPOUR),
        within("share", share, FRACTION),
    )


def ground_heat_of_hour(net_radiation: ArrayLike, reference: Reference = FAO56) -> Floats:
    """Heat into the soil in an hour, as a share of net radiation [45, 46].

    FAO-56 parts day from night by daylight; here both papers' hours are light when net radiation
    is not below 0, as ASCE-EWRI (2005) parts them. Then nothing jumps at sunset.

    Parameters
    ----------
    net_radiation : array_like
        Rn [MJ/m2/h], -5 to 5.5.
    reference : Reference
        The crop: under grass 0.1 by day and 0.5 by night, under tall crops 0.04 and 0.2.

    Returns
    -------
    ndarray
        G [MJ/m2/h], negative when the soil loses.

    Raises
    ------
    ValueError
        A number lies outside the range.
    """
    rn = within("net_radiation", net_radiation, (-5.0, 5.5, "MJ/m2/h"))
    return np.where(rn < 0.0, reference.ground_dark, reference.ground_light) * rn


def penman_monteith_hourly(
    *,
    air_temp: ArrayLike,
    vapour_pressure: ArrayLike,
    radiation: ArrayLike,
    wind_2m: ArrayLike,
    elevation_m: ArrayLike,
    share: ArrayLike,
    reference: Reference = FAO56,
) -> Floats:
    """Reference evapotranspiration of an hour by Penman and Monteith [53].

    The vapour deficit and the answer are not let below 0: dew is not counted.

    Parameters
    ----------
    air_temp : array_like
        Mean air temperature of the hour at 2 m [C], -90 to 60.
    vapour_pressure : array_like
        Actual vapour pressure at 2 m [kPa], 0 to 10.
    radiation : array_like
        Sunlight on the ground [MJ/m2/h], 0 to 5.5.
    wind_2m : array_like
        Mean wind at 2 m [m/s], 0 to 120.
    elevation_m : array_like
        Height above sea level [m], -450 to 9000.
    share : array_like
        Share of clear-sky radiation [fraction], 0 to 1, as from `hourly_sun.share_by_hours`; by
        night the one of the evening before.
    reference : Reference
        The crop: `FAO56`, `ASCE_SHORT` or `ASCE_TALL` of `reference`.

    Returns
    -------
    ndarray
        ET0 [mm/h], at least 0.

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    air = within("air_temp", air_temp, AIR)
    ea = within("vapour_pressure", vapour_pressure, VAPOUR)
    rs = within("radiation", radiation, RADIATION_HOUR)
    wind = within("wind_2m", wind_2m, WIND)
    elevation = within("elevation_m", elevation_m, ELEVATION)
    net = (1.0 - formulas.ALBEDO) * rs - net_longwave_of_hour(air, ea, share, reference)
    return formulas.combined(
        air,
        formulas.slope(air, reference.slope),
        formulas.psychrometric(formulas.pressure(elevation)),
        net - ground_heat_of_hour(net, reference),
        wind,
        formulas.saturation(air) - ea,
        reference.numerator_hour,
        np.where(net < 0.0, reference.wind_dark, reference.wind_light),
    )

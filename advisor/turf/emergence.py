"""When weeds come up from seed: signals of soil and of air, with their sources and depths.

Each weed has independent signals that do not share a thermometer. Where they disagree an adviser
says so. The sources disagree as well, by depth and by definition, so a row is one source's.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from advisor.turf.stages import (
    AirHeat,
    Mark,
    SoilHeat,
    SoilTurn,
    Stages,
    Timetable,
    Trust,
    calendar_stages,
    delayed,
    disagree,
    starts_on,
)


def _f(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


def _read(total: float) -> Mark:
    return Mark(total, Trust.READ)


YEAR = (1, 1)
"""Start of the sums of spring. The sources of crabgrass do not all name theirs; judgement."""
LATE_SUMMER = (8, 1)
"""Start of the search for soil that cools again; judgement."""

INCH, FOUR_INCHES = 0.0254, 0.1016

CRABGRASS_SOIL = SoilHeat(
    "smooth crabgrass",
    0.025,
    12.0,
    YEAR,
    Timetable(
        "Fidanza, Dernoeden and Zhang 1996, Crop Science 36:990-996: first emergence 42 to 78, "
        "major period 140 to 230 C d",
        may_begin=_read(42.0),
        major=_read(140.0),
        # The source ends its major period here; that what is left is little is our judgement.
        over=Mark(230.0, Trust.JUDGEMENT),
        told_to=230.0,
    ),
)
"""Degree-days of soil, the signal with a beginning and an end."""

CRABGRASS_AIR = AirHeat(
    "crabgrass",
    10.0,
    None,
    "simple",
    YEAR,
    Timetable(
        "Virginia Tech: from 70 F d above 50 F; Purdue (Calhoun): about 200 F d",
        may_begin=_read(70 / 1.8),
        major=_read(200 / 1.8),
        told_to=200 / 1.8,
    ),
)

CRABGRASS_SOIL_TURNS = (
    SoilTurn(
        "crabgrass",
        FOUR_INCHES,
        3,  # "several days"; three is our judgement
        YEAR,
        Timetable("NC State: 24-hour mean of 53 to 55 F", _read(_f(53)), told_to=_f(55)),
    ),
    SoilTurn(
        "crabgrass",
        FOUR_INCHES,
        4,
        YEAR,
        Timetable("Virginia Tech: 4 to 5 days of 55 to 58 F", _read(_f(55)), told_to=_f(58)),
    ),
    SoilTurn(
        "crabgrass",
        INCH,
        7,
        YEAR,
        Timetable("Ohio State: 54 F for 7 days", _read(_f(54)), told_to=_f(54)),
    ),
    SoilTurn(
        "crabgrass",
        INCH,
        1,
        YEAR,
        Timetable("Purdue: 57 to 64 F", _read(_f(57)), told_to=_f(64)),
    ),
    SoilTurn(
        "crabgrass",
        INCH,
        1,
        YEAR,
        Timetable(
            "Delaware: daily mean of 60 to 64 F for the first, 73 to 75 F for most",
            _read(_f(60)),
            _read(_f(73)),
            told_to=_f(75),
        ),
    ),
)
"""Soil that has become warm, by source and depth; 53 F at 4 in to 60 F at 1 in."""

GOOSEGRASS_SOIL = SoilTurn(
    "goosegrass",
    FOUR_INCHES,
    1,
    YEAR,
    Timetable("NC State: 60 to 65 F", _read(_f(60)), told_to=_f(65)),
)
GOOSEGRASS_AFTER_CRABGRASS_D = (10, 14)
"""Arkansas: goosegrass follows crabgrass by so many days (in cooler places later, from memory)."""

ANNUAL_BLUEGRASS_SOIL = SoilTurn(
    "annual bluegrass",
    INCH,  # the source names no depth; near the seed is our judgement
    1,
    LATE_SUMMER,
    Timetable("Delaware: soil falling below 70 F", _read(-_f(70)), told_to=-_f(70)),
    falling=True,
)
ANNUAL_BLUEGRASS_DATE = (8, 15)
"""Arkansas: date by which a barrier against it is laid."""


class Emergence(NamedTuple):
    """Stages by the soil, by the second signal, and the days on which they exclude each other."""

    soil: Stages
    other: Stages
    disagree: NDArray[np.bool_]


def crabgrass(
    days: ArrayLike,
    soil_c: ArrayLike,
    tmax: ArrayLike,
    tmin: ArrayLike,
    *,
    soil: SoilHeat | SoilTurn = CRABGRASS_SOIL,
    southern: bool = False,
) -> Emergence:
    """Emergence of crabgrass by the soil and by degree-days of air.

    Parameters
    ----------
    days : array_like of datetime64[D] or date, shape (n,)
        Dates that follow one another; the sums begin on 1 January (1 July in the south).
    soil_c : array_like, shape (n,)
        Daily mean soil temperature at the depth of `soil` [C], -90 to 60; NaN is unknown.
    tmax, tmin : array_like, shape (n,)
        Highest and lowest air temperature of each day [C], -90 to 60; NaN is unknown.
    soil : SoilHeat or SoilTurn
        The soil's signal: a row of this module.
    southern : bool
        Whether the place lies south of the equator.

    Returns
    -------
    Emergence

    Raises
    ------
    ValueError
        A number lies outside its range, or the dates do not follow one another.
    """
    return _both(
        soil.stages(days, soil_c, southern=southern),
        CRABGRASS_AIR.stages(days, tmax, tmin, southern=southern),
    )


def goosegrass(
    days: ArrayLike,
    soil_c: ArrayLike,
    tmax: ArrayLike,
    tmin: ArrayLike,
    *,
    southern: bool = False,
) -> Emergence:
    """Emergence of goosegrass by soil at 4 in, and 10 to 14 days after crabgrass by the air.

    Parameters and errors are those of `crabgrass`.
    """
    air = CRABGRASS_AIR.stages(days, tmax, tmin, southern=southern)
    starts = starts_on(days, YEAR, southern=southern)
    return _both(
        GOOSEGRASS_SOIL.stages(days, soil_c, southern=southern),
        delayed(air, *GOOSEGRASS_AFTER_CRABGRASS_D, starts),
    )


def annual_bluegrass(days: ArrayLike, soil_c: ArrayLike, *, southern: bool = False) -> Emergence:
    """Emergence of annual bluegrass by soil that cools after 1 August, and by the date.

    No source gives degree-days for it, so the second signal is a date. Parameters and errors are
    those of `crabgrass`.
    """
    return _both(
        ANNUAL_BLUEGRASS_SOIL.stages(days, soil_c, southern=southern),
        calendar_stages(days, ANNUAL_BLUEGRASS_DATE, LATE_SUMMER, southern=southern),
    )


def _both(soil: Stages, other: Stages) -> Emergence:
    return Emergence(soil, other, disagree(soil, other))

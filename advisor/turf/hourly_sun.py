"""The sun hour by hour: where it stands, what it sends, and how much of it clouds let through.

An hour is known by the instant of its middle, as `datetime64` in UTC, and a place by its latitude
and its longitude in degrees *east*. From both follows the mean solar time there, and its date gives
the number of the day. So no time zone, standard meridian or summer time can be got wrong.

Element by element on arrays that broadcast together; NaN or NaT in gives NaN out; a number that
cannot be is refused with a ValueError that names it and the range. Radiation is an hour's sum,
MJ/m2/h. Numbers in brackets are equations of FAO-56 (see `air`).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.turf import formulas
from advisor.turf.ranges import DAY_OF_YEAR, LATITUDE, LONGITUDE, RADIATION_HOUR, Floats, within
from advisor.turf.sun import CLOUD_FLOOR

LOW_SUN = 0.3
"""Height of the sun below which the share of clear-sky radiation is not read [rad].

ASCE-EWRI (2005). The last hour above it lies about two hours before sunset, where FAO-56 reads the
share for the night.
"""

NIGHT_SHARE = 0.6
"""Share of clear-sky radiation for a night before which none was read (from memory).

FAO-56 tells 0.4 to 0.6 for humid and 0.7 to 0.8 for dry climates; this is the clear end of humid.
"""

CARRIED_AT_MOST = 24
"""Hours for which a share that was read holds [judgement].

Where the winter sun stays low all day, the share of some day of autumn tells nothing any more.
"""


def solar_time(middle: ArrayLike, longitude_deg: ArrayLike) -> tuple[Floats, Floats]:
    """Mean solar time of a place: number of the day of the year, and hour of that day.

    Parameters
    ----------
    middle : array_like of datetime64
        Instants in UTC.
    longitude_deg : array_like
        Degrees east of Greenwich, -180 to 180; America is negative.

    Returns
    -------
    day_of_year, hour : ndarray
        1 to 366, and 0 to 24 [h].

    Raises
    ------
    ValueError
        `middle` is not datetime64, or a longitude lies outside the range.
    """
    instants = np.asarray(middle)
    if instants.dtype.kind != "M":
        raise ValueError(f"middle must be instants in UTC (datetime64), not {instants.dtype}")
    unknown = np.isnat(instants)
    seconds = np.where(unknown, 0, instants.astype("datetime64[s]").astype(np.int64))
    east = within("longitude_deg", longitude_deg, LONGITUDE)
    local = np.where(unknown, np.nan, seconds) + 240.0 * east
    days = np.floor(local / 86400.0)
    dates = np.where(np.isnan(days), 0.0, days).astype(np.int64).astype("datetime64[D]")
    of_year = (dates - dates.astype("datetime64[Y]")).astype(np.float64) + 1.0
    return np.where(np.isnan(days), np.nan, of_year), local / 3600.0 - 24.0 * days


def equation_of_time(day_of_year: ArrayLike) -> Floats:
    """How far the sun is ahead of mean solar time [32, 33].

    Parameters
    ----------
    day_of_year : array_like
        1 to 366.

    Returns
    -------
    ndarray
        Seasonal correction Sc [h].

    Raises
    ------
    ValueError
        A number lies outside the range.
    """
    b = 2.0 * np.pi / 364.0 * (within("day_of_year", day_of_year, DAY_OF_YEAR) - 81.0)
    return 0.1645 * np.sin(2.0 * b) - 0.1255 * np.cos(b) - 0.025 * np.sin(b)


def hour_angle(middle: ArrayLike, longitude_deg: ArrayLike) -> Floats:
    """Angle of the sun from the south (or north) line through a place [31].

    Parameters
    ----------
    middle : array_like of datetime64
        Instants in UTC.
    longitude_deg : array_like
        Degrees east of Greenwich, -180 to 180.

    Returns
    -------
    ndarray
        Hour angle [rad], -pi to pi; negative before noon.

    Raises
    ------
    ValueError
        `middle` is not datetime64, or a longitude lies outside the range.
    """
    day, hour = solar_time(middle, longitude_deg)
    angle = np.pi / 12.0 * (hour + equation_of_time(day) - 12.0)
    return np.mod(angle + np.pi, 2.0 * np.pi) - np.pi


def sun_height(latitude_rad: ArrayLike, middle: ArrayLike, longitude_deg: ArrayLike) -> Floats:
    """Height of the sun above the horizon, without refraction (ASCE-EWRI 2005).

    With the short formula of the declination [24] it is up to 1.2 degrees off an almanac, most
    around the equinox of September.

    Parameters
    ----------
    latitude_rad : array_like
        Latitude, south negative [rad], -pi/2 to pi/2.
    middle : array_like of datetime64
        Instants in UTC.
    longitude_deg : array_like
        Degrees east of Greenwich, -180 to 180.

    Returns
    -------
    ndarray
        Height [rad], negative below the horizon.

    Raises
    ------
    ValueError
        `middle` is not datetime64, or a number lies outside its range.
    """
    latitude = within("latitude_rad", latitude_rad, LATITUDE)
    decl = formulas.declination(solar_time(middle, longitude_deg)[0])
    cosine = np.cos(hour_angle(middle, longitude_deg))
    sine = np.sin(latitude) * np.sin(decl) + np.cos(latitude) * np.cos(decl) * cosine
    height: Floats = np.arcsin(np.minimum(np.maximum(sine, -1.0), 1.0))
    return height


def extraterrestrial_of_hour(
    latitude_rad: ArrayLike, middle: ArrayLike, longitude_deg: ArrayLike
) -> Floats:
    """Sunlight above the atmosphere in an hour [28 to 30].

    Of the hours in which the sun rises or sets only the lit part counts.

    Parameters
    ----------
    latitude_rad : array_like
        Latitude, south negative [rad], -pi/2 to pi/2.
    middle : array_like of datetime64
        Middle of each hour, in UTC.
    longitude_deg : array_like
        Degrees east of Greenwich, -180 to 180.

    Returns
    -------
    ndarray
        Ra [MJ/m2/h]; 0 by night.

    Raises
    ------
    ValueError
        `middle` is not datetime64, or a number lies outside its range.
    """
    latitude = within("latitude_rad", latitude_rad, LATITUDE)
    day = solar_time(middle, longitude_deg)[0]
    decl = formulas.declination(day)
    sunset = formulas.sunset_angle(latitude, decl)
    angle = hour_angle(middle, longitude_deg)
    still, turning = np.sin(latitude) * np.sin(decl), np.cos(latitude) * np.cos(decl)
    height: Floats = np.zeros(())
    # An hour across midnight touches the light of two days where the sun does not set.
    for turn in (-2.0 * np.pi, 0.0, 2.0 * np.pi):
        begin = np.minimum(np.maximum(angle + turn - np.pi / 24.0, -sunset), sunset)
        end = np.minimum(np.maximum(angle + turn + np.pi / 24.0, -sunset), sunset)
        height = height + (end - begin) * still + turning * (np.sin(end) - np.sin(begin))
    constant = 12.0 * 60.0 / np.pi * formulas.SOLAR_CONSTANT
    return np.maximum(constant * formulas.nearness(day) * height, 0.0)


def share_by_hours(
    rs: ArrayLike,
    rso: ArrayLike,
    height_rad: ArrayLike,
    *,
    until_known: float = NIGHT_SHARE,
    cloud_floor: float = CLOUD_FLOOR,
) -> Floats:
    """Share of clear-sky radiation in each hour of a row, carried through low sun and night.

    While the sun stands at least `LOW_SUN` high the share is read; after that the last one that
    was read holds, for `CARRIED_AT_MOST` hours; where there is none, `until_known` does.

    Parameters
    ----------
    rs, rso : array_like
        Sunlight on the ground, and on a clear day [MJ/m2/h], 0 to 5.5; hours on end along the last
        axis.
    height_rad : array_like
        Height of the sun in the middle of the hour [rad], -pi/2 to pi/2.
    until_known : float
        Share before any was read; 0.4 to 0.6 in humid and 0.7 to 0.8 in dry climates (from memory);
        0 to 1.
    cloud_floor : float
        Least share: 0.3 as ASCE-EWRI (2005); 0 for FAO-56 to the letter; 0 to 1.

    Returns
    -------
    ndarray
        Share [fraction], `cloud_floor` to 1. An hour of high sun in which rs or rso is unknown is
        NaN; it is passed over in what is carried.

    Raises
    ------
    ValueError
        A number lies outside its range, or there is no axis of hours.
    """
    start = float(within("until_known", until_known, (0.0, 1.0, "")))
    floor = float(within("cloud_floor", cloud_floor, (0.0, 1.0, "")))
    light, clear, height = np.broadcast_arrays(
        within("rs", rs, RADIATION_HOUR),
        within("rso", rso, RADIATION_HOUR),
        within("height_rad", height_rad, LATITUDE),
    )
    if not light.ndim:
        raise ValueError("rs, rso and height_rad must hold a row of hours, not a single one")
    share = formulas.share_of_clear(light, clear, floor)
    high = height >= LOW_SUN
    here = np.arange(light.shape[-1])
    read = np.where(high & ~np.isnan(share), here, -CARRIED_AT_MOST - 1)
    last = np.maximum.accumulate(read, axis=-1)
    before = np.take_along_axis(share, np.maximum(last, 0), axis=-1)
    carried = np.where(here - last <= CARRIED_AT_MOST, before, max(start, floor))
    return np.where(np.isnan(height), np.nan, np.where(high, share, carried))

"""When frost comes and goes, as chances from past years.

A year is halved: its autumn half begins on 1 August, its spring half on 1 February, and south of
the equator the other way round. So each winter has one first and one last frost. A day of a half
is a number counted from 1 August or from 1 March; counting from 1 March leaves the leap day no
power over the days that come after it. NaN is unknown, and infinity is *no frost in that half*.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from advisor.turf.ranges import AIR, FRACTION, Floats, within

Dates = NDArray[np.datetime64]

FREEZE_C = 0.0

AUTUMN = "autumn"
SPRING = "spring"

SEASONS_AT_LEAST = 5
"""Fewer say nothing; judgement."""
UNKNOWN_DAYS_AT_MOST = 10
"""Unknown days with which a half still counts; judgement."""
MARGIN_DAYS = 14
"""So much before the earliest and after the latest known frost, an unknown day hides none."""

_AUGUST, _MARCH = 8, 3
_ROUNDING = 1e-9


@dataclass(frozen=True)
class FrostRecord:
    """The deciding frost of each past half year: autumn's first or spring's last.

    Attributes
    ----------
    season : str
        "autumn" or "spring".
    years : ndarray of int, shape (seasons,)
        Calendar year in which each half that counts began.
    low, high : ndarray, shape (seasons,)
        The frost's day lies between them [d from 1 August or 1 March]; they differ only where an
        unknown day may hide a frost. A half without frost is inf in autumn and -inf in spring.
    """

    season: str
    years: NDArray[np.int64]
    low: Floats
    high: Floats


def day_in_half(days: ArrayLike, season: str, southern: bool = False) -> Floats:
    """Number of each date in its half year, NaN where it lies in the other half.

    Parameters
    ----------
    days : array_like of datetime64[D] or date
        Dates.
    season : str
        "autumn" or "spring".
    southern : bool
        Whether the place lies south of the equator.

    Returns
    -------
    ndarray
        Days from 1 August or 1 March [d], -29 to 183, or NaN.
    """
    dates = np.asarray(days, dtype="datetime64[D]")
    anchor_month = _anchor(season, southern)
    first_month = 8 if anchor_month == _AUGUST else 2
    months = dates.astype("datetime64[M]").astype(np.int64)
    # Years that begin with the half: January belongs to the August before it.
    year = (months - (first_month - 1)) // 12
    anchor = (year * 12 + anchor_month - 1).astype("datetime64[M]").astype("datetime64[D]")
    inside = (months - (first_month - 1)) % 12 < 6
    count = (dates - anchor).astype(np.float64)
    return np.where(inside, count, np.nan)


def autumn_day(days: ArrayLike, southern: bool = False) -> Floats:
    """Number of each date in its autumn half, or in the coming one: spring days are below it.

    Parameters and unit are those of `day_in_half`; -212 to 183.
    """
    dates = np.asarray(days, dtype="datetime64[D]")
    inside = day_in_half(dates, AUTUMN, southern)
    anchor_month = _anchor(AUTUMN, southern)
    months = dates.astype("datetime64[M]").astype(np.int64)
    year = -((anchor_month - 1 - months) // 12)
    coming = (year * 12 + anchor_month - 1).astype("datetime64[M]").astype("datetime64[D]")
    return np.where(np.isnan(inside), (dates - coming).astype(np.float64), inside)


def frost_record(
    days: ArrayLike,
    tmin_c: ArrayLike,
    threshold_c: float,
    season: str,
    southern: bool = False,
) -> FrostRecord:
    """First autumn or last spring day whose lowest temperature reached a threshold, year by year.

    The day is the definition of the NOAA climate normals (from memory: a minimum at or below 36,
    32 or 28 F), the halves are ours. A half with more than ten unknown days does not count, and so
    neither does one that is still running. In one that counts, an unknown day may have been the
    deciding frost, and widens the bounds, unless it lies more than 14 days outside the span of all
    known frosts of the season (judgement); without any known frost every unknown day may hide one.

    Parameters
    ----------
    days : array_like of datetime64[D] or date, shape (n,)
        Dates, growing; a date that is left out is an unknown day.
    tmin_c : array_like, shape (n,)
        Lowest temperature of each [C], -90 to 60; NaN is unknown.
    threshold_c : float
        Frost is a minimum at or below it [C], -90 to 60.
    season : str
        "autumn" or "spring".
    southern : bool
        Whether the place lies south of the equator.

    Returns
    -------
    FrostRecord

    Raises
    ------
    ValueError
        A number lies outside its range, the dates do not grow, or there is no such season.
    """
    lowest = within("tmin_c", tmin_c, AIR)
    limit = float(within("threshold_c", threshold_c, AIR))
    dates = np.asarray(days, dtype="datetime64[D]")
    if (
        dates.ndim != 1
        or dates.shape != lowest.shape
        or (np.diff(dates) <= np.timedelta64(0)).any()
    ):
        raise ValueError("days must be growing dates, with one tmin_c for each")
    number = day_in_half(dates, season, southern)
    years, table, first = _fold(dates, number, lowest, season, southern)
    frost = table <= limit + _ROUNDING
    unknown = np.isnan(table)
    counts = unknown.sum(axis=1) <= UNKNOWN_DAYS_AT_MOST
    years, frost, unknown = years[counts], frost[counts], unknown[counts]
    where = np.flatnonzero(frost.any(axis=0))
    if where.size:
        columns = np.arange(table.shape[1])
        unknown &= (columns >= where[0] - MARGIN_DAYS) & (columns <= where[-1] + MARGIN_DAYS)
    known, perhaps = (_deciding(held, season) + first for held in (frost, frost | unknown))
    low, high = (perhaps, known) if season == AUTUMN else (known, perhaps)
    return FrostRecord(season, years, low, high)


def frost_day(record: FrostRecord, risk: ArrayLike) -> tuple[Floats, Floats]:
    """Day at which a share of years still sees frost on the wrong side of it, as bounds.

    In autumn frost comes on or before it with the chance `risk`; in spring it comes again on or
    after it with that chance. So 0.1 is the safe date of both, and 0.5 the median. The seasons are
    ranked, the i-th of n stands for i / (n + 1) (Weibull's plotting position), and between two
    ranks the day is interpolated; beyond the outermost it is the outermost. Halves without frost
    rank last, so where too few have one the answer is infinite. Fewer than five: NaN.

    Parameters
    ----------
    record : FrostRecord
        Past seasons.
    risk : array_like
        Chance [fraction], 0 to 1.

    Returns
    -------
    low, high : ndarray, shape of risk
        Bounds of the day [d from 1 August or 1 March]; inf (autumn) or -inf (spring) is none.
    """
    chance = within("risk", risk, FRACTION)
    if record.years.size < SEASONS_AT_LEAST:
        nothing = np.full(chance.shape, np.nan)
        return nothing, nothing
    if record.season == AUTUMN:
        return ranked(record.low, chance), ranked(record.high, chance)
    # In spring the last frost is the first one of a year that runs backwards.
    return -ranked(-record.low, chance), -ranked(-record.high, chance)


def frost_chance(record: FrostRecord, day: ArrayLike) -> tuple[Floats, Floats]:
    """Chance that autumn's first frost has come by a day, or that spring's last is still to come.

    A new season is as likely to fall into any of the n + 1 gaps between n past ones, so the chance
    lies between k / (n + 1) and (k + 1) / (n + 1) where k seasons had frost by the day. It is
    never 0 or 1 for sure, and less sure with fewer years. Fewer than five: 0 to 1.

    Parameters
    ----------
    record : FrostRecord
        Past seasons.
    day : array_like
        Day of the season's half [d from 1 August or 1 March]; NaN is unknown.

    Returns
    -------
    low, high : ndarray, shape of day
        Bounds of the chance [fraction] that first frost came on or before the day (autumn), or
        that frost comes on or after it (spring); NaN where the day is.
    """
    when = np.asarray(day, dtype=np.float64)
    n = record.years.size
    if n < SEASONS_AT_LEAST:
        low, high = np.zeros(when.shape), np.ones(when.shape)
    elif record.season == AUTUMN:
        low = (record.high <= when[..., None]).sum(axis=-1) / (n + 1)
        high = ((record.low <= when[..., None]).sum(axis=-1) + 1) / (n + 1)
    else:
        low = (record.low >= when[..., None]).sum(axis=-1) / (n + 1)
        high = ((record.high >= when[..., None]).sum(axis=-1) + 1) / (n + 1)
    unknown = np.isnan(when)
    return np.where(unknown, np.nan, low), np.where(unknown, np.nan, high)


def _anchor(season: str, southern: bool) -> int:
    """Month from whose first day the days of a season's half are counted."""
    if season not in (AUTUMN, SPRING):
        raise ValueError(f"season must be {AUTUMN} or {SPRING}, not {season}")
    return _AUGUST if (season == AUTUMN) != southern else _MARCH


def _fold(
    dates: Dates, number: Floats, lowest: Floats, season: str, southern: bool
) -> tuple[NDArray[np.int64], Floats, int]:
    """Halves as rows, their days as columns, and the number of the first column.

    Absent days are unknown; the 29 February of a common year is no day, so it holds infinity.
    """
    august = _anchor(season, southern) == _AUGUST
    first, last = (0, 183) if august else (-29, 152)
    inside = ~np.isnan(number)
    calendar = dates.astype("datetime64[Y]").astype(np.int64) + 1970
    january = dates.astype("datetime64[M]").astype(np.int64) % 12 == 0
    start = (calendar - (august & january))[inside]
    if not start.size:
        return np.empty(0, np.int64), np.empty((0, last - first + 1)), first
    years = np.arange(start.min(), start.max() + 1)
    table = np.full((years.size, last - first + 1), np.nan)
    table[start - years[0], number[inside].astype(np.int64) - first] = lowest[inside]
    if not august:
        leap = (years % 4 == 0) & ((years % 100 != 0) | (years % 400 == 0))
        table[~leap, 0] = np.inf
    return years, table, first


def _deciding(frost: NDArray[np.bool_], season: str) -> Floats:
    """Column of the first (autumn) or last (spring) frost of each row."""
    if season == AUTUMN:
        return np.where(frost.any(axis=1), frost.argmax(axis=1), np.inf)
    last = frost.shape[1] - 1 - frost[:, ::-1].argmax(axis=1)
    return np.where(frost.any(axis=1), last, -np.inf)


def ranked(sample: Floats, chance: Floats) -> Floats:
    """Quantile of a sample that may hold infinity, by Weibull's plotting position.

    The i-th of n stands for i / (n + 1): the chance that a new one lies below it. Beyond the
    outermost it is the outermost. `sample` has the shape (n,), n at least 1; NaN where chance is.
    """
    ranked = np.sort(sample)
    place = np.clip(chance * (ranked.size + 1) - 1, 0, ranked.size - 1)
    unknown = np.isnan(place)
    place = np.where(unknown, 0.0, place)
    below = np.floor(place).astype(np.int64)
    above = np.ceil(place).astype(np.int64)
    # Without this, infinity less infinity would be no number.
    share = place - below
    with np.errstate(invalid="ignore"):
        between = ranked[below] + share * (ranked[above] - ranked[below])
    out = np.where(share > 0, np.where(np.isinf(ranked[above]), np.inf, between), ranked[below])
    return np.where(unknown, np.nan, out)

"""The root zone of one lawn, as two paths that hold the truth between them.

How wet the soil was on the first day is not known, and neither is rain that a gauge or service
missed or water that was perhaps given. So the balance runs twice: the *wet* path takes the most
water that is possible, the *dry* path the least. They meet at the first soaking rain, and from
then on the depletion is known.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.daily import Daily
from advisor.conditions.grass import CODE, limits_of, states, warmth
from advisor.conditions.journal_days import newly_seeded, sightings
from advisor.site.lawns import Lawn
from advisor.site.sums import Sums
from advisor.turf.grasses import turfgrass
from advisor.turf.water import (
    AVAILABLE_WATER,
    CURVE_NUMBERS,
    DORMANT_COEFFICIENT,
    HYDROLOGIC_GROUP,
    RootZone,
    balance,
    crop_coefficients,
    total_available,
)

Floats = NDArray[np.float64]

WET, DRY = 0, 1

MOST_USE = 10.0
"""Bound on a day's water use where the weather is unknown [mm]; above any summer day's ET0 here."""


@dataclass(frozen=True)
class Water:
    """Daily water of one lawn. Arrays of shape (2, days) hold the wet and the dry path."""

    depletion: Floats
    stress_line: Floats
    runoff: Floats
    drainage: Floats
    states: NDArray[np.int8]
    """State codes of shape (days,); -1 where the two paths disagree or nothing can be told."""
    use: Floats
    total: float


def root_zone(lawn: Lawn) -> RootZone:
    """The root zone that a lawn's soil, roots and cover make."""
    field_capacity, wilting_point = AVAILABLE_WATER[lawn.soil]
    return RootZone(
        field_capacity=field_capacity,
        wilting_point=wilting_point,
        root_depth_m=lawn.roots_m,
        p_table=turfgrass(lawn.grass).p_table.value,
        curve_number=CURVE_NUMBERS[HYDROLOGIC_GROUP[lawn.soil]][lawn.cover],
    )


def rain_with_gauge(
    daily: Daily, lawn: Lawn, sums: Sums
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Least and most rain of each day [mm] and whether the owner's gauge measured it.

    A gauge line is the rain since the last one: the service's days in between are scaled to it;
    where the service saw none, the rain is laid on the last day. What is read today cannot hold
    what is still to fall, so today keeps its forecast, and at least what the gauge adds. A line
    that reaches back before the series is left aside: nobody knows which part of it is here.
    """
    low, high = daily.rain_low.copy(), daily.rain_high.copy()
    measured = np.zeros(len(low), dtype=bool)
    index = {day: i for i, day in enumerate(daily.days)}
    for first, last, amount in sums.gauge_readings(lawn.name):
        if first not in index or last not in index or index[last] > daily.today:
            continue
        span = [index[day] for day in _days(first, last) if index[day] < daily.today]
        if not span:
            low[daily.today] = max(low[daily.today], amount)
            high[daily.today] = max(high[daily.today], amount)
            continue
        seen = low[span]
        share = seen / seen.sum() if seen.sum() > 0 else np.eye(len(span))[-1]
        low[span] = high[span] = amount * share
        measured[span] = True
    return low, high, measured


def _days(first: date, last: date) -> list[date]:
    return [first + timedelta(n) for n in range((last - first).days + 1)]


def water(
    daily: Daily,
    lawn: Lawn,
    sums: Sums,
    et0: Floats,
    soil_10cm: Floats,
    planned_mm: Floats,
    perhaps_mm: Floats,
    southern: bool = False,
) -> Water:
    """Run the balance of one lawn on both paths.

    `et0` [mm/d]; `planned_mm` is water that the plan gives on each day, `perhaps_mm` water that
    was advised and not answered: the wet path counts it, the dry one does not. `southern`: south of
    the equator, where the months of the coefficients are the other way round.
    """
    zone = root_zone(lawn)
    rain_low, rain_high, _ = rain_with_gauge(daily, lawn, sums)
    logged = sums.irrigation(lawn.name, daily.days) + planned_mm
    rain = np.stack([rain_high, rain_low])
    irrigation = np.stack([logged + perhaps_mm, logged])
    months = np.array([day.month - 1 for day in daily.days])
    usual = np.asarray(crop_coefficients(lawn.grass_class, southern=southern))[months]
    growing = lawn.water_factor * usual
    start = np.array([0.0, total_available(zone.field_capacity, zone.wilting_point, lawn.roots_m)])
    seen = sightings(sums, lawn.name, daily.days)
    new = newly_seeded(sums, lawn.name, daily.days)
    warm = warmth(limits_of(lawn.grass), soil_10cm, daily.air_max, seen)
    use_bounds = np.array([[0.0], [MOST_USE * max(1.0, lawn.water_factor)]])

    def run(coefficients: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        use = np.where(np.isnan(et0), use_bounds, coefficients * et0)
        done = balance(zone, start_depletion=start, water_use=use, rain=rain, irrigation=irrigation)
        return (
            done.depletion_morning, done.readily_available, done.runoff, done.drainage, use,
        )  # fmt: skip

    def state_of(depletion: Floats, line: Floats) -> NDArray[np.int8]:
        return np.stack([
            states(warm, depletion[p], line[p], start[DRY], seen, new)
            for p in (WET, DRY)
        ])  # fmt: skip

    # Dormant grass uses little water, and whether it is dormant depends on water: a first run
    # with the growing coefficients finds the dormant days, a second one uses less on them.
    depletion, line, *_ = run(np.broadcast_to(growing, rain.shape))
    dormant = np.isin(state_of(depletion, line), [CODE["winter-dormant"], CODE["summer-dormant"]])
    # Where the paths differ in that, the wet one takes the lesser use and the dry one the greater,
    # so that they go on holding the truth between them.
    asleep = np.minimum(DORMANT_COEFFICIENT, growing)
    coefficients = np.sort(np.where(dormant, asleep, growing), axis=0)
    depletion, line, runoff, drainage, use = run(coefficients)
    both = state_of(depletion, line)
    return Water(
        depletion=depletion,
        stress_line=line,
        runoff=runoff,
        drainage=drainage,
        states=np.where(both[WET] == both[DRY], both[WET], np.int8(-1)),
        use=use,
        total=float(start[DRY]),
    )


def days_to_stress(water: Water) -> tuple[Floats, Floats]:
    """From each day, how many days until the grass begins to lack water, shape (days,) each.

    Without any water but the expected rain and what is planned: at the soonest on the dry path, at
    the latest on the wet one; 0 where it lacks water already. Where a path does not come to it on
    the axis, the soonest is the end of the axis, and the latest is open (infinite).
    """
    lacks = water.depletion > water.stress_line
    days = lacks.shape[1]
    here = np.arange(days)
    first = np.minimum.accumulate(np.where(lacks, here, days)[:, ::-1], axis=1)[:, ::-1]
    away = (first - here).astype(np.float64)
    latest = np.where(first[WET] < days, away[WET], np.inf)
    return away[DRY], np.maximum(away[DRY], latest)

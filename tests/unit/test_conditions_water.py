"""The root zone between a wet and a dry path: what they must hold, and what the gauge changes."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from plan_cases import AHEAD, NOW, TODAY, ZONE, files, lawn, weather

from advisor.conditions.daily import RAIN_MOST, Daily, daily
from advisor.conditions.facts import lawn_facts
from advisor.conditions.place import reference_et
from advisor.conditions.site_weather import site_weather
from advisor.conditions.soil import Soil, Surface
from advisor.conditions.table import Table
from advisor.conditions.water import DRY, WET, Water, rain_with_gauge, root_zone, water
from advisor.series.hourly import Series
from advisor.site.load import SiteFiles
from advisor.site.sums import sums

Floats = NDArray[np.float64]


def days_of(series: Series) -> Daily:
    found = daily(series, ZoneInfo(ZONE), NOW)
    assert found is not None
    return found


def run(
    series: Series,
    read: SiteFiles | None = None,
    planned: Mapping[int, float] | None = None,
    perhaps: Mapping[int, float] | None = None,
) -> Water:
    """The balance of the first lawn; water by day from today on [mm]."""
    read = read or files()
    assert read.site is not None
    days = days_of(series)
    et0 = reference_et(days, read.site.place.latitude, read.site.place.elevation_m).values
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)

    def given_on(water_by_day: Mapping[int, float] | None) -> Floats:
        out = np.zeros(len(days.days))
        for day, mm in (water_by_day or {}).items():
            out[days.today + day] = mm
        return out

    return water(
        days,
        read.site.lawns[0],
        counted,
        et0,
        Soil.under(days, Surface.under(days, 40.0, 150.0), 0.42e-6).at(0.10)[0],
        given_on(planned),
        given_on(perhaps),
    )


def table_of(series: Series, read: SiteFiles | None = None) -> Table:
    read = read or files()
    assert read.site is not None
    shared = site_weather(series, read.site, NOW)
    assert shared is not None
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)
    return lawn_facts(shared, read.site, read.site.lawns[0], counted).table


def journal(*lines: tuple[int, str]) -> SiteFiles:
    """A site whose journal has lines on days counted from today, all for the lawn `front`."""
    dated = [f"{TODAY + timedelta(day)} front {text}" for day, text in lines]
    return files(journal="\n".join(["journal from 2026-01-01", *dated]) + "\n")


def test_first_morning_is_unknown():
    """On the first morning the root zone may be full or empty, and no more is claimed."""
    found = run(weather())
    assert found.depletion[WET][0] == 0
    assert found.depletion[DRY][0] == found.total
    # Clay loam of 6 in holds 0.16 m3/m3 between the two limits (AquaCrop's default soils).
    assert found.total == pytest.approx(0.16 * 152.4)


def test_soaking_rain_makes_the_depletion_known():
    """After rain that fills the root zone both paths are one, and stay so."""
    found = run(weather(rain={-10: 60.0}))
    assert found.depletion[WET][18] < found.depletion[DRY][18]
    assert np.array_equal(found.depletion[WET][21:], found.depletion[DRY][21:])
    assert found.depletion[WET][21] == 0
    assert found.depletion[WET][-1] > 5


def test_light_rain_leaves_it_unknown():
    """A shower does not fill an empty root zone, so the paths stay apart."""
    found = run(weather(rain={-2: 4.0}))
    assert found.depletion[WET][-1] < found.depletion[DRY][-1]


def test_missing_rain_parts_the_paths():
    """A day of unknown rain makes the depletion unknown until it rains enough again."""
    series = weather(rain={-20: 60.0, -6: 60.0, 1: 60.0})
    found = run(series)
    assert np.array_equal(found.depletion[WET][25:], found.depletion[DRY][25:])
    gap = run(with_missing(series, {-3: 12}))
    assert gap.depletion[WET][28] == 0
    assert gap.depletion[DRY][28] == found.depletion[DRY][28] > 5
    assert np.array_equal(gap.depletion[WET][32:], gap.depletion[DRY][32:])


def test_unknown_evapotranspiration_parts_the_paths():
    """Without temperatures a day may have used nothing or as much as a summer's day."""
    found = run(weather(rain={-10: 60.0}, air_temp={-5: np.nan}))
    assert found.use[WET][25] == 0
    assert found.use[DRY][25] == 10
    assert found.depletion[WET][26] < found.depletion[DRY][26]


def test_planned_water_counts_for_both_paths():
    """Water that the plan gives fills both paths; water perhaps given only the wet one."""
    series = weather(rain={-20: 60.0})
    plain, planned = run(series), run(series, planned={0: 10.0})
    assert np.all(planned.depletion[:, 31] < plain.depletion[:, 31] - 5)
    perhaps = run(series, perhaps={0: 10.0})
    assert perhaps.depletion[WET][31] == planned.depletion[WET][31]
    assert perhaps.depletion[DRY][31] == plain.depletion[DRY][31]


def test_logged_water_counts():
    """A line `watered` is water of that day on both paths."""
    series = weather(rain={-20: 60.0})
    logged = run(series, journal((-2, "watered 10 mm")))
    assert np.all(logged.depletion[:, 29] < run(series).depletion[:, 29] - 5)


def test_gauge_replaces_the_services_rain():
    """Between two gauge lines the service's days are scaled to what the gauge held."""
    read = journal((-6, "rain 0 mm"), (-2, "rain 30 mm"))
    days = days_of(weather(rain={-5: 5.0, -3: 15.0, -1: 7.0}))
    assert read.site is not None
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)
    low, high, measured = rain_with_gauge(days, read.site.lawns[0], counted)
    at = days.today
    assert low[at - 5 : at - 1].tolist() == pytest.approx([7.5, 0, 22.5, 0])
    assert low[: at - 1].tolist() == pytest.approx(high[: at - 1].tolist())
    assert measured[at - 5 : at - 1].all()
    assert not measured[at - 1 :].any()
    assert low[at - 1] == 7, "what fell after the last line is the service's to tell"


def test_gauge_where_the_service_saw_nothing():
    """Rain that only the gauge saw is laid on the day on which it was read."""
    read = journal((-6, "rain 0 mm"), (-2, "rain 12 mm"))
    found = table_of(weather(), read).number("rain")
    assert found.low[26:31].tolist() == [0, 0, 12, 0, 0]
    assert found.origin(28) == "your gauge"
    assert found.origin(29).startswith("past weather")


def test_dry_gauge_takes_rain_back():
    """A gauge that held nothing overrules rain that the service saw."""
    read = journal((-6, "rain 0 mm"), (-2, "rain 0 mm"))
    assert table_of(weather(rain={-3: 20.0}), read).number("rain").high[24:29].max() == 0


def test_gauge_of_this_morning_leaves_the_forecast():
    """A gauge read today cannot have measured the rain that is forecast for tonight."""
    read = journal((-3, "rain 0 mm"), (0, "rain 0 mm"))
    rain = table_of(weather(rain_at={(0, 20): 30.0}), read).number("rain")
    assert rain.high[30] >= 30


def test_gauge_older_than_the_series():
    """What a gauge gathered before the series begins is not laid on the days that it has."""
    read = journal((-100, "rain 0 mm"), (-29, "rain 90 mm"))
    rain = table_of(weather(), read).number("rain")
    assert rain.low[:2].sum() < 90


def test_roots_hold_what_the_soil_gives():
    """Deeper roots hold more, and lawns of the same soil shed the same share of rain."""
    shallow = files(lawn(more='roots = "3 in"')).site
    deep = files(lawn(more='roots = "6 in"')).site
    assert shallow is not None
    assert deep is not None
    assert root_zone(deep.lawns[0]).total == pytest.approx(2 * root_zone(shallow.lawns[0]).total)
    assert root_zone(deep.lawns[0]).curve_number == 74  # TR-55, group C, good cover


def with_missing(series: Series, hours: Mapping[int, int], fill: float = np.nan) -> Series:
    """A series in which an hour of each given day (counted from today) lacks its rain."""
    rain = series.column("rain").copy()
    for day, hour in hours.items():
        rain[(len(rain) // 24 - AHEAD + day) * 24 + hour] = fill
    return Series(series.start, {**series.columns, "rain": rain}, series.source)


PAST_LONG = 75
# Shrinking a season takes longer than all of these tests together.
seasons = settings(max_examples=40, deadline=None, phases=(Phase.explicit, Phase.generate))
by_day = st.dictionaries(st.integers(-PAST_LONG, AHEAD - 1), st.floats(0.5, 40), max_size=12)


def hot_weather(rain: Mapping[int, float], air: float) -> Series:
    """A long, bright season, in which a lawn may well go dormant."""
    return weather(past=PAST_LONG, rain=rain, air_temp=air, soil_temp_6=20.0)


@seasons
@given(by_day, st.sampled_from([18.0, 28.0, 34.0]), st.sampled_from(["tall-fescue", "zoysiagrass"]))
def test_wet_path_is_never_the_drier(rain: Mapping[int, float], air: float, grass: str):
    """Whatever falls, the path of the most water lacks no more than the path of the least."""
    found = run(hot_weather(rain, air), files(lawn(grass=grass)))
    assert np.all(found.depletion[WET] <= found.depletion[DRY] + 1e-9)


@seasons
@given(
    by_day,
    st.dictionaries(st.integers(-PAST_LONG, AHEAD - 1), st.floats(0, 30), min_size=1, max_size=6),
    st.sampled_from([18.0, 34.0]),
)
def test_bounds_hold_any_filling(rain: Mapping[int, float], gaps: Mapping[int, float], air: float):
    """However the missing hours are filled, the truth lies between the two paths."""
    series = hot_weather(rain, air)
    unknown = run(with_missing(series, dict.fromkeys(gaps, 13)))
    filled = series
    for day, mm in gaps.items():
        filled = with_missing(filled, {day: 13}, fill=mm)
    known = run(filled)
    assert np.all(unknown.depletion[WET] <= known.depletion[WET] + 1e-9)
    assert np.all(unknown.depletion[DRY] >= known.depletion[DRY] - 1e-9)


@seasons
@given(by_day, st.dictionaries(st.integers(-10, 6), st.floats(1, 40), min_size=1, max_size=4))
def test_perhaps_water_only_widens(rain: Mapping[int, float], perhaps: Mapping[int, float]):
    """Water that was perhaps given moves no bound inward."""
    series = hot_weather(rain, 30.0)
    plain, wide = run(series), run(series, perhaps=perhaps)
    assert np.all(wide.depletion[WET] <= plain.depletion[WET] + 1e-9)
    assert np.all(wide.depletion[DRY] >= plain.depletion[DRY] - 1e-9)


def test_unknown_rain_is_bounded():
    """Rain that is missing for a day is between what was seen and more than ever falls."""
    rain = table_of(with_missing(weather(rain={-3: 2.0}), {-3: 12})).number("rain")
    assert (rain.low[27], rain.high[27]) == (2.0, RAIN_MOST)

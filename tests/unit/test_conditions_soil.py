"""Soil of a lawn: layers, the estimate without them, the owner's thermometer, and what is said."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_cases import NOW, PAST, TODAY, ZONE, decide, files, weather

from advisor.conditions.daily import Daily, daily
from advisor.conditions.facts import lawn_facts
from advisor.conditions.site_weather import site_weather
from advisor.conditions.soil import Reading, Soil, Surface, readings_of
from advisor.conditions.table import Table
from advisor.series.hourly import Series
from advisor.series.quantity import Written
from advisor.site import facts as journal
from advisor.site.load import SiteFiles
from advisor.site.sums import sums
from advisor.turf.heat_conduction import soil_from_surface

LAYERS = {"soil_temp_0": 20.0, "soil_temp_6": 14.0, "soil_temp_18": 8.0, "soil_temp_54": 6.0}
NONE = dict.fromkeys(LAYERS)
CLAY = 0.42e-6


def days_of(series: Series) -> Daily:
    found = daily(series, ZoneInfo(ZONE), NOW)
    assert found is not None
    return found


def soil_of(series: Series, *readings: Reading, units: str = "us") -> Soil:
    days = days_of(series)
    return Soil.under(days, Surface.under(days, 40.0, 150.0), CLAY, readings, units)


def table_of(series: Series, read: SiteFiles | None = None) -> Table:
    read = read or files()
    assert read.site is not None
    shared = site_weather(series, read.site, NOW)
    assert shared is not None
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)
    return lawn_facts(shared, read.site, read.site.lawns[0], counted).table


def reads(celsius: float, on: int = 0, depth: float = 0.05, hour: float = float("nan")) -> Reading:
    """A reading `on` days from today."""
    return Reading(TODAY + timedelta(on), celsius, depth, hour)


def test_soil_keeps_true_depths():
    """Between layers the temperature follows the depth in metres, and the origin names both."""
    soil = soil_of(weather(**LAYERS))
    at_10, estimated = soil.at(0.10)
    assert at_10 == pytest.approx(14 - 6 * 4 / 12)
    assert not estimated.any()
    assert soil.at(0.06)[0] == pytest.approx(14.0)
    assert soil.at(0.03)[0] == pytest.approx(17.0)
    assert "model soil at 6 and 18 cm" in soil.origin(PAST, 0.10)
    assert "model soil at 6 cm" in soil.origin(PAST, 0.06)
    assert "model soil at 0 and 6 cm" in soil.origin(PAST, 0.0508)


def test_soil_over_a_missing_layer():
    """With a layer missing, the nearest ones above and below serve, and are named."""
    soil = soil_of(weather(**{**LAYERS, "soil_temp_6": None}))
    assert soil.at(0.09)[0] == pytest.approx(14.0)
    assert "0 and 18 cm" in soil.origin(PAST, 0.09)


def test_layers_may_stand_in_any_order():
    days = days_of(weather(**LAYERS))
    other = replace(days, soil=days.soil[::-1], soil_depths=days.soil_depths[::-1])
    surface = Surface.under(days, 40.0, 150.0)
    assert Soil.under(other, surface, CLAY).at(0.03)[0] == pytest.approx(17.0)


def test_estimate_is_for_the_depth_asked():
    """Each depth has its own estimate, which is what conduction says; the deeper the steadier."""
    air = np.random.default_rng(4).normal(15, 8, 2000)
    soil = soil_of(weather(air_temp=air[: weather().hours], **NONE))
    for depth in (0.02, 0.10, 0.30):
        values, estimated = soil.at(depth)
        expected = soil_from_surface(soil.surface.mean, depth, CLAY)
        np.testing.assert_array_equal(values, expected)
        assert estimated[10:].all()
        assert np.isnan(values[:10]).all()
    assert np.nanstd(soil.at(0.30)[0]) < np.nanstd(soil.at(0.02)[0])


def test_estimate_goes_on_from_the_last_layer():
    """The day after the layers end it still has three quarters of what they were off it."""
    gone = dict.fromkeys(range(2, 10), np.nan)
    soil = soil_of(weather(**{name: {**gone, 0: 30.0, 1: 30.0} for name in LAYERS}))
    values, estimated = soil.at(0.10)
    alone = soil_from_surface(soil.surface.mean, 0.10, CLAY)
    assert not estimated[: PAST + 2].any()
    assert estimated[PAST + 2 :].all()
    off = values[PAST + 1] - alone[PAST + 1]
    lasting = (values - alone)[PAST + 2 :]
    np.testing.assert_allclose(lasting, off * 0.75 ** np.arange(1, len(lasting) + 1))
    assert soil.origin(PAST + 2, 0.10) == "estimated at 3.9 in by heat conduction from air and sun"
    assert "estimated" not in soil.origin(PAST + 1, 0.10)


def test_layers_of_later_do_not_bend_the_days_before():
    gone = dict.fromkeys(range(-PAST, 0), np.nan)
    with_later = soil_of(weather(**dict.fromkeys(LAYERS, gone)))
    without = soil_of(weather(**NONE))
    np.testing.assert_array_equal(with_later.at(0.10)[0][:PAST], without.at(0.10)[0][:PAST])


def test_no_soil_and_no_air_is_unknown():
    """With neither layers nor air temperature the soil is unknown, not the last value for ever."""
    gone = dict.fromkeys(range(-20, 10), np.nan)
    series = weather(air_temp=gone, **dict.fromkeys(LAYERS, gone))
    assert np.isnan(soil_of(series).at(0.10)[0][-1])


def test_radiation_that_is_not_known_is_told_from_the_air():
    """And it makes the surface warmer than a dark day would."""
    told = soil_of(weather(radiation=None, **NONE)).surface.mean
    dark = soil_of(weather(radiation=0.0, **NONE)).surface.mean
    assert np.all(told > dark)


def test_snow_covers_the_surface():
    frost = soil_of(weather(air_temp=-10.0, snow_depth=0.1, **NONE)).surface.mean
    assert frost == pytest.approx(np.full(len(frost), -2.0))
    bare = soil_of(weather(air_temp=-10.0, snow_depth=None, **NONE)).surface.mean
    assert np.all(bare < -5)


@pytest.mark.parametrize("columns", [NONE, LAYERS])
def test_a_reading_moves_the_soil_toward_it(columns):
    """Warmer or colder than the model at its depth; at every depth and on every day alike."""
    series = weather(**columns)
    alone = soil_of(series).at(0.05)[0]
    for off in (-3.0, 3.0):
        found = soil_of(series, reads(alone[PAST] + off)).at(0.05)[0]
        moved = (found - alone)[10:] / off
        assert np.all((moved > 0) & (moved < 0.5))
        assert moved.argmax() == PAST - 10, "most on its own day"


def test_layers_and_estimate_are_corrected_each_by_its_own_difference():
    """A reading that agrees with the layers leaves them, and mends the estimate that does not."""
    gone = {**dict.fromkeys(range(-PAST, 0), 30.0), **dict.fromkeys(range(5, 10), np.nan)}
    by_day = {**gone, **dict.fromkeys(range(5), 20.0)}
    series = weather(**dict.fromkeys(LAYERS, by_day))
    alone, read = soil_of(series), soil_of(series, reads(20.0))
    assert read.at(0.10)[0][PAST] == pytest.approx(20.0)
    assert read.layers.add == pytest.approx(0)
    expected = 20.0 - soil_from_surface(alone.surface.mean, 0.05, CLAY)[PAST]
    assert 0 < read.estimate.add[PAST] / expected < 1


def test_the_origin_says_what_the_thermometer_did():
    """In the owner's units, with how many and how sure."""
    series = weather(**NONE)
    at = soil_of(series).at(0.05)[0][PAST]
    warm = [reads(at + 3, -20), reads(at + 3, -10), reads(at + 3)]
    metric = soil_of(series, *warm, units="metric")
    added, sd = metric.estimate.add[PAST], metric.estimate.sd[PAST]
    assert metric.origin(PAST, 0.10) == (
        "estimated at 10 cm by heat conduction from air and sun,"
        f" corrected by +{added:.1f} °C from 3 readings of yours, ±{sd:.1f} °C"
    )
    american = soil_of(series, reads(at - 3)).origin(PAST, 0.0508)
    assert "corrected by -" in american and "°F from 1 reading of yours, ±" in american
    assert "estimated at 2 in by" in american
    layered = soil_of(weather(**LAYERS), reads(16.0)).origin(PAST, 0.10)
    assert "18 cm" in layered and "from 1 reading of yours" in layered


def test_what_cannot_be_is_left_out_and_told():
    """18 °C that were written as 64 °C, say."""
    series = weather(**NONE)
    alone = soil_of(series)
    soil = soil_of(series, reads(55.0))
    np.testing.assert_array_equal(soil.at(0.10)[0], alone.at(0.10)[0])
    assert soil.origin(PAST, 0.10).endswith(
        ", 1 reading of yours left out as too far off to be believed"
    )


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 9), st.floats(-40, 60))
def test_readings_of_later_days_do_not_matter(later: int, celsius: float):
    series = weather(**NONE)
    soil = soil_of(series, reads(celsius, later))
    np.testing.assert_array_equal(soil.at(0.10)[0], soil_of(series).at(0.10)[0])
    assert "yours" not in soil.origin(PAST, 0.10)


def test_a_reading_of_a_day_without_weather_is_not_looked_at():
    soil = soil_of(weather(**NONE), reads(20.0, -PAST - 30), reads(20.0, -PAST + 3))
    assert (soil.estimate.used, soil.estimate.left_out) == (0, 0)


def test_the_clock_becomes_the_sun():
    """08:00 by daylight saving time at 79 W is 12:00 UTC, and 6:44 by the sun."""
    line = journal.Soil(Written(54.0, "F"), Written(2.0, "in"), 8 * 60)
    bare = journal.Soil(Written(54.0, "F"), Written(2.0, "in"))
    lines = [(date(2026, 5, 13), line), (date(2026, 5, 14), bare)]
    timed, untimed = readings_of(lines, ZoneInfo("America/New_York"), -79.0)
    assert timed.solar_hour == pytest.approx(12 - 79 / 15)
    assert timed.celsius == pytest.approx(54 / 1.8 - 32 / 1.8)
    assert timed.depth_m == pytest.approx(0.0508)
    assert np.isnan(untimed.solar_hour)


def test_estimate_shows_in_the_table():
    """The table's soil temperature carries the estimate and its origin at any depth asked."""
    table = table_of(weather(**NONE))
    column = table.number("soil_temp", 0.10)
    assert column.known[table.today]
    assert "estimated" in column.origin(table.today)
    with pytest.raises(KeyError):
        table.number("air_max", 0.10)


def test_a_line_of_the_journal_reaches_the_table_and_the_digest():
    """Of that lawn alone."""
    line = f"{TODAY} front soil 68 F at 2 in, 09:00\n"
    read = files(journal="journal from 2026-01-01\n" + line)
    series = weather(**NONE)
    before = table_of(series).number("soil_temp", 0.0508)
    after = table_of(series, read).number("soil_temp", 0.0508)
    assert after.low[PAST] > before.low[PAST]
    shown = next(
        c for c in decide(read, series=series).lawns[0].conditions if c.name == "soil_temp"
    )
    assert "from 1 reading of yours" in shown.origin
    assert shown.estimate

"""Daylight, reference evapotranspiration and soil: which method served, and what is said of it."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from plan_cases import NOW, ZONE, files, weather

from advisor.conditions.daily import Daily, daily
from advisor.conditions.facts import lawn_facts, site_weather
from advisor.conditions.place import HARGREAVES, PENMAN_MONTEITH, reference_et, sun
from advisor.conditions.soil import ESTIMATE, Soil
from advisor.conditions.table import Table
from advisor.series.hourly import Series
from advisor.site.sums import sums
from advisor.turf.air import vapour_pressure_from_dew_point, wind_at_2m
from advisor.turf.evapotranspiration import hargreaves_samani, penman_monteith_daily
from advisor.turf.sun import extraterrestrial_radiation


def days_of(series: Series) -> Daily:
    found = daily(series, ZoneInfo(ZONE), NOW)
    assert found is not None
    return found


def table_of(series: Series) -> Table:
    read = files()
    assert read.site is not None
    shared = site_weather(series, read.site, NOW)
    assert shared is not None
    counted = sums(read.site, read.shelf, read.journal, (), date(2026, 5, 13))
    return lawn_facts(shared, read.site, read.site.lawns[0], counted).table


def test_penman_monteith_where_all_is_known():
    """With all inputs nothing is estimated, on any day."""
    found = reference_et(days_of(weather()), 40.0, 150.0)
    assert np.all((found.values > 1) & (found.values < 10))
    assert {found.origin(day) for day in range(len(found.values))} == {PENMAN_MONTEITH}


@pytest.mark.parametrize(
    ("missing", "said"),
    [
        (["wind"], "wind assumed 2 m/s"),
        (["radiation"], "sunlight estimated from the day's range of temperature"),
        (["dew_point"], "dew point taken from the day's mean humidity"),
        (["dew_point", "humidity"], "dew point taken as the day's lowest temperature"),
        (
            ["radiation", "wind"],
            "sunlight estimated from the day's range of temperature and wind assumed 2 m/s",
        ),
    ],
)
def test_what_is_missing_on_a_day_is_estimated_and_said(missing: list[str], said: str):
    """On the one day without them, and on no other."""
    series = weather(**{name: {2: np.nan} for name in missing})
    days = days_of(series)
    found, whole = reference_et(days, 40.0, 150.0), reference_et(days_of(weather()), 40.0, 150.0)
    there = days.today + 2
    origin = table_of(series).number("et0").origin
    assert origin(there) == f"Penman-Monteith; {said}, not given by the service"
    assert origin(there - 1) == PENMAN_MONTEITH
    assert found.method(there) == "Penman-Monteith"
    others = np.arange(len(days.days)) != there
    np.testing.assert_array_equal(found.values[others], whole.values[others])
    # The made-up weather is mild and ordinary, so estimates stay near what was given.
    assert abs(found.values[there] - whole.values[there]) < 1.5
    assert found.values[there] != whole.values[there]


def test_estimates_are_those_of_fao_56():
    """Wind of 2 m/s at 2 m, humidity by equations 19 and 48, sunlight by equation 50."""
    gone = {name: {2: np.nan} for name in ("dew_point", "humidity", "radiation")}
    days = days_of(weather(**gone))
    at = days.today + 2
    doy = days.days[at].timetuple().tm_yday
    high, low, north = days.air_max[at], days.air_min[at], np.radians(40)
    ra = extraterrestrial_radiation(north, doy)
    expected = penman_monteith_daily(
        air_max=high,
        air_min=low,
        vapour_pressure=vapour_pressure_from_dew_point(low),
        radiation=0.16 * np.sqrt(high - low) * ra,
        wind_2m=wind_at_2m(2.0, 10.0),
        elevation_m=150.0,
        latitude_rad=north,
        day_of_year=doy,
    )
    assert reference_et(days, 40.0, 150.0).values[at] == pytest.approx(expected)
    calm = days_of(weather(wind={2: np.nan}))
    assert reference_et(calm, 40.0, 150.0).values[at] == pytest.approx(
        reference_et(days_of(weather(wind=2.0 / wind_at_2m(1.0, 10.0))), 40.0, 150.0).values[at]
    )


def test_hargreaves_where_only_temperatures_are_known():
    """The origin of the value says so, and so does the next morning's balance."""
    gone = {name: {2: np.nan} for name in ("dew_point", "humidity", "radiation", "wind")}
    series = weather(**gone)
    days = days_of(series)
    found = reference_et(days, 40.0, 150.0)
    at = days.today + 2
    assert np.flatnonzero(found.temperature_only).tolist() == [at]
    ra = extraterrestrial_radiation(np.radians(40), days.days[at].timetuple().tm_yday)
    assert found.values[at] == hargreaves_samani(days.air_max[at], days.air_min[at], ra)
    assert table_of(series).number("et0").origin(at) == HARGREAVES
    balance = table_of(series).number("depletion").origin
    assert "Hargreaves" in balance(at + 1)
    assert "Penman" in balance(at)


def test_no_temperature_no_et0():
    """Without temperatures there is no reference evapotranspiration."""
    days = days_of(weather(air_temp={2: np.nan}))
    assert np.isnan(reference_et(days, 40.0, 150.0).values[days.today + 2])


def test_daylight_turns_at_the_solstice():
    """Days lengthen until about 21 June north of the equator and shorten south of it."""
    days = [date(2026, 5, 1), date(2026, 6, 10), date(2026, 7, 2), date(2026, 12, 31)]
    assert sun(days, 40.0).lengthening.tolist() == [True, True, False, True]
    assert sun(days, -40.0).lengthening.tolist() == [False, False, True, False]
    assert sun(days, 40.0).hours[1] > 14.5


LAYERS = {"soil_temp_0": 20.0, "soil_temp_6": 14.0, "soil_temp_18": 8.0, "soil_temp_54": 6.0}


def test_soil_keeps_true_depths():
    """Between layers the temperature follows the depth in metres, and the origin names both."""
    soil = Soil.under(days_of(weather(**LAYERS)))
    at_10, estimated = soil.at(0.10)
    assert at_10 == pytest.approx(14 - 6 * 4 / 12)
    assert not estimated.any()
    assert soil.at(0.06)[0] == pytest.approx(14.0)
    assert soil.at(0.03)[0] == pytest.approx(17.0)
    today = soil.daily.today
    assert "model soil at 6 and 18 cm" in soil.origin(today, 0.10)
    assert "model soil at 6 cm" in soil.origin(today, 0.06)
    assert "model soil at 0 and 6 cm" in soil.origin(today, 0.0508)


def test_soil_over_a_missing_layer():
    """With a layer missing, the nearest ones above and below serve, and are named."""
    layers = {**LAYERS, "soil_temp_6": None}
    soil = Soil.under(days_of(weather(**layers)))
    assert soil.at(0.09)[0] == pytest.approx(14.0)
    assert "0 and 18 cm" in soil.origin(soil.daily.today, 0.09)


def test_estimate_is_labelled_and_goes_on_from_the_last_known():
    """Where the layers end, the estimate begins at their last value, and says what it is."""
    gone = dict.fromkeys(range(2, 10), np.nan)
    series = weather(air_temp=16.0, **{name: {**gone, 0: 16.0, 1: 16.0} for name in LAYERS})
    soil = Soil.under(days_of(series))
    values, estimated = soil.at(0.10)
    today = soil.daily.today
    assert not estimated[: today + 2].any()
    assert estimated[today + 2 :].all()
    assert values[today + 2 :] == pytest.approx(16.0), "air as warm as the soil leaves it so"
    assert soil.origin(today + 2, 0.10) == ESTIMATE
    assert "estimated" in ESTIMATE
    assert soil.origin(today + 1, 0.10) != ESTIMATE


def test_estimate_moves_toward_the_air():
    """After the layers end at 16 °C, colder air draws the estimate down step by step."""
    gone = dict.fromkeys(range(10), np.nan)
    air = dict.fromkeys(range(10), 4.0)
    soil = Soil.under(days_of(weather(air_temp=air, **dict.fromkeys(LAYERS, gone))))
    values = soil.at(0.10)[0][soil.daily.today - 1 :]
    assert values[0] == pytest.approx(16)
    assert np.all(np.diff(values) < 0)
    assert values.min() > 4


def test_estimate_without_any_layer():
    """A source without soil is estimated from its own start, after days in which it is unknown."""
    series = weather(**dict.fromkeys(LAYERS, None))
    soil = Soil.under(days_of(series))
    values, estimated = soil.at(0.10)
    assert np.isnan(values[:10]).all()
    assert estimated[10:].all()


def test_no_soil_and_no_air_is_unknown():
    """With neither layers nor air temperature the soil is unknown, not the last value for ever."""
    gone = dict.fromkeys(range(-20, 10), np.nan)
    series = weather(air_temp=gone, **dict.fromkeys(LAYERS, gone))
    assert np.isnan(Soil.under(days_of(series)).at(0.10)[0][-1])


def test_estimate_shows_in_the_table():
    """The table's soil temperature carries the estimate and its origin at any depth asked."""
    table = table_of(weather(**dict.fromkeys(LAYERS, None)))
    column = table.number("soil_temp", 0.10)
    assert column.known[table.today]
    assert "estimated" in column.origin(table.today)
    with pytest.raises(KeyError):
        table.number("air_max", 0.10)

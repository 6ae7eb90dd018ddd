"""Frost, growth, weeds and insects as facts: what past years and this year's warmth make."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from past_years import ten_years
from plan_cases import PAST, files, lawn, moment, weather

from advisor.conditions.facts import lawn_facts
from advisor.conditions.frost import NEVER, frost_numbers
from advisor.conditions.growing import growth_years, height_of, nitrogen_pace
from advisor.conditions.place import reference_et
from advisor.conditions.site_weather import site_weather
from advisor.conditions.table import Table
from advisor.conditions.vocabulary import SEEDING, STAGES
from advisor.site.sums import sums
from advisor.site.words import COOL, WARM

SOILS = ("soil_temp_0", "soil_temp_6", "soil_temp_18", "soil_temp_54")

RAIN = {-10: 60.0, -3: 40.0}
"""Soaks the root zone, so that the grass is awake and its water known."""


def dates(first: date, count: int) -> np.ndarray:
    return np.datetime64(first, "D") + np.arange(count)


def table_at(today: date, past: int = PAST, latitude: float = 40.0, **columns: object) -> Table:
    read = files(today=today, latitude=latitude, zone="UTC", journal="journal from 2025-01-01\n")
    assert read.site is not None
    series = weather(today=today, past=past, zone="UTC", **columns)  # type: ignore[arg-type]
    shared = site_weather(series, read.site, moment(today, zone="UTC"), ten_years())
    assert shared is not None
    counted = sums(read.site, read.shelf, read.journal, (), today)
    return lawn_facts(shared, read.site, read.site.lawns[0], counted).table


def word(table: Table, name: str) -> str:
    code = table.words[name].codes[table.today]
    return "unknown" if code < 0 else STAGES[code]


def test_the_chance_of_frost_grows_through_autumn():
    """Nine autumns are known whole, with first frosts on 11 to 19 October. By the 15th five have
    come: of the ten gaps between them, a new one falls into the first five, or the sixth."""
    chance = frost_numbers(dates(date(2026, 10, 1), 40), ten_years(), southern=False)
    autumn = chance["autumn_frost"]
    assert (autumn.low[0], autumn.high[0]) == (0, pytest.approx(1 / 10))
    assert (autumn.low[14], autumn.high[14]) == (pytest.approx(5 / 10), pytest.approx(6 / 10))
    assert (autumn.low[39], autumn.high[39]) == (pytest.approx(9 / 10), 1)


def test_days_to_frost_are_counted_to_an_early_and_a_late_one():
    """The first frost came on the 11th of October at the earliest, on the 19th at the latest."""
    chance = frost_numbers(dates(date(2026, 6, 1), 150), ten_years(), southern=False)
    until = chance["days_to_frost"]
    first = (date(2026, 10, 11) - date(2026, 6, 1)).days
    assert until.low[0] == pytest.approx(first, abs=1)
    assert until.high[0] == pytest.approx(first + 8, abs=1)
    assert until.low[140] == 0


def test_frost_south_of_the_equator_comes_half_a_year_later():
    """The same nights in April: the days to them are counted in February."""
    chance = frost_numbers(dates(date(2026, 2, 10), 100), ten_years(southern=True), southern=True)
    assert 50 < chance["days_to_frost"].low[0] < 75
    assert chance["autumn_frost"].low[-1] > 0.8


def test_without_past_years_frost_is_unknown():
    for column in frost_numbers(dates(date(2026, 10, 1), 3), None, southern=False).values():
        assert np.all(column.low == -np.inf)
        assert column.origin(0)


def test_where_frost_never_comes_it_is_far():
    never = ten_years()
    never.air_min[:] = 8.0
    until = frost_numbers(dates(date(2026, 10, 1), 3), never, southern=False)["days_to_frost"]
    assert until.low.tolist() == [NEVER] * 3


def test_height_grows_from_the_last_mowing():
    """Mown to 3 in; a week of full growth adds at most 1 in (at second hand)."""
    days = [date(2026, 5, 1) + timedelta(n) for n in range(10)]
    column = height_of([(days[1], 0.0762)], np.ones(10), days)
    assert column.low[0] == -np.inf
    assert column.low[1] == column.high[1] == 0.0762
    assert column.low[8] == 0.0762, "drought may have held it back"
    assert column.high[8] - 0.0762 == pytest.approx(0.0254)


def test_a_mowing_without_a_height_makes_it_unknown():
    days = [date(2026, 5, 1) + timedelta(n) for n in range(10)]
    column = height_of([(days[1], 0.0762), (days[5], None)], np.ones(10), days)
    assert column.low[4] > 0
    assert column.low[5] == -np.inf
    assert column.high[9] == np.inf


def test_nitrogen_follows_the_year_s_growth():
    """Warm-season grass grows in the warm half: by the end of March little is used, by the
    end of July more than half; and a leap year's days count like another's."""
    share = growth_years(ten_years())
    days = [date(2028, 3, 31), date(2028, 7, 31), date(2028, 12, 31)]
    warm = nitrogen_pace(share[WARM], 15.0, days).low
    assert warm[0] < 1.0
    assert 7.5 < warm[1] < 11
    assert warm[2] == pytest.approx(15.0)
    at = [date(2028, 2, 28), date(2028, 2, 29), date(2027, 2, 28)]
    feb = nitrogen_pace(share[COOL], 15.0, at).low
    assert feb[0] == feb[1] == feb[2]
    assert nitrogen_pace(share[COOL], 15.0, [date(2028, 3, 1)]).low > feb[0]
    assert nitrogen_pace(None, 15.0, at).low.tolist() == [-np.inf] * 3


def test_weeds_are_told_by_soil_and_by_air_apart():
    """120 days of 12 °C soil from New Year are too cool for crabgrass by the soil's sum (base
    12 °C, Fidanza et al. 1996), while warm air has long passed 200 °F·d (Purdue): they disagree."""
    cold_soil = dict.fromkeys(SOILS, 12.0)
    table = table_at(date(2026, 4, 30), past=130, air_temp=15.0, **cold_soil)
    assert word(table, "crabgrass_by_soil") == "not-yet"
    assert word(table, "crabgrass_by_air") in ("major", "unknown")
    assert word(table, "goosegrass_by_soil") == "not-yet"
    warm = dict.fromkeys(cold_soil, 14.0)
    table = table_at(date(2026, 1, 31), past=40, air_temp=5.0, **warm)
    assert word(table, "crabgrass_by_soil") == "may-begin"
    assert word(table, "crabgrass_by_air") == "not-yet"


def test_a_year_that_is_not_known_from_its_turn_tells_no_sum():
    """Thirty days before May say nothing of how far crabgrass is."""
    table = table_at(date(2026, 5, 30), air_temp=12.0)
    assert word(table, "crabgrass_by_air") == "unknown"
    assert word(table, "billbug") == "unknown"


def test_insects_are_told_by_degree_days_from_their_biofix():
    """Billbugs: first adults at 280 F d above 50 F from 1 March (extension, eastern states)."""
    table = table_at(date(2026, 3, 20), past=40, air_temp=12.0)
    assert word(table, "billbug") == "not-yet"
    table = table_at(date(2026, 4, 10), past=60, air_temp=14.5)
    assert word(table, "billbug") == "may-begin"


def seeding(table: Table, name: str) -> str:
    code = table.words[name].codes[table.today]
    return "unknown" if code < 0 else SEEDING[code]


def test_cool_season_seed_goes_down_in_late_summer_and_in_time_before_frost():
    """Soil at 70 F and below (NC State), 45 days before the median frost of 15 October."""
    soil = dict.fromkeys(SOILS, 20.0)
    assert seeding(table_at(date(2026, 8, 25), **soil), "cool_seeding") == "open"
    assert seeding(table_at(date(2026, 9, 15), **soil), "cool_seeding") == "shut", "too late"
    hot = dict.fromkeys(SOILS, 24.0)
    assert seeding(table_at(date(2026, 8, 25), **hot), "cool_seeding") == "shut", "too warm"
    assert seeding(table_at(date(2026, 4, 25), **soil), "cool_seeding") == "shut", "spring"


def test_a_window_that_memory_would_open_is_not_told_open():
    soil = dict.fromkeys(SOILS, 22.0)
    assert seeding(table_at(date(2026, 6, 10), **soil), "warm_seeding") == "unknown"
    cold = dict.fromkeys(SOILS, 15.0)
    assert seeding(table_at(date(2026, 6, 10), **cold), "warm_seeding") == "shut"


def test_shade_and_the_lawn_s_own_factor_lower_the_water_it_uses():
    plain, shaded, thrifty = (use_of(more) for more in ("", "shade = 0.5", "water_factor = 0.5"))
    assert 0.4 * plain < shaded < 0.9 * plain
    assert thrifty == pytest.approx(0.5 * plain)


def use_of(more: str, dry: bool = False) -> float:
    read = files(lawn(more=more))
    assert read.site is not None
    shared = site_weather(weather(rain=None if dry else RAIN), read.site, moment())
    assert shared is not None
    counted = sums(read.site, read.shelf, read.journal, (), moment().date())
    table = lawn_facts(shared, read.site, read.site.lawns[0], counted).table
    use = table.number("water_use")
    assert dry or use.known[PAST]
    return float(use.high[PAST])


@pytest.mark.parametrize("day", [date(2026, 1, 1), date(2026, 7, 9)])
def test_shade_never_raises_evaporation(day: date):
    """On clear frosty days the loss of heat to the sky is no less for it."""
    air, dew = (-5.0, -12.0) if day.month == 1 else (25.0, 15.0)
    series = weather(today=day, air_temp=air, dew_point=dew, radiation=60.0 if air < 0 else 320.0)
    site = files(today=day, latitude=48.0).site
    assert site is not None
    shared = site_weather(series, site, moment(day))
    assert shared is not None
    by_shade = [
        reference_et(shared.daily, 48.0, 150.0, shade).values for shade in (0.0, 0.3, 0.6, 0.9)
    ]
    assert np.all(np.diff(by_shade, axis=0) <= 1e-12)


def test_dormant_grass_uses_no_more_than_growing_grass():
    """A month without rain puts it to sleep; with a small factor of its own that frees no water."""
    assert 0 < use_of("water_factor = 0.3", dry=True) <= 0.3 * use_of("", dry=True) / 0.35
    assert use_of("water_factor = 0.3", dry=True) < use_of("", dry=True)


@pytest.mark.parametrize("wrong", ["shade = 1.0", "shade = -0.1", "water_factor = 0", "shade = 30"])
def test_senseless_settings_are_refused(wrong: str):
    with pytest.raises(AssertionError, match=wrong.split()[0]):
        files(lawn(more=wrong))


def test_days_to_stress_lie_between_a_dry_and_a_wet_forecast():
    """A full root zone of clay loam loses what begins to lack in some days; with rain that is only
    perhaps coming the wet path keeps longer."""
    read = files(lawn(more='roots = "3 in"'))
    assert read.site is not None
    series = weather(rain={-3: 60.0}, dew_point=5.0)
    shared = site_weather(series, read.site, moment())
    counted = sums(read.site, read.shelf, read.journal, (), moment().date())
    assert shared is not None
    table = lawn_facts(shared, read.site, read.site.lawns[0], counted).table
    days = table.number("days_to_stress")
    soonest = int(days.low[PAST])
    assert 0 < soonest < 7
    missing, line = table.number("depletion"), table.number("stress_line")
    assert missing.high[PAST + soonest] > line.low[PAST + soonest]
    assert missing.high[PAST + soonest - 1] <= line.high[PAST + soonest - 1]
    assert days.high[PAST] >= soonest
    assert days.low[PAST + soonest] == 0

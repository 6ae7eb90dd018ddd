"""The table of a lawn's facts: every word is there, in its range, with where it came from."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from past_years import ten_years
from plan_cases import AHEAD, GENEROUS, NOW, PAST, TODAY, files, lawn, moment, weather

from advisor.conditions.facts import lawn_facts
from advisor.conditions.site_weather import site_weather
from advisor.conditions.table import Table
from advisor.conditions.vocabulary import FACTS, SINCE
from advisor.series.hourly import COLUMNS, Series
from advisor.series.quantity import Kind, read_quantity
from advisor.series.years import PastYears
from advisor.site.load import SiteFiles
from advisor.site.sums import sums


def table_of(
    series: Series | None = None,
    read: SiteFiles | None = None,
    today: date = TODAY,
    past: PastYears | None = None,
) -> Table:
    read = read or files(today=today)
    assert read.site is not None
    shared = site_weather(series or weather(today=today), read.site, moment(today), past)
    assert shared is not None
    counted = sums(read.site, read.shelf, read.journal, (), today)
    return lawn_facts(shared, read.site, read.site.lawns[0], counted).table


def assert_in_ranges(table: Table) -> None:
    """Every daily word of the vocabulary is in the table and keeps to its range, or is unknown."""
    assert not {name for name, fact in FACTS.items() if not fact.daily} & set(table.words)
    for name, fact in FACTS.items():
        if not fact.daily:
            continue
        if fact.kind is None:
            codes = table.words[name].codes
            assert codes.shape == (len(table.days),)
            assert codes.min() >= -1
            assert codes.max() < len(fact.words)
            assert table.words[name].origin(table.today)
            continue
        for depth in fact.depths or (None,):
            column = table.number(name, depth)
            assert column.low.shape == column.high.shape == (len(table.days),)
            assert not np.isnan(column.low).any(), name
            assert not np.isnan(column.high).any(), name
            assert np.all(column.low <= column.high + 1e-9), name
            known = column.low > -np.inf
            assert np.all(column.low[known] >= fact.low - 1e-9), name
            bounded = column.high < np.inf
            assert np.all(column.high[bounded] <= fact.high + 1e-9), name
            assert column.origin(table.today), name


def test_every_word_is_in_the_table():
    """A table of plain weather has every fact, known today, in its range and with its origin."""
    mown = files(journal="journal from 2026-01-01\n2026-05-13 all mowed at 3 in\n")
    table = table_of(weather(rain={-10: 60.0}), mown, past=ten_years())
    assert_in_ranges(table)
    # Sums and chances that a month of made-up weather and ten years leave between two bounds.
    open_bounds = {"spring_heat", "autumn_frost", "spring_frost", "days_to_frost", "days_to_stress"}
    for name, fact in FACTS.items():
        if fact.kind is not None and name not in open_bounds:
            assert table.number(name, (fact.depths or (None,))[0]).known[table.today], name
    assert set(table.since) == set(SINCE)


@pytest.mark.parametrize("grass", ["tall-fescue", "bermudagrass"])
@pytest.mark.parametrize("latitude", [35.0, -35.0])
@pytest.mark.parametrize("today", [date(2026, 1, 15), date(2026, 7, 15)])
def test_ranges_the_world_over(grass: str, latitude: float, today: date):
    """Either class of grass on either hemisphere keeps to the ranges in winter and in summer."""
    air = 34.0 if (latitude > 0) == (today.month == 7) else -8.0
    read = files(lawn(grass=grass), latitude=latitude, today=today)
    assert_in_ranges(table_of(weather(today=today, air_temp=air), read, today))


@settings(max_examples=15, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(
    st.dictionaries(
        st.sampled_from(sorted(COLUMNS)),
        st.dictionaries(st.integers(-PAST, AHEAD - 1), st.just(float("nan")), max_size=30),
        max_size=6,
    ),
    st.sets(st.sampled_from(sorted(COLUMNS)), max_size=4),
)
def test_ranges_with_any_gap(gaps: Mapping[str, Mapping[int, float]], absent: set[str]):
    """Whatever hours or columns are missing, facts stay in their range or are unknown."""
    series = weather(**{name: gap for name, gap in gaps.items() if name != "rain"})
    kept = {name: column for name, column in series.columns.items() if name not in absent}
    if not kept:
        return
    assert_in_ranges(table_of(Series(series.start, kept, series.source)))


def test_unknown_column_is_unknown_in_the_table():
    """A source without wind makes wind unknown, not still."""
    column = table_of(weather(wind=None)).number("wind")
    assert np.all(column.low == -np.inf)
    assert np.all(column.high == np.inf)


def test_days_since_is_at_least_the_journal():
    """Before the journal begins nothing is known: days since are at least those since then."""
    read = files(journal="journal from 2026-05-01\n")
    since = table_of(read=read).since["feed"]
    assert since.low[PAST] == 12
    assert since.high[PAST] == np.inf


def test_days_since_a_logged_task():
    """What the journal tells of is counted to the day."""
    read = files(journal="journal from 2026-01-01\n2026-05-03 front applied 5 lb of granules\n")
    since = table_of(read=read).since["feed"]
    assert since.low[PAST] == since.high[PAST] == 10
    assert since.low[PAST + 3] == 13


def test_nitrogen_of_the_year():
    """Nitrogen put down this year and what is left of the limit add up to the limit."""
    read = files(
        lawn(more=GENEROUS),
        journal="journal from 2026-01-01\n2026-05-03 front applied 21 lb of granules\n",
    )
    table = table_of(read=read)
    used, left = table.number("nitrogen_year"), table.number("nitrogen_left")
    # 21 lb of 28-3-6 on 6000 ft2 bring 0.98 lb N/1000 ft2, by label arithmetic.
    wanted = read_quantity("0.98 lb/1000 ft2", Kind.MASS_PER_AREA)
    assert used.low[PAST] == used.high[PAST] == pytest.approx(wanted)
    limit = read_quantity("4 lb/1000 ft2", Kind.MASS_PER_AREA)
    assert left.low[PAST] == left.high[PAST] == pytest.approx(limit - wanted)


def test_unknown_nitrogen_leaves_nothing_for_sure():
    """Where the journal begins in spring, none of the year's nitrogen is surely left."""
    read = files(journal="journal from 2026-05-01\n")
    left = table_of(read=read).number("nitrogen_left")
    assert left.low[PAST] == 0
    assert left.high[PAST] > 0
    assert table_of(read=read).number("nitrogen_year").high[PAST] == np.inf


def test_new_year_begins_anew():
    """Nitrogen is counted by the calendar year."""
    today = date(2026, 12, 28)
    read = files(
        journal="journal from 2026-01-01\n2026-05-03 front applied 21 lb of granules\n",
        today=today,
    )
    used = table_of(weather(today=today), read, today).number("nitrogen_year")
    assert used.low[PAST] > 0
    assert used.high[PAST + 4] == 0


def test_spring_heat_from_the_year_s_turn():
    """Degree-days begin at 1 January; a series that begins later gives a lower bound only."""
    today = date(2026, 1, 20)
    warm = weather(today=today, past=30, air_temp=12.0)
    heat = table_of(warm, files(today=today), today).number("spring_heat")
    # 20 days (1 to 20 January) of a mean of 12 °C over a base of 10 °C.
    assert heat.low[30] == heat.high[30] == pytest.approx(40)
    assert heat.low[10] < heat.high[10], "December's sum had no beginning"
    later = table_of().number("spring_heat")
    assert later.low[PAST] > 0
    assert later.high[PAST] == FACTS["spring_heat"].high


def test_spring_heat_with_a_gap_is_a_bound():
    """A day without temperatures leaves what is known as a lower bound from then on."""
    today = date(2026, 1, 20)
    series = weather(today=today, past=30, air_temp=dict.fromkeys((-5,), np.nan))
    heat = table_of(series, files(today=today), today).number("spring_heat")
    assert heat.low[24] == heat.high[24]
    assert heat.low[25] < heat.high[25]


def test_spring_heat_south_of_the_equator():
    """There the year of the weeds turns on 1 July."""
    today = date(2026, 7, 10)
    read = files(latitude=-35.0, today=today)
    heat = table_of(weather(today=today, air_temp=12.0), read, today).number("spring_heat")
    assert heat.low[PAST] == heat.high[PAST] == pytest.approx(20)
    assert "1 July" in heat.origin(PAST)


WORDS = {name: fact.words for name, fact in FACTS.items() if fact.kind is None}


def soil_word(table: Table, day: int) -> str:
    code = int(table.words["soil"].codes[day])
    return WORDS["soil"][code] if code >= 0 else "unknown"


def test_states_of_the_topsoil():
    """Frozen, saturated after a soaking and the day after it, then moist, then dry."""
    table = table_of(weather(rain={-20: 80.0}, ahead=AHEAD))
    assert [soil_word(table, day) for day in (10, 11, 12)] == ["saturated", "saturated", "moist"]
    assert soil_word(table, len(table.days) - 1) == "dry"
    cold = weather(rain={-20: 80.0}, **{f"soil_temp_{d}": -2.0 for d in (0, 6, 18, 54)})
    assert soil_word(table_of(cold), PAST) == "frozen"
    assert soil_word(table_of(weather(snow_depth=0.05)), PAST) == "frozen"


def test_topsoil_unknown_until_it_rains():
    """While the root zone may be full or empty nobody says whether the topsoil is dry."""
    assert soil_word(table_of(), 1) == "unknown"


def test_topsoil_unknown_without_temperature():
    """Soil that may be frozen is not called moist."""
    series = weather(
        rain={-20: 80.0},
        air_temp=np.full((PAST + AHEAD) * 24, np.nan),
        **{f"soil_temp_{d}": np.nan for d in (0, 6, 18, 54)},
    )
    assert soil_word(table_of(series), PAST) == "unknown"


def test_daylight_is_of_the_calendar():
    """In May days lengthen north of the equator and shorten south of it."""
    assert WORDS["daylight"][int(table_of().words["daylight"].codes[PAST])] == "lengthening"
    south = table_of(read=files(latitude=-35.0))
    assert WORDS["daylight"][int(south.words["daylight"].codes[PAST])] == "shortening"


def test_same_arguments_same_table():
    """Facts are pure: asked twice, they are the same."""
    first, second = table_of(), table_of()
    for name in first.numbers:
        assert np.array_equal(first.number(name).low, second.number(name).low)
    assert moment() == NOW

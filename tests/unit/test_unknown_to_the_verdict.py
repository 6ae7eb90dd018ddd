"""What is missing from the weather stays missing all the way to the verdict.

The shipped rules over made-up autumn weather in which a cool-season lawn may be fed. Whatever hours
or columns are taken away, a lawn that is held stays held, and nothing is advised for a day whose
weather is not known.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_cases import AHEAD, PAST, action, decide, files, moment, weather

from advisor.plan.model import Plan, Verdict
from advisor.series.hourly import COLUMNS, Series
from advisor.service.folders import shipped_book

TODAY = date(2026, 9, 20)
LONG_AGO = """journal from 2026-01-01
2026-01-01 all last feed 2025-10-01
2026-01-01 all tested phosphorus low
"""
DOWNPOUR = dict.fromkeys(range(AHEAD), 40.0)


def plan(series: Series) -> Plan:
    return decide(files(journal=LONG_AGO, today=TODAY), shipped_book(), series, now=moment(TODAY))


def autumn(rain: Mapping[int, float] | None = None) -> Series:
    # A soaking rain three weeks ago, so that the root zone is known.
    return weather(today=TODAY, rain={-20: 60.0, -12: 20.0, -6: 15.0, **(rain or {})})


def without(series: Series, columns: set[str], hours: list[tuple[int, int]]) -> Series:
    """The series with whole columns gone, and runs of hours (first, length) unknown in the rest."""
    kept = {name: column.copy() for name, column in series.columns.items() if name not in columns}
    for first, length in hours:
        for column in kept.values():
            column[first : first + length] = np.nan
    return Series(series.start, kept, series.source)


gone = st.tuples(
    st.sets(st.sampled_from(sorted(set(COLUMNS) - {"air_temp"})), max_size=5),
    st.lists(
        st.tuples(st.integers(0, (PAST + AHEAD) * 24 - 1), st.integers(1, 72)), max_size=6
    ),
)  # fmt: skip


def test_with_all_known_it_is_fed():
    """The weather that the others take away from is such that feeding is advised."""
    assert action(plan(autumn())).verdict is Verdict.APPLY
    assert action(plan(autumn(DOWNPOUR))).verdict is Verdict.WAIT


@settings(max_examples=25)
@given(gone)
def test_missing_weather_lifts_no_hold(taken):
    """Rain to come holds; whatever of it is no longer known, it goes on holding."""
    columns, hours = taken
    found = plan(without(autumn(DOWNPOUR), columns, hours))
    for lawn in found.lawns:
        assert all(a.verdict is not Verdict.APPLY for a in lawn.actions)


def test_unknown_rain_holds_like_rain():
    """Nobody knows that no downpour comes."""
    assert action(plan(without(autumn(), {"rain"}, []))).verdict is Verdict.WAIT


def test_unknown_snow_in_the_cold_holds_like_snow():
    """With bare ground told the soil is fit; where nobody tells, snow may lie."""
    cold = weather(today=TODAY, air_temp=1.5, rain={-20: 60.0, -12: 20.0})
    untold = without(cold, {"snow_depth"}, [])
    not_known = "not known: state of the topsoil"
    assert not any(not_known in reason for reason in action(plan(cold)).reasons)
    assert any(not_known in reason for reason in action(plan(untold)).reasons)


def test_a_day_that_nobody_knows_is_not_advised():
    """While it is hot there is nothing to feed; after that there is, but only if it can be told."""
    hot = dict.fromkeys(range(-3, 3), 33.0)
    known = weather(today=TODAY, rain={-20: 60.0, -12: 20.0}, air_temp=hot)
    assert action(plan(known)).verdict is Verdict.APPLY
    gap = without(known, set(), [((PAST + 3) * 24, 7 * 24)])
    assert action(plan(gap)).verdict is Verdict.WAIT

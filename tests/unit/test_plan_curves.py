"""The curves of a plan: the very facts that the rules read, and the sums of the journal."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import plan_cases as case
import pytest
from hypothesis import given
from hypothesis import strategies as st
from past_years import ten_years

from advisor.plan.choice import Walk
from advisor.plan.compose import plan_and_walk
from advisor.plan.curves import MOST_THRESHOLDS, SOIL_BEHIND, WATER_BEHIND
from advisor.plan.curves_model import LawnCurves
from advisor.plan.model import Plan
from advisor.series.hourly import Series
from advisor.site.events import Advised
from advisor.site.load import SiteFiles
from advisor.site.shelf import PHOSPHORUS_IN_P2O5

WARMTH = """\
setting barrier-soil = 50 F
opens spring-barrier for pre-emergent
  let     warmth be mean of soil_temp at 2 in over the 5 days to it
  while   daylight is lengthening
  once    warmth between $barrier-soil and 60 F
  until   warmth more than 60 F
  says    The soil is warm.
  source  made up
"""

FEEDING = """\
opens warm-feed for feed
  let     warmth be mean of soil_temp at 4 in over the 5 days to it
  while   warmth at least 65 F
  says    The soil is warm.
  source  made up
"""


def decided(
    read: SiteFiles | None = None, rules: str = "", series: Series | None = None,
    advised: tuple[Advised, ...] = (), **more: object,
) -> tuple[Plan, Walk]:  # fmt: skip
    given_ = case.given(
        read or case.files(), case.book(rules or case.opens()), series or case.weather(), advised
    )
    plan, walk = plan_and_walk(replace(given_, **more), case.NOW)
    assert walk is not None
    return plan, walk


def only(plan: Plan) -> LawnCurves:
    (curves,) = plan.curves
    return curves


def bounds(amounts: tuple[float | None, ...], unknown: float) -> list[float]:
    return [unknown if one is None else one for one in amounts]


HOLES = {-20: np.nan, -19: np.nan, -3: np.nan}


@pytest.mark.parametrize("rain", [{-12: 60.0}, {-12: 60.0, -3: np.nan, 4: 9.0}])
def test_they_are_what_the_rules_read(rain: dict[int, float]) -> None:
    """Soil and water are the table's columns on the same days, to two decimals."""
    series = case.weather(past=40, rain=rain, air_temp=HOLES, soil_temp_0=HOLES, soil_temp_6=HOLES)
    plan, walk = decided(
        series=series, rules=case.waters() + WARMTH, read=case.files(shelf=case.BARRIER)
    )
    curves, view = only(plan), walk.views["front"]
    table = view.facts.table
    for days, behind in ((curves.soil.days, SOIL_BEHIND), (curves.water.days, WATER_BEHIND)):
        first = max(0, table.today - behind)
        assert list(days) == table.days[first : view.setting.end]
    place = {day: i for i, day in enumerate(table.days)}
    soil = [place[day] for day in curves.soil.days]
    water = [place[day] for day in curves.water.days]
    mean = table.number("soil_temp", curves.soil.depth_m)
    depletion, rained = table.number("depletion"), table.number("rain")
    for amounts, column, unknown in (
        (curves.soil.low_c, mean.low[soil], -np.inf),
        (curves.soil.high_c, mean.high[soil], np.inf),
        (curves.water.depletion_low_mm, depletion.low[water], np.inf),
        (curves.water.depletion_high_mm, depletion.high[water], np.inf),
        (curves.water.stress_line_mm, table.number("stress_line").low[water], np.inf),
        (curves.water.rain_low_mm, rained.low[water], np.inf),
    ):
        np.testing.assert_allclose(bounds(amounts, unknown), column, atol=0.0051)
    assert None in curves.soil.low_c
    assert curves.water.total_mm == pytest.approx(view.facts.water.total, abs=0.0051)
    np.testing.assert_allclose(
        curves.water.planned_mm, view.planned_mm[water], atol=0.0051
    )  # fmt: skip


def test_an_estimate_ahead_is_told_to_a_tenth() -> None:
    """Where the model's layers end the rules read an estimate; its hundredths mean nothing."""
    gone = dict.fromkeys(range(3, 10), np.nan)
    layers = {f"soil_temp_{depth}": gone for depth in (0, 6, 18, 54)}
    plan, walk = decided(series=case.weather(past=45, **layers))
    soil, table = only(plan).soil, walk.views["front"].facts.table
    read = table.number("soil_temp", 0.0508).low
    ahead = [i for i, day in enumerate(soil.days) if day >= case.TODAY + timedelta(3)]
    assert len(ahead) == 7
    for i in ahead:
        told = soil.low_c[i]
        assert told is not None
        assert told == round(told, 1) == soil.high_c[i]
        assert told == pytest.approx(read[table.days.index(soil.days[i])], abs=0.051)


def test_rain_with_a_missing_hour_has_no_upper_end() -> None:
    rain = case.weather(past=40).columns["rain"].copy()
    rain[24 * 30 + 5] = np.nan
    curves = only(decided(series=case.weather(past=40, rain=rain))[0]).water
    gone = curves.rain_high_mm.index(None)
    assert curves.days[gone] == case.TODAY - timedelta(10)
    assert curves.rain_low_mm[gone] == 0.0
    assert curves.rain_high_mm.count(None) == 1


def test_water_of_journal_advice_and_plan() -> None:
    """Each stands on its own day, and the planned water is the digest's."""
    journal = "journal from 2026-01-01\n2026-05-04  front  watered 0.5 in\n"
    plan, _ = decided(
        read=case.files(journal=journal),
        rules=case.waters(),
        series=case.weather(rain={-12: 60.0}),
        advised=(case.advice(date(2026, 5, 8), task="watering", product=None, amount=9.0),),
    )
    curves = only(plan).water
    by_day = {
        name: {d: mm for d, mm in zip(curves.days, getattr(curves, name), strict=True) if mm}
        for name in ("irrigation_mm", "perhaps_mm", "planned_mm")
    }
    assert by_day["irrigation_mm"] == {date(2026, 5, 4): 12.7}
    assert by_day["perhaps_mm"] == {date(2026, 5, 8): 9.0}
    told = {a.day: round(a.water_mm or 0.0, 2) for a in case.actions(plan, "watering") if a.day}
    assert told
    assert told.items() <= by_day["planned_mm"].items()


def test_thresholds_are_those_of_the_rules_in_force() -> None:
    """The setting's own number, by the rule that reads it, and the end of its season."""
    spring = case.weather(today=case.TODAY, soil_temp_0=8.0, soil_temp_6=8.0, soil_temp_18=8.0)
    read = case.files(shelf=case.BARRIER)
    found = only(decided(read=read, rules=WARMTH, series=spring)[0]).soil
    assert found.depth_m == pytest.approx(0.0508)
    assert [(one.setting, one.wants, one.shuts) for one in found.thresholds] == [
        ("barrier-soil", "at least", False), ("", "at most", False),
    ]  # fmt: skip
    assert [one.celsius for one in found.thresholds] == [10.0, 15.56]
    changed = WARMTH.replace("= 50 F", "= 45 F")
    moved = only(decided(read=read, rules=changed, series=spring)[0]).soil
    assert moved.thresholds[0].celsius == 7.22
    assert moved.thresholds[0].rule == "spring-barrier"


def test_a_window_that_is_over_asks_nothing() -> None:
    """Shut by its `until`, kept shut by the calendar, or of another grass."""
    read = case.files(shelf=case.BARRIER)
    hot = {day: 25.0 if -15 < day < -5 else 12.0 for day in range(-30, 10)}
    warm = case.weather(soil_temp_0=hot, soil_temp_6=hot, soil_temp_18=hot)
    cold = case.weather(soil_temp_0=8.0, soil_temp_6=8.0, soil_temp_18=8.0)
    late = case.weather(soil_temp_0=20.0, soil_temp_6=20.0, soil_temp_18=20.0)
    assert only(decided(read=read, rules=WARMTH, series=cold)[0]).soil.thresholds
    assert not only(decided(read=read, rules=WARMTH, series=late)[0]).soil.thresholds
    assert not only(decided(read=read, rules=WARMTH, series=warm)[0]).soil.thresholds
    autumn = WARMTH.replace("lengthening", "shortening")
    assert not only(decided(read=read, rules=autumn, series=cold)[0]).soil.thresholds
    other = WARMTH.replace("for pre-emergent\n", "for pre-emergent\n  on bermudagrass\n")
    assert not only(decided(read=read, rules=other, series=cold)[0]).soil.thresholds
    unseen = WARMTH.replace("  once", "  and days since crabgrass at most 400 days\n  once")
    assert not only(decided(read=read, rules=unseen, series=cold)[0]).soil.thresholds
    seen = case.files(
        shelf=case.BARRIER, journal="journal from 2026-01-01\n2026-05-01  front  seen crabgrass\n"
    )
    assert only(decided(read=seen, rules=unseen, series=cold)[0]).soil.thresholds


def test_one_depth_and_few_thresholds() -> None:
    """Those of the first task to come, at its depth; never more than three."""
    cold = case.weather(soil_temp_0=8.0, soil_temp_6=8.0, soil_temp_18=8.0)
    read = case.files(shelf=case.BARRIER + case.granules())
    many = "".join(
        FEEDING.replace("warm-feed", f"feed-{n}").replace("65 F", f"{n} F")
        for n in (60, 62, 64, 66)
    )
    both = only(decided(read=read, rules=WARMTH + FEEDING, series=cold)[0]).soil
    assert {one.task for one in both.thresholds} == {"pre-emergent"}
    few = only(decided(read=read, rules=many, series=cold)[0]).soil
    assert few.depth_m == pytest.approx(0.1016)
    assert len(few.thresholds) == MOST_THRESHOLDS


def test_nitrogen_is_the_sum_of_the_journal() -> None:
    """The steps up to today add up to the sums' ends, and the planned ones are the digest's."""
    read = case.files(
        journal="journal from 2026-01-01\n2026-04-02  front  applied 10 lb of granules 28-3-6\n"
    )
    plan, walk = decided(read=read, advised=(case.advice(date(2026, 5, 5), amount=6.0),))
    nitrogen = only(plan).nutrients[0]
    low, high = walk.before["front"].sums.total("front", "nitrogen", 2026, upto=case.TODAY)
    assert (nitrogen.low_g_m2, nitrogen.high_g_m2) == (round(low, 2), round(high, 2))
    # 10 lb of 28 % nitrogen on 6000 ft2, by hand: 2.8 lb x 453.59237 g / 557.418 m2.
    assert nitrogen.low_g_m2 == pytest.approx(2.8 * 453.59237 / 557.41824, abs=0.0051)
    done = sum(one.g_per_m2 or 0 for one in nitrogen.put_down if one.certainty == "done")
    maybe = sum(one.g_per_m2 or 0 for one in nitrogen.put_down if one.certainty == "perhaps done")
    assert done == pytest.approx(low, abs=0.011)
    assert done + maybe == pytest.approx(high, abs=0.021)
    planned = {one.day: one.g_per_m2 for one in nitrogen.put_down if one.certainty == "planned"}
    told = {
        a.day: round(brought.g_per_m2, 2)
        for a in case.actions(plan)
        if a.dose is not None
        for brought in a.dose.delivers
        if brought.substance == "nitrogen"
    }
    assert planned == told
    assert nitrogen.limit_g_m2 == pytest.approx(19.53, abs=0.005)  # 4 lb/1000 ft2
    assert nitrogen.limit_by == "owner"


def test_what_is_planned_for_today_is_not_put_down_yet() -> None:
    plan, _ = decided()
    nitrogen = only(plan).nutrients[0]
    days = [one.day for one in nitrogen.put_down if one.certainty == "planned"]
    assert days == [a.day for a in case.actions(plan) if a.dose is not None]
    assert days[0] == case.TODAY
    assert (nitrogen.low_g_m2, nitrogen.high_g_m2) == (0.0, 0.0)


def test_unknown_amounts_have_no_upper_end() -> None:
    """Before the journal begins, and of a product that nobody named, anything may have come."""
    late = case.files(journal="journal from 2026-04-01\n")
    assert only(decided(read=late)[0]).nutrients[0].high_g_m2 is None
    vague = case.files(journal="journal from 2026-01-01\n2026-04-20  front  done feed\n")
    nitrogen = only(decided(read=vague)[0]).nutrients[0]
    assert nitrogen.high_g_m2 is None
    assert [one.g_per_m2 for one in nitrogen.put_down if one.certainty == "done"] == [None]


def test_the_curve_is_the_growth_of_past_years() -> None:
    """It ends at the limit and never falls; without past years there is none."""
    assert only(decided()[0]).nutrients[0].days == ()
    plan, walk = decided(past=ten_years())
    nitrogen = only(plan).nutrients[0]
    assert [(d.month, (d + timedelta(1)).day) for d in nitrogen.days] == [
        (month, 1) for month in range(1, 13)
    ]
    curve = bounds(nitrogen.curve_g_m2, math.nan)
    assert curve == sorted(curve)
    assert curve[-1] == pytest.approx(nitrogen.limit_g_m2, abs=0.011)
    table = walk.views["front"].facts.table
    pace = dict(zip(table.days, table.number("nitrogen_pace").low, strict=True))
    april = nitrogen.days.index(date(2026, 4, 30))
    assert curve[april] == pytest.approx(pace[date(2026, 4, 30)], abs=0.0051)


def test_law_limits() -> None:
    """The law's limit of nitrogen is named as such; phosphorus is there where law limits it."""
    law = (
        '[[ordinance]]\ntitle = "Made-up rule"\nnitrogen_year = "2 lb/1000 ft2"\n'
        'phosphate_year = "0.5 lb/1000 ft2"\n'
    )
    nitrogen, phosphorus = only(decided(read=case.files(more=law))[0]).nutrients
    assert (nitrogen.limit_by, nitrogen.limit_g_m2) == ("law", 9.76)
    assert phosphorus.substance == "phosphorus"
    # 0.5 lb/1000 ft2 of P2O5 is 2.4412 g/m2.
    assert phosphorus.limit_g_m2 == pytest.approx(2.4412 * PHOSPHORUS_IN_P2O5, abs=0.0051)
    assert [one.substance for one in only(decided()[0]).nutrients] == ["nitrogen"]
    usual = only(decided(read=case.files(case.lawn()))[0]).nutrients[0]
    assert usual.limit_by == "grass"


def test_no_weather_no_curves() -> None:
    assert case.without_weather(case.files()).curves == ()


@given(st.data())
def test_lists_run_along_their_days(data: st.DataObject) -> None:
    """Whatever is missing of the weather: equal lengths, low at most high, and numbers to JSON."""
    hole = st.dictionaries(st.integers(-30, 9), st.just(float("nan")), max_size=12)
    columns = {
        name: data.draw(hole)
        for name in ("air_temp", "soil_temp_0", "soil_temp_6", "radiation", "wind")
    }
    plan = case.decide(series=case.weather(**columns), rules=case.book(case.opens(), case.waters()))
    for lawn in plan.curves:
        for part in (lawn.soil, lawn.water):
            for name, values in part:
                if isinstance(values, tuple) and name not in ("days", "thresholds"):
                    assert len(values) == len(part.days)
        for low, high in zip(
            lawn.water.depletion_low_mm, lawn.water.depletion_high_mm, strict=True
        ):
            assert low is None or high is None or low <= high
    assert Plan.model_validate_json(plan.model_dump_json(by_alias=True)).curves == plan.curves

"""A season lived again: what is known when, what an owner who obeys does, and what it adds up to.

The seasons are made up: they show that the parts fit, and nothing about a lawn.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from itertools import pairwise

import numpy as np
import plan_cases as case
import pytest
import replay_cases as again
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.plan.model import Verdict
from advisor.plan.replay import digest_days
from advisor.plan.replay_compare import compare
from advisor.plan.replay_foresight import issued, perfect
from advisor.plan.replay_model import Run, Week
from advisor.plan.replay_owner import JOURNAL, ObeyingOwner, RealOwner, read_on
from advisor.plan.replay_totals import from_journal
from advisor.series.hourly import Series, Source
from advisor.site.sums import sums

SUNDAYS = digest_days(case.files().site, again.FIRST, again.LAST)  # type: ignore[arg-type]


def done(run: Run) -> list[tuple[date, str, str | None]]:
    return [(line.day, line.lawn, line.product) for line in run.done]


def day_of(on: date) -> int:
    return (on - again.FIRST).days


def test_digests_are_on_the_sites_weekday_within_the_season() -> None:
    assert SUNDAYS[0] == date(2026, 4, 5) and SUNDAYS[-1] == date(2026, 5, 31)
    assert all(later - earlier == timedelta(7) for earlier, later in pairwise(SUNDAYS))
    site = case.files().site
    assert site is not None
    assert digest_days(site, date(2026, 4, 6), date(2026, 4, 11)) == []


def test_a_season_of_one_window_is_used_on_its_first_free_day() -> None:
    """Open from Tuesday 14 April to Saturday 18, held on Tuesday: fed on Wednesday, once."""
    opened = day_of(date(2026, 4, 14))
    gusts = dict.fromkeys(range(opened, opened + 5), 9.0)
    series = again.truth(gust=gusts, humidity={opened: 0.95})
    rules = case.book(case.opens(at_least=6.0), case.holds())
    run = again.lived(series, rules)
    assert done(run) == [(date(2026, 4, 15), "front", "granules")]
    by_date = {week.on: week for week in run.weeks}
    assert [week.on for week in run.weeks] == SUNDAYS
    assert by_date[date(2026, 4, 12)].verdict is Verdict.APPLY
    assert by_date[date(2026, 4, 26)].verdict is Verdict.WAIT
    held = next(one for one in run.held if one.task == "feed")
    assert (held.open_days, held.held_days) == (5, 1)
    assert [(by.rule, by.days) for by in held.by] == [("hold-feed", 1)]


def test_what_the_label_spaces_is_spaced() -> None:
    """A window that never shuts, thirty days between two applications."""
    read = case.files(
        shelf=case.granules(more='interval = "30 days"'), journal=again.JOURNAL_TEXT, today=None
    )
    run = again.lived(again.truth(), case.book(case.opens()), read=read)
    days = [line.day for line in run.done]
    assert days[0] == date(2026, 4, 5)
    assert len(days) >= 2
    assert all((later - earlier).days >= 30 for earlier, later in pairwise(days))


def test_a_forecast_that_turns_takes_advice_back_and_it_is_not_done() -> None:
    """Announced on Sunday for Wednesday; from Monday on Wednesday to Saturday are held."""
    opened, wednesday = day_of(date(2026, 4, 15)), date(2026, 4, 15)
    gusts = dict.fromkeys(range(opened, opened + 4), 9.0)
    bad = dict.fromkeys(range(opened, opened + 4), 0.95)
    fair, foul = again.truth(gust=gusts), again.truth(gust=gusts, humidity=bad)
    rules = case.book(case.opens(at_least=6.0), case.holds())

    def forecast(moment: datetime) -> Series:
        turned = moment.date() > date(2026, 4, 12)
        return again.run_at(foul if turned else fair, moment)

    run = again.lived(foul, rules, sight="issued", forecast=forecast)
    week = next(week for week in run.weeks if week.on == date(2026, 4, 12))
    assert [(told.verdict, told.day) for told in week.told] == [(Verdict.APPLY, wednesday)]
    assert [(back.task, back.day, back.on) for back in week.taken_back] == [
        ("feed", wednesday, date(2026, 4, 14))
    ]
    assert run.done == ()


def test_what_is_moved_by_a_note_is_done_once_on_its_new_day() -> None:
    opened = day_of(date(2026, 4, 15))
    gusts = dict.fromkeys(range(opened, opened + 4), 9.0)
    fair = again.truth(gust=gusts)
    foul = again.truth(gust=gusts, humidity={opened: 0.95})
    rules = case.book(case.opens(at_least=6.0), case.holds())

    def forecast(moment: datetime) -> Series:
        turned = moment.date() > date(2026, 4, 12)
        return again.run_at(foul if turned else fair, moment)

    run = again.lived(foul, rules, sight="issued", forecast=forecast)
    assert done(run) == [(date(2026, 4, 16), "front", "granules")]
    week = next(week for week in run.weeks if week.on == date(2026, 4, 12))
    assert [back.instead for back in week.taken_back] == [date(2026, 4, 16)]


@pytest.mark.parametrize("alerts", [True, False])
def test_water_that_a_missed_rain_makes_needed_is_noted_and_given(alerts: bool) -> None:
    """Every Sunday the forecast has rain on each of the coming days; none ever falls, and from the
    evening on the forecasts say so. Without notes nothing is watered all season."""
    dry = again.truth(air_temp=24.0)

    def forecast(moment: datetime) -> Series:
        if moment.date() not in SUNDAYS or moment.hour > 12:
            return again.run_at(dry, moment)
        wet = dict.fromkeys(range(day_of(moment.date()) + 1, 80), 12.0)
        return again.run_at(again.truth(air_temp=24.0, rain=wet), moment)

    switched = "" if alerts else "[digest]\nalerts = false\n"
    read = case.files(journal=again.JOURNAL_TEXT, more=switched, today=None)
    run = again.lived(dry, case.book(case.waters()), read=read, sight="issued", forecast=forecast)
    watered = [line.day for line in run.done]
    noted = [told.day for week in run.weeks for told in week.noted]
    assert set(noted) <= set(watered)
    assert bool(noted) is alerts
    assert all(len(week.noted) <= 3 for week in run.weeks)
    # A digest still waters in the hours of its own day that are left.
    assert len(set(watered) - set(SUNDAYS)) == len(noted)
    assert not set(noted) & set(SUNDAYS)


def test_no_line_of_a_later_day_is_seen() -> None:
    text = (
        again.JOURNAL_TEXT + "2026-04-10  front  applied 5 lb of granules\n2026-04-20 front ???\n"
    )
    read = case.files()
    assert read.site is not None
    owner = RealOwner({JOURNAL: text}, read.site, read.shelf)
    before, on, after = (owner.journal(date(2026, 4, day)) for day in (9, 10, 20))
    assert len(on.entries) == len(before.entries) + 1
    assert not before.unreadable and not before.questions and len(after.unreadable) == 1
    assert "2026-04-10" not in owner.text(date(2026, 4, 9))


def test_what_was_done_on_the_day_is_not_known_in_its_morning() -> None:
    """12 April is the day of a digest, which goes out before the day's work."""
    rules = case.book(case.opens())
    fed = again.JOURNAL_TEXT + "2026-04-12  front  applied 5 lb of granules\n"
    without, having = (
        again.lived(again.truth(), rules, owner="journal", journal=text)
        for text in (again.JOURNAL_TEXT, fed)
    )
    early = sum(week.on <= date(2026, 4, 12) for week in without.weeks)
    assert without.weeks[:early] == having.weeks[:early]
    assert without.weeks[early:] != having.weeks[early:]


def test_a_journal_tells_no_digest_of_what_comes_later() -> None:
    rules = case.book(case.opens())
    later = again.JOURNAL_TEXT + "2026-04-15  front  applied 5 lb of granules\n"
    without, having = (
        again.lived(again.truth(), rules, owner="journal", journal=text)
        for text in (again.JOURNAL_TEXT, later)
    )
    early = sum(week.on < date(2026, 4, 15) for week in without.weeks)
    assert without.weeks[:early] == having.weeks[:early]
    assert without.weeks != having.weeks


def test_what_is_advised_and_not_answered_counts_as_perhaps_done() -> None:
    """A journal that says nothing: fed once by advice, asked about from then on, never advised
    again within the interval."""
    read = case.files(
        shelf=case.granules(more='interval = "180 days"'), journal=again.JOURNAL_TEXT, today=None
    )
    run = again.lived(again.truth(), case.book(case.opens()), read=read, owner="journal")
    advised = [week.on for week in run.weeks if week.verdict is Verdict.APPLY]
    assert advised == SUNDAYS[:1]
    assert run.weeks[0].asked == 0 and all(week.asked for week in run.weeks[1:])
    nitrogen = next(s for s in run.totals[0].substances if s.name == "nitrogen")
    assert nitrogen.g_per_m2 == 0 and (nitrogen.perhaps_g_per_m2 or 0) > 0


def test_no_weather_of_a_later_day_reaches_a_forecast_as_issued() -> None:
    """Two seasons alike up to 26 April, with the same forecasts: their digests are too."""
    day = date(2026, 4, 26)
    gusts = dict.fromkeys(range(0, 60, 3), 9.0)
    one = again.truth(gust=gusts)
    other = again.truth(
        gust=gusts, humidity=dict.fromkeys(range(day_of(day), 80), 0.99), air_temp=30.0
    )
    cut = (
        int((datetime(2026, 4, 26, 4, tzinfo=one.start.tzinfo) - one.start).total_seconds()) // 3600
    )
    mixed = {
        name: np.concatenate([values[:cut], other.columns[name][cut:]])
        for name, values in one.columns.items()
    }
    other = Series(one.start, mixed, one.source)
    rules = case.book(case.opens(at_least=6.0), case.holds())

    def early(series: Series) -> list[Week]:
        run = again.lived(
            series, rules, sight="issued", forecast=lambda moment: again.run_at(one, moment)
        )
        return [week for week in run.weeks if week.on <= day]

    assert early(one) == early(other)
    assert any(week.verdict is Verdict.APPLY for week in early(one))


@given(hours=st.integers(0, 24 * 100))
def test_the_past_of_every_morning_is_what_had_come(hours: int) -> None:
    """Each hour that had ended by then is the truth's, whatever the foresight; the next is not."""
    series = again.truth()
    moment = series.start + timedelta(hours=24 + hours)
    wrong = Series(
        series.start,
        {name: values + 1 for name, values in series.columns.items()},
        Source("wrong", moment),
    )
    for known, ahead in ((perfect(series, moment), 0.0), (issued(series, wrong), 1.0)):
        assert known is not None
        air = known.series.column("air_temp")
        at = int((moment - known.series.start).total_seconds()) // 3600
        begin = int((known.series.start - series.start).total_seconds()) // 3600
        came = series.column("air_temp")
        assert np.array_equal(air[:at], came[begin : begin + at])
        assert np.allclose(air[at:], came[begin + at : begin + len(air)] + ahead)
        assert known.series.ahead_from == moment


def test_perfect_foresight_reaches_no_further_than_a_forecast() -> None:
    series = again.truth()
    moment = case.moment(date(2026, 4, 5))
    known = perfect(series, moment)
    assert known is not None
    end = known.series.start + timedelta(hours=known.series.hours)
    assert end - moment == timedelta(16)
    chance = known.series.column("rain_chance")
    assert set(np.unique(chance)) <= {0.0, 1.0}


def test_the_same_rules_differ_in_nothing() -> None:
    gusts = dict.fromkeys(range(10, 40), 9.0)
    runs = tuple(
        again.lived(again.truth(gust=gusts), case.book(case.opens(at_least=6.0))) for _ in range(2)
    )
    found = compare(runs, 0, 1, "us")
    assert found.weeks == () and found.same_weeks == len(SUNDAYS)


def test_a_hold_switched_off_changes_its_weeks_and_no_other() -> None:
    """Held on all of the week of 12 April: with the hold nothing, without it fed that Sunday. The
    window shuts with the week, so no later digest is another."""
    opened = day_of(date(2026, 4, 12))
    gusts = dict.fromkeys(range(opened, opened + 7), 9.0)
    humid = dict.fromkeys(range(opened, opened + 7), 0.95)
    series = again.truth(gust=gusts, humidity=humid)
    window = case.opens(at_least=6.0)
    runs = (again.lived(series, case.book(window, case.holds())),
            again.lived(series, case.book(window)))  # fmt: skip
    found = compare(runs, 0, 1, "us", days_only=True)
    assert [(week.on, week.task) for week in found.weeks] == [(date(2026, 4, 12), "feed")]
    assert found.weeks[0].one == "nothing to do" and found.weeks[0].other == "apply Sun Apr 12"
    assert found.same_weeks == len(SUNDAYS) - 1
    assert [done(run) for run in runs] == [[], [(date(2026, 4, 12), "front", "granules")]]


def test_a_journal_that_begins_later_is_stood_in_for_and_that_is_said() -> None:
    read = case.files(journal="journal from 2026-06-01\n", today=None)
    assert read.site is not None
    owner = ObeyingOwner(read.site, read.shelf, again.FIRST, read.journal, {})
    assert owner.assumed and "2026-06-01" in owner.assumed[0]
    journal = owner.journal(again.FIRST)
    assert journal.start == again.FIRST and not journal.unreadable
    run = again.lived(again.truth(), case.book(case.opens()), read=read)
    assert run.done


def test_an_obeying_owner_has_seen_what_the_real_one_saw_and_done_nothing_of_it() -> None:
    text = (
        again.JOURNAL_TEXT + "2026-03-20  front  applied 4 lb of granules\n"
        "2026-04-08  front  applied 5 lb of granules\n2026-04-09  front  seen frost\n"
        "2026-04-10  all  rain 0.4 in\n2026-04-11  front  watered 1 in\n"
    )
    read = case.files(journal=text, today=None)
    assert read.site is not None
    owner = ObeyingOwner(read.site, read.shelf, again.FIRST, read.journal, {})
    lines = owner.text(again.LAST)
    assert "applied 4 lb" in lines and "seen frost" in lines and "rain 0.4 in" in lines
    assert "applied 5 lb" not in lines and "watered" not in lines


FOUR_WEEKS = date(2026, 4, 27)
"""The end of a season with four digests, the day after the last: time for feed, barrier and water,
each more than once, as the last test sees."""


def assert_totals_are_the_journals(run: Run, read: object) -> None:
    """The totals of the deeds against what the real reader makes of the text that was written."""
    assert read.site is not None and read.shelf is not None  # type: ignore[attr-defined]
    site, shelf = read.site, read.shelf  # type: ignore[attr-defined]
    text = "\n".join(run.journal) + "\n"
    journal = read_on({JOURNAL: text}, site, shelf, FOUR_WEEKS)
    assert not journal.unreadable and not journal.questions
    counted = sums(site, shelf, journal, (), FOUR_WEEKS)
    for totals in run.totals:
        lawn = site.lawn(totals.lawn)
        tally = from_journal(counted, lawn, again.FIRST, FOUR_WEEKS)
        assert totals.applications == tally.applications
        assert totals.water_mm == pytest.approx(tally.water_mm, rel=1e-12, abs=0)
        assert totals.water_m3 == pytest.approx(tally.water_mm * lawn.area_m2 / 1000, rel=1e-12)
        found = {one.name: one.g_per_m2 for one in totals.substances}
        assert found.keys() == tally.surely.keys()
        for name, grams in found.items():
            assert grams == pytest.approx(tally.surely[name], rel=1e-12, abs=0)


LAWNS = (
    case.lawn(more=f'{case.GENEROUS}\nirrigated = true\nroots = "6 in"'),
    case.lawn("back", area="2345 ft2", grass="bermudagrass", more='setback = "111 ft2"'),
)


@settings(deadline=None, max_examples=12)
@given(
    gusty=st.lists(st.integers(0, 33), max_size=12),
    wet=st.dictionaries(st.integers(0, 33), st.floats(0.5, 30), max_size=8),
    humid=st.lists(st.integers(0, 33), max_size=8),
    warmth=st.floats(8, 30),
    units=st.sampled_from(["us", "metric"]),
    analysis=st.sampled_from(["28-3-6", "10-0-0", "33-3-3"]),
)
def test_totals_equal_the_journal_that_was_written(
    gusty: list[int], wet: dict[int, float], humid: list[int], warmth: float,
    units: str, analysis: str,
) -> None:  # fmt: skip
    read = case.files(
        *LAWNS,
        shelf=case.granules(analysis=analysis, more='interval = "10 days"\nwater_in = "0.3 in"')
        + case.BARRIER,
        journal=again.JOURNAL_TEXT + "2026-01-01  back  last feed 2025-09-01\n"
        "2026-01-01  back  last pre-emergent 2025-03-01\n",
        units=units,
        today=None,
    )
    series = again.truth(
        gust=dict.fromkeys(gusty, 9.0), humidity=dict.fromkeys(humid, 0.95), rain=wet,
        air_temp=warmth, days=50,
    )  # fmt: skip
    rules = case.book(
        case.opens(at_least=6.0), case.opens("pre-emergent", at_least=6.0),
        case.holds(), case.waters(),
    )  # fmt: skip
    assert_totals_are_the_journals(again.lived(series, rules, read=read, last=FOUR_WEEKS), read)


def test_the_property_of_totals_sees_water_feed_and_barrier() -> None:
    """The seasons above do all that is summed up; a season in which nothing happens proves none."""
    read = case.files(
        *LAWNS,
        shelf=case.granules(more='interval = "10 days"\nwater_in = "0.3 in"') + case.BARRIER,
        journal=again.JOURNAL_TEXT + "2026-01-01  back  last feed 2025-09-01\n"
        "2026-01-01  back  last pre-emergent 2025-03-01\n",
        today=None,
    )
    series = again.truth(gust=dict.fromkeys(range(5, 20), 9.0), air_temp=25.0, days=50)
    rules = case.book(
        case.opens(at_least=6.0), case.opens("pre-emergent", at_least=6.0), case.waters()
    )
    run = again.lived(series, rules, read=read, last=FOUR_WEEKS)
    assert_totals_are_the_journals(run, read)
    assert {line.task for line in run.done} == {"feed", "pre-emergent", "watering"}
    front = next(lawn for lawn in run.totals if lawn.lawn == "front")
    assert front.water_mm > 0 and {"nitrogen", "prodiamine"} <= {s.name for s in front.substances}

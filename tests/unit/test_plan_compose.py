"""The whole plan: what it says without weather, of open questions, of broken files, of waits."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import numpy as np
import pytest
from plan_cases import (
    BARRIER,
    GENEROUS,
    NOW,
    TODAY,
    ZONE,
    action,
    actions,
    advice,
    book,
    decide,
    files,
    granules,
    holds,
    lawn,
    moment,
    opens,
    waters,
    weather,
    without_weather,
)

from advisor.plan.compose import STALE_AFTER, next_digest
from advisor.plan.model import Plan, Verdict
from advisor.rulebook.book import Rulebook, RuleFile
from advisor.rulebook.read import read_rulebook
from advisor.series.hourly import Series

DRY = {-12: 60.0}


def nothing_advised(plan: Plan) -> bool:
    return all(one.verdict is Verdict.WAIT for each in plan.lawns for one in each.actions)


def assert_cannot_tell(plan: Plan) -> None:
    assert plan.cannot_tell
    assert plan.weather.stale
    assert nothing_advised(plan)
    assert plan.headline.verdict is Verdict.WAIT
    assert "cannot tell" in plan.headline.text
    assert plan.unknown


@pytest.mark.parametrize(("hours", "stale"), [(1, False), (36, False), (36.1, True), (37, True)])
def test_stale_weather(hours: float, stale: bool):
    """A forecast of 36 hours still serves; beyond that the plan cannot tell, and waits."""
    series = weather(fetched=NOW - timedelta(hours=hours))
    plan = decide(series=series)
    assert timedelta(hours=36) == STALE_AFTER
    assert plan.cannot_tell == stale
    assert plan.weather.age_hours == pytest.approx(hours, abs=0.06)
    if stale:
        assert_cannot_tell(plan)
        assert f"{hours:.0f} hours" in plan.headline.text
    else:
        assert action(plan).verdict is Verdict.APPLY


def test_no_weather_at_all():
    """Without any forecast the plan waits, names why, and still asks what is open."""
    plan = without_weather(files(), [advice(TODAY - timedelta(3))])
    assert_cannot_tell(plan)
    assert plan.weather.fetched_at is None
    assert len(plan.ask) == 1


def test_fresh_weather_that_misses_today():
    """A fresh forecast that does not reach today is not called too old."""
    elsewhere = weather(today=TODAY - timedelta(20), past=2, ahead=3)
    series = replace(elsewhere, source=replace(elsewhere.source, fetched_at=NOW))
    plan = decide(series=series)
    assert_cannot_tell(plan)
    assert "too old" not in plan.headline.text


def test_forecast_that_ends_this_morning():
    """Weather that is known up to this morning only says nothing of the days ahead: cannot tell."""
    whole = weather()
    kept = {name: column[: (30 * 24) + 8] for name, column in whole.columns.items()}
    assert_cannot_tell(decide(series=Series(whole.start, kept, whole.source)))


def test_forecast_without_air_temperature():
    """A forecast whose days ahead lack the temperature cannot carry a decision."""
    plan = decide(series=weather(air_temp=dict.fromkeys(range(10), np.nan)))
    assert plan.cannot_tell
    assert nothing_advised(plan)


@pytest.mark.parametrize(
    ("weekday", "today", "wanted"),
    [
        ("sunday", date(2026, 5, 13), date(2026, 5, 17)),
        ("wednesday", date(2026, 5, 13), date(2026, 5, 20)),
        ("thursday", date(2026, 5, 13), date(2026, 5, 14)),
        ("tuesday", date(2026, 12, 30), date(2027, 1, 5)),
    ],
)
def test_next_digest(weekday: str, today: date, wanted: date):
    """The next digest is on the next such weekday after today."""
    site = files(more=f'[digest]\nweekday = "{weekday}"\n').site
    assert site is not None
    assert next_digest(site, today) == wanted


def test_today_is_the_site_s_day():
    """In the evening the plan is for the local date, though it is tomorrow in UTC."""
    assert decide(now=moment(clock="22:30")).on == TODAY


def test_action_has_all_that_is_needed():
    """An action has its day and hours, dose, reason with evidence, source and go/no-go line."""
    plan = decide(files(shelf=granules(more='wind_max = "10 mph"')))
    found = action(plan)
    assert (found.day, found.start, found.end) == (TODAY, "07:00", "12:00")
    assert found.dose is not None
    assert found.because == "The window of feed is open."
    assert found.evidence[0].holds is True
    assert "10 mph" in found.go_line
    assert found.source == "made up"
    assert plan.weather.forecast_to == TODAY + timedelta(9)


def test_plan_survives_its_document():
    """A plan written as JSON and read again is the same plan."""
    plan = decide(rules=book(opens(), waters(), holds()), series=weather(rain=DRY))
    assert Plan.model_validate_json(plan.model_dump_json(by_alias=True)) == plan


INTERVAL = granules(more='interval = "30 days"')


def test_perhaps_done_is_asked_and_held():
    """What was advised three days ago and not answered is asked about, and not advised again."""
    plan = decide(files(shelf=INTERVAL), advised=[advice(TODAY - timedelta(3))])
    (asked,) = plan.ask
    assert (asked.task, asked.lawn, asked.day) == ("feed", "front", TODAY - timedelta(3))
    assert "granules" in asked.text
    assert nothing_advised(plan)
    assert "cannot be ruled out" in action(plan).because


def test_perhaps_done_is_held_without_an_interval():
    """A label without an interval lets nobody feed again what was perhaps fed three days ago."""
    plan = decide(advised=[advice(TODAY - timedelta(3))])
    assert len(plan.ask) == 1
    assert nothing_advised(plan)


@pytest.mark.parametrize("answer", [0, 1, 2])
def test_each_answer_closes_the_question(answer: int):
    """Any one of the answer lines, written into the journal as it stands, ends the asking."""
    told = [advice(TODAY - timedelta(3))]
    (asked,) = decide(files(shelf=INTERVAL), advised=told).ask
    journal = f"journal from 2026-01-01\n{asked.answers[answer]}\n"
    plan = decide(files(shelf=INTERVAL, journal=journal), advised=told)
    assert plan.ask == ()
    assert nothing_advised(plan) == (answer == 0), "done holds; skipped and not yet open again"


def test_this_morning_s_advice_is_not_repeated_tonight():
    """Advice for this morning, not answered by the evening, is not given again for tomorrow."""
    told = [advice(TODAY, issued=TODAY - timedelta(1))]
    plan = decide(files(shelf=INTERVAL), advised=told, now=moment(clock="19:30"))
    assert nothing_advised(plan)


def test_unreadable_line_is_named_and_holds():
    """A journal line that cannot be read is named with its place, and what it may be is held."""
    journal = "journal from 2026-01-01\n2026-05-03 front aplied 20 lb of granules\n"
    plan = decide(files(shelf=INTERVAL, journal=journal))
    assert any("journal.txt, line 2" in problem for problem in plan.problems)
    assert nothing_advised(plan)


def broken_hold() -> Rulebook:
    """A window, and a hold of which not even the tasks can be read."""
    found = read_rulebook(
        [RuleFile("x.rules", opens() + waters() + "holds ??? fr feed\n  whle x\n")]
    )
    assert found.holds_everything
    return found


def test_broken_hold_holds_everything_put_down():
    """While a hold cannot be read nothing is put down, and the plan says so; water is given."""
    plan = decide(rules=broken_hold(), series=weather(rain={-2: 60.0}))
    assert action(plan).verdict is Verdict.WAIT
    assert "cannot be read" in action(plan).because
    thirsty = decide(rules=broken_hold(), series=weather(rain=DRY))
    assert action(thirsty).verdict is Verdict.WAIT
    assert action(thirsty, "watering").verdict is Verdict.WATER


def test_unknown_is_listed():
    """What could not be told is listed with what was missing."""
    plan = decide(rules=book(opens(), holds()), series=weather(humidity=None))
    assert [unknown.lawn for unknown in plan.unknown] == ["front"]
    assert "humidity" in plan.unknown[0].why


def test_what_the_journal_could_tell_comes_with_its_line():
    """Of a task whose last time nobody wrote down, the line that would tell it is given."""
    rule = (
        "opens feed-again for feed\n  while   days since feed more than 60 days\n"
        "  says    It is time.\n  source  made up\n"
    )
    plan = decide(files(journal="journal from 2026-05-01\n"), rules=book(rule))
    assert [unknown.lawn for unknown in plan.unknown] == ["front"]
    assert plan.unknown[0].why.endswith("as in `last feed DATE`")


def test_unknown_rain_is_not_called_unknown_doing():
    """Held by rain that nobody knows, the plan says rain and not “whether it was done”."""
    series = weather()
    rain = series.column("rain").copy()
    rain[30 * 24 :: 24] = np.nan
    gap = Series(series.start, {**series.columns, "rain": rain}, series.source)
    plan = decide(files(shelf=granules(more='rain_hold = "12 mm"')), series=gap)
    assert nothing_advised(plan)
    assert "whether it was done" not in plan.unknown[0].why


def test_refusal_is_the_reason():
    """A pesticide without its label's figures waits, and the figure to look up is named."""
    shelf = "\n".join(line for line in BARRIER.splitlines() if not line.startswith("interval"))
    plan = decide(files(shelf=shelf), book(opens("pre-emergent")))
    assert "the least time between two applications" in action(plan, "pre-emergent").because


def test_empty_shelf_is_the_reason():
    """A window for which nothing is on the shelf says so."""
    plan = decide(rules=book(opens("iron")))
    assert "nothing on the shelf" in action(plan, "iron").because.lower()


def test_window_that_closes_unused_is_flagged():
    """A window that is held until it closes is flagged; one that opens again first is not."""
    rules = book(opens(at_least=10), holds())
    closing = weather(gust={0: 12.0, 1: 12.0}, humidity={0: 0.95, 1: 0.95})
    assert "close" in action(decide(rules=rules, series=closing)).flag
    again = weather(gust={0: 12.0, 1: 12.0, 2: 12.0}, humidity={0: 0.95, 1: 0.95})
    assert action(decide(rules=rules, series=again)).flag == ""


def test_note_of_several_tasks_is_told_once():
    """A note that speaks of two tasks is one note."""
    note = (
        "notes leaves for feed, iron\n  while gust at least 1 km/h\n"
        "  says Pick up the leaves.\n  source made up\n"
    )
    plan = decide(rules=book(opens(), note))
    assert plan.lawns[0].notes == ("Pick up the leaves.",)


def test_estimated_soil_is_labelled():
    """A soil temperature that is an estimate says so where it is shown."""
    gone = dict.fromkeys(("soil_temp_0", "soil_temp_6", "soil_temp_18", "soil_temp_54"))
    plan = decide(series=weather(**gone))
    soil = next(c for c in plan.lawns[0].conditions if c.name == "soil_temp")
    assert soil.estimate
    assert "estimate" in soil.value
    assert not next(c for c in decide().lawns[0].conditions if c.name == "soil_temp").estimate


def test_water_in_minutes_and_hours():
    """Watering comes with its minutes on these sprinklers, in the hours that are permitted."""
    read = files(lawn(more='sprinklers = "12 mm"'), more='[watering]\nhours = ["05:00-08:00"]\n')
    found = action(decide(read, book(waters()), weather(rain=DRY)), "watering")
    assert found.water_mm is not None
    assert f"{found.water_mm / 12 * 60:.0f} minutes" in found.water_text
    assert found.start is not None
    assert found.end is not None
    assert "05:00" <= found.start < found.end <= "08:00"


def test_heat_caution_stands_beside_the_step():
    """On a day that is dangerous for whoever does the work, the action says so."""
    hot = weather(air_temp=40.0, humidity=0.5)
    # A grass that bears it: on another, feed would be likely to burn.
    read = files(lawn(grass="bermudagrass", more=GENEROUS))
    assert any("dangerous" in caution for caution in action(decide(read, series=hot)).cautions)
    assert action(decide()).cautions == ()


def test_two_lawns_are_told_apart():
    """Each lawn has its own actions and dose; a ban on one holds that one alone."""
    ban = (
        '[[ban]]\ntitle = "Creek"\nnutrients = ["nitrogen"]\nfrom = "05-01"\nto = "05-31"\n'
        'lawns = ["back"]\n'
    )
    read = files(lawn(more=GENEROUS), lawn("back", "3000 ft2", more=GENEROUS), more=ban)
    plan = decide(read)
    assert action(plan).verdict is Verdict.APPLY
    assert action(plan, on="back").verdict is Verdict.WAIT
    assert "Creek" in action(plan, on="back").because


def test_every_task_has_its_line():
    """Every task that some rule opens stands in the plan of a lawn, to do or to wait for."""
    rules = book(opens("feed"), opens("iron"), opens("pre-emergent", at_least=10), waters())
    plan = decide(rules=rules)
    wanted = {"feed", "iron", "pre-emergent", "watering"}
    assert {one.task for one in plan.lawns[0].actions} == wanted
    assert len(actions(plan, "feed")) == 1


def test_metric_site_reads_metric():
    """A metric site gets kilograms, degrees Celsius and square metres."""
    found = action(decide(files(units="metric")))
    assert found.dose is not None
    assert found.dose.amount_text.endswith(" kg")
    assert found.dose.area_text == "557 m²"


def test_now_must_be_an_instant():
    """Other zones' clocks do not matter: the same instant gives the same plan."""
    from zoneinfo import ZoneInfo

    there = NOW.astimezone(ZoneInfo("Asia/Tokyo"))
    assert isinstance(there, datetime)
    first, second = decide(now=NOW), decide(now=there)
    assert first == second.model_copy(update={"decided_at": NOW})
    assert first.site.zone == ZONE


def test_stale_weather_still_tells_of_thirst():
    """A dry lawn is not left to die for want of a forecast: the last known balance is told, as
    such, and nothing is advised."""
    series = weather(rain={-20: 60.0}, fetched=NOW - timedelta(hours=48))
    plan = decide(series=series)
    assert plan.cannot_tell
    (note,) = plan.lawns[0].notes
    assert "as last known" in note
    assert plan.lawns[0].actions == ()


def test_stale_weather_after_rain_tells_of_no_thirst():
    """Where the last known balance is on the safe side of the stress line, nothing is said."""
    series = weather(rain={-1: 60.0}, fetched=NOW - timedelta(hours=48))
    plan = decide(series=series)
    assert plan.cannot_tell
    assert plan.lawns[0].notes == ()


def test_how_it_stands_is_before_the_plan():
    """A feeding that is advised for today is not yet in the year's nitrogen."""
    plan = decide()
    assert action(plan).day == plan.on
    (nitrogen,) = [c for c in plan.lawns[0].conditions if c.name == "nitrogen_year"]
    assert nitrogen.number == 0


def test_a_broken_rule_file_leads_where_nothing_else_is_to_be_done():
    """Its place stands in the headline; water, which it does not hold, goes first."""
    broken = read_rulebook([RuleFile("rules/mine.rules", f"{opens()}\n{waters()}\nholds")])
    assert broken.holds_everything
    plan = decide(rules=broken, series=weather(rain=dict.fromkeys(range(-1, 10), 20.0)))
    assert plan.headline.text == (
        "Wait: a rule file of yours cannot be read (rules/mine.rules, line 11), so nothing is put"
        " down until it is mended."
    )
    dry = decide(
        files(lawn(more='irrigated = true\nroots = "4 in"')), broken, weather(air_temp=32.0)
    )
    assert dry.headline.verdict is Verdict.WATER

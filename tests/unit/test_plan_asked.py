"""What each rule says of each lawn on a day: states, changes to come, what is missing."""

from __future__ import annotations

from datetime import date
from pathlib import PurePath

import numpy as np
import pytest
from plan_cases import (
    AHEAD,
    BARRIER,
    GENEROUS,
    NOW,
    PAST,
    book,
    files,
    given,
    granules,
    holds,
    lawn,
    moment,
    opens,
    waters,
    weather,
)

from advisor.plan.asked import ask_rules, theme
from advisor.plan.asked_model import Asked, RuleSaid, Says
from advisor.plan.compose import make_plan
from advisor.plan.model import Verdict
from advisor.rulebook.book import Rulebook, RuleFile
from advisor.rulebook.read import read_rulebook
from advisor.series.hourly import Series

DRY = 0.6
HUMID = 0.95
NOTE = (
    "notes damp for mowing\n  while   humidity at least 90%\n  says    Damp: {h}.\n"
    "  source  made up\n"
).replace(": {h}", "")
LATCHED = (
    "opens spring for feed\n  let     windy be highest of gust over the 2 days to it\n"
    "  while   gust at least 1 m/s\n  once    windy at least 10 m/s   # a comment\n"
    "  until   humidity at least 90%\n  says    Open at {windy}.\n  source  made up\n"
)


def asked(
    rules: Rulebook, series: Series | None = None, *, lawns: tuple[str, ...] = (), units: str = "us"
) -> Asked:
    site = files(*(lawns or (lawn(more=GENEROUS),)), units=units)
    return ask_rules(given(site, rules, series or weather()), NOW)


def only(rules: Rulebook, series: Series | None = None, units: str = "us") -> RuleSaid:
    (found,) = asked(rules, series, units=units).lawns[0].rules
    return found


@pytest.mark.parametrize(
    ("rule", "humidity", "gust", "says", "speaks"),
    [
        (opens(), DRY, 4.0, Says.OPEN, True),
        (opens(), DRY, 1.0, Says.SHUT, False),
        (opens(), DRY, None, Says.CANNOT_TELL, False),
        (holds(), HUMID, 4.0, Says.HELD, True),
        (holds(), DRY, 4.0, Says.NOT_HELD, False),
        (holds(), None, 4.0, Says.CANNOT_TELL, True),
        (holds("watering"), None, 4.0, Says.CANNOT_TELL, False),
        (NOTE, HUMID, 4.0, Says.SPEAKS, True),
        (NOTE, DRY, 4.0, Says.SILENT, False),
        (waters().replace("depletion", "gust").replace("stress_line", "3 m/s"), DRY, 4.0,
         Says.ASKS, True),
        (waters().replace("depletion", "gust").replace("stress_line", "9 m/s"), DRY, 4.0,
         Says.SILENT, False),
    ],
)  # fmt: skip
def test_what_a_rule_says(
    rule: str, humidity: float | None, gust: float | None, says: Says, speaks: bool
) -> None:
    """What cannot be told keeps a window shut and a hold holding, but forbids no water."""
    made = weather(humidity=humidity, gust=gust, dew_point=None if humidity is None else 9.0)
    found = only(book(rule), made)
    assert (found.says, found.speaks) == (says, speaks)


def test_a_condition_is_told_whole() -> None:
    """13.4 mph are 6 m/s; the window wants between 3 and 30."""
    found = only(book(opens()), weather(gust=6.0))
    (condition,) = found.conditions
    assert condition.word == condition.keyword == "while"
    assert condition.text == "gust between 10.8 km/h and 396.0 km/h"
    assert (condition.value, condition.holds) == ("13 mph", True)
    assert condition.limit == "between 7 mph and 246 mph"
    assert condition.origin == "forecast of made-up weather"
    assert (found.what, found.theme, found.line) == ("window for feeding", "test", 1)


def test_settings_are_spelled_out_and_lets_are_kept() -> None:
    rules = book("setting windy = 10 m/s", LATCHED.replace("least 10 m/s", "least $windy"))
    found = only(rules)
    assert found.conditions[1].text == "windy at least 10 m/s"
    assert [(let.name, let.meaning) for let in found.lets] == [
        ("windy", "highest of gust over the 2 days to it")
    ]


TODAY = NOW.date()


@pytest.mark.parametrize(
    ("gusts", "change", "then"),
    [
        ([4.0] * AHEAD, "no change in the forecast", None),
        ([4.0, 4.0, 1.0, 4.0], "holds until Thu May 14", False),
        ([1.0, 4.0], "will hold from Thu May 14", True),
        ([float("nan"), 4.0], "will hold from Thu May 14", True),
        ([float("nan"), 1.0], "known from Thu May 14 on not to hold", False),
        ([4.0, float("nan")], "holds until Wed May 13, unknown from Thu May 14 on", None),
    ],
)
def test_the_day_on_which_a_condition_turns(
    gusts: list[float], change: str, then: bool | None
) -> None:
    """Today is Wednesday 13 May; the weather ends with 22 May."""
    (condition,) = only(book(opens()), weather(gust=gusts)).conditions
    assert (condition.change, condition.then) == (change, then)


def test_the_day_from_which_a_condition_lies_beyond_the_forecast() -> None:
    rules = book(
        "notes a for feed\n while lowest of gust over the 3 days from it more than 1 m/s\n"
        " says A.\n source made up"
    )
    found = only(rules)
    assert found.conditions[0].change == (
        "holds until Wed May 20, unknown from Thu May 21 on: beyond the forecast"
    )
    assert found.change == (
        "speaks until Wed May 20; from Thu May 21 on it cannot be told: beyond the forecast"
    )


@pytest.mark.parametrize(
    ("rule", "days", "change"),
    [
        (opens(), {"gust": [4.0, 4.0, 1.0]}, "open until Thu May 14"),
        (opens(), {"gust": [1.0, 4.0]}, "opens on Thu May 14"),
        (holds(), {"humidity": [HUMID, DRY]}, "holds until Wed May 13"),
        (holds(), {"humidity": [DRY, HUMID]}, "holds on Thu May 14"),
        (NOTE, {"humidity": [HUMID, DRY]}, "speaks until Wed May 13"),
        ("notes long for feed\n  while daylight_hours more than 10 hours\n  says L.\n  source m",
         {}, "no change in the forecast"),
    ],
)  # fmt: skip
def test_the_day_on_which_a_rule_turns(
    rule: str, days: dict[str, list[float]], change: str
) -> None:
    assert only(book(rule), weather(**days)).change == change


def test_days_are_written_as_their_reader_writes_them() -> None:
    assert only(book(opens()), weather(gust=[4.0, 1.0]), "metric").change == "open until Wed 13 May"


def test_what_is_missing_is_named() -> None:
    """A gap, and a fact that no weather of the site has."""
    gap = {-2: float("nan")}
    rules = book(
        "opens a for feed\n while highest of gust over the 4 days to it less than 9 m/s\n"
        " says A.\n source made up\n"
        "opens b for feed\n while snow_depth less than 1 in\n says B.\n source made up"
    )
    one, two = asked(rules, weather(gust=gap, snow_depth=None)).lawns[0].rules
    assert one.conditions[0].missing == "gust is not known on Mon May 11"
    assert two.conditions[0].missing == "snow_depth is not known on any day"


def test_what_lies_beyond_the_forecast_is_named_so() -> None:
    rules = book(
        "opens a for feed\n while lowest of gust over the 12 days from it more than 1 m/s\n"
        " says A.\n source made up"
    )
    (condition,) = only(rules).conditions
    assert condition.missing == "gust is not known from Sat May 23 on: beyond the forecast"


def test_bounds_that_do_not_settle_are_named_so() -> None:
    """A day with a missing hour has at least the rain of the others."""
    rain = np.zeros((PAST + AHEAD) * 24)
    rain[PAST * 24 + 5] = float("nan")
    rules = book(
        "holds a for feed\n while rain more than 1 in\n says A.\n source common practice, no source"
    )
    (condition,) = only(rules, weather(rain=rain)).conditions
    assert condition.holds is None
    assert condition.missing == "rain is known only within bounds"


@pytest.mark.parametrize(
    ("gust", "humidity", "latch", "text"),
    [
        ({}, {}, "waiting", "waiting: it opens on the first day on which"),
        ({-3: 12.0}, {}, "open", "opened on Sun May 10, and stays so until"),
        ({-3: 12.0}, {-1: HUMID}, "shut", "shut since Tue May 12; it may open again once"),
    ],
)
def test_the_memory_of_a_window_in_words(
    gust: dict[int, float], humidity: dict[int, float], latch: str, text: str
) -> None:
    found = only(book(LATCHED), weather(gust=gust, humidity=humidity))
    assert found.latch == latch
    assert found.latch_text.startswith(text)


def test_rules_stand_by_file_and_kind() -> None:
    texts = {"b.rules": holds() + opens(), "a.rules": NOTE + holds("iron")}
    rules = read_rulebook([RuleFile(f"shipped rules/{n}", text) for n, text in texts.items()])
    found = asked(rules).lawns[0].rules
    assert [(rule.theme, rule.kind) for rule in found] == [
        ("b", "opens"), ("b", "holds"), ("a", "holds"), ("a", "notes"),
    ]  # fmt: skip
    assert theme(rules.rules["damp"]) == PurePath("shipped rules/a.rules").stem


def test_a_lawn_has_the_rules_for_its_grass_and_its_water() -> None:
    rules = book(opens().replace("  while", "  on bermudagrass\n  while"), waters())
    dry = lawn("back", grass="bermudagrass", more="irrigated = false")
    front, back = asked(rules, lawns=(lawn(more="irrigated = true"), dry)).lawns
    assert [rule.name for rule in front.rules] == ["thirst"]
    assert [rule.name for rule in back.rules] == ["open-feed"]


def test_only_the_lawn_and_rule_that_were_asked_for() -> None:
    site = files(lawn(more=GENEROUS), lawn("back", more=GENEROUS))
    made = given(site, book(opens(), holds()), weather())
    found = ask_rules(made, NOW, lawn="back", rule="hold-feed")
    assert [(part.name, [r.name for r in part.rules]) for part in found.lawns] == [
        ("back", ["hold-feed"])
    ]


def test_a_hold_that_cannot_be_read_holds() -> None:
    broken = read_rulebook([RuleFile("my.rules", holds().replace("humidity", "humidty"))])
    found = only(broken)
    assert (found.says, found.speaks, found.conditions) == (Says.CANNOT_TELL, True, ())
    assert "cannot be read: mend it in my.rules" in found.sentence


def test_without_weather_or_with_old_weather_it_says_why() -> None:
    none = ask_rules(given(files(), book(opens()), None), NOW)
    assert none.cannot_tell == "There is no forecast: none could be fetched yet."
    old = given(files(), book(opens()), weather(fetched=moment(date(2026, 5, 11), "05:00")))
    assert ask_rules(old, NOW).cannot_tell == (
        "The newest forecast is 49 hours old, too old to decide on."
    )
    assert (none.lawns, none.forecast_to) == ((), None)


def test_looking_is_before_planning() -> None:
    """A thirsty lawn stays so in what is told, whatever water the plan would give it."""
    rules = book(waters())
    dry = weather(air_temp=30.0, radiation=500.0)
    found = asked(rules, dry, lawns=(lawn(more="irrigated = true"),)).lawns[0].rules[0]
    assert found.says is Says.ASKS
    assert found.change_on is None or (found.change_on - TODAY).days > 1


def test_the_document_reads_back() -> None:
    """The schema of `explain --json`."""
    found = asked(book(LATCHED, holds(), NOTE))
    assert Asked.model_validate_json(found.model_dump_json()) == found
    assert found.version == 1


def test_the_plan_stands_beside_what_the_rules_say():
    """Its actions are the digest's own, with days, hours, what placed them and a second choice."""
    rules = book(opens(), opens("pre-emergent", at_least=10), waters())
    site = files(lawn(more=GENEROUS), lawn("back", more=GENEROUS), shelf=granules() + BARRIER)
    made = given(site, rules, weather(rain={-12: 60.0}, gust={2: 12.0}))
    found = ask_rules(made, NOW).plan
    assert found is not None
    plan = make_plan(made, NOW)
    digest = {
        (each.name, a.task, a.day, a.start, a.end, (*a.chosen, *a.product_why), a.second, a.go_line)
        for each in plan.lawns for a in each.actions if a.verdict is not Verdict.WAIT
    }  # fmt: skip
    told = [
        (a.lawn, a.task, a.day, a.start, a.end, a.chosen, a.second, a.go_line)
        for a in found.actions
    ]
    assert set(told) == digest
    assert len(told) == len(digest)
    assert [a.day for a in found.actions] == sorted(a.day for a in found.actions if a.day)
    assert all(a.chosen and a.second for a in found.actions)
    assert found.headline == plan.headline.text
    assert found.leads == (
        "The headline is watering: a dry day cannot be made good on a later one."
    )
    (back,) = {a.lawn for a in ask_rules(made, NOW, lawn="back").plan.actions}  # type: ignore[union-attr]
    assert back == "back"
    ruled = ask_rules(made, NOW, rule="open-pre-emergent").plan
    assert ruled is not None
    assert {a.task for a in ruled.actions} == {"pre-emergent"}


def test_the_plan_as_a_document():
    """Days and hours go by the names that the plan's own document has."""
    found = asked(book(opens())).model_dump(mode="json", by_alias=True)
    (only,) = found["plan"]["actions"]
    assert (only["date"], only["from"], only["until"]) == ("2026-05-13", "07:00", "12:00")
    assert only["second"] == {
        "date": "2026-05-14", "from": "07:00", "until": "12:00",
        "text": "Thu May 14, 07:00 to 12:00", "say_first": False,
    }  # fmt: skip
    assert found["plan"]["leads"].startswith("The headline is feeding: no window is known to close")


def test_no_plan_without_weather():
    """Where nothing can be told there is no plan to tell of."""
    made = given(files(), book(opens()), None)
    assert ask_rules(made, NOW).plan is None
    assert ask_rules(made, NOW).cannot_tell

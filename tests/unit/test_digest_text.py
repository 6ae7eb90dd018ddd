"""The digest as plain text."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_cases import NOW, decide, files, without_weather
from sample_plan import barrier, sample_plan, waiting

from advisor.digest.clean import clean_text
from advisor.digest.html import render_html
from advisor.digest.text import render_text
from advisor.digest.words import (
    age_text,
    columns,
    day_text,
    hours_text,
    instant_text,
    wrap,
)
from advisor.plan.model import Action, Dose, Plan, SecondChoice, Unknown, Verdict


def replace_action(plan: Plan, action: Action) -> Plan:
    """The plan with `action` as the only one of its first lawn."""
    first = plan.lawns[0].model_copy(update={"actions": (action,)})
    return plan.model_copy(update={"lawns": (first, *plan.lawns[1:])})


def flat(text: str) -> str:
    return " ".join(text.split())


def test_first_line_is_the_verdict_alone_and_its_reason_follows() -> None:
    """What to have in hand stands between the two."""
    first, *rest = render_text(sample_plan()).splitlines()
    assert first == "Apply: spring barrier, Front lawn, Thu Apr 9, 07:00 to 10:00"
    opening = "\n".join(rest).split("\n\n")[0]
    amount = opening.index("Weigh out: 5.4 lb")
    reason = opening.index("Soil at 2 in has averaged 52.1 F; crabgrass sprouts from")
    number = opening.index("  - days since pre-emergent: at least 190 days, wants more than 120")
    assert amount < reason < number


def test_no_line_is_wider_than_72_columns() -> None:
    for line in render_text(sample_plan()).splitlines():
        assert columns(line) <= 72, line


def test_sections_stand_in_their_order_and_the_question_comes_first() -> None:
    text = render_text(sample_plan())
    marks = [
        "Apply: spring barrier",
        "Weigh out: 5.4 lb",
        "First, please answer",
        "How to do it\n",
        "WATER: Watering\n",
        "Coming days",
        "The lawns\n",
        "What waits\n",
        "What comes next",
        "Also\n",
        "What could not be told",
        "To mend in your files",
        "The next digest comes on Wed Apr 15.",
        "Words. ",
        "By these rules. ",
        "Weather fetched Wed Apr 8, 03:40 (2 hours old)",
    ]
    places = [text.index(mark) for mark in marks]
    assert places == sorted(places)


def test_a_caution_that_a_step_carries_is_said_once() -> None:
    text = flat(render_text(sample_plan()))
    assert text.count("Keep children and pets off until it is dry.") == 1


def test_no_paragraph_is_there_twice() -> None:
    """The headline's day and dose are looked up in its lawn; no sentence is told again."""
    plan = sample_plan()
    text = flat(render_text(plan)).casefold()
    action = plan.lawns[0].actions[0]
    assert action.dose is not None
    once = [action.because, action.go_line, action.dose.rate_text, *action.dose.steps]
    once += [plan.weather.attribution, plan.ask[0].text, plan.next[0].text]
    for sentence in once:
        assert text.count(sentence.casefold()) == 1, sentence


def test_empty_sections_leave_no_heading() -> None:
    text = render_text(sample_plan(ask=(), days=(), next=(), unknown=(), problems=()))
    for heading in ("First, please", "Coming days", "comes next", "could not", "To mend"):
        assert heading not in text
    assert "\n\n\n" not in text


def stale(why: str) -> Plan:
    """The sample as it is when the weather is too old, or none is there, for this reason."""
    plan = sample_plan(cannot_tell=True)
    head = plan.headline.model_copy(
        update={
            "verdict": Verdict.WAIT, "task": None, "lawn": None, "day": None,
            "text": f"Wait: cannot tell. {why}", "claim": "cannot tell", "because": why,
        }
    )  # fmt: skip
    weather = plan.weather.model_copy(update={"stale": True, "age_hours": 53.0})
    return plan.model_copy(update={"headline": head, "weather": weather})


def test_stale_weather_is_told_once() -> None:
    why = "The newest forecast is 53 hours old, too old to decide on."
    plan = stale(why)
    everything = Unknown(lawn=None, what="Everything that depends on weather", why=why)
    text = flat(render_text(plan.model_copy(update={"unknown": (everything,)})))
    assert text.count("too old to decide on") == 1
    assert text.casefold().count("cannot tell") == 1
    assert "What could not be told" not in text
    assert "(2 days old)" in text


def test_no_forecast_at_all_is_told_once() -> None:
    why = "There is no forecast: none could be fetched yet."
    plan = stale(why)
    none = plan.weather.model_copy(update={"fetched_at": None, "age_hours": None})
    text = flat(render_text(plan.model_copy(update={"weather": none})))
    assert text.count("There is no forecast") == 1
    assert "etched" not in text.replace(why, "")


@pytest.mark.parametrize(
    ("plan", "why"),
    [
        (without_weather(files()), "There is no forecast: none could be fetched yet."),
        (decide(now=NOW + timedelta(hours=37)), "The newest forecast is"),
    ],
    ids=["none", "old"],
)
def test_what_the_plan_cannot_tell_is_said_once_with_what_to_do(plan: Plan, why: str) -> None:
    """Of a real plan, in both parts."""
    page = re.sub("<[^>]*>", " ", render_html(plan).split("</div>", 1)[1])
    for told in (flat(render_text(plan)), flat(page)):
        assert told.casefold().count("cannot tell") == 1
        assert told.count(why) == 1
        assert told.count("Put nothing down until there is a new one.") == 1


def test_headline_s_reason_is_not_told_again_by_its_action() -> None:
    text = flat(render_text(sample_plan()))
    assert text.count("crabgrass sprouts from about 53 F.") == 1
    assert "Why: It feeds a little too" in text


def test_waits_that_say_the_same_become_one() -> None:
    quiet = waiting().model_copy(
        update={"because": "No rule asks for it now.", "evidence": (), "rule": "none", "source": ""}
    )
    names = ("Lime", "Iron for colour", "Overseeding")
    actions = [quiet.model_copy(update={"id": name, "title": name}) for name in names]
    lawn = sample_plan().lawns[1].model_copy(update={"actions": (*actions, waiting())})
    text = render_text(sample_plan(lawns=(lawn,)))
    assert "  - Lime, Iron for colour, Overseeding: No rule asks for it now. Look" in text
    assert text.count("No rule asks for it now.") == 1
    assert "none:" not in text
    assert "  - Spring feed: 1.2 in may follow" in text


@pytest.mark.parametrize(
    ("state", "said"),
    [("summer dormant", "Dormant for the summer"), ("unknown", "In a state that is not known")],
)
def test_state_is_a_sentence(state: str, said: str) -> None:
    lawn = sample_plan().lawns[0].model_copy(update={"state": state})
    assert f"Front lawn: {said}." in flat(render_text(sample_plan(lawns=(lawn,))))


def test_liquid_is_measured_out_and_not_weighed() -> None:
    dose: Dose = barrier().dose.model_copy(  # type: ignore[union-attr]
        update={"amount_unit": "L", "amount_text": "18 fl oz", "analysis": None}
    )
    plan = replace_action(sample_plan(), barrier().model_copy(update={"dose": dose}))
    text = render_text(plan)
    assert "Measure out: 18 fl oz of Spring granules on 3,600 ft2" in text
    assert "Weigh out" not in text


def test_problem_keeps_its_lines_and_loses_its_carets() -> None:
    text = render_text(sample_plan())
    assert "  - journal.txt:14:13: there is no product “sping-granules”\n" in text
    assert "    Did you mean “spring-granules”?\n" in text
    assert "^" not in text


def test_days_in_the_order_of_the_site() -> None:
    """9 April 2026 is a Thursday (checked against the standard library's own calendar)."""
    assert date(2026, 4, 9).strftime("%w") == "4"
    assert day_text(date(2026, 4, 9), "us") == "Thu Apr 9"
    assert day_text(date(2026, 4, 9), "metric") == "Thu 9 Apr"
    assert day_text(date(2027, 4, 9), "metric", date(2026, 4, 9)) == "Fri 9 Apr 2027"


def test_open_ended_hours() -> None:
    assert hours_text("07:00", None) == "from 07:00"
    assert hours_text(None, "10:00") == "until 10:00"
    assert hours_text(None, None) == ""


def test_instant_by_the_site_s_clock() -> None:
    """Chicago is five hours behind UTC in summer: 02:40 is the evening before."""
    instant = datetime(2026, 4, 9, 2, 40, tzinfo=UTC)
    assert instant_text(instant, "America/Chicago", "us") == "Wed Apr 8, 21:40"


@pytest.mark.parametrize(
    ("hours", "said"),
    [(0.2, "less than an hour"), (1.2, "1 hour"), (30, "30 hours"), (50, "2 days")],
)
def test_age(hours: float, said: str) -> None:
    assert age_text(hours) == said


TEXTS = st.text(
    alphabet=st.sampled_from("ab cdefg é ñ-,. 草地 \u0301 👍🏽 ") | st.characters(), max_size=400
).map(clean_text)


@given(TEXTS, st.sampled_from(["", "  - ", "    Note: "]), st.integers(20, 90))
def test_wrapped_lines_keep_within_the_width_and_lose_nothing(
    text: str, first: str, width: int
) -> None:
    """Only a line with a single word may be wider, and the words come back as they were."""
    lines = wrap(text, first, width=width)
    for index, line in enumerate(lines):
        body = line.removeprefix(first) if index == 0 else line
        assert columns(line) <= width or len(body.split()) == 1
    whole = "\n".join(lines)
    assert whole.removeprefix(first).split() == text.split() or not text.split()


@given(st.text(max_size=300), st.text(max_size=300))
def test_digest_of_any_texts_keeps_its_width(because: str, title: str) -> None:
    """Whatever the owner wrote: no line over 72 columns but a single long word after its label."""
    action = barrier().model_copy(update={"because": because, "title": title})
    for line in render_text(replace_action(sample_plan(), action)).splitlines():
        words = line.split()
        longest = max((columns(word) for word in words), default=0)
        assert columns(line) <= 72 or (longest > 50 and len(words) <= 2), line


def told_with(**changes: object) -> str:
    """The sample's text, with its barrier changed."""
    return flat(render_text(replace_action(sample_plan(), barrier().model_copy(update=changes))))


def test_the_second_choice_stands_in_one_line() -> None:
    line = "If that does not work: Sat Apr 11, 08:00 to 12:00; the same check holds that morning"
    assert told_with().count(line) == 1
    later = SecondChoice(
        day=date(2026, 4, 9), start="13:00", end="17:00", text="later that day, 13:00 to 17:00"
    )
    line = "If that does not work: later that day, 13:00 to 17:00; the same check holds then"
    assert line in told_with(second=later)
    none = SecondChoice(text="No other day suits.")
    assert "If that does not work: No other day suits." in told_with(second=none)
    assert "the same check" not in told_with(second=none)
    assert "If that does not work" not in told_with(second=None)


def test_why_a_day_to_come_was_chosen_is_one_line() -> None:
    """The reason of its day, where that is not today; its hours are told by explain alone."""
    why = "Thu Apr 9 is the first open day that nothing holds. Wed Apr 8 is not it: rain."
    assert told_with().count(why) == 1
    assert "the calmest dry hours" not in told_with()
    assert why not in told_with(day=date(2026, 4, 8))


def test_lawns_with_second_choices_of_their_own_say_whose() -> None:
    plan = sample_plan()
    other = SecondChoice(
        day=date(2026, 4, 12), start="08:00", end="12:00", text="Sun Apr 12, 08:00 to 12:00"
    )
    first, *rest = plan.lawns
    lawns = (
        first.model_copy(update={"actions": (barrier(),)}),
        rest[0].model_copy(
            update={"actions": (barrier().model_copy(update={"second": other, "id": "back"}),)}
        ),
    )
    text = flat(render_text(plan.model_copy(update={"lawns": lawns})))
    assert (
        f"Sat Apr 11, 08:00 to 12:00 ({first.title}); Sun Apr 12, 08:00 to 12:00 ({rest[0].title})"
        in text
    )

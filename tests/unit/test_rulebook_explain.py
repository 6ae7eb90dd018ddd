"""Reasons of rules: sentences, values and limits in the owner's units; and trials."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from advisor.conditions.table import Column, Table, Words
from advisor.rulebook.book import Answer, Rulebook, RuleFile
from advisor.rulebook.evaluate import ConditionResult, Evaluator, Explanation
from advisor.rulebook.latch import State
from advisor.rulebook.read import read_rulebook
from advisor.rulebook.trial import run_trial, run_trials

DAYS, TODAY, END = 10, 4, 8

TEXT = """\
setting barrier-soil = 50 F

opens barrier for pre-emergent
  let     warmth be mean of soil_temp at 2 in over the 3 days to it
  while   daylight is lengthening
  and     days since pre-emergent more than 120 days
  once    warmth at least $barrier-soil
  until   warmth more than 60 F or rain more than 9 in
  says    Soil has averaged {warmth} {{2 in}}, wanted {barrier-soil}.
  source  invented

holds downpour for feed
  let     soon be total of rain over the 2 days after it
  while   soon more than 0.5 in   # half an inch
  says    {soon} may follow.
  source  common practice, no source

holds frost for feed
  while   air_min less than 35 F
  says    Frost.
  source  common practice, no source

notes short for mowing
  while   daylight_hours between 9 hours and 11 hours
  and     not grass is summer-dormant / winter-dormant
  says    Short days.
  source  common practice, no source
"""


def origin(day: int) -> str:
    return "measured" if day < TODAY else "forecast"


def column(*values: float) -> Column:
    return Column.of(np.array(values), origin)


def asked(
    soil: float = 11.0,
    rain: tuple[float, ...] = (0,) * DAYS,
    air_min: tuple[float, ...] = (9,) * 10,
) -> Table:
    nan = float("nan")
    return Table(
        days=[date(2026, 3, 1) + timedelta(n) for n in range(DAYS)],
        numbers={
            "rain": column(*rain),
            "air_min": column(*[v if day < END else nan for day, v in enumerate(air_min)]),
            "daylight_hours": column(*[10.25 / 24] * DAYS),
        },
        at_depth=lambda _name, _depth: column(*[soil] * END, nan, nan),
        words={
            "daylight": Words(np.zeros(DAYS, dtype=np.int8), origin),
            "grass": Words(np.full(DAYS, 4, dtype=np.int8), origin),
        },
        since={"pre-emergent": Column(np.full(DAYS, 200.0), np.full(DAYS, np.inf), origin)},
        today=TODAY,
        forecast_end=END,
    )


def book() -> Rulebook:
    found = read_rulebook([RuleFile("a.rules", TEXT)])
    assert found.problems == ()
    return found


def explain(rule: str, day: int, table: Table, units: str = "us") -> Explanation:
    rules = book()
    return Evaluator(rules, table, units).explain(rules.rules[rule], day)


def test_a_sentence_has_its_numbers_in_the_owners_units() -> None:
    """11 C is 51.8 F, by definition."""
    assert (
        explain("barrier", 5, asked()).sentence == "Soil has averaged 52 °F {2 in}, wanted 50 °F."
    )
    metric = explain("barrier", 5, asked(), "metric").sentence
    assert metric == "Soil has averaged 11.0 °C {2 in}, wanted 10.0 °C."


def test_each_condition_has_text_value_limit_margin_and_origin() -> None:
    found = explain("barrier", 5, asked()).conditions
    assert found[2] == ConditionResult(
        keyword="once",
        text="warmth at least $barrier-soil",
        value="52 °F",
        limit="at least 50 °F",
        holds=True,
        margin="1.8 °F above",
        origin="measured; forecast",
        facts=("soil_temp",),
        beyond=False,
        change=END,  # from where on two of its three days are known, too few for a mean
        about="warmth",
        bound="50 °F",
    )
    assert (found[0].value, found[0].limit, found[0].origin) == (
        "lengthening",
        "lengthening",
        "forecast",
    )
    assert found[1].value == "at least 200 days"
    assert found[1].holds is True
    assert [c.keyword for c in found] == ["while", "while", "once", "until"]


def test_an_either_line_shows_the_test_that_decided() -> None:
    rain = (0, 0, 0, 0, 0, 254, 0, 0, 0, 0)
    found = explain("barrier", 5, asked(rain=rain)).conditions[3]
    assert (found.holds, found.value, found.limit) == (True, "10.00 in", "more than 9.00 in")


def test_rounding_does_not_seem_to_contradict_a_verdict() -> None:
    """49.99 F is not at least 50 F, and must not be printed as 50 F."""
    explained = explain("barrier", 5, asked(soil=(49.99 - 32) / 1.8))
    assert explained.conditions[2].holds is False
    assert explained.conditions[2].value == "49.99 °F"
    assert "49.99 °F" in explained.sentence


def test_a_total_with_a_gap_says_what_is_sure() -> None:
    """16 mm are 0.63 in; the sentence begins with a capital."""
    rain = (0, 0, 0, 0, 0, 16, float("nan"), 0, 0, 0)
    explained = explain("downpour", 4, asked(rain=rain))
    assert explained.conditions[0].holds is True
    assert explained.conditions[0].value == "at least 0.63 in"
    assert explained.sentence == "At least 0.63 in may follow."


def test_a_comment_is_no_part_of_a_conditions_text() -> None:
    assert explain("downpour", 4, asked()).conditions[0].text == "soon more than 0.5 in"


def test_beyond_the_forecast_is_not_the_same_as_missing() -> None:
    """Days 8 and 9 lie past the end of the forecast; a gap before that is a gap."""
    late = explain("frost", 9, asked()).conditions[0]
    assert (late.holds, late.beyond, late.value) == (None, True, None)
    gap = explain("frost", 5, asked(air_min=(9, 9, 9, 9, 9, float("nan"), 9, 9, 9, 9)))
    assert (gap.conditions[0].holds, gap.conditions[0].beyond) == (None, False)


def test_a_window_past_the_axis_is_beyond_the_forecast() -> None:
    assert explain("downpour", 9, asked()).conditions[0].beyond


def test_the_next_change_is_the_first_day_with_another_verdict() -> None:
    """Frost on days 5 and 6: what holds on 5 is off on 7, and unknown (so held) from 8."""
    table = asked(air_min=(9, 9, 9, 9, 9, 0, 0, 9, 9, 9))
    changes = [explain("frost", day, table).first_change for day in range(DAYS)]
    assert changes == [5, 5, 5, 5, 5, 7, 7, 8, None, None]
    assert explain("frost", 9, table).verdict is None


def test_where_no_test_holds_each_shows_its_numbers() -> None:
    """11 C is 51.8 F; the one that holds is enough where one does."""
    until = explain("barrier", 5, asked()).conditions[3]
    assert until.value == "52 °F and 0.00 in"
    assert until.limit == "more than 60 °F or more than 9.00 in"
    assert until.margin == "8.2 °F below and 9.00 in below"
    assert explain("barrier", 5, asked(soil=20)).conditions[3].value == "68 °F"


def test_a_condition_tells_the_day_on_which_it_turns() -> None:
    """From unknown too, and to unknown: 3 C is below 35 F nowhere, 1 C is."""
    table = asked(air_min=(3, 3, 1, 1, 3, 3, 3, 3, 3, 3))
    changes = [explain("frost", day, table).conditions[0].change for day in range(DAYS)]
    assert changes == [2, 2, 4, 4, END, END, END, END, None, None]


def test_a_rule_keeps_its_lets_as_they_are_written() -> None:
    """Without the comment, which is for whoever reads the file."""
    rules = read_rulebook([RuleFile("a.rules", TEXT.replace("after it\n", "after it  # so\n"))])
    assert rules.rules["downpour"].lets == (("soon", "total of rain over the 2 days after it"),)
    assert rules.rules["frost"].lets == ()


def test_the_state_of_a_latch_is_told() -> None:
    assert explain("barrier", 5, asked()).latch is State.OPEN
    assert explain("barrier", 5, asked(soil=5)).latch is State.WAITING
    assert explain("barrier", 5, asked(soil=20)).latch is State.SHUT
    assert explain("frost", 5, asked()).latch is None


def test_daylight_is_shown_in_hours() -> None:
    found = explain("short", 5, asked()).conditions
    assert (found[0].value, found[0].limit) == ("10.2 hours", "between 9 hours and 11 hours")
    assert found[0].holds is True
    assert found[1].holds is False
    assert (found[1].value, found[1].limit) == (
        "summer-dormant",
        "not summer-dormant or winter-dormant",
    )


def test_only_days_and_single_lawns_can_be_explained() -> None:
    with pytest.raises(ValueError, match="not in the table"):
        explain("frost", DAYS, asked())
    with pytest.raises(ValueError, match="not in the table"):
        explain("frost", -1, asked())
    table = asked()
    many = Column.of(np.full((2, DAYS), 9.0))
    stacked = Table(table.days, {"air_min": many}, table.at_depth, {}, {}, TODAY, END)
    with pytest.raises(ValueError, match="one lawn at a time"):
        explain("frost", 0, stacked)


# Trials

TRIALS = {
    "yes": ("barrier", ["daylight = lengthening", "soil_temp at 2 in = 52 F over the 3 days to it",
                        "days since pre-emergent = 300 days"]),
    "no": ("barrier", ["daylight = lengthening", "soil_temp at 2 in = 49.9 F over the 3 days to it",
                       "days since pre-emergent = 300 days"]),
    "cannot tell": ("barrier", ["soil_temp at 2 in = 52 F over the 3 days to it",
                                "days since pre-emergent = at least 300 days"]),
}  # fmt: skip


def trial(rule: str, takes: list[str], answer: str) -> Rulebook:
    lines = [f"trial {rule}", *(f"  take {take}" for take in takes), f"  answer {answer}"]
    found = read_rulebook([RuleFile("a.rules", TEXT), RuleFile("t.rules", "\n".join(lines))])
    assert found.problems == ()
    return found


@pytest.mark.parametrize("wanted", list(Answer))
@pytest.mark.parametrize("facts", list(TRIALS))
def test_a_trial_is_right_where_the_answer_is_the_one_it_wants(wanted: str, facts: str) -> None:
    rule, takes = TRIALS[facts]
    (result,) = run_trials(trial(rule, takes, wanted))
    assert result.got == facts
    assert result.wanted == wanted
    assert result.ok is (facts == wanted)
    assert (result.rule, result.file, result.line) == (rule, "t.rules", 1)


def test_until_wins_in_a_trial_of_a_latch() -> None:
    takes = [*TRIALS["yes"][1], "rain = 10 in"]
    (result,) = run_trials(trial("barrier", takes, "no"))
    assert result.ok


@pytest.mark.parametrize(
    ("take", "answer"),
    [
        ("rain = 0.6 in over the 2 days after it", "yes"),
        ("rain = at least 0.3 in over the 2 days after it", "yes"),
        ("rain = 0.3 in over the 1 day after it", "cannot tell"),
        ("rain = 0.6 in over the 1 day after it", "yes"),
        ("rain = at most 0.2 in over the 2 days after it", "no"),
        ("rain = 0.6 in", "cannot tell"),
        ("rain = 0.6 in over the 3 days before it", "cannot tell"),
    ],
)
def test_a_take_speaks_of_its_days_only(take: str, answer: str) -> None:
    rules = trial("downpour", [take], answer)
    assert run_trial(rules, rules.trials[0]).ok


def test_depths_are_the_same_in_any_unit() -> None:
    takes = [t.replace("2 in", "5.08 cm") for t in TRIALS["yes"][1]]
    (result,) = run_trials(trial("barrier", takes, "yes"))
    assert result.ok


def test_a_trial_of_word_facts() -> None:
    takes = ["grass = active", "daylight_hours = 10 hours"]
    assert run_trials(trial("short", takes, "yes"))[0].ok
    assert run_trials(trial("short", ["grass = winter-dormant"], "no"))[0].ok


def test_trials_of_broken_rules_are_not_run() -> None:
    """The problem of the rule is enough."""
    text = TEXT.replace("air_min", "air_mim") + "\ntrial frost\n  answer yes\n"
    found = read_rulebook([RuleFile("a.rules", text)])
    assert len(found.problems) == 1
    assert run_trials(found) == []

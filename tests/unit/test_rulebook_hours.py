"""Hour rules: an axis of hours, on which what is told for days is that of the hour's day."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from advisor.conditions.table import Column, Table, Words
from advisor.rulebook.book import Rule, Rulebook, RuleFile
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.hours import HourEvaluator
from advisor.rulebook.read import read_rulebook
from advisor.rulebook.trial import run_trials

DAYS = 4
HOURS = 24 * DAYS
FIRST = date(2026, 5, 1)


def book(condition: str, head: str = "holds drift for spray hour by hour") -> Rulebook:
    text = f"{head}\n  {condition}\n  says Here.\n  source Invented for a test.\n"
    found = read_rulebook([RuleFile("a.rules", text)])
    assert found.problems == ()
    return found


def column(values: list[float]) -> Column:
    return Column.of(np.array(values, dtype=np.float64), lambda i: f"row {i}")


def table(numbers: dict[str, list[float]], words: dict[str, list[int]], length: int) -> Table:
    return Table(
        [FIRST + timedelta(i) for i in range(length)],
        {name: column(values) for name, values in numbers.items()},
        lambda *_: column([20.0] * length),
        {name: Words(np.array(codes, dtype=np.int8)) for name, codes in words.items()},
        {},
        1,
        length,
    )


def asked(
    found: Rulebook,
    hours: dict[str, list[float]],
    days: dict[str, list[float]] | None = None,
    words: dict[str, list[int]] | None = None,
) -> tuple[HourEvaluator, Rule]:
    by_day = Evaluator(found, table(days or {}, words or {}, DAYS), "metric")
    by_hour = HourEvaluator(by_day, table(hours, {}, HOURS), np.repeat(np.arange(DAYS), 24))
    (rule,) = found.rules.values()
    assert rule.hourly
    return by_hour, rule


def test_an_hourly_fact_is_that_of_the_hour() -> None:
    wind = [float(h % 24) for h in range(HOURS)]
    by_hour, rule = asked(book("while wind more than 20 m/s"), {"wind": wind})
    said = by_hour.says(rule)
    assert said.yes.tolist() == [w > 20 for w in wind]
    assert said.no.tolist() == [w <= 20 for w in wind]


def test_any_other_fact_is_that_of_the_hour_s_day() -> None:
    by_hour, rule = asked(book("while soil is frozen"), {}, words={"soil": [0, 2, -1, 0]})
    said = by_hour.says(rule)
    assert said.yes[:24].all()
    assert said.no[24:48].all()
    assert not (said.yes | said.no)[48:72].any()


def test_a_window_of_hours_sums_the_hours_and_crosses_midnight() -> None:
    rain = [0.0] * HOURS
    rain[25] = 5.0
    line = "while total of rain over the 3 hours after it more than 4 mm"
    by_hour, rule = asked(book(line), {"rain": rain})
    assert np.flatnonzero(by_hour.says(rule).yes).tolist() == [22, 23, 24]


def test_a_window_of_days_reads_the_days() -> None:
    """Every hour of a day has the same answer, from the daily fact of the same name."""
    line = "while total of rain over the 2 days from it more than 4 mm"
    by_hour, rule = asked(book(line), {"rain": [9.0] * HOURS}, {"rain": [0.0, 0.0, 5.0, 0.0]})
    assert np.flatnonzero(by_hour.says(rule).yes).tolist() == list(range(24, 72))


def test_hours_are_counted_in_hours_and_days_in_days() -> None:
    wind = [3.0 if h % 2 else 0.0 for h in range(HOURS)]
    line = (
        "while number of hours with (wind more than 2 m/s) over the 6 hours to it at least 3 hours"
    )
    by_hour, rule = asked(book(line), {"wind": wind})
    assert by_hour.says(rule).yes[5:].all()
    line = "while number of days with (wind more than 2 m/s) over the 2 days to it at least 2 days"
    by_hour, rule = asked(book(line), {"wind": wind}, {"wind": [3.0, 3.0, 0.0, 3.0]})
    assert np.flatnonzero(by_hour.says(rule).yes).tolist() == list(range(24, 48))


def test_what_is_not_known_of_an_hour_holds_in_it() -> None:
    wind = [0.0] * HOURS
    wind[30] = float("nan")
    by_hour, rule = asked(book("while wind more than 2 m/s"), {"wind": wind})
    assert np.flatnonzero(by_hour.says(rule).held).tolist() == [30]


def test_an_hour_is_explained_with_its_own_numbers_and_origins() -> None:
    line = "while wind more than 2 m/s\n  and air_max at least 15 C\n  and soil is frozen"
    by_hour, rule = asked(
        book(line), {"wind": [3.0] * HOURS}, {"air_max": [20.0] * DAYS}, {"soil": [0] * DAYS}
    )
    told = by_hour.explain(rule, 50)
    assert [c.holds for c in told.conditions] == [True, True, True]
    assert told.conditions[0].value == "11 km/h"
    assert [c.origin for c in told.conditions[:2]] == ["row 50", "row 2"]


TRIAL = """\
holds drift for spray hour by hour
  while   wind more than 10 mph or total of rain over the 24 hours after it more than 0.1 in
  and     highest of air_max over the 2 days from it less than 95 F
  says    It blows.
  source  Invented for a test.

trial drift
"""


@pytest.mark.parametrize(
    ("takes", "answer"),
    [
        (["wind = 12 mph", "air_max = 90 F over the 2 days from it"], "yes"),
        (["wind = 9 mph", "rain = 0 in over the 24 hours after it"], "no"),
        (["wind = 12 mph", "air_max = 96 F over the 2 days from it"], "no"),
        (["wind = 12 mph"], "cannot tell"),
        (["rain = 0.01 in over the 24 hours after it", "wind = 1 mph"], "cannot tell"),
    ],
)
def test_a_trial_takes_hours_and_days(takes: list[str], answer: str) -> None:
    """A daily total over the same words would be 0.24 in: a take over hours sets each hour."""
    lines = "".join(f"  take {take}\n" for take in takes)
    found = read_rulebook([RuleFile("a.rules", f"{TRIAL}{lines}  answer {answer}\n")])
    assert found.problems == ()
    (result,) = run_trials(found)
    assert result.ok, result

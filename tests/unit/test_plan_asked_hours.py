"""What an hour rule says of a day: in which of its hours, why, and when that turns."""

from __future__ import annotations

import numpy as np
from plan_cases import GENEROUS, NOW, PAST, book, files, given, lawn, moment, weather

from advisor.plan.asked import ask_rules
from advisor.plan.asked_model import RuleSaid, Says

RULE = (
    "holds gusty for feed hour by hour\n  let     blow be highest of wind over the 1 hour from it\n"
    "  while   wind more than 5 m/s\n  and     air_max less than 60 C\n"
    "  says    It blows {blow}.\n  source  made up\n"
).replace("60 C", "55 C")


def said(windy: range | None, clock: str = "06:00", rule: str = RULE) -> RuleSaid:
    """Wind of 8 m/s in the given hours of every day, and 2 in others; None: unknown."""
    wind = np.full((PAST + 10) * 24, np.nan if windy is None else 2.0)
    for day in range(PAST + 10):
        for hour in windy or ():
            wind[day * 24 + hour] = 8.0  # at the end of the hour
    now = moment(clock=clock)
    made = weather(wind=wind, fetched=moment(clock="00:30"))
    found = ask_rules(given(files(lawn(more=GENEROUS)), book(rule), made), now)
    (one,) = found.lawns[0].rules
    return one


def test_it_holds_in_some_hours_of_the_day():
    """Instants at 9:00 to 12:00 are windy: that holds the hours from 8 to 13, which end in them or
    begin with them."""
    found = said(range(8, 12))
    assert (found.says, found.speaks) == (Says.HELD, True)
    assert found.hours == "from 08:00 to 13:00"
    assert found.at == "08:00"
    assert found.sentence == "It blows 18 mph."
    wind, heat = found.conditions
    assert (wind.holds, wind.value, wind.change) == (True, "18 mph", "holds until 13:00")
    assert heat.holds is True
    assert found.change == "holds until 13:00"


def test_hours_that_are_over_do_not_count():
    found = said(range(8, 12), clock="14:00")
    assert (found.says, found.hours, found.at) == (Says.NOT_HELD, "", "14:00")
    assert found.change == "holds from 08:00 on Thu May 14"


def test_an_hour_that_is_running_counts():
    assert said(range(8, 12), clock="12:30").hours == "from 12:00 to 13:00"


def test_what_no_hour_can_tell_is_told_as_unknown_and_holds():
    found = said(None)
    assert (found.says, found.speaks) == (Says.CANNOT_TELL, True)
    assert found.hours == "from 06:00 to 00:00"
    assert found.conditions[0].missing == "wind is not known on any day"


def test_a_broken_hour_rule_is_told_without_numbers():
    from advisor.plan.compose import Given
    from advisor.rulebook.book import RuleFile
    from advisor.rulebook.read import read_rulebook

    broken = read_rulebook([RuleFile("a.rules", RULE.replace("wind more", "wnid more"))])
    made: Given = given(files(), broken, weather())
    (found,) = ask_rules(made, NOW).lawns[0].rules
    assert found.says is Says.CANNOT_TELL
    assert found.conditions == ()

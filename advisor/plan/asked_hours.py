"""What an hour rule says of a day: in which of its hours, and why in one of them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from advisor.language.dates import day_text
from advisor.language.words import tell
from advisor.plan import asked_words as words
from advisor.plan.asked_conditions import conditions_said, says, speaks
from advisor.plan.hour_reasons import runs
from advisor.plan.view import View
from advisor.rulebook.book import Rule


def on_the_hours(view: View, rule: Rule) -> Iterator[tuple[str, object]]:
    """What an hour rule says of the hours of today that are not over, by field of `RuleSaid`.

    It says yes where it does in any of them, and cannot tell where it can in none that decides.
    The numbers are those of the first such hour.
    """
    by_hour, clock = view.by_hour, view.setting.hours.clock
    said = by_hour.says(rule)
    today = by_hour.rows(view.setting.today)
    rows = today[today >= by_hour.now] if by_hour.now <= today[-1] else today[-1:]
    sure = rows[said.yes[rows]]
    unsure = rows[~(said.yes[rows] | said.no[rows])]
    verdict = True if len(sure) else None if len(unsure) else False
    deciding = sure if len(sure) else unsure if len(unsure) else rows
    at = int(deciding[0])
    yield "says", says(rule, verdict)
    yield "speaks", speaks(rule, verdict)
    yield "hours", "" if verdict is False else runs([int(clock[row]) for row in deciding])
    yield "at", f"{int(clock[at]):02}:00"
    if rule.broken:
        return
    asked, units = by_hour.evaluator, view.setting.site.units

    def turn_at(row: int, beyond: bool) -> words.Turn:
        day = view.setting.days[int(view.setting.hours.day_of[row])]
        text = f"{int(clock[row]):02}:00"
        if day != view.setting.days[view.setting.today]:
            text = tell("{hour} on {day}", hour=text, day=day_text(day, units))
        return words.Turn(text, text, day, beyond, by_hour=True)

    yield "sentence", asked.explain(rule, at).sentence
    yield "conditions", tuple(conditions_said(asked, rule, at, turn_at, units))
    top = said.yes if verdict is True else said.no if verdict is False else ~(said.yes | said.no)
    other = np.flatnonzero(~top[at:])
    turn, then = None, None
    if len(other):
        row = at + int(other[0])
        after = asked.explain(rule, row)
        unknown = [condition for condition in after.conditions if condition.holds is None]
        turn, then = turn_at(row, all(c.beyond for c in unknown)), after.verdict
        yield "change_on", turn.day
    yield "change", words.rule_change(rule, verdict, turn, then)

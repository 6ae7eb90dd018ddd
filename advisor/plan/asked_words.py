"""Sentences on what rules and their conditions will do next, and on what is not known."""

from __future__ import annotations

from datetime import date, timedelta
from typing import NamedTuple

import numpy as np

from advisor.language.dates import day_text
from advisor.plan.words import TASK_TITLES
from advisor.rulebook.book import Rule, RuleKind
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.latch import PATIENCE, REST, State
from advisor.rulebook.tree import FactValue, Is, Leaf, Test, Window, fact_name, reads
from advisor.series.quantity import Kind, show
from advisor.site.words import PUT_DOWN


class Turn(NamedTuple):
    """A day, or an hour, from which something is otherwise.

    `last` is until when it stays as it is, in words: the day before, or the hour itself; `first`
    is from when on it is otherwise, and `day` the day of that. `beyond`: it turns to unknown, and
    only because the forecast ends.
    """

    last: str
    first: str
    day: date
    beyond: bool


def what_it_is(rule: Rule) -> str:
    """A rule's kind and what it speaks of: `window for weed barrier`."""
    of = "everything put down" if rule.tasks == PUT_DOWN else _listed(rule.tasks)
    match rule.kind:
        case RuleKind.OPENS:
            return f"window for {of}"
        case RuleKind.HOLDS:
            return f"holds {of} back"
        case RuleKind.WATERS:
            return "asks for water"
        case RuleKind.NOTES:
            return f"remark on {of}"


def _listed(tasks: tuple[str, ...]) -> str:
    names = [_plain(task) for task in tasks]
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


_DOING = {"iron": "iron", "broadleaf-herbicide": "spraying broad-leaved weeds"}
"""Tasks whose titles do not go into a sentence."""


def _plain(task: str) -> str:
    """`weed barrier`, `feeding`; a word without a title of its own stays as it is."""
    if task in _DOING:
        return _DOING[task]
    return TASK_TITLES.get(task, task.replace("-", " ")).lower().partition(" (")[0]


def condition_change(holds: bool | None, turn: Turn | None, then: bool | None) -> str:
    """When a condition will start or stop to hold: `holds until Thu Apr 10`."""
    if turn is None:
        return "no change in the forecast"
    day = turn.first
    if then is None:
        last = f"holds until {turn.last}, " if holds else ""
        return f"{last}unknown from {day} on{': beyond the forecast' if turn.beyond else ''}"
    if holds:
        return f"holds until {turn.last}"
    return f"will hold from {day}" if then else f"known from {day} on not to hold"


_ACTIVE: dict[RuleKind, str] = {
    RuleKind.OPENS: "open",
    RuleKind.HOLDS: "holds",
    RuleKind.WATERS: "asks",
    RuleKind.NOTES: "speaks",
}
_STARTS: dict[RuleKind, str] = {**_ACTIVE, RuleKind.OPENS: "opens"}


def rule_change(rule: Rule, verdict: bool | None, turn: Turn | None, then: bool | None) -> str:
    """When a rule will say otherwise: `open until Sat Apr 12`, `holds from Sun Apr 13`."""
    if turn is None:
        return "no change in the forecast"
    day, before = turn.first, turn.last
    active = verdict is True or (verdict is None and rule.kind is RuleKind.HOLDS)
    last = f"{_ACTIVE[rule.kind]} until {before}"
    if then is None:
        told = f"from {day} on it cannot be told{': beyond the forecast' if turn.beyond else ''}"
        return f"{last}; {told}" if active else told
    when = f"from {day}" if day[0].isdigit() else f"on {day}"
    return last if active else f"{_STARTS[rule.kind]} {when}"


def latch_text(state: State, since: date | None, units: str) -> str:
    """The memory of a window in words; `since` is the first day of that state, where known."""
    first = f" since {day_text(since, units)}" if since else ""
    match state:
        case State.WAITING:
            return (
                f"waiting{first}: it opens on the first day on which the first line and the"
                " “once” lines hold"
            )
        case State.OPEN:
            return f"opened{first and f' on{first[6:]}'}, and stays so until an “until” line holds"
        case State.SHUT:
            return (
                f"shut{first}; it may open again once its first line has failed on {REST} days in"
                " a row"
            )
        case State.NOT_KNOWN:
            return (
                f"not known{first}: whether “until” holds could not be told for more than"
                f" {PATIENCE} days"
            )


def missing(asked: Evaluator, test: Test, day: int, units: str) -> str:
    """What is not known of a condition that cannot be told."""
    found = (_lacking(asked, leaf, window, day, units) for leaf, window in reads(test))
    return "; ".join(dict.fromkeys(phrase for phrase in found if phrase))


def _lacking(asked: Evaluator, leaf: Leaf, window: Window, day: int, units: str) -> str:
    name = leaf_text(leaf, units)
    if asked.column(leaf) is None:
        return f"there is no {name} for this lawn"
    known, days = asked.known(leaf), asked.table.days
    start, stop = day + window.first, day + window.last
    gaps = [i for i in range(max(0, start), min(stop, len(days) - 1) + 1) if not known[i]]
    if start < 0:
        return f"{name} is not known before {day_text(days[0], units)}"
    if not gaps and stop < len(days):
        return ""
    first = gaps[0] if gaps else len(days)
    if first >= asked.table.forecast_end:
        day_one = day_text(days[first] if first < len(days) else days[0] + timedelta(first), units)
        return f"{name} is not known from {day_one} on: beyond the forecast"
    if _bounded(asked, leaf, gaps):
        return f"{name} is known only within bounds"
    if not np.any(known):
        return f"{name} is not known on any day"
    last = gaps[-1]
    to = "" if last == first else f" to {day_text(days[last], units)}"
    return f"{name} is not known on {day_text(days[first], units)}{to}"


def _bounded(asked: Evaluator, leaf: Leaf, gaps: list[int]) -> bool:
    if isinstance(leaf, Is):
        return False
    found = asked.interval(leaf)
    return bool(np.all(np.isfinite(found.low[gaps]) | np.isfinite(found.high[gaps])))


def leaf_text(leaf: Leaf, units: str) -> str:
    """A fact as a rule spells it, with its depth in the site's units."""
    if isinstance(leaf, FactValue) and leaf.depth is not None:
        return f"{leaf.name} at {depth_text(leaf.depth, units)}"
    return fact_name(leaf)


def depth_text(metres: float, units: str) -> str:
    """A depth without digits that say nothing: `2 in`."""
    return show(metres, Kind.LENGTH, units).replace(".0 ", " ")

"""Sentences on what rules and their conditions will do next, and on what is not known."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np

from advisor.language.dates import day_text, separated
from advisor.language.listing import listed
from advisor.language.words import later, tell
from advisor.plan.words import task_or_kind
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
    only because the forecast ends. `by_hour`: `last` and `first` are an hour.
    """

    last: str
    first: str
    day: date
    beyond: bool
    by_hour: bool = False


def what_it_is(rule: Rule) -> str:
    """A rule's kind and what it speaks of: `window for weed barrier`."""
    of = listed([task_or_kind(task) for task in rule.tasks])
    if rule.tasks == PUT_DOWN:
        of = tell("everything put down")
    match rule.kind:
        case RuleKind.OPENS:
            return tell("window for {tasks}", tasks=of)
        case RuleKind.HOLDS:
            return tell("holds {tasks} back", tasks=of)
        case RuleKind.WATERS:
            return tell("asks for water")
        case RuleKind.NOTES:
            return tell("remark on {tasks}", tasks=of)


def condition_change(holds: bool | None, turn: Turn | None, then: bool | None) -> str:
    """When a condition will start or stop to hold: `holds until Thu Apr 10`."""
    if turn is None:
        return tell("no change in the forecast")
    words = {"last": turn.last, "first": turn.first}
    if then is None:
        return _unknown_then(words, bool(holds), turn.beyond)
    if holds:
        return tell("holds until {last}", **words)
    if then:
        return tell("will hold from {first}", **words)
    return tell("known from {first} on not to hold", **words)


def _unknown_then(words: Mapping[str, str], holds: bool, beyond: bool) -> str:
    match holds, beyond:
        case True, True:
            return tell("holds until {last}, unknown from {first} on: beyond the forecast", **words)
        case True, False:
            return tell("holds until {last}, unknown from {first} on", **words)
        case False, True:
            return tell("unknown from {first} on: beyond the forecast", **words)
        case _:
            return tell("unknown from {first} on", **words)


_UNTIL: dict[RuleKind, str] = {
    RuleKind.OPENS: later("open until {last}"),
    RuleKind.HOLDS: later("holds until {last}"),
    RuleKind.WATERS: later("asks until {last}"),
    RuleKind.NOTES: later("speaks until {last}"),
}
_FROM_HOUR: dict[RuleKind, str] = {
    RuleKind.OPENS: later("opens from {first}"),
    RuleKind.HOLDS: later("holds from {first}"),
    RuleKind.WATERS: later("asks from {first}"),
    RuleKind.NOTES: later("speaks from {first}"),
}
_ON_DAY: dict[RuleKind, str] = {
    RuleKind.OPENS: later("opens on {first}"),
    RuleKind.HOLDS: later("holds on {first}"),
    RuleKind.WATERS: later("asks on {first}"),
    RuleKind.NOTES: later("speaks on {first}"),
}


def rule_change(rule: Rule, verdict: bool | None, turn: Turn | None, then: bool | None) -> str:
    """When a rule will say otherwise: `open until Sat Apr 12`, `holds from Sun Apr 13`."""
    if turn is None:
        return tell("no change in the forecast")
    words = {"last": turn.last, "first": turn.first}
    active = verdict is True or (verdict is None and rule.kind is RuleKind.HOLDS)
    last = tell(_UNTIL[rule.kind], **words)
    if then is None:
        told = tell("from {first} on it cannot be told", **words)
        if turn.beyond:
            told = tell("from {first} on it cannot be told: beyond the forecast", **words)
        return f"{last}; {told}" if active else told
    if active:
        return last
    return tell(_FROM_HOUR[rule.kind] if turn.by_hour else _ON_DAY[rule.kind], **words)


def latch_text(state: State, since: date | None, units: str) -> str:
    """The memory of a window in words; `since` is the first day of that state, where known."""
    day = day_text(since, units) if since else ""
    match state:
        case State.WAITING if day:
            return tell(
                "waiting since {day}: it opens on the first day on which the first line and the"
                " “once” lines hold",
                day=day,
            )
        case State.WAITING:
            return tell(
                "waiting: it opens on the first day on which the first line and the “once” lines"
                " hold"
            )
        case State.OPEN if day:
            return tell("opened on {day}, and stays so until an “until” line holds", day=day)
        case State.OPEN:
            return tell("opened, and stays so until an “until” line holds")
        case State.SHUT if day:
            return tell(
                "shut since {day}; it may open again once its first line has failed on {rest} days"
                " in a row",
                day=day,
                rest=REST,
            )
        case State.SHUT:
            return tell(
                "shut; it may open again once its first line has failed on {rest} days in a row",
                rest=REST,
            )
        case State.NOT_KNOWN if day:
            return tell(
                "not known since {day}: whether “until” holds could not be told for more than"
                " {patience} days",
                day=day,
                patience=PATIENCE,
            )
        case State.NOT_KNOWN:
            return tell(
                "not known: whether “until” holds could not be told for more than {patience} days",
                patience=PATIENCE,
            )


def missing(asked: Evaluator, test: Test, day: int, units: str) -> str:
    """What is not known of a condition that cannot be told."""
    found = (_lacking(asked, leaf, window, day, units) for leaf, window in reads(test))
    return "; ".join(dict.fromkeys(phrase for phrase in found if phrase))


def _lacking(asked: Evaluator, leaf: Leaf, window: Window, day: int, units: str) -> str:
    name = leaf_text(leaf, units)
    if asked.column(leaf) is None:
        return tell("there is no {fact} for this lawn", fact=name)
    known, days = asked.known(leaf), asked.table.days
    start, stop = day + window.first, day + window.last
    gaps = [i for i in range(max(0, start), min(stop, len(days) - 1) + 1) if not known[i]]
    if start < 0:
        return tell("{fact} is not known before {day}", fact=name, day=day_text(days[0], units))
    if not gaps and stop < len(days):
        return ""
    first = gaps[0] if gaps else len(days)
    if first >= asked.table.forecast_end:
        day_one = day_text(days[first] if first < len(days) else days[0] + timedelta(first), units)
        return tell(
            "{fact} is not known from {day} on: beyond the forecast", fact=name, day=day_one
        )
    if _bounded(asked, leaf, gaps):
        return tell("{fact} is known only within bounds", fact=name)
    if not np.any(known):
        return tell("{fact} is not known on any day", fact=name)
    words = {
        "fact": name,
        "first": day_text(days[first], units),
        "last": day_text(days[gaps[-1]], units),
    }
    if gaps[-1] == first:
        return tell("{fact} is not known on {first}", **words)
    return tell("{fact} is not known on {first} to {last}", **words)


def _bounded(asked: Evaluator, leaf: Leaf, gaps: list[int]) -> bool:
    if isinstance(leaf, Is):
        return False
    found = asked.interval(leaf)
    return bool(np.all(np.isfinite(found.low[gaps]) | np.isfinite(found.high[gaps])))


def leaf_text(leaf: Leaf, units: str) -> str:
    """A fact as a rule spells it, with its depth in the site's units."""
    if isinstance(leaf, FactValue) and leaf.depth is not None:
        return tell("{fact} at {depth}", fact=leaf.name, depth=depth_text(leaf.depth, units))
    return fact_name(leaf)


def depth_text(metres: float, units: str) -> str:
    """A depth without digits that say nothing: `2 in`."""
    return show(metres, Kind.LENGTH, units).replace(separated(".0 "), " ")

"""What an owner's rules and settings change: on which days a rule says otherwise than shipped."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

import numpy as np

from advisor.conditions.table import Table
from advisor.rulebook.book import Placeholder, Rule, Rulebook
from advisor.rulebook.bounds import Bools
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.hours import HourEvaluator
from advisor.rulebook.tree import Constant, Node, within


class Why(StrEnum):
    """How a rule came to differ from the shipped one."""

    REPLACED = "replaced"
    OFF = "switched off"
    ADDED = "added"
    SETTING = "uses a changed setting"


Run = tuple[int, int]
"""Days in a row by their index, both included."""


@dataclass(frozen=True)
class Days:
    """The days on which a rule is known to be open, to hold, to ask or to speak; and those of
    which it cannot be told, from the first day on that can be, if any can."""

    yes: tuple[Run, ...]
    unknown: tuple[Run, ...]


@dataclass(frozen=True)
class Change:
    """A rule of which the owner's book and the shipped one differ. `settings` are the changed
    settings that it uses. None: not in that book, or not for this lawn."""

    name: str
    why: Why
    shipped: Rule | None
    own: Rule | None
    settings: tuple[str, ...]


@dataclass(frozen=True)
class Difference:
    """A change, and the days before and after it; None where there is no such rule, or one that
    is asked hour by hour. Of that, the hours from now on instead."""

    change: Change
    shipped: Days | None
    own: Days | None
    shipped_hours: int | None = None
    own_hours: int | None = None


def changes(shipped: Rulebook, own: Rulebook) -> tuple[Change, ...]:
    """Every rule that the two books do not share, in the order of the shipped one, the owner's
    last."""
    return tuple(_changes(shipped, own))


def _changes(shipped: Rulebook, own: Rulebook) -> Iterator[Change]:
    for name in dict.fromkeys((*shipped.rules, *own.rules)):
        before, after = shipped.rules.get(name), own.rules.get(name)
        used = _settings(before) | _settings(after)
        changed = tuple(
            sorted(each for each in used if _setting(shipped, each) != _setting(own, each))
        )
        if after is None:
            yield Change(name, Why.OFF, before, None, ())
        elif before is None:
            yield Change(name, Why.ADDED, None, after, ())
        elif after.own and after != before:
            yield Change(name, Why.REPLACED, before, after, changed)
        elif changed:
            yield Change(name, Why.SETTING, before, after, changed)


def _setting(book: Rulebook, name: str) -> object:
    setting = book.settings.get(name)
    return setting and (setting.written, setting.apart)


def _settings(rule: Rule | None) -> set[str]:
    """The settings that a rule uses, in its conditions or in its sentence."""
    if rule is None:
        return set()
    nodes: list[Node] = [condition.test for condition in rule.conditions]
    nodes += [part.value for part in rule.sentence if isinstance(part, Placeholder)]
    return {
        node.name
        for top in nodes
        for node in within(top)
        if isinstance(node, Constant) and node.name
    }


def differences(
    shipped: Rulebook,
    own: Rulebook,
    table: Table,
    is_for: Callable[[Rule], bool],
    hourly: Callable[[Evaluator], HourEvaluator],
) -> tuple[Difference, ...]:
    """What differs on the days of one lawn's table, up to the end of the forecast.

    `is_for` tells whether a rule is for the lawn at all; `hourly` asks the same book by hours.
    """
    before, after = Evaluator(shipped, table, "us"), Evaluator(own, table, "us")
    hours = cache(hourly)
    found = []
    for change in changes(shipped, own):
        was = change.shipped if change.shipped and is_for(change.shipped) else None
        now = change.own if change.own and is_for(change.own) else None
        if was is not None or now is not None:
            found.append(
                Difference(
                    change,
                    _days(before, was),
                    _days(after, now),
                    _hours(lambda: hours(before), was),
                    _hours(lambda: hours(after), now),
                )
            )
    return tuple(found)


def _hours(asked: Callable[[], HourEvaluator], rule: Rule | None) -> int | None:
    """In how many hours of the forecast an hour rule says yes."""
    if rule is None or not rule.hourly:
        return None
    table = asked().table
    return int(asked().says(rule).yes[table.today : table.forecast_end].sum())


def _days(asked: Evaluator, rule: Rule | None) -> Days | None:
    if rule is None or rule.hourly:
        return None
    verdicts, end = asked.says(rule), asked.table.forecast_end
    yes, no = verdicts.yes[:end], verdicts.no[:end]
    known = np.flatnonzero(yes | no)
    first = int(known[0]) if len(known) else 0
    unknown = ~(yes | no)
    unknown[:first] = False
    return Days(runs(yes), runs(unknown))


def runs(days: Bools) -> tuple[Run, ...]:
    """The stretches of days that are set, in order."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], days.astype(np.int8), [0]))))
    return tuple((int(a), int(b) - 1) for a, b in zip(edges[::2], edges[1::2], strict=True))

"""Trials: one rule alone, asked about a day on which only what the trial takes is known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from advisor.conditions.table import UNKNOWN_WORD, Column, Table, Words
from advisor.rulebook.book import Answer, Rule, Rulebook, Take, Trial
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.hours import HourEvaluator
from advisor.rulebook.shown import spelled_out
from advisor.rulebook.tree import FactValue, Since

SAME_DEPTH = 1e-6
_SOME_DAY = date(2001, 1, 1)
_ORIGIN = "taken for the trial"


@dataclass(frozen=True)
class TrialResult:
    """What a trial wanted and got of `rule`; `file` and `line` are the trial's.

    `why`: where the two differ, how each condition of the rule came out, a line each.
    """

    ok: bool
    wanted: Answer
    got: Answer
    rule: str
    file: str
    line: int
    why: tuple[str, ...] = ()


def run_trial(book: Rulebook, trial: Trial) -> TrialResult:
    """Ask a trial's rule. Of a rule with a latch: whether its window would open on that very day.

    Raises KeyError for a trial whose rule is not in the book.
    """
    rule = book.rules[trial.rule]
    table = _table([take for take in trial.takes if not take.hours])
    asked = Evaluator(book, table, "us")
    at = table.today
    if rule.hourly:
        hours = _table([take for take in trial.takes if take.hours])
        # All the hours that are taken lie in one day, but for what is told of the days beside it.
        asked = HourEvaluator(asked, hours, np.full(len(hours.days), at))
        at = hours.today
    said = asked.alone(rule, at)
    got = {True: Answer.YES, False: Answer.NO, None: Answer.CANNOT_TELL}[said]
    ok = got is trial.answer
    why = () if ok or rule.broken else tuple(_came_out(book, asked, rule, at))
    return TrialResult(ok, trial.answer, got, trial.rule, trial.file, trial.line, why)


def _came_out(book: Rulebook, asked: Evaluator, rule: Rule, at: int) -> Iterator[str]:
    said = {True: "holds", False: "does not hold", None: "cannot be told"}
    for condition, line in zip(asked.explain(rule, at).conditions, rule.conditions, strict=True):
        value = f" ({condition.value})" if condition.value is not None else ""
        yield f"{line.word} {spelled_out(line.text, book)}: {said[condition.holds]}{value}"


def run_trials(book: Rulebook) -> list[TrialResult]:
    """All trials of a book, in the order of its files."""
    return [run_trial(book, trial) for trial in book.trials]


def _table(takes: Sequence[Take]) -> Table:
    """The days, or hours, that are taken; every other is unknown, as is what lies outside."""
    before = max((-take.days.first for take in takes), default=0)
    after = max((take.days.last for take in takes), default=0)
    it = max(0, before)
    length = it + max(0, after) + 1
    words: dict[str, Words] = {}
    plain: dict[str, Column] = {}
    since: dict[str, Column] = {}
    deep: dict[tuple[str, float], Column] = {}
    for take in takes:
        days = slice(it + take.days.first, it + take.days.last + 1)
        match take.fact:
            case str(name):
                words.setdefault(name, _no_words(length)).codes[days] = take.code
            case Since(task):
                _set(since.setdefault(task, _nothing(length)), days, take)
            case FactValue(name, _, None):
                _set(plain.setdefault(name, _nothing(length)), days, take)
            case FactValue(name, _, float(depth)):
                key = (name, _known_depth(deep, name, depth))
                _set(deep.setdefault(key, _nothing(length)), days, take)

    def at_depth(name: str, depth: float) -> Column:
        return deep[name, _known_depth(deep, name, depth)]

    axis = [_SOME_DAY + timedelta(n) for n in range(length)]
    return Table(axis, plain, at_depth, words, since, it, length)


def _known_depth(deep: dict[tuple[str, float], Column], name: str, depth: float) -> float:
    """A depth as it stands in the table already, where 2 in and 5.08 cm are the same."""
    same = (d for known, d in deep if known == name and abs(d - depth) < SAME_DEPTH)
    return next(same, depth)


def _nothing(length: int) -> Column:
    return Column(np.full(length, -np.inf), np.full(length, np.inf), lambda _day: _ORIGIN)


def _no_words(length: int) -> Words:
    return Words(np.full(length, UNKNOWN_WORD, dtype=np.int8), lambda _day: _ORIGIN)


def _set(column: Column, days: slice, take: Take) -> None:
    column.low[days] = take.low
    column.high[days] = take.high

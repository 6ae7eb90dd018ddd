"""Why a rule says what it says on one day: its sentence, and each condition with its numbers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.table import Estimate
from advisor.conditions.told import word_text
from advisor.conditions.vocabulary import FACTS
from advisor.language.speaking import SOURCE, spoken
from advisor.language.words import later, tell
from advisor.rulebook.book import UNREAD_HOLD, Condition, Placeholder, Rule, RuleKind
from advisor.rulebook.bounds import Interval, said
from advisor.rulebook.latch import State
from advisor.rulebook.own_units import in_braces, in_own_units
from advisor.rulebook.shown import (
    amount,
    at_its_limit,
    between,
    either,
    limit_beside,
    margin,
    settling,
    unit_of,
)
from advisor.rulebook.spans import Span
from advisor.rulebook.subject import subject
from advisor.rulebook.tree import (
    Between,
    Compare,
    Is,
    Leaf,
    Not,
    Number,
    Test,
    Window,
    fact_name,
    reads,
)

if TYPE_CHECKING:
    from advisor.rulebook.evaluate import Evaluator

NOT_KNOWN = later("unknown")


@dataclass(frozen=True)
class ConditionResult:
    """One condition line on one day.

    `text` is the line as in the file, without its first word. `keyword` is `while`, `once` or
    `until`: an `and` line has that of the line it goes on from. `value`, `limit` and `margin` are
    those of the test that decided (of all its tests, where none holds), in the owner's units; None
    where there is nothing to show. `about` says in words what the line is about, `bound` is the
    limit without the words before its first quantity.
    `facts` are the facts it reads; `unsettled`, those of its tests that cannot be told, where it
    cannot be told itself. `beyond`: unknown, and only because the forecast ends before.
    `change` is the index of the next day on which `holds` differs; None if none is in the table.
    """

    keyword: str
    text: str
    value: str | None
    limit: str | None
    holds: bool | None
    margin: str | None
    origin: str
    facts: tuple[str, ...]
    beyond: bool
    change: int | None
    unsettled: tuple[str, ...] = ()
    about: str = ""
    bound: str | None = None


@dataclass(frozen=True)
class Explanation:
    """What a rule says on a day, and why.

    `verdict` is the rule's truth before unknown comes down on a side. `first_change` is the index
    of the next day on which its verdict (open, held, asked for) differs; None if none is in the
    table. `latch` is where the memory of an opens rule stands; None where it has none.
    """

    sentence: str
    conditions: tuple[ConditionResult, ...]
    first_change: int | None
    verdict: bool | None
    latch: State | None = None


def explain(asked: Evaluator, rule: Rule, day: int) -> Explanation:
    """See `Evaluator.explain`."""
    verdicts = asked.says(rule)
    if verdicts.yes.ndim != 1:
        raise ValueError("a rule is explained for one lawn at a time")
    if not 0 <= day < len(verdicts.yes):
        raise ValueError(f"day {day} is not in the table")
    top = verdicts.held if rule.kind is RuleKind.HOLDS else verdicts.yes
    return Explanation(
        _sentence(asked, rule, day),
        tuple(_condition(asked, condition, day) for condition in rule.conditions),
        _change(top, day),
        verdicts.said(day),
        verdicts.states[day] if verdicts.states else None,
    )


def _change(said_by_day: NDArray[Any], day: int) -> int | None:
    later = np.flatnonzero(said_by_day[day + 1 :] != said_by_day[day])
    return day + 1 + int(later[0]) if len(later) else None


def _sentence(asked: Evaluator, rule: Rule, day: int) -> str:
    shown = {
        part.name: _filled(asked, rule, part, day)
        for part in rule.sentence
        if isinstance(part, Placeholder)
    }
    said_so = _translated(rule, asked.units, shown) or "".join(
        shown[part.name] if isinstance(part, Placeholder) else in_own_units(part, asked.units)
        for part in rule.sentence
    )
    # A number in words, such as “at least 0.30 in”, may begin the sentence.
    return said_so[:1].upper() + said_so[1:]


def _filled(asked: Evaluator, rule: Rule, part: Placeholder, day: int) -> str:
    limit = limit_beside(part.value, [condition.test for condition in rule.conditions])
    beside = None if limit is None else _one(_on(asked, limit.right, day))
    unit = unit_of([part.value] if limit is None else [part.value, limit])
    bounds = _on(asked, part.value, day)
    return amount(bounds, part.value, asked.units, beside, unit) or tell(NOT_KNOWN)


def _translated(rule: Rule, units: str, shown: Mapping[str, str]) -> str:
    """The sentence in another language; empty where its own is spoken, or the catalogue lacks it,
    as it does an owner's own sentence."""
    if spoken() == SOURCE:
        return ""
    if rule.unread_hold:
        return tell(UNREAD_HOLD, rule=rule.unread_hold, file=rule.file, line=rule.line)
    message, quantities = in_braces(written(rule), units)
    found = tell(message)
    # Only what the catalogue has is filled in by names: an owner's own text never is.
    return "" if found == message else tell(message, **shown, **quantities)


def written(rule: Rule) -> str:
    """A rule's sentence with its placeholders."""
    return "".join(
        f"{{{part.name}}}" if isinstance(part, Placeholder) else part for part in rule.sentence
    )


def _on(asked: Evaluator, node: Number, day: int) -> Span:
    """The bounds of an expression on one day."""
    found: Interval = asked.interval(node)
    low, high = (end[day] if end.ndim else end for end in found)
    return float(low), float(high)


def _one(bounds: Span) -> float | None:
    return bounds[0] if bounds[0] == bounds[1] else None


def _condition(asked: Evaluator, condition: Condition, day: int) -> ConditionResult:
    truth = asked.truth(condition.test)
    holds = said(truth, day)
    tests = condition.test.tests
    decided = next((t for t in tests if said(asked.truth(t), day) is holds), tests[0])
    # What fails, fails in each of its tests.
    telling = tests if holds is False else (decided,)
    found = [_numbers(asked, test, day) for test in telling]
    read = dict.fromkeys(reads(condition.test))
    beyond = holds is None and _beyond(asked, list(read), day)
    # Where one test of several decided, only its numbers have an origin to tell.
    shown = dict.fromkeys(reads(decided)) if holds else read
    open_tests = [t for t in tests if holds is None and said(asked.truth(t), day) is None]
    return ConditionResult(
        condition.keyword.value,
        condition.text,
        _joined([one.value for one in found], _and),
        _joined([one.limit for one in found], either),
        holds,
        _joined([one.gap for one in found], _and),
        _origin(asked, list(shown), day),
        tuple(dict.fromkeys(fact_name(leaf) for leaf, _ in read)),
        beyond,
        _change(truth.yes.astype(np.int8) - truth.no, day),
        tuple(dict.fromkeys(fact_name(leaf) for t in open_tests for leaf, _ in reads(t))),
        subject(_alone(condition, decided) if holds else condition.text),
        _bound(found),
    )


class _Numbers(NamedTuple):
    """Value, limit and margin of one test, and its limit without the words before it."""

    value: str | None = None
    limit: str | None = None
    gap: str | None = None
    bound: str | None = None


def _joined(parts: Sequence[str | None], link: Callable[[str, str], str]) -> str | None:
    told = [part for part in dict.fromkeys(parts) if part]
    return reduce(link, told) if told else None


def _and(first: str, last: str) -> str:
    return tell("{some} and {last}", some=first, last=last)


def _bound(found: Sequence[_Numbers]) -> str | None:
    """The bound of the first limit, and the other limits as they are."""
    limited = [one for one in found if one.limit]
    if not limited:
        return None
    others = [one.limit for one in limited if one.limit != limited[0].limit]
    return _joined([limited[0].bound, *others], either)


def _numbers(asked: Evaluator, test: Test, day: int) -> _Numbers:
    holds = said(asked.truth(test), day)
    match test:
        case Not():
            inner = _numbers(asked, test.test, day)
            if inner.limit is None:
                return inner
            limit = tell("not {limit}", limit=inner.limit)
            return _Numbers(inner.value, limit, inner.gap, inner.limit)
        case Is():
            words = reduce(either, (word_text(FACTS[test.fact], word) for word in test.words))
            return _Numbers(_word(asked, test, day), words, None, words)
        case Compare():
            bounds, limits = _on(asked, test.left, day), _on(asked, test.right, day)
            return _against(asked, test, settling(bounds, test.more, holds), bounds, limits)
        case Between():
            return _inside(asked, test, day)
        case _:
            return _Numbers()


def _against(
    asked: Evaluator, test: Compare, settled: Span, bounds: Span, limits: Span
) -> _Numbers:
    units, unit = asked.units, unit_of([test])
    value, limit = _one(bounds), _one(limits)
    shown = amount(bounds if value is not None else settled, test.left, units, limit, unit)
    wanted = amount(limits, test.right, units, value, unit)
    gap = None
    if value is not None and limit is not None:
        gap = margin(value, limit, test.left.kind, units, unit)
    return _Numbers(shown, at_its_limit(test.more, wanted) if wanted else None, gap, wanted)


def _inside(asked: Evaluator, test: Between, day: int) -> _Numbers:
    units, unit = asked.units, unit_of([test])
    bounds = _on(asked, test.value, day)
    ends = [_one(_on(asked, end, day)) for end in (test.low, test.high)]
    value = _one(bounds)
    known = [end for end in ends if end is not None]
    near = min(known, key=lambda end: abs(end - (value or 0.0)), default=None)
    shown = amount(bounds, test.value, units, near, unit)
    wanted = [
        amount(_on(asked, end, day), end, units, value, unit) or tell(NOT_KNOWN)
        for end in (test.low, test.high)
    ]
    gap = None
    if value is not None and near is not None:
        gap = margin(value, near, test.value.kind, units, unit)
    limit = between(*wanted)
    return _Numbers(shown, limit, gap, limit)


def _alone(condition: Condition, decided: Test) -> str:
    """The test that settled a condition as its line has it, without the others that would do."""
    parts, tests = condition.text.split(" or "), condition.test.tests
    return parts[tests.index(decided)] if len(parts) == len(tests) else condition.text


def _word(asked: Evaluator, test: Is, day: int) -> str | None:
    column = asked.table.words.get(test.fact)
    code = -1 if column is None else int(column.codes[day])
    words = FACTS[test.fact].words
    return word_text(FACTS[test.fact], words[code]) if 0 <= code < len(words) else None


def _origin(asked: Evaluator, read: list[tuple[Leaf, Window]], day: int) -> str:
    """Where the values came from: of a window its last day, and its last past day besides."""
    today, last = asked.table.today, len(asked.table.days) - 1
    found: list[str] = []
    for leaf, window in read:
        column = asked.column(leaf)
        start, end = max(0, day + window.first), min(last, day + window.last)
        if column is None or start > end:
            continue
        spans_both = start < today <= end
        found += [column.origin(today - 1)] if spans_both else []
        found.append(column.origin(end))
    told = "; ".join(phrase for phrase in dict.fromkeys(found) if phrase)
    return Estimate(told) if any(isinstance(phrase, Estimate) for phrase in found) else told


def _beyond(asked: Evaluator, read: list[tuple[Leaf, Window]], day: int) -> bool:
    """Whether all that is not known lies past the end of the forecast."""
    end, last = asked.table.forecast_end, len(asked.table.days) - 1
    past_end = False
    for leaf, window in read:
        known = asked.known(leaf)
        start, stop = day + window.first, day + window.last
        if start < 0 or not bool(np.all(known[max(0, start) : min(stop + 1, end)])):
            return False
        after = known[max(end, start) : stop + 1]
        past_end |= stop > last or not bool(np.all(after))
    return past_end

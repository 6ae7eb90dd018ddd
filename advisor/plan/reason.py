"""One reason to wait, and what a rule's explanation gives for it."""

from __future__ import annotations

import re
from dataclasses import dataclass

from advisor.conditions.table import Estimate
from advisor.conditions.vocabulary import FACTS
from advisor.language.listing import listed
from advisor.language.words import tell
from advisor.plan.model import Evidence
from advisor.rulebook.book import Rule, Rulebook
from advisor.rulebook.explain import ConditionResult, Explanation
from advisor.rulebook.shown import AT_IT, spelled_out
from advisor.site.named import task_written

YEAR_OF_NITROGEN = frozenset({"nitrogen_year", "nitrogen_left"})
"""Facts that a journal from the middle of a year leaves unknown."""

SINCE = "days since "
"""How a rule begins the name of a fact that is the time since a task, a deed or a sighting."""


@dataclass(frozen=True)
class Reason:
    """One reason to wait. `unknown`: it could not be told, and `missing` says what was missing;
    `undated` are the tasks of which the journal lacks the last day. `brief` is the sentence without
    the figures of its day, and `by_then` as it reads of a day to come; empty where they are the
    same as `because`. `opens_with_day`: the sentence is about its day, and names it first.
    """

    rule: str
    because: str
    evidence: tuple[Evidence, ...]
    source: str
    day: int
    unknown: bool = False
    missing: str = ""
    until: int | None = None
    undated: tuple[str, ...] = ()
    brief: str = ""
    by_then: str = ""
    opens_with_day: bool = False


@dataclass(frozen=True)
class Missing:
    """What is not known, in people's words; `undated` are the tasks of which the last day is."""

    text: str
    undated: tuple[str, ...] = ()


NOTHING = Missing("")


def evidence(explanation: Explanation, book: Rulebook) -> tuple[Evidence, ...]:
    """A rule's conditions as the plan document shows them."""
    return tuple(_evidence(condition, book) for condition in explanation.conditions)


def _evidence(condition: ConditionResult, book: Rulebook) -> Evidence:
    return Evidence(
        text=spelled_out(condition.text, book),
        about=spelled_out(condition.about, book),
        bound=condition.bound,
        just_at=(condition.margin or "").startswith(tell(AT_IT)),
        estimate=isinstance(condition.origin, Estimate),
        keyword=condition.keyword,
        value=condition.value,
        limit=condition.limit,
        holds=condition.holds,
        margin=condition.margin,
        origin=condition.origin,
    )


def plain(rule: Rule) -> str:
    return rule.name.replace("-", " ")


def only_beyond(explanation: Explanation) -> bool:
    """Whether nothing is missing but days that no forecast reaches yet: that is not unknown."""
    unknown = [c for c in explanation.conditions if c.holds is None]
    return bool(unknown) and all(c.beyond for c in unknown)


def missing_in(explanation: Explanation, book: Rulebook) -> Missing:
    """What is not known, in people's words: each fact by what it means, and how far it is known."""
    unknown = [c for c in explanation.conditions if c.holds is None]
    if not unknown:
        return Missing(tell("an input is missing"))
    parts, undated = [], []
    for condition in unknown:
        names = condition.unsettled or condition.facts
        undated += [name.removeprefix(SINCE) for name in names if name.startswith(SINCE)]
        found = listed(list(dict.fromkeys(_in_words(name) for name in names)))
        if not found:
            found = f"“{spelled_out(condition.text, book).replace('_', ' ')}”"
        told = _as_far_as_known(found, condition)
        if condition.beyond:
            parts.append(tell("beyond the forecast: {what}", what=told))
        else:
            parts.append(tell("not known: {what}", what=told))
        if not condition.beyond and YEAR_OF_NITROGEN.intersection(condition.facts):
            parts.append(
                tell(
                    "the journal has to tell of every feeding since January, or with a “last feed”"
                    " line that there was none"
                )
            )
    return Missing("; ".join(dict.fromkeys(parts)), tuple(dict.fromkeys(undated)))


def _as_far_as_known(what: str, condition: ConditionResult) -> str:
    if condition.value and condition.limit:
        return tell(
            "{what} ({value}; asked for: {limit})",
            what=what,
            value=condition.value,
            limit=condition.limit,
        )
    return f"{what} ({condition.value})" if condition.value else what


def _in_words(name: str) -> str:
    """A fact by its meaning, without what only the writer of a rule wants to know."""
    if name.startswith(SINCE):
        return tell("days since {task}", task=task_written(name.removeprefix(SINCE)))
    fact = FACTS.get(name)
    return name if fact is None else re.split(r"[:;]", tell(fact.meaning))[0]

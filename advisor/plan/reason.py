"""One reason to wait, and what a rule's explanation gives for it."""

from __future__ import annotations

import re
from dataclasses import dataclass

from advisor.conditions.vocabulary import FACTS
from advisor.plan.model import Evidence
from advisor.rulebook.book import Rule, Rulebook
from advisor.rulebook.explain import ConditionResult, Explanation
from advisor.rulebook.shown import spelled_out

YEAR_OF_NITROGEN = frozenset({"nitrogen_year", "nitrogen_left"})
"""Facts that a journal from the middle of a year leaves unknown."""


@dataclass(frozen=True)
class Reason:
    """One reason to wait. `unknown`: it could not be told, and `missing` says what was missing."""

    rule: str
    because: str
    evidence: tuple[Evidence, ...]
    source: str
    day: int
    unknown: bool = False
    missing: str = ""
    until: int | None = None


def evidence(explanation: Explanation, book: Rulebook) -> tuple[Evidence, ...]:
    """A rule's conditions as the plan document shows them."""
    return tuple(_evidence(condition, book) for condition in explanation.conditions)


def _evidence(condition: ConditionResult, book: Rulebook) -> Evidence:
    return Evidence(
        text=spelled_out(condition.text, book),
        about=spelled_out(condition.about, book),
        bound=condition.bound,
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


def missing_in(explanation: Explanation, book: Rulebook) -> str:
    """What is not known, in people's words: each fact by what it means, and how far it is known."""
    unknown = [c for c in explanation.conditions if c.holds is None]
    if not unknown:
        return "an input is missing"
    parts = []
    for condition in unknown:
        names = [_in_words(name) for name in condition.unsettled or condition.facts]
        found = " and ".join(dict.fromkeys(names))
        if not found:
            found = f"“{spelled_out(condition.text, book).replace('_', ' ')}”"
        known = [condition.value or "", f"asked for: {condition.limit}" if condition.limit else ""]
        figures = "; ".join(part for part in known if part)
        why = "beyond the forecast" if condition.beyond else "not known"
        bounds = f" ({figures})" if condition.value else ""
        parts.append(f"{why}: {found}{bounds}")
        if not condition.beyond and YEAR_OF_NITROGEN.intersection(condition.facts):
            parts.append(
                "the journal has to tell of every feeding since January, or with a “last feed” line"
                " that there was none"
            )
    return "; ".join(dict.fromkeys(parts))


def _in_words(name: str) -> str:
    """A fact by its meaning, without what only the writer of a rule wants to know."""
    fact = FACTS.get(name)
    return name if fact is None else re.split(r"[:;]", fact.meaning)[0]

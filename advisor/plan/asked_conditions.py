"""What a rule says, and how each of its conditions stands and when that turns."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from advisor.plan import asked_words as words
from advisor.plan.asked_model import ConditionSaid, Says
from advisor.rulebook.book import Keyword, Rule, RuleKind
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.shown import spelled_out
from advisor.site.words import WATERING

_WHEN: dict[tuple[RuleKind, bool], Says] = {
    (RuleKind.OPENS, True): Says.OPEN,
    (RuleKind.OPENS, False): Says.SHUT,
    (RuleKind.HOLDS, True): Says.HELD,
    (RuleKind.HOLDS, False): Says.NOT_HELD,
    (RuleKind.WATERS, True): Says.ASKS,
    (RuleKind.WATERS, False): Says.SILENT,
    (RuleKind.NOTES, True): Says.SPEAKS,
    (RuleKind.NOTES, False): Says.SILENT,
}


def says(rule: Rule, verdict: bool | None) -> Says:
    """The word for what a rule says; `verdict` is its truth, None where it is unknown."""
    return Says.CANNOT_TELL if verdict is None else _WHEN[rule.kind, verdict]


def speaks(rule: Rule, verdict: bool | None) -> bool:
    """Whether it has a say: what cannot be told holds whatever is put down, but never water."""
    if verdict is None:
        return rule.kind is RuleKind.HOLDS and rule.tasks != (WATERING,)
    return verdict


def conditions_said(
    asked: Evaluator, rule: Rule, at: int, turn_at: Callable[[int, bool], words.Turn], units: str
) -> Iterator[ConditionSaid]:
    """Each condition at one place of the axis (a day, or an hour); `turn_at` names a place of it at
    which something turns, and whether to unknown because the forecast ends."""
    now = asked.explain(rule, at).conditions
    for place, (line, found) in enumerate(zip(rule.conditions, now, strict=True)):
        turn, then = None, None
        if found.change is not None:
            after = asked.explain(rule, found.change).conditions[place]
            turn, then = turn_at(found.change, after.beyond), after.holds
        missing = ""
        if found.holds is None:
            missing = words.missing(asked, line.test, at, units)
        yield ConditionSaid(
            keyword=Keyword(found.keyword).value,
            word=line.word,
            text=spelled_out(found.text, asked.book),
            value=found.value,
            limit=found.limit,
            margin=found.margin,
            holds=found.holds,
            origin=found.origin,
            facts=found.facts,
            missing=missing,
            change_on=turn.day if turn else None,
            then=then,
            change=words.condition_change(found.holds, turn, then),
        )

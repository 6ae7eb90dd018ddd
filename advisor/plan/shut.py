"""What the windows of a task still want while they are shut, and what is not known of them."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from advisor.language.words import tell
from advisor.plan.reason import NOTHING, Missing, Reason, evidence, missing_in, only_beyond, plain
from advisor.plan.view import View
from advisor.plan.words import task_within
from advisor.rulebook.book import Rule, Rulebook, RuleKind
from advisor.rulebook.explain import ConditionResult, Explanation
from advisor.rulebook.shown import spelled_out
from advisor.rulebook.tree import Between, Compare, Is, More, Since, Test
from advisor.site.words import WATERING


def shut(view: View, task: str, day: int) -> list[Reason]:
    """What the windows of a task still want; the one that is nearest to opening stands first."""
    found: list[tuple[int, Reason]] = []
    book = view.setting.book
    kinds = [RuleKind.WATERS] if task == WATERING else [RuleKind.OPENS]
    rules = [rule for kind in kinds for rule in view.rules(kind, task)]
    told = [(rule, view.explain(rule, day)) for rule in rules]
    # A window that only a sighting or a test opens is no reason to wait where nothing was seen.
    for rule, explanation in [pair for pair in told if not _unseen(*pair)] or told:
        failing = [c for c in explanation.conditions if c.keyword in ("while", "and", "once")]
        no = [c for c in failing if c.holds is False]
        unknown = [c for c in failing if c.holds is None]
        first = no[0] if no and no[0] is failing[0] else None
        if first is not None and "depletion" in first.facts and first.value and first.limit:
            because = tell(
                "No water is needed: {depth} is missing, stress begins at {line}.",
                depth=first.value,
                line=first.bound or first.limit,
            )
            reason = _reason(rule, because, explanation, day, book)
            found.append((0, replace(reason, brief=tell("No water is needed."))))
        elif no and task == WATERING and "rain" in no[0].facts and no[0].value:
            because = tell("Rain may bring it instead: {depth} is in sight.", depth=no[0].value)
            found.append((0, _reason(rule, because, explanation, day, book)))
        elif no:
            said = _not_yet(no[0], book)
            reason = _reason(rule, said.now, explanation, day, book)
            reason = replace(reason, brief=said.brief, by_then=said.by_then)
            found.append((len(no), reason))
        elif unknown and explanation.verdict is not False:
            missing = missing_in(explanation, book)
            because = tell(
                "Cannot tell whether it is time for {task}; {missing}.",
                task=task_within(task),
                missing=missing.text,
            )
            found.append((0, _reason(rule, because, explanation, day, book, missing)))
        else:
            because = tell("The window of “{rule}” has closed for this season.", rule=plain(rule))
            found.append((len(failing) + 1, _reason(rule, because, explanation, day, book)))
    return [reason for _, reason in sorted(found, key=lambda pair: pair[0])]


def _reason(
    rule: Rule, because: str, explanation: Explanation, day: int, book: Rulebook,
    missing: Missing = NOTHING,
) -> Reason:  # fmt: skip
    return Reason(
        rule.name, because, evidence(explanation, book), rule.source, day,
        bool(missing.text) and not only_beyond(explanation), missing.text,
        explanation.first_change, missing.undated,
    )  # fmt: skip


def may_be_open(view: View, rule: Rule, day: int) -> bool:
    """Whether a window may be open today for all that is known: nothing that it wants is known to
    be missing, something is known to be there, and no later forecast will tell."""
    explanation = view.explain(rule, day)
    wanted = [c for c in explanation.conditions if c.keyword != "until"]
    return (
        explanation.verdict is None
        and any(c.holds for c in wanted)
        and not any(c.holds is False for c in wanted)
        and not _unseen(rule, explanation)
        and not only_beyond(explanation)
    )


def _unseen(rule: Rule, explanation: Explanation) -> bool:
    """Whether a rule fails for want of something that was seen or done of late, or of a soil test:
    nobody wonders about a task for which there was no reason."""
    return any(
        found.holds is not True and any(_wants_record(test) for test in condition.test.tests)
        for condition, found in zip(rule.conditions, explanation.conditions, strict=True)
    )


def _wants_record(test: Test) -> bool:
    match test:
        case Compare(left=Since(), more=More.AT_MOST | More.LESS_THAN) | Between(value=Since()):
            return True
        case Is(fact="lime_test" | "phosphorus_test"):
            return True
        case _:
            return False


class _Wanted(NamedTuple):
    """What a window still wants: with the value of its day, without it, and of a day to come."""

    now: str
    brief: str
    by_then: str


def _not_yet(condition: ConditionResult, book: Rulebook) -> _Wanted:
    # The rule's own words, which are the same whatever language is spoken.
    found, value = spelled_out(condition.text, book).replace("_", " "), condition.value
    if value is None:
        told = tell("It waits for {condition}.", condition=found)
        return _Wanted(told, told, told)
    if found.startswith("not ") and " is " in found:
        words = {"about": condition.about, "value": value}
        return _Wanted(
            tell("It waits: {about} is {value} now.", **words),
            tell("It waits: {about} is {value}.", **words),
            tell("It waits: {about} will be {value} by then.", **words),
        )
    words = {"condition": found, "value": value, "limit": condition.limit or ""}
    if " or " not in found and condition.limit and condition.about:
        # One test: in the reader's words and units. Of several the rule's own words tell which.
        words["about"] = condition.about
        if " is " in found:
            return _Wanted(
                tell("It waits until {about} is {limit}; now {value}.", **words),
                tell("It waits until {about} is {limit}.", **words),
                tell("It waits until {about} is {limit}; by then {value}.", **words),
            )
        return _Wanted(
            tell("It waits for {about} {limit}; now {value}.", **words),
            tell("It waits for {about} {limit}.", **words),
            tell("It waits for {about} {limit}; by then {value}.", **words),
        )
    if " is " in found:
        return _Wanted(
            tell("It waits until {condition}; now {value}.", **words),
            tell("It waits until {condition}.", **words),
            tell("It waits until {condition}; by then {value}.", **words),
        )
    brief = tell("It waits for {condition}.", **words)
    # A limit that stands in the condition as a number is not told twice.
    if not condition.limit or any(sign.isdigit() for sign in found):
        return _Wanted(
            tell("It waits for {condition}; now {value}.", **words),
            brief,
            tell("It waits for {condition}; by then {value}.", **words),
        )
    return _Wanted(
        tell("It waits for {condition}; now {value}, wanted {limit}.", **words),
        brief,
        tell("It waits for {condition}; by then {value}, wanted {limit}.", **words),
    )

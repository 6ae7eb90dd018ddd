"""What the rules say, and what the owner's own change, as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from advisor.digest.words import name_text, sentence, when_text, wrap
from advisor.language.dates import day_text
from advisor.plan.asked_model import Asked, ConditionSaid, LawnSaid, PlanSaid, RuleSaid, Says
from advisor.plan.differing import Differs, RuleDiffers
from advisor.plan.model import SiteName

WIDTH = 80


def render_asked(asked: Asked, *, everything: bool = False, rule: str = "") -> str:
    """Who speaks in full, who is silent in short. `everything`: the silent in full too; `rule`:
    only it was asked."""
    lines = _opening(asked, "what the rules say, before anything is planned")
    if asked.forecast_to is not None:
        lines += [f"The forecast reaches to {day_text(asked.forecast_to, asked.site.units)}."]
    for lawn in asked.lawns:
        lines += ["", *_heading(lawn), *_lawn(lawn, everything or bool(rule), rule)]
    if asked.plan is not None and (asked.plan.actions or not rule):
        lines += ["", *_underlined("What the plan makes of it"), *_plan(asked.plan, asked.site)]
    return "\n".join(lines)


def _plan(plan: PlanSaid, site: SiteName) -> Iterator[str]:
    """Each action in its order, with what placed it there."""
    if not plan.actions:
        yield from ("", "Nothing is to be done this week: it waits.")
    for place, each in enumerate(plan.actions, 1):
        when = when_text(each.day, each.start, each.end, site.units)
        parts = (f"{each.title} on {each.lawn_title}", when, each.product)
        told = ", ".join(part for part in parts if part)
        yield ""
        yield from wrap(f"{told} ({each.rule})", f"{place}. ", width=WIDTH)
        sure = (each.sure.text,) if each.sure is not None else ()
        for why in (*each.chosen, *sure):
            yield from wrap(sentence(why), "   ", width=WIDTH)
        if each.second is not None:
            yield from wrap(
                sentence(f"If that does not work: {each.second.text}"), "   ", width=WIDTH
            )
    if plan.actions and plan.leads:
        yield from ("", *_wrapped(plan.leads))


def _opening(asked: Asked | Differs, what: str) -> list[str]:
    """Site and day, and what is to be known before the rest."""
    lines = _wrapped(f"{asked.site.title}, {day_text(asked.on, asked.site.units)}: {what}.")
    if asked.cannot_tell:
        return [*lines, *_wrapped(asked.cannot_tell)]
    if asked.holds_everything:
        lines += _wrapped(
            "A rule file of yours cannot be read, so everything that is put down waits; `swardcast"
            " check` says what to mend."
        )
    return lines


def render_differs(differs: Differs) -> str:
    """What the owner's files change, a paragraph for each rule."""
    lines = _opening(differs, "what your own rule files change")
    if differs.first_day and differs.last_day:
        lines += _wrapped(
            f"Looked at from {_dated(differs.first_day, differs.site)} to the forecast's last day,"
            f" {_dated(differs.last_day, differs.site)}."
        )
    if not differs.cannot_tell and not any(lawn.rules for lawn in differs.lawns):
        return "\n".join([*lines, "", "Nothing: the rules in force are the shipped ones."])
    for lawn in differs.lawns:
        lines += ["", *_underlined(lawn.title)]
        for rule in lawn.rules:
            lines += ["", *_changed(rule)]
        if not lawn.rules:
            lines += ["", "Nothing on this lawn."]
    return "\n".join(lines)


def _dated(day: date, site: SiteName) -> str:
    return f"{day_text(day, site.units)} {day.year}"


def _changed(rule: RuleDiffers) -> Iterator[str]:
    yield from wrap(f"{rule.name} ({rule.what}): {rule.why}", then="  ", width=WIDTH)
    for setting in rule.settings:
        was, now = setting.shipped or "not there", setting.own or "not there"
        yield from _indented(f"setting {setting.name} = {now}, shipped {was}")
    yield from _indented(rule.text)


def _wrapped(text: str) -> list[str]:
    return wrap(text, width=WIDTH)


def _underlined(title: str) -> list[str]:
    return [*_wrapped(title), "=" * min(len(title), WIDTH)]


def _heading(lawn: LawnSaid) -> list[str]:
    return _underlined(f"{lawn.title}, {name_text(lawn.grass)} ({lawn.grass_class})")


def _lawn(lawn: LawnSaid, everything: bool, rule: str) -> Iterator[str]:
    if not lawn.rules:
        what = f"“{rule}” is not for this lawn's grass." if rule else "No rule is for this lawn."
        yield from ("", what)
    for theme in dict.fromkeys(each.theme for each in lawn.rules):
        for each in (r for r in lawn.rules if r.theme == theme and (everything or r.speaks)):
            yield ""
            yield from _in_full(each)
    silent = [] if everything else [each for each in lawn.rules if not each.speaks]
    if silent:
        yield from ("", "Silent that day, and what would have to change first:")
    for theme in dict.fromkeys(each.theme for each in silent):
        yield from ("", f"[{theme}]")
        for each in silent:
            if each.theme == theme:
                yield from _in_short(each)


def says_text(rule: RuleSaid) -> str:
    """What a rule says that day, in a word or a phrase."""
    if rule.hours:
        unsure = rule.says is Says.CANNOT_TELL
        return f"{'cannot tell' if unsure else rule.says.value} {rule.hours}"
    if rule.says is not Says.CANNOT_TELL:
        return rule.says.value
    if rule.kind == "holds" and rule.speaks:
        return "cannot tell, so held"
    return "cannot tell, so it stays shut" if rule.kind == "opens" else "cannot tell"


def _in_full(rule: RuleSaid) -> Iterator[str]:
    yield from wrap(f"{rule.name} ({rule.what}): {says_text(rule)}", then="  ", width=WIDTH)
    told = rule.says in (Says.OPEN, Says.HELD, Says.ASKS, Says.SPEAKS) or not rule.conditions
    yield from _indented(rule.sentence if told else f"It would say: {rule.sentence}")
    for let in rule.lets:
        yield from wrap(f"{let.name} be {let.meaning}", "  let ", width=WIDTH)
    if rule.at and rule.conditions:
        yield from _indented(f"In the hour from {rule.at}:")
    for condition in rule.conditions:
        yield from wrap(f"{condition.word} {condition.text}", "  ", "      ", width=WIDTH)
        yield from wrap(_found(condition), "    ", width=WIDTH)
    if rule.change:
        yield from _indented(f"Next: {rule.change}.")
    if rule.latch_text:
        yield from _indented(f"Memory: {rule.latch_text}.")
    yield from _indented(f"Source: {sentence(rule.source)}" if rule.source else "No source.")
    yield from _indented(_place(rule))


def _place(rule: RuleSaid) -> str:
    return f"Written in {rule.file}, line {rule.line}{', your own' if rule.own else ''}."


def _found(condition: ConditionSaid) -> str:
    """How a condition stands: verdict, value, limit, margin, origin, and when it turns."""
    verdict = {True: "Holds", False: "Does not hold", None: "Cannot tell"}[condition.holds]
    parts = [_value(condition)]
    if condition.holds is None and condition.missing:
        parts.append(condition.missing)
    told = ", ".join(part for part in parts if part)
    change = condition.change
    return f"{verdict}{': ' if told else ''}{told}. {change[:1].upper()}{change[1:]}."


def _value(condition: ConditionSaid) -> str:
    if condition.value is None:
        return ""
    origin = f" ({condition.origin})" if condition.origin else ""
    named = "it shuts at" if condition.keyword == "until" else "limit"
    # The limits of a fact that is a word stand in its line already.
    numeric = any(sign.isdigit() for sign in condition.limit or "")
    limit = f", {named} {condition.limit}" if numeric else ""
    margin = f", {condition.margin}" if condition.margin else ""
    return f"{condition.value}{origin}{limit}{margin}"


def _in_short(rule: RuleSaid) -> Iterator[str]:
    yield from wrap(f"{rule.name} ({rule.what}): {says_text(rule)}", then="    ", width=WIDTH)
    first = None if rule.latch == "shut" else _first(rule.conditions)
    if first is not None:
        now = f"now {first.value}" if first.value else f"{first.missing or 'not known'}"
        yield from wrap(f"{first.word} {first.text}: {now}; {first.change}", "  ", width=WIDTH)
    elif rule.latch_text:
        yield from wrap(rule.latch_text, "  ", width=WIDTH)


def _first(conditions: Sequence[ConditionSaid]) -> ConditionSaid | None:
    """The condition that has to change first: one that fails, else one that cannot be told."""
    wanted = [condition for condition in conditions if condition.keyword != "until"]
    for holds in (False, None):
        for condition in wanted:
            if condition.holds is holds:
                return condition
    return None


def _indented(text: str) -> list[str]:
    return wrap(text, "  ", width=WIDTH)

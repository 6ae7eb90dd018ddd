"""What the rules say, and what the owner's own change, as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from advisor.digest.words import sentence, when_text, wrap
from advisor.language.dates import day_text
from advisor.language.listing import enumerated
from advisor.language.sentences import as_sentence
from advisor.language.words import later, tell, tell_as
from advisor.plan.asked_model import Asked, ConditionSaid, LawnSaid, PlanSaid, RuleSaid, Says
from advisor.plan.differing import Differs, RuleDiffers
from advisor.plan.model import SiteName
from advisor.plan.names import grass_class_text, grass_text

WIDTH = 80

UNREADABLE = later(
    "A rule file of yours cannot be read, so everything that is put down waits; `swardcast check`"
    " says what to mend."
)

WHY = {
    "replaced": later("replaced"),
    "switched off": later("switched off"),
    "added": later("added"),
    "uses a changed setting": later("uses a changed setting"),
}
"""Why a rule differs, by the document's word for it."""


def render_asked(asked: Asked, *, everything: bool = False, rule: str = "") -> str:
    """Who speaks in full, who is silent in short. `everything`: the silent in full too; `rule`:
    only it was asked."""
    site, day = asked.site.title, day_text(asked.on, asked.site.units)
    opening = tell(
        "{site}, {day}: what the rules say, before anything is planned.", site=site, day=day
    )
    lines = _opening(asked, opening)
    if asked.forecast_to is not None:
        to = day_text(asked.forecast_to, asked.site.units)
        lines += _wrapped(tell("The forecast reaches to {day}.", day=to))
    for lawn in asked.lawns:
        lines += ["", *_heading(lawn), *_lawn(lawn, everything or bool(rule), rule)]
    if asked.plan is not None and (asked.plan.actions or not rule):
        lines += [
            "",
            *_underlined(tell("What the plan makes of it")),
            *_plan(asked.plan, asked.site),
        ]
    return "\n".join(lines)


def _plan(plan: PlanSaid, site: SiteName) -> Iterator[str]:
    """Each action in its order, with what placed it there."""
    if not plan.actions:
        yield from ("", *_wrapped(tell("Nothing is to be done this week: it waits.")))
    for place, each in enumerate(plan.actions, 1):
        when = when_text(each.day, each.start, each.end, site.units)
        what = tell("{task} on {lawn}", task=each.title, lawn=each.lawn_title)
        told = enumerated([part for part in (what, when, each.product) if part])
        yield ""
        yield from wrap(f"{told} ({each.rule})", f"{place}. ", width=WIDTH)
        sure = (each.sure.text,) if each.sure is not None else ()
        for why in (*each.chosen, *sure):
            yield from wrap(sentence(why), "   ", width=WIDTH)
        if each.second is not None:
            second = tell("If that does not work: {second}", second=each.second.text)
            yield from wrap(sentence(second), "   ", width=WIDTH)
    if plan.actions and plan.leads:
        yield from ("", *_wrapped(plan.leads))


def _opening(asked: Asked | Differs, opening: str) -> list[str]:
    """Site and day, and what is to be known before the rest."""
    lines = _wrapped(opening)
    if asked.cannot_tell:
        return [*lines, *_wrapped(asked.cannot_tell)]
    if asked.holds_everything:
        lines += _wrapped(tell(UNREADABLE))
    return lines


def render_differs(differs: Differs) -> str:
    """What the owner's files change, a paragraph for each rule."""
    site, day = differs.site.title, day_text(differs.on, differs.site.units)
    lines = _opening(
        differs, tell("{site}, {day}: what your own rule files change.", site=site, day=day)
    )
    if differs.first_day and differs.last_day:
        lines += _wrapped(
            tell(
                "Looked at from {first} to the forecast's last day, {last}.",
                first=_dated(differs.first_day, differs.site),
                last=_dated(differs.last_day, differs.site),
            )
        )
    if not differs.cannot_tell and not any(lawn.rules for lawn in differs.lawns):
        nothing = _wrapped(tell("Nothing: the rules in force are the shipped ones."))
        return "\n".join([*lines, "", *nothing])
    for lawn in differs.lawns:
        lines += ["", *_underlined(lawn.title)]
        for rule in lawn.rules:
            lines += ["", *_changed(rule)]
        if not lawn.rules:
            lines += ["", *_wrapped(tell("Nothing on this lawn."))]
    return "\n".join(lines)


def _dated(day: date, site: SiteName) -> str:
    return f"{day_text(day, site.units)} {day.year}"


def _changed(rule: RuleDiffers) -> Iterator[str]:
    why = tell(WHY[rule.why])
    yield from wrap(f"{rule.name} ({rule.what}): {why}", then="  ", width=WIDTH)
    for setting in rule.settings:
        yield from _indented(
            tell(
                "setting {name} = {own}, shipped {shipped}",
                name=setting.name,
                own=setting.own or tell_as("a setting", "not there"),
                shipped=setting.shipped or tell_as("a setting", "not there"),
            )
        )
    yield from _indented(rule.text)


def _wrapped(text: str) -> list[str]:
    return wrap(text, width=WIDTH)


def _underlined(title: str) -> list[str]:
    return [*_wrapped(title), "=" * min(len(title), WIDTH)]


def _heading(lawn: LawnSaid) -> list[str]:
    grass, of_class = grass_text(lawn.grass), grass_class_text(lawn.grass_class)
    return _underlined(
        tell("{lawn}, {grass} ({class_})", lawn=lawn.title, grass=grass, class_=of_class)
    )


def _lawn(lawn: LawnSaid, everything: bool, rule: str) -> Iterator[str]:
    if not lawn.rules:
        what = tell("No rule is for this lawn.")
        if rule:
            what = tell("“{rule}” is not for this lawn's grass.", rule=rule)
        yield from ("", what)
    for theme in dict.fromkeys(each.theme for each in lawn.rules):
        for each in (r for r in lawn.rules if r.theme == theme and (everything or r.speaks)):
            yield ""
            yield from _in_full(each)
    silent = [] if everything else [each for each in lawn.rules if not each.speaks]
    if silent:
        heading = tell("Silent that day, and what would have to change first:")
        yield from ("", *_wrapped(heading))
    for theme in dict.fromkeys(each.theme for each in silent):
        yield from ("", f"[{theme}]")
        for each in silent:
            if each.theme == theme:
                yield from _in_short(each)


def says_text(rule: RuleSaid) -> str:
    """What a rule says that day, in a word or a phrase."""
    if rule.hours:
        return tell("{says} {hours}", says=_one_word(rule.says), hours=rule.hours)
    if rule.says is not Says.CANNOT_TELL:
        return _one_word(rule.says)
    if rule.kind == "holds" and rule.speaks:
        return tell("cannot tell, so held")
    return tell("cannot tell, so it stays shut") if rule.kind == "opens" else _one_word(rule.says)


def _one_word(says: Says) -> str:
    match says:
        case Says.OPEN:
            return tell_as("a rule says", "open")
        case Says.SHUT:
            return tell_as("a rule says", "shut")
        case Says.HELD:
            return tell_as("a rule says", "held")
        case Says.NOT_HELD:
            return tell_as("a rule says", "not held")
        case Says.ASKS:
            return tell_as("a rule says", "asks")
        case Says.SPEAKS:
            return tell_as("a rule says", "speaks")
        case Says.SILENT:
            return tell_as("a rule says", "silent")
        case Says.CANNOT_TELL:
            return tell_as("a rule says", "cannot tell")


def _in_full(rule: RuleSaid) -> Iterator[str]:
    yield from wrap(f"{rule.name} ({rule.what}): {says_text(rule)}", then="  ", width=WIDTH)
    told = rule.says in (Says.OPEN, Says.HELD, Says.ASKS, Says.SPEAKS) or not rule.conditions
    yield from _indented(
        rule.sentence if told else tell("It would say: {sentence}", sentence=rule.sentence)
    )
    for let in rule.lets:
        yield from wrap(f"{let.name} be {let.meaning}", "  let ", width=WIDTH)
    if rule.at and rule.conditions:
        yield from _indented(tell("In the hour from {hour}:", hour=rule.at))
    for condition in rule.conditions:
        yield from wrap(f"{condition.word} {condition.text}", "  ", "      ", width=WIDTH)
        yield from wrap(_found(condition), "    ", width=WIDTH)
    if rule.change:
        yield from _indented(tell("Next: {what}.", what=rule.change))
    if rule.latch_text:
        yield from _indented(tell("Memory: {what}.", what=rule.latch_text))
    yield from _indented(source_text(rule))
    yield from _indented(place_text(rule))


def source_text(rule: RuleSaid) -> str:
    """What a rule rests on, as a sentence."""
    if not rule.source:
        return tell("No source.")
    return tell("Source: {source}", source=sentence(rule.source))


def place_text(rule: RuleSaid) -> str:
    """Where a rule stands, as a sentence."""
    if rule.own:
        return tell("Written in {file}, line {line}, your own.", file=rule.file, line=rule.line)
    return tell("Written in {file}, line {line}.", file=rule.file, line=rule.line)


def _found(condition: ConditionSaid) -> str:
    """How a condition stands: verdict, value, limit, margin, origin, and when it turns."""
    parts = [_value(condition)]
    if condition.holds is None and condition.missing:
        parts.append(condition.missing)
    told = enumerated([part for part in parts if part])
    return f"{_verdict(condition.holds, told)} {as_sentence(condition.change)}"


def _verdict(holds: bool | None, found: str) -> str:
    """Whether a condition holds, with what was found (may be empty), as a sentence."""
    match holds, bool(found):
        case True, True:
            return tell("Holds: {found}.", found=found)
        case True, False:
            return tell("Holds.")
        case False, True:
            return tell("Does not hold: {found}.", found=found)
        case False, False:
            return tell("Does not hold.")
        case None, True:
            return tell("Cannot tell: {found}.", found=found)
        case _:
            return tell("Cannot tell.")


def _value(condition: ConditionSaid) -> str:
    if condition.value is None:
        return ""
    parts = [condition.value]
    if condition.origin:
        parts = [tell("{value} ({origin})", value=condition.value, origin=condition.origin)]
    # The limits of a fact that is a word stand in its line already.
    if any(sign.isdigit() for sign in condition.limit or ""):
        parts.append(
            tell("it shuts at {limit}", limit=condition.limit)
            if condition.keyword == "until"
            else tell("limit {limit}", limit=condition.limit)
        )
    if condition.margin:
        parts.append(condition.margin)
    return enumerated(parts)


def _in_short(rule: RuleSaid) -> Iterator[str]:
    yield from wrap(f"{rule.name} ({rule.what}): {says_text(rule)}", then="    ", width=WIDTH)
    first = None if rule.latch == "shut" else _first(rule.conditions)
    if first is not None:
        words = {"condition": f"{first.word} {first.text}", "change": first.change}
        if first.value:
            told = tell("{condition}: now {value}; {change}", value=first.value, **words)
        else:
            missing = first.missing or tell("not known")
            told = tell("{condition}: {missing}; {change}", missing=missing, **words)
        yield from wrap(told, "  ", width=WIDTH)
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

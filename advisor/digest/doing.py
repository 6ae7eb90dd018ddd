"""What is to be done: one part for each task and product, with the amounts lawn by lawn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from advisor.digest import evidence, figures, together
from advisor.digest.answering import Answering
from advisor.digest.parts import AmountView, AnswersView, AnswerView, DoingView, Row
from advisor.digest.saying import Saying, once
from advisor.language.listing import listed
from advisor.language.words import later, tell, tell_as
from advisor.plan.model import Action, Dose, LawnPlan, Verdict
from advisor.plan.words import verdict_text

HERO_LAWNS = 4
"""Lawns whose amount stands at the top; the others' are with the steps."""

HOW = later("How to do it")

NONE_BESIDE = later("No hours of this week beside these suit; the next digest looks again.")


@dataclass(frozen=True)
class _Member:
    lawn: LawnPlan
    action: Action
    label: str


def hero(say: Saying) -> tuple[Row, ...]:
    """When, where and how much: what must be seen without scrolling."""
    head = say.plan.headline
    found = say.leading()
    titles = [lawn.title for lawn, _ in found]
    rows = [Row(tell("When"), say.when(head.day, head.start, head.end))]
    if titles and not any(say.told(name) for name in (*titles, say.places(titles)) if name):
        rows.append(Row(tell("Where"), listed(titles[:HERO_LAWNS])))
    for place, (lawn, action) in enumerate(found[:HERO_LAWNS]):
        amount = _amount(action, whole=not place or not _alike(action, found[place - 1][1]))
        if amount is not None and not figures.given_whole(say):
            # The headline has the hours of one lawn; another's stand with its amount.
            hours = say.when(None, action.start, action.end)
            other = (action.start, action.end) != (head.start, head.end) and hours
            text = _on_area(amount, action)
            if other:
                text = tell("{amount}, {hours}", amount=text, hours=hours)
            rows.append(Row(lawn.title if len(found) > 1 else amount.verb, text))
        if action.verdict is Verdict.WAIT:
            rows.append(Row(tell("Look again"), say.day(action.look_again)))
    if len(found) > HERO_LAWNS:
        more = len(found) - HERO_LAWNS
        rows.append(Row(tell("And"), tell("{count} more, below", count=more)))
    rows.append(Row(tell("Also"), "; ".join(_others(say))))
    return tuple(row for row in rows if row.text and not say.told(row.text))


def _others(say: Saying) -> Iterator[str]:
    """Other tasks of the week, the earliest first, so that none is missed below. What is due no
    later than the headline has its hours, where they are one for all, and its lawns; of what comes
    after it the day is enough for a phone's first screen."""
    head = say.plan.headline
    found: dict[tuple[str, str, str], list[tuple[date, LawnPlan, Action]]] = {}
    for lawn in say.plan.lawns:
        for action in lawn.actions:
            due = action.verdict is not Verdict.WAIT and not say.leads(lawn, action)
            if due and action.day is not None:
                # More of the headline's own task is told day by day, another task by its first.
                day = str(action.day) if action.task == head.task else ""
                key = (action.task, action.title, day)
                found.setdefault(key, []).append((action.day, lawn, action))
    for members in sorted(found.values(), key=lambda each: min(day for day, _, _ in each)):
        first = min(day for day, _, _ in members)
        then = [(lawn, action) for day, lawn, action in members if day == first]
        if head.day is not None and first > head.day and then[0][1].task != head.task:
            yield f"{then[0][1].title}, {say.day(first)}"
            continue
        hours = {(action.start, action.end) for _, action in then}
        start, end = hours.pop() if len(hours) == 1 else (None, None)
        titles = [lawn.title for lawn, _ in then]
        place = say.places(titles) if len(say.plan.lawns) > 1 else ""
        when = say.when(first, start, end)
        yield ", ".join(part for part in (then[0][1].title, when, place) if part)


def doing(say: Saying, answering: Answering | None = None) -> tuple[DoingView, ...]:
    """Every task that is not a wait; the one that the headline speaks of stands first."""
    groups: dict[tuple[object, ...], list[tuple[LawnPlan, Action]]] = {}
    for lawn in say.plan.lawns:
        for action in lawn.actions:
            if action.verdict is not Verdict.WAIT:
                groups.setdefault(_kind(action), []).append((lawn, action))
    at_top = {id(action) for _, action in say.leading()[:HERO_LAWNS]}
    parts = [
        replace(_part(say, members, at_top), answering=_answering(say, members, answering))
        for members in groups.values()
    ]
    leads = [part for part in parts if part.lead]
    if len(leads) == 1:
        leads = [replace(leads[0], title=tell(HOW))]
    return (*leads, *(part for part in parts if not part.lead))


def _answering(
    say: Saying, found: list[tuple[LawnPlan, Action]], answering: Answering | None
) -> tuple[AnswersView, ...]:
    """The answers by mail to each of the actions of a part."""
    if answering is None:
        return ()
    return tuple(
        AnswersView(member.label, tuple(AnswerView(x.label, x.url, x.token) for x in links))
        for member in _members(say, found)
        if (links := answering.links(member.action.id))
    )


def _kind(action: Action) -> tuple[object, ...]:
    dose = action.dose
    product = (dose.title, dose.analysis, dose.amount_unit) if dose is not None else ()
    return (action.verdict, action.task, action.title, *product)


def _alike(one: Action, other: Action) -> bool:
    return _kind(one) == _kind(other)


def _part(say: Saying, found: list[tuple[LawnPlan, Action]], at_top: set[int]) -> DoingView:
    members = _members(say, found)
    first = members[0].action
    below = [member for member in members if id(member.action) not in at_top]
    lead = any(say.leads(member.lawn, member.action) for member in members)
    waters = first.verdict is Verdict.WATER and len(members) > 1
    listed_all = below
    own = not waters and len({member.action.because for member in members}) > 1
    steps = together.steps(
        [(m.label, m.action.dose.steps if m.action.dose else ()) for m in members]
    )
    cautions = together.apart(
        ((m.label, text) for m in members for text in once(m.action.cautions)), len(members)
    )
    return DoingView(
        verdict=first.verdict.value,
        verdict_word=verdict_text(first.verdict),
        title=first.title,
        lead=lead,
        amounts=tuple(
            _where_and_when(say, m, whole=m is members[0], why=m.action.because if own else "")
            for m in listed_all
        ),
        go=together.differing((m.label, m.action.go_line) for m in members),
        cautions=tuple(c for c in cautions if not any(c in step for step in steps)),
        steps=steps,
        facts=_facts(say, members),
        why=_one_why(say, members) if waters else _shared(say, members, below if own else []),
        numbers=() if lead else _numbers(members),
    )


def _numbers(members: list[_Member]) -> tuple[str, ...]:
    """What the reasons rest on and do not name, numbers only."""
    pairs = [(member.label, line) for member in members for line in evidence.lines(member.action)]
    return together.apart(pairs, len(members))


def _members(say: Saying, found: list[tuple[LawnPlan, Action]]) -> list[_Member]:
    """Each with a name: its lawn, and its day where one lawn has several."""
    titles = [lawn.title for lawn, _ in found]
    out = []
    for lawn, action in found:
        name = lawn.title if len(say.plan.lawns) > 1 else ""
        again = say.day(action.day) if titles.count(lawn.title) > 1 else ""
        out.append(_Member(lawn, action, ", ".join(part for part in (name, again) if part)))
    return sorted(out, key=lambda m: (m.action.day is None, m.action.day, m.action.start or ""))


def _where_and_when(say: Saying, member: _Member, whole: bool, why: str) -> AmountView:
    action = member.action
    when = say.when(action.day, action.start, action.end)
    place = member.lawn.title if len(say.plan.lawns) > 1 else ""
    amount = _amount(action, whole)
    text = _on_area(amount, action, spoken=True) if amount else ""
    return AmountView(", ".join(part for part in (place, when) if part), text, why)


@dataclass(frozen=True)
class _Amount:
    """How much, and what is done with it: `verb` heads it."""

    verb: str
    text: str


def _amount(action: Action, whole: bool) -> _Amount | None:
    if action.dose is not None:
        return _weighed(action.dose, whole)
    return _Amount(tell_as("to do", "Water"), action.water_text) if action.water_text else None


def _weighed(dose: Dose, whole: bool) -> _Amount:
    label = tell("Weigh out") if dose.amount_unit == "kg" else tell("Measure out")
    if not whole:
        return _Amount(label, dose.amount_text)
    if dose.analysis and dose.analysis not in dose.title:
        return _Amount(label, tell(
            "{amount} of {product} ({analysis})",
            amount=dose.amount_text, product=dose.title, analysis=dose.analysis,
        ))  # fmt: skip
    return _Amount(
        label, tell("{amount} of {product}", amount=dose.amount_text, product=dose.title)
    )


def _on_area(amount: _Amount, action: Action, spoken: bool = False) -> str:
    """The amount and the ground that it is for; `spoken` after a lawn's name, with its verb."""
    dose = action.dose
    if dose is None:
        return tell("water {amount}", amount=amount.text) if spoken else amount.text
    if spoken and dose.amount_unit == "kg":
        return tell("weigh out {amount} on {area}", amount=amount.text, area=dose.area_text)
    if spoken:
        return tell("measure out {amount} on {area}", amount=amount.text, area=dose.area_text)
    return tell("{amount} on {area}", amount=amount.text, area=dose.area_text)


def _otherwise(say: Saying, members: list[_Member]) -> str:
    """The second choices; where several have none, for whatever reasons, that is said once."""
    seconds = [m.action.second for m in members if m.action.second is not None]
    none = all(each.day is None and not each.say_first for each in seconds)
    if none and len(members) > 1 and len(seconds) == len(members):
        return tell(NONE_BESIDE)
    text = together.differing((m.label, _second(say, m.action)) for m in members)
    days = [m.action.second.day for m in members if m.action.second and m.action.second.day]
    if not days:
        return text
    # Nobody writes where the weather overtakes it: its owner has to look.
    same_day = any(m.action.second and m.action.second.day == m.action.day for m in members)
    told = text.removesuffix(".")
    if same_day:
        return tell("{second}; the same check holds then", second=told)
    return tell("{second}; the same check holds that morning", second=told)


def _facts(say: Saying, members: list[_Member]) -> tuple[Row, ...]:
    doses = [(m.label, m.action.dose) for m in members if m.action.dose is not None]
    rows = [
        *(Row(tell("How sure"), text) for text in _how_sure(members)),
        Row(tell("If that does not work"), _otherwise(say, members)),
        Row(
            tell("Last good day"),
            together.differing((m.label, say.day(m.action.closes)) for m in members),
        ),
        Row(tell("Rate"), together.differing((n, _rate(d)) for n, d in doses)),
        Row(
            tell("Brings"),
            together.differing((n, ", ".join(one.text for one in d.delivers)) for n, d in doses),
        ),
        Row(tell("Nitrogen"), together.differing((n, d.nitrogen) for n, d in doses)),
        Row(tell("Burn"), together.differing((m.label, _burn(m.action)) for m in members)),
        Row(tell("Product"), together.differing((m.label, _why(m.action)) for m in members)),
    ]
    flags = together.apart(((m.label, m.action.flag) for m in members), len(members))
    rows += [Row(tell("Note"), flag) for flag in flags]
    return tuple(row for row in rows if row.text)


def _rate(dose: Dose) -> str:
    return tell("{rate}, set by {limit}", rate=dose.rate_text, limit=dose.limited_by)


def _how_sure(members: list[_Member]) -> tuple[str, ...]:
    """How sure each is; of several waterings only the least sure, by name."""
    told = together.apart(((m.label, _sure(m.action)) for m in members), len(members))
    if len(told) < 2 or members[0].action.verdict is not Verdict.WATER:
        return told
    least = min(members, key=_share)
    return (tell("The least sure is {which}: {how}", which=least.label, how=_sure(least.action)),)


def _share(member: _Member) -> float:
    """The share of the forecasts that surely want it; what nobody counted is the least sure."""
    sure = member.action.sure
    if sure is None or not sure.text:
        return 2.0  # nothing to tell of
    return (sure.fulfilling or 0) / sure.members if sure.members else -1.0


def _one_why(say: Saying, members: list[_Member]) -> tuple[str, ...]:
    """One reason for several waterings: the first that the headline has not told. The plan document
    has the others."""
    pairs = [(member.label, member.action.because) for member in members]
    pairs = [pair for pair in pairs if not say.told(pair[1])]
    return together.apart(pairs, len(members))[:1] or _shared(say, members, [])[:1]


def _sure(action: Action) -> str:
    return action.sure.text if action.sure is not None else ""


def _burn(action: Action) -> str:
    """The risk of a burn; where it is more than low, with what it is judged by."""
    burn = action.burn
    if burn is None:
        return ""
    if burn.risk == "low":
        return burn.text
    return tell("{risk} Judged by: {source}.", risk=burn.text, source=burn.source)


def _why(action: Action) -> str:
    """Why this product: one sentence; the document has the others."""
    return action.product_why[0] if action.product_why else ""


def _second(say: Saying, action: Action) -> str:
    second = action.second
    if second is None:
        return ""
    if second.day in (None, action.day):
        return second.text
    return say.when(second.day, second.start, second.end)


def _why_then(say: Saying, members: list[_Member]) -> tuple[str, ...]:
    """Why a day to come was chosen, in one line: of the first of them where they differ."""
    pairs = [
        (member.label, reason)
        for member in members
        for reason in member.action.chosen[:1]
        if member.action.day != say.plan.on
    ]
    return together.apart(pairs, len(members))[:1]


def _shared(say: Saying, members: list[_Member], told: list[_Member]) -> tuple[str, ...]:
    """Reasons that neither the top nor the amounts have, with whose they are if not everyone's."""
    pairs = [
        (member.label, reason)
        for member in members
        for reason in once((member.action.because, *member.action.reasons))
        if reason != member.action.because or not (member in told or say.told(reason))
    ]
    return (*together.apart(pairs, len(members)), *_why_then(say, members))

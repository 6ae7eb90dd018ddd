"""What is to be done: one part for each task and product, with the amounts lawn by lawn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from advisor.digest import evidence, together
from advisor.digest.answering import Answering
from advisor.digest.parts import AmountView, AnswersView, AnswerView, DoingView, Row
from advisor.digest.saying import Saying, listed, once
from advisor.plan.model import Action, Dose, LawnPlan, Verdict
from advisor.plan.second import SAY_FIRST

HERO_LAWNS = 4
"""Lawns whose amount stands at the top; the others' are with the steps."""

HOW = "How to do it"

ELSE = "If that does not work"
NONE_BESIDE = "No hours of this week beside these suit; the next digest looks again."


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
    rows = [Row("When", say.when(head.day, head.start, head.end))]
    if titles and not any(say.told(name) for name in (*titles, say.places(titles)) if name):
        rows.append(Row("Where", listed(titles[:HERO_LAWNS])))
    for place, (lawn, action) in enumerate(found[:HERO_LAWNS]):
        amount = _amount(action, whole=not place or not _alike(action, found[place - 1][1]))
        if amount is not None:
            # The headline has the hours of one lawn; another's stand with its amount.
            hours = say.when(None, action.start, action.end)
            other = (action.start, action.end) != (head.start, head.end) and hours
            area = f" on {action.dose.area_text}" if action.dose else ""
            text = amount.text + area + (f", {hours}" if other else "")
            if len(found) > 1:
                amount = Row(lawn.title, f"{amount.label.lower()} {text}")
            else:
                amount = Row(amount.label, text)
            rows.append(amount)
        if action.verdict is Verdict.WAIT:
            rows.append(Row("Look again", say.day(action.look_again)))
    if len(found) > HERO_LAWNS:
        rows.append(Row("And", f"{len(found) - HERO_LAWNS} more, below"))
    rows.append(Row("Also", "; ".join(_others(say))))
    return tuple(row for row in rows if row.text and not say.told(row.text))


def _others(say: Saying) -> Iterator[str]:
    """Other tasks of the week, the earliest first, so that none is missed below. What is due no
    later than the headline has its hours, where they are one for all, and its lawns; of what comes
    after it the day is enough for a phone's first screen."""
    head = say.plan.headline
    found: dict[tuple[str, str], list[tuple[date, LawnPlan, Action]]] = {}
    for lawn in say.plan.lawns:
        for action in lawn.actions:
            due = action.verdict is not Verdict.WAIT and action.task != head.task
            if due and action.day is not None:
                key = (action.task, action.title)
                found.setdefault(key, []).append((action.day, lawn, action))
    for members in sorted(found.values(), key=lambda each: min(day for day, _, _ in each)):
        first = min(day for day, _, _ in members)
        then = [(lawn, action) for day, lawn, action in members if day == first]
        if head.day is not None and first > head.day:
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
        leads = [replace(leads[0], title=HOW)]
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
    # A week of waterings is one list: whoever reads it on a phone wants them beside each other.
    listed_all = members if waters and below else below
    own = not waters and len({member.action.because for member in members}) > 1
    steps = together.steps(
        [(m.label, m.action.dose.steps if m.action.dose else ()) for m in members]
    )
    cautions = together.apart(
        ((m.label, text) for m in members for text in once(m.action.cautions)), len(members)
    )
    return DoingView(
        verdict=first.verdict.value,
        title=first.title,
        lead=lead,
        amounts=tuple(
            _where_and_when(say, m, whole=m is members[0], why=m.action.because if own else "")
            for m in listed_all
        ),
        facts=_facts(say, members),
        cautions=tuple(c for c in cautions if not any(c in step for step in steps)),
        steps=steps,
        why=_one_why(say, members) if waters else _shared(say, members, below if own else []),
        numbers=() if lead else _numbers(members),
    )


def _numbers(members: list[_Member]) -> tuple[str, ...]:
    """What the reasons rest on and do not name, numbers only."""
    pairs = [
        (member.label, line)
        for member in members
        for line in evidence.lines(member.action, member.lawn.state, brief=True)
    ]
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
    text = f"{amount.label.lower()} {amount.text}" if amount else ""
    if action.dose is not None:
        text += f" on {action.dose.area_text}"
    return AmountView(", ".join(part for part in (place, when) if part), text, why)


def _amount(action: Action, whole: bool) -> Row | None:
    if action.dose is not None:
        return _weighed(action.dose, whole)
    return Row("Water", action.water_text) if action.water_text else None


def _weighed(dose: Dose, whole: bool) -> Row:
    label = "Weigh out" if dose.amount_unit == "kg" else "Measure out"
    if not whole:
        return Row(label, dose.amount_text)
    analysis = f" ({dose.analysis})" if dose.analysis and dose.analysis not in dose.title else ""
    return Row(label, f"{dose.amount_text} of {dose.title}{analysis}")


def _otherwise(say: Saying, members: list[_Member]) -> str:
    """The second choices; where several have none, for whatever reasons, that is said once."""
    seconds = [m.action.second for m in members if m.action.second is not None]
    none = all(each.day is None and each.text != SAY_FIRST for each in seconds)
    if none and len(members) > 1 and len(seconds) == len(members):
        return NONE_BESIDE
    text = together.differing((m.label, _second(say, m.action)) for m in members)
    days = [m.action.second.day for m in members if m.action.second and m.action.second.day]
    if not days:
        return text
    # Nobody writes where the weather overtakes it: its owner has to look.
    same_day = any(m.action.second and m.action.second.day == m.action.day for m in members)
    return (
        f"{text.removesuffix('.')}; the same check holds {'then' if same_day else 'that morning'}"
    )


def _facts(say: Saying, members: list[_Member]) -> tuple[Row, ...]:
    doses = [(m.label, m.action.dose) for m in members if m.action.dose is not None]
    rows = [
        Row("That morning", together.differing((m.label, m.action.go_line) for m in members)),
        Row(ELSE, _otherwise(say, members)),
        Row(
            "Last good day",
            together.differing((m.label, say.day(m.action.closes)) for m in members),
        ),
        Row(
            "Rate",
            together.differing((n, f"{d.rate_text}, set by {d.limited_by}") for n, d in doses),
        ),
        Row(
            "Brings",
            together.differing((n, ", ".join(one.text for one in d.delivers)) for n, d in doses),
        ),
    ]
    rows += [
        Row("Nitrogen", together.differing((n, d.nitrogen) for n, d in doses)),
        Row("Burn", together.differing((m.label, _burn(m.action)) for m in members)),
        Row("Product", together.differing((m.label, _why(m.action)) for m in members)),
    ]
    flags = together.apart(((m.label, m.action.flag) for m in members), len(members))
    rows += [Row("Note", flag) for flag in flags]
    sure = _how_sure(members)
    rows[1:1] = [Row("How sure", text) for text in sure]
    return tuple(row for row in rows if row.text)


def _how_sure(members: list[_Member]) -> tuple[str, ...]:
    """How sure each is; of several waterings only the least sure, by name."""
    told = together.apart(((m.label, _sure(m.action)) for m in members), len(members))
    if len(told) < 2 or members[0].action.verdict is not Verdict.WATER:
        return told
    least = min(members, key=_share)
    return (f"The least sure is {least.label}: {_sure(least.action)}",)


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
    return burn.text if burn.risk == "low" else f"{burn.text} Judged by: {burn.source}."


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

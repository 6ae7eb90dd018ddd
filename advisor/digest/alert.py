"""An alert: the note between two digests that takes back what one of them announced, or tells of
water that became needed since.

It looks as the digest does and keeps its rules: the verdict first, why, when to look again, and
when the next digest comes.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from advisor.digest.answering import Answering, Link, without_link
from advisor.digest.clean import LONGEST_NAME, clean_text, cleaned, safe_url
from advisor.digest.html import BUDGET, encoded_size, with_units
from advisor.digest.mail import LONGEST_SUBJECT
from advisor.digest.parts import Row
from advisor.digest.saying import Saying, once
from advisor.digest.templating import template
from advisor.digest.words import sentence, wrap
from advisor.language.dates import language_tag
from advisor.language.listing import listed
from advisor.language.sentences import capitalised
from advisor.language.speaking import speaking
from advisor.language.words import later, tell, tell_as
from advisor.plan.model import Plan, Verdict
from advisor.plan.needed import Needed
from advisor.plan.recant import TakenBack
from advisor.plan.words import task_short, task_title, verdict_text
from advisor.series.quantity import Kind, show
from advisor.site.facts import Done
from advisor.site.journal import write_line
from advisor.site.words import WATERING

WAIT, WATER = later("Wait after all"), later("Water after all")
SINCE_WATER = later("By a newer forecast this water is needed; no digest has told of it.")
NOTHING_BACK = later("Nothing is taken back by this note.")
ANSWER = later("Once it is done, write that into the journal, so that it is counted:")
ONLY_THIS = later("Nothing else is taken back by this note.")
IF_DONE = later("If it is done already, write that into the journal, so that it is counted.")


class Alert(NamedTuple):
    """The note in its parts; `subject` has at most 50 characters."""

    subject: str
    text: str
    html: str


@dataclass(frozen=True)
class _Item:
    """One task of one day, on all the lawns that share what is said of it."""

    title: str
    why: str
    then: str


@dataclass(frozen=True)
class _Water:
    """One lawn's water: where and when, how much, and what to know before."""

    title: str
    rows: tuple[Row, ...]
    answering: tuple[Link, ...]


@dataclass(frozen=True)
class _View:
    """All that an alert says, in words; every text is clean. `verdict` is the leading one."""

    subject: str
    verdict: str
    opening: str
    claim: str
    site: str
    day: str
    language: str
    since: str
    water: tuple[_Water, ...]
    items: tuple[_Item, ...]
    sole: bool
    left_out: int
    answers: tuple[str, ...]
    closing: str
    weather: tuple[str, ...]
    links: tuple[str, ...]
    next_digest: str
    answer_to: str


def render_alert(
    plan: Plan,
    taken: Sequence[TakenBack],
    water: Sequence[Needed] = (),
    answering: Answering | None = None,
) -> Alert:
    """The alert that takes back `taken` and advises `water`, as the newer `plan` has both. With
    `answering` its water can be answered by mail. ValueError for neither.

    The HTML has at most the digest's octets once encoded; where it would have more, the plain text
    says it all.
    """
    if not (taken or water):
        raise ValueError("an alert takes back, or advises, at least one thing")
    with speaking(plan.site.language):
        return _alert(Saying(cleaned(plan)), taken, water, answering or Answering(""))


def _alert(
    say: Saying, taken: Sequence[TakenBack], water: Sequence[Needed], answers: Answering
) -> Alert:
    shown = len(_items(say, taken)) + len(water)
    view = _view(say, taken, water, shown, answers)
    text, page = _text(view), _page(view)
    while encoded_size(page) > BUDGET and shown > 1:
        shown //= 2
        page = _page(_view(say, taken, water, shown, answers))
    return Alert(view.subject, text, page)


def alert_purpose(
    taken: Sequence[TakenBack], water: Sequence[Needed] = (), on: date | None = None
) -> str:
    """What tells this alert from others: the same for the same things taken back and the same water
    told `on` one day. Water that was taken back since may be told again on a later one."""
    told = [one.advised.id for one in taken] + [f"{one.action.id} told {on}" for one in water]
    ids = "\n".join(sorted(told))
    return f"alert-{hashlib.sha256(ids.encode('utf-8', 'surrogatepass')).hexdigest()[:16]}"


def _view(
    say: Saying,
    taken: Sequence[TakenBack],
    water: Sequence[Needed],
    shown: int,
    answering: Answering,
) -> _View:
    plan = say.plan
    items, waters = _items(say, taken), tuple(_water(say, one, answering) for one in water)
    digests = listed([say.day(day) for day in sorted({one.advised.issued for one in taken})])
    back = tell("A newer forecast takes back advice of {days}.", days=digests) if taken else ""
    # What comes first leads; of both on one day, what is to be done.
    leads = bool(water) and (not taken or water[0].day <= taken[0].advised.day)
    return _View(
        subject=_subject(say, taken, water, leads),
        verdict="water" if leads else "wait",
        opening=tell(WATER if leads else WAIT),
        claim=_water_claim(say, water, len(items)) if leads else _claim(say, taken, len(water)),
        site=plan.site.title,
        day=say.day(plan.on),
        language=language_tag(say.units),
        since=" ".join(part for part in (tell(SINCE_WATER) if water else "", back) if part),
        water=waters[:shown],
        items=items[: max(0, shown - len(waters))],
        # What the claim is about needs no title of its own where there is nothing else.
        sole=len(items) == 1 and not waters and not _first(taken)[1],
        left_out=len(items) + len(waters) - shown,
        answers=tuple(clean_text(write_line(one.day, one.lawn, Done(WATERING))) for one in water),
        closing=f"{tell(ONLY_THIS)} {tell(IF_DONE)}" if taken else tell(NOTHING_BACK),
        weather=once(
            (
                tell("The forecast reaches to {day}.", day=say.day(plan.weather.forecast_to))
                if plan.weather.forecast_to
                else "",
                plan.weather.attribution,
            )
        ),
        links=once((safe_url(plan.weather.attribution_url), safe_url(plan.weather.licence_url))),
        next_digest=(
            tell("The next digest comes on {day}.", day=say.day(plan.next_digest))
            if plan.next_digest
            else tell("No date is set for the next digest.")
        ),
        answer_to=answering.address,
    )


def _water(say: Saying, one: Needed, answering: Answering) -> _Water:
    action = cleaned(one.action)
    place = task_title(WATERING)
    if len(say.plan.lawns) > 1:
        place = clean_text(one.lawn_title, LONGEST_NAME)
    rows = (
        Row(tell_as("to do", "Water"), action.water_text),
        Row(tell("Why"), sentence(action.because)),
        Row(tell("That morning"), action.go_line),
        *(Row(tell("Caution"), caution) for caution in once(action.cautions)),
        Row(tell("How sure"), action.sure.text if action.sure else ""),
        Row(tell("Note"), sentence(action.flag)),
    )
    return _Water(
        ", ".join(part for part in (place, say.when(one.day, action.start, action.end)) if part),
        tuple(row for row in rows if row.text),
        answering.links(one.action.id),
    )


def _water_claim(say: Saying, water: Sequence[Needed], others: int) -> str:
    """`Front lawn, Wed Jul 16, 04:00 to 09:00, 0.81 in`: what to do first."""
    first = water[0]
    where = clean_text(first.lawn_title, LONGEST_NAME) if len(say.plan.lawns) > 1 else ""
    depth = first.action.water_mm
    parts = (
        where,
        say.when(first.day, first.action.start, first.action.end),
        "" if depth is None else show(depth, Kind.WATER, say.units),
    )
    return _and_more(", ".join(part for part in parts if part), len(water) - 1 + others)


def _and_more(told: str, more: int) -> str:
    return tell("{told}, and {count} more", told=told, count=more) if more else told


def _items(say: Saying, taken: Sequence[TakenBack]) -> tuple[_Item, ...]:
    """What is taken back, an entry for each task, day and reason."""
    alike: dict[tuple[date, str, str, str], list[str]] = {}
    for one in taken:
        key = (one.advised.day, clean_text(one.title, LONGEST_NAME), _why(one), _then(say, one))
        alike.setdefault(key, []).append(_name(one))
    return tuple(
        _Item(
            ", ".join(
                part
                for part in (title, say.places(lawns), tell("not on {day}", day=say.day(day)))
                if part
            ),
            why,
            then,
        )
        for (day, title, why, then), lawns in alike.items()
    )


def _why(one: TakenBack) -> str:
    return sentence(clean_text(one.because))


def _then(say: Saying, one: TakenBack) -> str:
    """What now holds instead; empty where the reason says it already, or nobody knows."""
    if one.moved:
        when = say.when(one.instead, one.start, one.end)
        return tell("It is now advised for {when}.", when=when)
    again = say.day(one.instead)
    if again:
        return "" if again in one.because else tell("Look again {day}.", day=again)
    return tell("The next digest looks again.")


def _name(one: TakenBack) -> str:
    return clean_text(one.lawn_title, LONGEST_NAME)


def _first(taken: Sequence[TakenBack]) -> tuple[list[TakenBack], int]:
    """What the first of them has on its day, on every lawn; and how many others there are."""
    task, day = taken[0].advised.task, taken[0].advised.day
    same = [one for one in taken if (one.advised.task, one.advised.day) == (task, day)]
    return same, len({(one.advised.task, one.advised.day) for one in taken}) - 1


def _what(one: TakenBack) -> str:
    return task_short(one.advised.task)


def _claim(say: Saying, taken: Sequence[TakenBack], waters: int) -> str:
    same, others = _first(taken)
    where = say.places([_name(one) for one in same])
    when = tell("not on {day} as announced", day=say.day(same[0].advised.day))
    told = ", ".join(part for part in (_what(same[0]), where, when) if part)
    told = _and_more(told, others + waters)
    return capitalised(told)


def _subject(say: Saying, taken: Sequence[TakenBack], water: Sequence[Needed], leads: bool) -> str:
    """The verdict in what a phone shows: the longest of its forms that fits."""
    if leads:
        same = [one for one in water if one.day == water[0].day]
        where = say.places([clean_text(one.lawn_title, LONGEST_NAME) for one in same])
        others = len(water) - len(same) + len(_items(say, taken))
        short, day, opening = tell(WATER), water[0].day, ""
    else:
        first, others = _first(taken)
        where = say.places([_name(one) for one in first])
        others += len(water)
        short, day, opening = tell(WAIT), first[0].advised.day, _what(first[0])
    brief = ", ".join(part for part in (opening, say.day(day)) if part)
    full = ", ".join(part for part in (opening, where, say.day(day)) if part)
    forms = (_and_more(f"{short}: {full}", others), _and_more(f"{short}: {brief}", others))
    fitting = (text for text in forms if len(text) <= LONGEST_SUBJECT)
    return next(fitting, clean_text(f"{short}: {brief}", LONGEST_SUBJECT))


def _text(view: _View) -> str:
    opening = [
        *wrap(f"{view.opening}: {view.claim}"),
        *wrap(view.since),
        *wrap(f"{view.site}, {view.day}"),
    ]
    sections = [opening]
    for water in view.water:
        rows = [wrap(f"{row.label}: {row.text}", "  ", "    ") for row in water.rows]
        answers = [
            wrap(without_link("", (link.label,), view.answer_to, link.token), "  ", "    ")
            for link in water.answering
        ]
        lines = [line for row in (*rows, *answers) for line in row]
        mark = verdict_text(Verdict.WATER).upper()
        sections.append([*wrap(f"{mark}: {water.title}"), *lines])
    for item in view.items:
        mark, inset = verdict_text(Verdict.WAIT).upper(), "" if view.sole else "  "
        title = [] if view.sole else wrap(f"{mark}: {item.title}")
        why = wrap(f"{tell('Why')}: {item.why}", inset, f"{inset}  ")
        sections.append([*title, *why, *(wrap(item.then, inset, f"{inset}  "))])
    small = " ".join((*view.weather, *view.links))
    if view.answers:
        lines = [line for answer in view.answers for line in wrap(answer, "  ", "    ")]
        sections.append([*wrap(tell(ANSWER)), *lines])
    sections.append(wrap(view.closing))
    sections.append([*wrap(view.next_digest), *wrap(small)])
    return "\n\n".join("\n".join(section) for section in sections) + "\n"


def _page(view: _View) -> str:
    page = template("alert.html.j2").render(
        alert=view,
        answer=tell(ANSWER),
        waits=verdict_text(Verdict.WAIT),
        waters=verdict_text(Verdict.WATER),
    )
    return with_units(re.sub(r"\s*\n\s*", "\n", page).strip()) + "\n"

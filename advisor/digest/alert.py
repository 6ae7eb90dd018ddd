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
from advisor.digest.html import BUDGET, encoded_size
from advisor.digest.mail import LONGEST_SUBJECT
from advisor.digest.parts import Row
from advisor.digest.saying import Saying, listed, once
from advisor.digest.templating import template
from advisor.digest.words import sentence, wrap
from advisor.plan.model import Plan
from advisor.plan.needed import Needed
from advisor.plan.recant import TakenBack
from advisor.plan.words import TASK_SHORT
from advisor.series.quantity import Kind, show
from advisor.site.facts import Done
from advisor.site.journal import write_line
from advisor.site.words import WATERING

WAIT, WATER = "Wait after all", "Water after all"
SINCE_WATER = "By a newer forecast this water is needed; no digest has told of it."
NOTHING_BACK = "Nothing is taken back by this note."
ANSWER = "Once it is done, write that into the journal, so that it is counted:"
ONLY_THIS = "Nothing else is taken back by this note."
IF_DONE = "If it is done already, write that into the journal, so that it is counted."


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
    say = Saying(cleaned(plan))
    shown = len(_items(say, taken)) + len(water)
    answers = answering or Answering("")
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
    back = f"A newer forecast takes back advice of {digests}." if taken else ""
    # What comes first leads; of both on one day, what is to be done.
    leads = bool(water) and (not taken or water[0].day <= taken[0].advised.day)
    return _View(
        subject=_subject(say, taken, water, leads),
        verdict="water" if leads else "wait",
        opening=WATER if leads else WAIT,
        claim=_water_claim(say, water, len(items)) if leads else _claim(say, taken, len(water)),
        site=plan.site.title,
        day=say.day(plan.on),
        language="en-US" if say.units == "us" else "en-GB",
        since=" ".join(part for part in (SINCE_WATER if water else "", back) if part),
        water=waters[:shown],
        items=items[: max(0, shown - len(waters))],
        left_out=len(items) + len(waters) - shown,
        answers=tuple(clean_text(write_line(one.day, one.lawn, Done(WATERING))) for one in water),
        closing=f"{ONLY_THIS} {IF_DONE}" if taken else NOTHING_BACK,
        weather=once(
            (
                f"The forecast reaches to {say.day(plan.weather.forecast_to)}."
                if plan.weather.forecast_to
                else "",
                plan.weather.attribution,
            )
        ),
        links=once((safe_url(plan.weather.attribution_url), safe_url(plan.weather.licence_url))),
        next_digest=(
            f"The next digest comes on {say.day(plan.next_digest)}."
            if plan.next_digest
            else "No date is set for the next digest."
        ),
        answer_to=answering.address,
    )


def _water(say: Saying, one: Needed, answering: Answering) -> _Water:
    action = cleaned(one.action)
    place = clean_text(one.lawn_title, LONGEST_NAME) if len(say.plan.lawns) > 1 else "Watering"
    rows = (
        Row("Water", action.water_text),
        Row("Why", sentence(action.because)),
        Row("That morning", action.go_line),
        Row("How sure", action.sure.text if action.sure else ""),
        Row("Note", sentence(action.flag)),
        *(Row("Caution", caution) for caution in once(action.cautions)),
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
    more = len(water) - 1 + others
    return ", ".join(part for part in parts if part) + (f", and {more} more" if more else "")


def _items(say: Saying, taken: Sequence[TakenBack]) -> tuple[_Item, ...]:
    """What is taken back, an entry for each task, day and reason."""
    alike: dict[tuple[date, str, str, str], list[str]] = {}
    for one in taken:
        key = (one.advised.day, clean_text(one.title, LONGEST_NAME), _why(one), _then(say, one))
        alike.setdefault(key, []).append(_name(one))
    return tuple(
        _Item(
            ", ".join(
                part for part in (title, say.places(lawns), f"not on {say.day(day)}") if part
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
        return f"It is now advised for {say.when(one.instead, one.start, one.end)}."
    again = say.day(one.instead)
    return f"Look again {again}." if again and again not in one.because else ""


def _name(one: TakenBack) -> str:
    return clean_text(one.lawn_title, LONGEST_NAME)


def _first(taken: Sequence[TakenBack]) -> tuple[list[TakenBack], int]:
    """What the first of them has on its day, on every lawn; and how many others there are."""
    task, day = taken[0].advised.task, taken[0].advised.day
    same = [one for one in taken if (one.advised.task, one.advised.day) == (task, day)]
    return same, len({(one.advised.task, one.advised.day) for one in taken}) - 1


def _what(one: TakenBack) -> str:
    return TASK_SHORT.get(one.advised.task, one.advised.task)


def _claim(say: Saying, taken: Sequence[TakenBack], waters: int) -> str:
    same, others = _first(taken)
    where = say.places([_name(one) for one in same])
    when = f"not on {say.day(same[0].advised.day)} as announced"
    more = f", and {others + waters} more" if others + waters else ""
    told = ", ".join(part for part in (_what(same[0]), where, when) if part) + more
    return told[:1].upper() + told[1:]


def _subject(say: Saying, taken: Sequence[TakenBack], water: Sequence[Needed], leads: bool) -> str:
    """The verdict in what a phone shows: the longest of its forms that fits."""
    if leads:
        same = [one for one in water if one.day == water[0].day]
        where = say.places([clean_text(one.lawn_title, LONGEST_NAME) for one in same])
        others = len(water) - len(same) + len(_items(say, taken))
        short, day, opening = WATER, water[0].day, ""
    else:
        first, others = _first(taken)
        where = say.places([_name(one) for one in first])
        others += len(water)
        short, day, opening = WAIT, first[0].advised.day, _what(first[0])
    more = f", and {others} more" if others else ""
    brief = ", ".join(part for part in (opening, say.day(day)) if part)
    full = ", ".join(part for part in (opening, where, say.day(day)) if part)
    forms = (f"{short}: {full}{more}", f"{short}: {brief}{more}")
    fitting = (text for text in forms if len(text) <= LONGEST_SUBJECT)
    return next(fitting, clean_text(f"{short}: {brief}", LONGEST_SUBJECT))


def _text(view: _View) -> str:
    # What waits is a word of ours; a lawn's or a day's name keeps its capital.
    claim = view.claim if view.verdict == "water" else view.claim[:1].lower() + view.claim[1:]
    opening = [
        *wrap(f"{view.opening}: {claim}"),
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
        sections.append([*wrap(f"WATER: {water.title}"), *lines])
    for item in view.items:
        then = wrap(item.then, "  ", "    ") if item.then else []
        sections.append(
            [*wrap(f"WAIT: {item.title}"), *wrap(f"Why: {item.why}", "  ", "    "), *then]
        )
    small = " ".join((*view.weather, *view.links))
    if view.answers:
        lines = [line for answer in view.answers for line in wrap(answer, "  ", "    ")]
        sections.append([*wrap(ANSWER), *lines])
    sections.append(wrap(view.closing))
    sections.append([*wrap(view.next_digest), *wrap(small)])
    return "\n\n".join("\n".join(section) for section in sections) + "\n"


def _page(view: _View) -> str:
    page = template("alert.html.j2").render(alert=view, answer=ANSWER)
    return re.sub(r"\s*\n\s*", "\n", page).strip() + "\n"

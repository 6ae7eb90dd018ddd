"""An alert: the note between two digests that takes back what one of them announced.

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

from advisor.digest.clean import LONGEST_NAME, clean_text, cleaned, safe_url
from advisor.digest.html import BUDGET, encoded_size
from advisor.digest.mail import LONGEST_SUBJECT
from advisor.digest.saying import Saying, listed, once
from advisor.digest.templating import template
from advisor.digest.words import sentence, wrap
from advisor.plan.model import Plan
from advisor.plan.recant import TakenBack
from advisor.plan.words import TASK_SHORT

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
class _View:
    """All that an alert says, in words; every text is clean."""

    subject: str
    claim: str
    site: str
    day: str
    language: str
    since: str
    items: tuple[_Item, ...]
    left_out: int
    weather: tuple[str, ...]
    links: tuple[str, ...]
    next_digest: str


def render_alert(plan: Plan, taken: Sequence[TakenBack]) -> Alert:
    """The alert that takes back `taken`, as the newer `plan` has it. ValueError for none.

    The HTML has at most the digest's octets once encoded; where it would have more, the plain text
    says it all.
    """
    if not taken:
        raise ValueError("an alert takes back at least one thing")
    say = Saying(cleaned(plan))
    shown = len(_items(say, taken))
    view = _view(say, taken, shown)
    text, page = _text(view), _page(view)
    while encoded_size(page) > BUDGET and shown > 1:
        shown //= 2
        page = _page(_view(say, taken, shown))
    return Alert(view.subject, text, page)


def alert_purpose(taken: Sequence[TakenBack]) -> str:
    """What tells this alert from others of its day: the same for the same things taken back."""
    ids = "\n".join(sorted(one.advised.id for one in taken))
    return f"alert-{hashlib.sha256(ids.encode('utf-8', 'surrogatepass')).hexdigest()[:16]}"


def _view(say: Saying, taken: Sequence[TakenBack], shown: int) -> _View:
    plan = say.plan
    items = _items(say, taken)
    digests = listed([say.day(day) for day in sorted({one.advised.issued for one in taken})])
    return _View(
        subject=_subject(say, taken),
        claim=_claim(say, taken),
        site=plan.site.title,
        day=say.day(plan.on),
        language="en-US" if say.units == "us" else "en-GB",
        since=f"A newer forecast takes back advice of {digests}.",
        items=items[:shown],
        left_out=len(items) - shown,
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
    )


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


def _claim(say: Saying, taken: Sequence[TakenBack]) -> str:
    same, others = _first(taken)
    where = say.places([_name(one) for one in same])
    when = f"not on {say.day(same[0].advised.day)} as announced"
    more = f", and {others} more" if others else ""
    told = ", ".join(part for part in (_what(same[0]), where, when) if part) + more
    return told[:1].upper() + told[1:]


def _subject(say: Saying, taken: Sequence[TakenBack]) -> str:
    same, others = _first(taken)
    where = say.places([_name(one) for one in same])
    when = say.day(same[0].advised.day)
    more = f", and {others} more" if others else ""
    short = f"Wait after all: {_what(same[0])}, {when}"
    long = f"Wait after all: {_what(same[0])}, {where}, {when}" if where else short
    fitting = (text for text in (long + more, short + more) if len(text) <= LONGEST_SUBJECT)
    return next(fitting, clean_text(short, LONGEST_SUBJECT))


def _text(view: _View) -> str:
    opening = [
        *wrap(f"Wait after all: {view.claim[:1].lower()}{view.claim[1:]}"),
        *wrap(view.since),
        *wrap(f"{view.site}, {view.day}"),
    ]
    sections = [opening]
    for item in view.items:
        then = wrap(item.then, "  ", "    ") if item.then else []
        sections.append(
            [*wrap(f"WAIT: {item.title}"), *wrap(f"Why: {item.why}", "  ", "    "), *then]
        )
    small = " ".join((*view.weather, *view.links))
    sections.append(wrap(f"{ONLY_THIS} {IF_DONE}"))
    sections.append([*wrap(view.next_digest), *wrap(small)])
    return "\n\n".join("\n".join(section) for section in sections) + "\n"


def _page(view: _View) -> str:
    page = template("alert.html.j2").render(alert=view, only_this=ONLY_THIS, if_done=IF_DONE)
    return re.sub(r"\s*\n\s*", "\n", page).strip() + "\n"

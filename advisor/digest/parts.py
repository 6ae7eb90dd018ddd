"""What a digest consists of, in words and ready to lay out; made by `advisor.digest.view`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass


@dataclass(frozen=True)
class Row:
    """A labelled line: what it is about, what it says."""

    label: str
    text: str


@dataclass(frozen=True)
class Figure:
    """One of the numbers that carry the verdict: what it is about and what it is held against."""

    value: str
    about: str
    limit: str


@dataclass(frozen=True)
class AnswerView:
    """One answer by mail: its word, the address of a link that writes it, the token in it."""

    label: str
    url: str
    token: str


@dataclass(frozen=True)
class AnswersView:
    """The answers to one action or question; `label` names it where several stand together."""

    label: str
    answers: tuple[AnswerView, ...]


@dataclass(frozen=True)
class AmountView:
    """What one lawn gets on one day; `why` only where lawns or days have reasons of their own."""

    label: str
    text: str
    why: str


@dataclass(frozen=True)
class DoingView:
    """One task with one product: what to do on which lawns, told once.

    `amounts` has a row for each lawn and day that the top of the page does not have; `go` is the
    check of that morning, with the `cautions` that go with it; `facts` are what else to know;
    `lead` marks what the headline speaks of. Where lawns differ, the texts say which is whose.
    """

    verdict: str
    verdict_word: str
    title: str
    lead: bool
    amounts: tuple[AmountView, ...]
    go: str
    cautions: tuple[str, ...]
    steps: tuple[str, ...]
    facts: tuple[Row, ...]
    why: tuple[str, ...]
    numbers: tuple[str, ...]
    answering: tuple[AnswersView, ...] = ()


@dataclass(frozen=True)
class WaitView:
    """What waits, and on which lawns, if they wait for the same reason."""

    title: str
    why: str
    again: str
    flag: str


@dataclass(frozen=True)
class StandView:
    """One lawn in two lines: what its grass does, and its figures."""

    title: str
    state: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class AskView:
    lawn: str
    text: str
    answers: tuple[str, ...]
    answering: tuple[AnswerView, ...] = ()


@dataclass(frozen=True)
class DayView:
    """A day of the strip. `hours` are its best ones, or those of what is advised for it, which
    `advised` tells by its verdict; the other texts are numbers without their units.

    `brief` are the hours for a narrow column. `day` and `told` are for a page of lines: its name,
    and all of it as a sentence.
    """

    day: str
    name: str
    date: str
    low: str
    high: str
    rain: str
    chance: str
    wind: str
    hours: tuple[str, str] | None
    brief: str
    advised: str
    wet: bool
    told: str


@dataclass(frozen=True)
class StripView:
    """The coming days, the month in which they begin, and the units of their numbers; `note` where
    none of them has any hours."""

    days: tuple[DayView, ...]
    month: str
    degrees: str
    depth: str
    speed: str
    note: str


@dataclass(frozen=True)
class PictureView:
    """A picture by its name in the mail, and what it shows in words: they stand in its place where
    it cannot be seen."""

    name: str
    title: str
    finding: str


@dataclass(frozen=True)
class NextView:
    lawn: str
    text: str
    likely: str


@dataclass(frozen=True)
class DigestView:
    """All that a digest says. Every text is clean; none is marked up.

    `preheader` is what a list of mails shows behind the subject. `verdict_line` is the verdict
    alone; `claim` is the same without its first word, for where that word stands by itself. `hero`
    is what to have in hand: the weighed amounts, and what the headline leaves out of day, hours and
    place. `numbers` are at most three, those that carry it; `sources` those of the rules that
    advise something; `words` are those of the trade that stand on the page.
    """

    subject: str
    preheader: str
    site: str
    day: str
    language: str
    verdict: str
    verdict_word: str
    verdict_line: str
    claim: str
    reason: str
    numbers: tuple[Figure, ...]
    hero: tuple[Row, ...]
    ask: tuple[AskView, ...]
    ask_why: str
    doing: tuple[DoingView, ...]
    waits: tuple[WaitView, ...]
    stands: tuple[StandView, ...]
    notes: tuple[Row, ...]
    strip: StripView
    pictures: tuple[PictureView, ...]
    pictured: str
    next: tuple[NextView, ...]
    shop: tuple[Row, ...]
    unknown: tuple[Row, ...]
    problems: tuple[tuple[str, ...], ...]
    sources: tuple[Row, ...]
    words: tuple[Row, ...]
    weather: str
    attribution: str
    attribution_url: str
    licence_url: str
    next_digest: str
    defer: str
    heard: tuple[str, ...] = ()
    """Answers by mail as they were understood, and a sentence on mails that were left alone."""
    answer_to: str = ""
    """The address that answers are written to; empty where there is none."""


def texts(part: object) -> Iterator[str]:
    """Every text of a view and of its parts, in order."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, tuple):
        for one in part:
            yield from texts(one)
    elif is_dataclass(part):
        for field in fields(part):
            yield from texts(getattr(part, field.name))

"""What a digest consists of, in words and ready to lay out; made by `advisor.digest.view`."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """A labelled line: what it is about, what it says."""

    label: str
    text: str


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

    `amounts` has a row for each lawn and day that the top of the page does not have; `facts` are
    what to know before starting; `lead` marks what the headline speaks of. Where lawns differ,
    the texts say which is whose.
    """

    verdict: str
    title: str
    lead: bool
    amounts: tuple[AmountView, ...]
    facts: tuple[Row, ...]
    cautions: tuple[str, ...]
    steps: tuple[str, ...]
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
    numbers: tuple[str, ...]


@dataclass(frozen=True)
class StandView:
    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class AskView:
    lawn: str
    text: str
    answers: tuple[str, ...]
    answering: tuple[AnswerView, ...] = ()


@dataclass(frozen=True)
class DayView:
    day: str
    low: str
    high: str
    rain: str
    chance: str
    wind: str


@dataclass(frozen=True)
class NextView:
    lawn: str
    text: str
    likely: str


@dataclass(frozen=True)
class DigestView:
    """All that a digest says. Every text is clean; none is marked up.

    `verdict_line` is the verdict alone; `claim` is the same without its first word, for where that
    word stands by itself. `hero` is what to have in hand: the weighed amounts, and what the
    headline leaves out of day, hours and place. `numbers` are what the reason rests on.
    """

    subject: str
    site: str
    day: str
    language: str
    verdict: str
    cannot_tell: bool
    verdict_line: str
    claim: str
    reason: str
    numbers: tuple[str, ...]
    hero: tuple[Row, ...]
    ask: tuple[AskView, ...]
    doing: tuple[DoingView, ...]
    waits: tuple[WaitView, ...]
    stands: tuple[StandView, ...]
    notes: tuple[Row, ...]
    days: tuple[DayView, ...]
    next: tuple[NextView, ...]
    shop: tuple[Row, ...]
    unknown: tuple[Row, ...]
    problems: tuple[tuple[str, ...], ...]
    sources: tuple[Row, ...]
    origins: tuple[Row, ...]
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

"""What a digest consists of, in words and ready to lay out; made by `advisor.digest.view`."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """A labelled line: what it is about, what it says."""

    label: str
    text: str


@dataclass(frozen=True)
class EvidenceView:
    answer: str
    text: str
    value: str
    limit: str
    margin: str
    origin: str


@dataclass(frozen=True)
class ActionView:
    """One action: `facts` are when, how much and on what; `rule` says which one decided."""

    verdict: str
    title: str
    flag: str
    facts: tuple[Row, ...]
    cautions: tuple[str, ...]
    steps: tuple[str, ...]
    why: tuple[str, ...]
    evidence: tuple[EvidenceView, ...]
    rule: str


@dataclass(frozen=True)
class LawnView:
    title: str
    about: str
    actions: tuple[ActionView, ...]
    conditions: tuple[Row, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class AskView:
    lawn: str
    text: str
    answers: tuple[str, ...]


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

    `headline` is the whole; `claim` and `reason` are its first sentence and the rest, without a
    verdict word in front, for where that word stands by itself. `hero` is what the headline leaves
    out of day, hours, place and dose.
    """

    subject: str
    site: str
    day: str
    language: str
    verdict: str
    cannot_tell: bool
    headline: str
    claim: str
    reason: str
    hero: tuple[Row, ...]
    ask: tuple[AskView, ...]
    lawns: tuple[LawnView, ...]
    days: tuple[DayView, ...]
    next: tuple[NextView, ...]
    unknown: tuple[Row, ...]
    problems: tuple[tuple[str, ...], ...]
    weather: str
    attribution: str
    attribution_url: str
    next_digest: str

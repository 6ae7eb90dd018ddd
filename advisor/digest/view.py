"""The plan in words, ready to lay out: both parts of a mail say what stands here, in this order."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from advisor.digest.clean import cleaned, safe_url
from advisor.digest.words import (
    Units,
    age_text,
    day_text,
    instant_text,
    name_text,
    sentence,
    state_text,
    when_text,
)
from advisor.plan.model import Action, Ask, Dose, Evidence, LawnPlan, Next, Plan, Verdict

ASK_TITLE = "First, please answer"
ASK_WHY = (
    "Until you answer, this counts as perhaps done, and whatever carries the same is held back. "
    "Write one of the lines into the journal."
)
DEFER = "Where the label, your local rules or a licensed professional say otherwise, they hold."

_ANSWERS = {True: "Yes", False: "No", None: "Cannot tell"}


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

    `headline` is the whole sentence; `claim` is the same without a verdict word in front, for
    where that word stands by itself. `hero` is the headline's action at a glance.
    """

    subject: str
    site: str
    day: str
    language: str
    verdict: str
    cannot_tell: bool
    headline: str
    claim: str
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


def view(plan: Plan) -> DigestView:
    """The plan's digest in words. The texts of `plan` may hold anything: they are cleaned here."""
    return _Words(cleaned(plan)).digest()


class _Words:
    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.units: Units = plan.site.units
        self.lawn_titles = {lawn.name: lawn.title for lawn in plan.lawns}

    def digest(self) -> DigestView:
        plan = self.plan
        headline = _with_verdict(plan.headline.text, plan.headline.verdict)
        return DigestView(
            subject=plan.headline.subject,
            site=plan.site.title,
            day=day_text(plan.on, self.units),
            language="en-US" if self.units == "us" else "en-GB",
            verdict=plan.headline.verdict.value,
            cannot_tell=plan.cannot_tell,
            headline=headline,
            claim=_without_verdict(headline, plan.headline.verdict),
            hero=self.hero(),
            ask=tuple(self.ask(one) for one in plan.ask),
            lawns=tuple(self.lawn(lawn) for lawn in plan.lawns),
            days=tuple(
                DayView(self.day(d.day), d.low, d.high, d.rain, d.rain_chance, d.wind)
                for d in plan.days
            ),
            next=tuple(self.next(one) for one in plan.next),
            unknown=tuple(
                Row(self.about(one.lawn, one.what), sentence(one.why)) for one in plan.unknown
            ),
            problems=tuple(_problem(text) for text in plan.problems),
            weather=self.weather(),
            attribution=plan.weather.attribution,
            attribution_url=safe_url(plan.weather.attribution_url),
            next_digest=(
                f"The next digest comes on {self.day(plan.next_digest)}."
                if plan.next_digest
                else "No date is set for the next digest."
            ),
        )

    def day(self, day: date | None) -> str:
        return day_text(day, self.units, self.plan.on) if day is not None else ""

    def about(self, lawn: str | None, what: str) -> str:
        return f"{self.lawn_titles.get(lawn, lawn)}, {what}" if lawn else what

    def hero(self) -> tuple[Row, ...]:
        """When, where and how much: what must be seen without scrolling."""
        head = self.plan.headline
        rows = [Row("When", when_text(head.day, head.start, head.end, self.units, self.plan.on))]
        if head.lawn:
            rows.append(Row("Where", self.lawn_titles.get(head.lawn, head.lawn)))
        action = self.headline_action()
        if action is not None and action.dose is not None:
            rows.append(_weighed(action.dose))
        if action is not None and action.water_text:
            rows.append(Row("Water", action.water_text))
        if action is not None and action.verdict is Verdict.WAIT and action.look_again:
            rows.append(Row("Look again", self.day(action.look_again)))
        return tuple(row for row in rows if row.text)

    def headline_action(self) -> Action | None:
        """The action that the headline speaks of; None where it speaks of none, or of several."""
        head = self.plan.headline
        found = [
            action
            for lawn in self.plan.lawns
            if lawn.name == head.lawn
            for action in lawn.actions
            if action.task == head.task and action.verdict == head.verdict
            if head.day is None or action.day == head.day
        ]
        return found[0] if len(found) == 1 else None

    def ask(self, ask: Ask) -> AskView:
        told = "" if self.day(ask.day) in ask.text else f" It was meant for {self.day(ask.day)}."
        if self.day(ask.advised_on) not in ask.text:
            told += f" The advice went out on {self.day(ask.advised_on)}."
        return AskView(ask.lawn_title, ask.text + told, ask.answers)

    def lawn(self, lawn: LawnPlan) -> LawnView:
        return LawnView(
            title=lawn.title,
            about=sentence(f"{name_text(lawn.grass)}, {lawn.area_text}")
            + f" The grass is {state_text(lawn.state)}.",
            actions=tuple(self.action(action) for action in lawn.actions),
            conditions=tuple(
                Row(c.title, c.value + _from(c.origin, c.estimate)) for c in lawn.conditions
            ),
            notes=_once(lawn.notes),
        )

    def action(self, action: Action) -> ActionView:
        facts = [
            Row("When", when_text(action.day, action.start, action.end, self.units, self.plan.on)),
            Row("Last good day", self.day(action.closes)),
            Row("Look again", self.day(action.look_again)),
            Row("Water", action.water_text),
        ]
        dose = action.dose
        if dose is not None:
            facts += [
                _weighed(dose),
                Row("On", dose.area_text),
                Row("Rate", f"{dose.rate_text}, set by {dose.limited_by}"),
                Row("Brings", "; ".join(d.text for d in dose.delivers)),
            ]
        facts.append(Row("That morning", action.go_line))
        steps = dose.steps if dose is not None else ()
        return ActionView(
            verdict=action.verdict.value,
            title=action.title,
            flag=action.flag,
            facts=tuple(row for row in facts if row.text),
            cautions=tuple(c for c in _once(action.cautions) if not any(c in s for s in steps)),
            steps=steps,
            why=_once((action.because, *action.reasons)),
            evidence=tuple(_evidence(one) for one in action.evidence),
            rule=f"{action.rule}; {action.source}" if action.source else action.rule,
        )

    def next(self, one: Next) -> NextView:
        likely = f"Likely {self.day(one.likely)}" if one.likely else ""
        if one.earliest and one.latest:
            span = f"between {self.day(one.earliest)} and {self.day(one.latest)}"
            likely = f"{likely}, {span}" if likely else span
        elif one.earliest or one.latest:
            edge = "not before" if one.earliest else "by"
            span = f"{edge} {self.day(one.earliest or one.latest)}"
            likely = f"{likely}, {span}" if likely else span
        return NextView(one.lawn_title, sentence(one.text), sentence(likely))

    def weather(self) -> str:
        weather = self.plan.weather
        if weather.fetched_at is None:
            return f"There is no forecast from {weather.provider}."
        at = instant_text(weather.fetched_at, self.plan.site.zone, self.units, self.plan.on)
        text = f"Weather from {weather.provider}, fetched {at}"
        if weather.age_hours is not None:
            text += f" ({age_text(weather.age_hours)} old)"
        if weather.forecast_to is not None:
            text += f"; the forecast reaches to {self.day(weather.forecast_to)}"
        if weather.stale:
            text += ". That is too old to decide on"
        return text + "."


def _with_verdict(text: str, verdict: Verdict) -> str:
    said = verdict.value in text.casefold().replace(",", " ").replace(":", " ").split()
    return text if said else f"{verdict.value.upper()}: {text}"


def _without_verdict(text: str, verdict: Verdict) -> str:
    word = verdict.value
    rest = text[len(word) :].lstrip()
    if text[: len(word)].casefold() == word and rest[:1] in tuple(":-–—") and rest[1:].strip():
        rest = rest[1:].strip()
        return rest[:1].upper() + rest[1:]
    return text


def _weighed(dose: Dose) -> Row:
    analysis = f" ({dose.analysis})" if dose.analysis and dose.analysis not in dose.title else ""
    label = "Weigh out" if dose.amount_unit == "kg" else "Measure out"
    return Row(label, f"{dose.amount_text} of {dose.title}{analysis}")


def _evidence(one: Evidence) -> EvidenceView:
    return EvidenceView(
        answer=_ANSWERS[one.holds],
        text=one.text,
        value=one.value or "not known",
        limit=one.limit or "",
        margin=one.margin or "",
        origin=one.origin,
    )


def _from(origin: str, estimate: bool) -> str:
    parts = [part for part in ("an estimate" if estimate else "", origin) if part]
    return f" ({', '.join(parts)})" if parts else ""


def _once(texts: tuple[str, ...]) -> tuple[str, ...]:
    """The texts in order, each once, without empty ones."""
    return tuple(dict.fromkeys(text for text in texts if text))


def _problem(text: str) -> tuple[str, ...]:
    """The lines of a problem; a line of carets says nothing once the text is no longer aligned."""
    return tuple(line for line in text.split("\n") if line.strip("^ "))

"""The plan in words, ready to lay out: both parts of a mail say what stands here, in this order."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from advisor.digest.clean import cleaned, safe_url
from advisor.digest.parts import (
    ActionView,
    AskView,
    DayView,
    DigestView,
    EvidenceView,
    LawnView,
    NextView,
    Row,
)
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

HERO_LAWNS = 4
"""Lawns whose dose stands at the top; the others' doses are with the lawns."""

ASK_TITLE = "First, please answer"
ASK_WHY = (
    "Until you answer, this counts as perhaps done, and whatever carries the same is held back. "
    "Write one of the lines into the journal."
)
DEFER = "Where the label, your local rules or a licensed professional say otherwise, they hold."

NONE = "–"
"""Stands in a cell of a table where there is nothing to say."""

_ANSWERS = {True: "Yes", False: "No", None: "Cannot tell"}


def view(plan: Plan) -> DigestView:
    """The plan's digest in words. The texts of `plan` may hold anything: they are cleaned here."""
    return _Words(cleaned(plan)).digest()


class _Words:
    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.units: Units = plan.site.units
        self.headline = _with_verdict(plan.headline.text, plan.headline.verdict)
        self.lawn_titles = {lawn.name: lawn.title for lawn in plan.lawns}

    def digest(self) -> DigestView:
        plan = self.plan
        claim, stop, reason = _without_verdict(self.headline, plan.headline.verdict).partition(". ")
        return DigestView(
            subject=plan.headline.subject,
            site=plan.site.title,
            day=day_text(plan.on, self.units),
            language="en-US" if self.units == "us" else "en-GB",
            verdict=plan.headline.verdict.value,
            cannot_tell=plan.cannot_tell and not self.told("cannot tell"),
            headline=self.headline,
            claim=claim + stop.strip(),
            reason=reason,
            hero=self.hero(),
            ask=tuple(self.ask(one) for one in plan.ask),
            lawns=tuple(self.lawn(lawn) for lawn in plan.lawns),
            days=tuple(
                DayView(self.day(d.day), d.low, d.high, d.rain, d.rain_chance or NONE, d.wind)
                for d in plan.days
            ),
            next=tuple(self.next(one) for one in plan.next),
            unknown=tuple(
                Row(self.about(one.lawn, one.what), sentence(one.why))
                for one in plan.unknown
                if not self.told(one.why)
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

    def told(self, text: str) -> bool:
        """Whether the headline has said this already: nothing is said twice."""
        return text.casefold() in self.headline.casefold()

    def about(self, lawn: str | None, what: str) -> str:
        title = self.lawn_titles.get(lawn, lawn) if lawn else ""
        return f"{title}, {what}" if title and title not in what else what

    def hero(self) -> tuple[Row, ...]:
        """When, where and how much: what must be seen without scrolling."""
        head = self.plan.headline
        rows = [Row("When", when_text(head.day, head.start, head.end, self.units, self.plan.on))]
        found = self.headline_actions()
        titles = [title for title, _ in found]
        if titles and not any(self.told(title) for title in titles):
            rows.append(Row("Where", " and ".join(titles[:HERO_LAWNS])))
        for title, action in found[:HERO_LAWNS]:
            place = f", for {title}" if len(found) > 1 else ""
            if action.dose is not None:
                weighed = _weighed(action.dose)
                rows.append(Row(weighed.label, weighed.text + place))
            if action.water_text:
                rows.append(Row("Water", action.water_text + place))
            if action.verdict is Verdict.WAIT:
                rows.append(Row("Look again", self.day(action.look_again)))
        if len(found) > HERO_LAWNS:
            rows.append(Row("And", f"{len(found) - HERO_LAWNS} more, below"))
        return tuple(row for row in rows if row.text and not self.told(row.text))

    def headline_actions(self) -> list[tuple[str, Action]]:
        """What the headline speaks of, with the lawn's title: one task on one day, on any lawn;
        a wait on its own lawn only."""
        return [
            (lawn.title, action)
            for lawn in self.plan.lawns
            for action in lawn.actions
            if self.leads(lawn, action)
        ]

    def leads(self, lawn: LawnPlan, action: Action) -> bool:
        head = self.plan.headline
        if (action.task, action.verdict) != (head.task, head.verdict):
            return False
        if action.verdict is Verdict.WAIT:
            return lawn.name == head.lawn
        return action.day == head.day

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
            actions=_joined([self.action(lawn, action) for action in lawn.actions]),
            conditions=tuple(
                Row(c.title, c.value + _from(c.origin, c.estimate and "estimate" not in c.value))
                for c in lawn.conditions
            ),
            notes=_once(lawn.notes),
        )

    def action(self, lawn: LawnPlan, action: Action) -> ActionView:
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
            why=self.why(lawn, action),
            evidence=tuple(_evidence(one) for one in action.evidence),
            rule="; ".join(
                part for part in (action.rule, action.source) if part != "none" and part
            ),
        )

    def why(self, lawn: LawnPlan, action: Action) -> tuple[str, ...]:
        reasons = _once((action.because, *action.reasons))
        if not self.leads(lawn, action):
            return reasons
        fresh = tuple(reason for reason in reasons if not self.told(reason))
        return fresh if len(fresh) == len(reasons) else ("As said at the top.", *fresh)

    def next(self, one: Next) -> NextView:
        parts = [f"likely {self.day(one.likely)}" if one.likely else ""]
        first = one.earliest if one.earliest != one.likely else None
        if first and one.latest:
            parts.append(f"between {self.day(first)} and {self.day(one.latest)}")
        elif first:
            parts.append(f"not before {self.day(first)}")
        elif one.latest:
            parts.append(f"at the latest {self.day(one.latest)}")
        return NextView(
            one.lawn_title, sentence(one.text), sentence(", ".join(part for part in parts if part))
        )

    def weather(self) -> str:
        weather = self.plan.weather
        if weather.fetched_at is None:
            none = f"There is no forecast from {weather.provider}."
            return "" if self.told("there is no forecast") else none
        at = instant_text(weather.fetched_at, self.plan.site.zone, self.units, self.plan.on)
        text = f"Weather from {weather.provider}, fetched {at}"
        if weather.age_hours is not None:
            text += f" ({age_text(weather.age_hours)} old)"
        if weather.forecast_to is not None:
            text += f"; the forecast reaches to {self.day(weather.forecast_to)}"
        if weather.stale and not self.told("too old to decide on"):
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


def _joined(actions: list[ActionView]) -> tuple[ActionView, ...]:
    """Waits that say the same of several tasks become one, with all their titles."""
    found: dict[ActionView, list[str]] = {}
    for action in actions:
        alike = replace(action, title="") if action.verdict == Verdict.WAIT else action
        found.setdefault(alike, []).append(action.title)
    return tuple(replace(action, title=", ".join(titles)) for action, titles in found.items())


def _from(origin: str, estimate: bool) -> str:
    parts = [part for part in ("an estimate" if estimate else "", origin) if part]
    return f" ({', '.join(parts)})" if parts else ""


def _once(texts: tuple[str, ...]) -> tuple[str, ...]:
    """The texts in order, each once, without empty ones."""
    return tuple(dict.fromkeys(text for text in texts if text))


def _problem(text: str) -> tuple[str, ...]:
    """The lines of a problem; a line of carets says nothing once the text is no longer aligned."""
    return tuple(line for line in text.split("\n") if line.strip("^ "))

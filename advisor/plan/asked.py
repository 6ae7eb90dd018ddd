"""What each rule says of each lawn on one day, and why: the schema of `explain --json`.

The lawns are looked at as they stand, before anything is planned.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from enum import StrEnum
from typing import Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from advisor.plan import asked_words as words
from advisor.plan.compose import Given, usable_weather, why_no_weather
from advisor.plan.model import SiteName
from advisor.plan.view import Setting, View
from advisor.rulebook.book import Keyword, Rule, RuleKind
from advisor.rulebook.explain import Explanation
from advisor.rulebook.latch import State
from advisor.rulebook.shown import spelled_out
from advisor.site.lawns import Lawn
from advisor.site.sums import sums
from advisor.site.words import WATERING


class Says(StrEnum):
    """What a rule says on a day."""

    OPEN = "open"
    SHUT = "shut"
    HELD = "held"
    NOT_HELD = "not held"
    ASKS = "asks"
    SPEAKS = "speaks"
    SILENT = "silent"
    CANNOT_TELL = "cannot tell"
    BY_HOUR = "asked hour by hour"


_WHEN: dict[tuple[RuleKind, bool], Says] = {
    (RuleKind.OPENS, True): Says.OPEN,
    (RuleKind.OPENS, False): Says.SHUT,
    (RuleKind.HOLDS, True): Says.HELD,
    (RuleKind.HOLDS, False): Says.NOT_HELD,
    (RuleKind.WATERS, True): Says.ASKS,
    (RuleKind.WATERS, False): Says.SILENT,
    (RuleKind.NOTES, True): Says.SPEAKS,
    (RuleKind.NOTES, False): Says.SILENT,
}


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class ConditionSaid(_Part):
    """One condition line of a rule, on the day asked for."""

    keyword: Literal["while", "once", "until"] = Field(description="what the condition is for")
    word: str = Field(description="the line's own first word: the keyword, or `and`")
    text: str = Field(description="the line as in the file, its settings spelled out")
    value: str | None = Field(description="what was found, in the site's units")
    limit: str | None
    margin: str | None = Field(description="how far the value is from the limit")
    holds: bool | None = Field(description="null: cannot tell")
    origin: str = Field(description="where the value came from, as a phrase")
    facts: tuple[str, ...] = Field(description="the facts that it reads")
    missing: str = Field(description="where it cannot be told: what is not known")
    change_on: date | None = Field(description="the next day on which `holds` differs")
    then: bool | None = Field(description="what `holds` is from that day; null also without one")
    change: str = Field(description="the same as a sentence")


class Let(_Part):
    """A name that a rule gives to something, and what it stands for, as in the file."""

    name: str
    meaning: str


class RuleSaid(_Part):
    """One rule of the book on one lawn."""

    name: str
    theme: str = Field(description="the name of its file")
    kind: Literal["opens", "holds", "waters", "notes"]
    what: str = Field(description="its kind and what it speaks of, in plain words")
    tasks: tuple[str, ...]
    grasses: tuple[str, ...] = Field(description="grasses or classes it is for; empty: all")
    says: Says
    speaks: bool = Field(description="whether it has a say that day: what cannot be told holds too")
    sentence: str = Field(description="what it tells with its numbers; true only where it speaks")
    lets: tuple[Let, ...] = ()
    conditions: tuple[ConditionSaid, ...] = ()
    change_on: date | None = Field(default=None, description="next day on which it says otherwise")
    change: str = Field(default="", description="the same as a sentence")
    latch: str | None = Field(default=None, description="the memory of a window: waiting, open, …")
    latch_since: date | None = Field(default=None, description="first day of that state")
    latch_text: str = Field(default="", description="the same as a sentence")
    source: str
    file: str
    line: int
    own: bool = Field(description="from the owner's files")


class LawnSaid(_Part):
    name: str
    title: str
    grass: str
    grass_class: str
    rules: tuple[RuleSaid, ...] = Field(description="by file, then kind; those for its grass only")


class Asked(_Part):
    """What the rules say for one site on one day. `version` is that of this schema."""

    version: Literal[1] = 1
    site: SiteName
    on: date
    decided_at: datetime
    forecast_to: date | None = Field(description="last local day that the forecast covers")
    cannot_tell: str = Field(description="why no weather is to be had; empty where there is some")
    holds_everything: bool = Field(
        description="a rule that holds cannot be read, so all that is put down waits"
    )
    lawns: tuple[LawnSaid, ...]


def views(given: Given, now: datetime) -> tuple[View, ...]:
    """Each lawn as it stands, with nothing planned; none without weather to decide on."""
    weather = usable_weather(given, now)
    if weather is None:
        return ()
    site = given.site
    counted = sums(
        site, given.shelf, given.journal, given.advised, weather.daily.days[weather.daily.today]
    )
    setting = Setting(site, given.shelf, given.book, weather, now)
    nothing = np.zeros(len(setting.days))
    return tuple(View(setting, lawn, counted, nothing) for lawn in site.lawns)


def ask_rules(given: Given, now: datetime, *, lawn: str = "", rule: str = "") -> Asked:
    """What the rules say on the day of `now`: all of them, or one lawn's, or one rule."""
    site = given.site
    looked_at = views(given, now)
    last = None
    if looked_at:
        daily = looked_at[0].setting.weather.daily
        last = daily.days[daily.forecast_end - 1]
    return Asked(
        site=SiteName(id=site.id, title=site.title, zone=site.place.zone, units=site.units),
        on=now.astimezone(site.place.zone_info).date(),
        decided_at=now,
        forecast_to=last,
        cannot_tell="" if looked_at else why_no_weather(given, now),
        holds_everything=given.book.holds_everything,
        lawns=tuple(
            _lawn(view, [each for each in speaking_of(view) if rule in ("", each.name)])
            for view in looked_at
            if lawn in ("", view.lawn.name)
        ),
    )


def _lawn(view: View, rules: list[Rule]) -> LawnSaid:
    lawn = view.lawn
    return LawnSaid(
        name=lawn.name,
        title=lawn.shown,
        grass=lawn.grass,
        grass_class=lawn.grass_class,
        rules=tuple(_said(view, rule) for rule in rules),
    )


def theme(rule: Rule) -> str:
    """What a rule's file is about: its name without its ending."""
    return rule.file.rpartition("/")[2].removesuffix(".rules")


def is_for(rule: Rule, lawn: Lawn) -> bool:
    """Whether a rule is for a lawn: for its grass, and for water only where it can be given."""
    watered = rule.kind is not RuleKind.WATERS or lawn.irrigated
    return watered and rule.speaks_of(lawn.grass, lawn.grass_class)


def speaking_of(view: View) -> list[Rule]:
    """The rules that are for a lawn, by file and kind, else in the order of the book."""
    rules = [rule for rule in view.setting.book.rules.values() if is_for(rule, view.lawn)]
    files = list(dict.fromkeys(rule.file for rule in rules))
    kinds = list(RuleKind)
    return sorted(rules, key=lambda rule: (files.index(rule.file), kinds.index(rule.kind)))


def _said(view: View, rule: Rule) -> RuleSaid:
    about = RuleSaid(
        name=rule.name,
        theme=theme(rule),
        kind=rule.kind.value,
        what=words.what_it_is(rule),
        tasks=rule.tasks,
        grasses=rule.on,
        says=Says.BY_HOUR,
        speaks=False,
        sentence="",
        lets=tuple(Let(name=name, meaning=meaning) for name, meaning in rule.lets),
        source=rule.source,
        file=rule.file,
        line=rule.line,
        own=rule.own,
    )
    if rule.hourly:
        return about
    return about.model_copy(update=dict(_on_the_day(view, rule)))


def _on_the_day(view: View, rule: Rule) -> Iterator[tuple[str, object]]:
    """What is only told by looking at the lawn on that day."""
    setting, units, today = view.setting, view.setting.site.units, view.setting.today
    explanation = view.evaluator.explain(rule, today)
    verdict = explanation.verdict
    yield "says", Says.CANNOT_TELL if verdict is None else _WHEN[rule.kind, verdict]
    yield "speaks", _speaks(rule, verdict)
    yield "sentence", explanation.sentence
    yield "conditions", tuple(_conditions(view, rule, explanation))
    change = explanation.first_change
    turn, then = None, None
    if change is not None:
        after = view.evaluator.explain(rule, change)
        unknown = [condition for condition in after.conditions if condition.holds is None]
        turn, then = _turn(view, change, all(c.beyond for c in unknown)), after.verdict
        yield "change_on", turn.day
    if not rule.broken:
        yield "change", words.rule_change(rule, verdict, turn, then, units)
    if explanation.latch is not None:
        since = _since(view, rule)
        yield "latch", explanation.latch.value
        yield "latch_since", since
        first = since if since and since > setting.days[0] else None
        yield "latch_text", words.latch_text(explanation.latch, first, units)


def _speaks(rule: Rule, verdict: bool | None) -> bool:
    if verdict is None:  # what cannot be told holds whatever is put down, but never water
        return rule.kind is RuleKind.HOLDS and rule.tasks != (WATERING,)
    return verdict


def _turn(view: View, day: int, beyond: bool) -> words.Turn:
    """A day of the table, by its index, on which something turns."""
    return words.Turn(view.setting.days[day - 1], view.setting.days[day], beyond)


def _since(view: View, rule: Rule) -> date | None:
    """The first day of the state in which a rule's latch is today."""
    states: tuple[State, ...] = view.says(rule).states
    day = view.setting.today
    while day > 0 and states[day - 1] is states[day]:
        day -= 1
    return view.setting.days[day]


def _conditions(view: View, rule: Rule, now: Explanation) -> Iterator[ConditionSaid]:
    units = view.setting.site.units
    for place, (line, found) in enumerate(zip(rule.conditions, now.conditions, strict=True)):
        turn, then = None, None
        if found.change is not None:
            after = view.evaluator.explain(rule, found.change).conditions[place]
            turn, then = _turn(view, found.change, after.beyond), after.holds
        missing = ""
        if found.holds is None:
            missing = words.missing(view.evaluator, line.test, view.setting.today, units)
        yield ConditionSaid(
            keyword=Keyword(found.keyword).value,
            word=line.word,
            text=spelled_out(found.text, view.setting.book),
            value=found.value,
            limit=found.limit,
            margin=found.margin,
            holds=found.holds,
            origin=found.origin,
            facts=found.facts,
            missing=missing,
            change_on=turn.day if turn else None,
            then=then,
            change=words.condition_change(found.holds, turn, then, units),
        )

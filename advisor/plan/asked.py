"""What each rule says of each lawn on one day, and why.

The lawns are looked at as they stand, before anything is planned; what the plan makes of it
stands apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

import numpy as np

from advisor.language.dates import day_text
from advisor.plan import asked_words as words
from advisor.plan.asked_conditions import conditions_said, says, speaks
from advisor.plan.asked_hours import on_the_hours
from advisor.plan.asked_model import Asked, LawnSaid, Let, RuleSaid, Says
from advisor.plan.asked_plan import plan_said
from advisor.plan.compose import Given, usable_weather, why_no_weather
from advisor.plan.model import SiteName
from advisor.plan.view import Setting, View
from advisor.rulebook.book import Rule, RuleKind
from advisor.rulebook.latch import State
from advisor.site.lawns import Lawn
from advisor.site.sums import sums


def views(given: Given, now: datetime) -> tuple[View, ...]:
    """Each lawn as it stands, with nothing planned; none without weather to decide on."""
    weather = usable_weather(given, now)
    if weather is None:
        return ()
    site = given.site
    counted = sums(
        site, given.shelf, given.journal, given.advised, weather.daily.days[weather.daily.today]
    )
    setting = Setting(site, given.shelf, given.book, weather, now, given.watches, given.ensemble)
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
        site=SiteName.of(site),
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
        plan=plan_said(given, now, lawn=lawn, rule=rule) if looked_at else None,
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
        says=Says.CANNOT_TELL,
        speaks=False,
        sentence="",
        lets=tuple(Let(name=name, meaning=meaning) for name, meaning in rule.lets),
        source=rule.source,
        file=rule.file,
        line=rule.line,
        own=rule.own,
    )
    told = on_the_hours(view, rule) if rule.hourly else _on_the_day(view, rule)
    return about.model_copy(update=dict(told))


def _on_the_day(view: View, rule: Rule) -> Iterator[tuple[str, object]]:
    """What is only told by looking at the lawn on that day."""
    setting, units, today = view.setting, view.setting.site.units, view.setting.today
    explanation = view.evaluator.explain(rule, today)
    verdict = explanation.verdict
    yield "says", says(rule, verdict)
    yield "speaks", speaks(rule, verdict)
    yield "sentence", explanation.sentence
    yield (
        "conditions",
        tuple(
            conditions_said(
                view.evaluator, rule, today, lambda day, beyond: _turn(view, day, beyond), units
            )
        ),
    )
    change = explanation.first_change
    turn, then = None, None
    if change is not None:
        after = view.evaluator.explain(rule, change)
        unknown = [condition for condition in after.conditions if condition.holds is None]
        turn, then = _turn(view, change, all(c.beyond for c in unknown)), after.verdict
        yield "change_on", turn.day
    if not rule.broken:
        yield "change", words.rule_change(rule, verdict, turn, then)
    if explanation.latch is not None:
        since = _since(view, rule)
        yield "latch", explanation.latch.value
        yield "latch_since", since
        first = since if since and since > setting.days[0] else None
        yield "latch_text", words.latch_text(explanation.latch, first, units)


def _turn(view: View, day: int, beyond: bool) -> words.Turn:
    """A day of the table, by its index, on which something turns."""
    days, units = view.setting.days, view.setting.site.units
    last, first = day_text(days[day - 1], units), day_text(days[day], units)
    return words.Turn(last, first, days[day], beyond)


def _since(view: View, rule: Rule) -> date | None:
    """The first day of the state in which a rule's latch is today."""
    states: tuple[State, ...] = view.says(rule).states
    day = view.setting.today
    while day > 0 and states[day - 1] is states[day]:
        day -= 1
    return view.setting.days[day]

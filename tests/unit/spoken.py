"""A made-up language in which each message stands between « and »: what is outside is not told."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from gettext import NullTranslations
from typing import Any

import pytest

from advisor.plan.model import Action, Dose, Plan
from advisor.plan.view import View
from advisor.rulebook.book import Rule
from advisor.rulebook.explain import Explanation


class Guillemets(NullTranslations):
    """The catalogue of that language. As in English, one thing is told otherwise than several."""

    def gettext(self, message: str) -> str:
        return f"«{message}»"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return f"«{msgid1 if n == 1 else msgid2}»"

    def pgettext(self, context: str, message: str) -> str:  # noqa: ARG002 - as the base has it
        return f"«{message}»"


def told_by_rules(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sentences of the rules count as told: what the plan makes of them is looked at."""
    explained = View.explain

    def explain(view: View, rule: Rule, day: int, hour: int | None = None) -> Explanation:
        found = explained(view, rule, day, hour)
        return replace(found, sentence=f"«{found.sentence}»")

    monkeypatch.setattr(View, "explain", explain)


def outside(text: str) -> str:
    """The letters of a text that stand in no message; a text that was cut short ends in one."""
    while (shorter := re.sub("«[^«»]*»", "", text)) != text:
        text = shorter
    return "".join(re.findall("[A-Za-zÄÖÜäöüß]+", text.partition("«")[0]))


def texts(plan: Plan) -> Iterator[tuple[str, str]]:
    """The texts of a plan that its own words make, each with its place."""
    head = plan.headline
    for name in ("text", "claim", "because", "subject"):
        yield f"headline.{name}", getattr(head, name)
    for lawn in plan.lawns:
        for condition in lawn.conditions:
            yield f"{lawn.name} {condition.name}", condition.title
            if not condition.unit:
                yield f"{lawn.name} {condition.name} value", condition.value
        for number, action in enumerate(lawn.actions):
            for name, text in _of_action(action):
                yield f"{lawn.name} {number} {action.task} {name}", text
        for number, note in enumerate(lawn.notes):
            yield f"{lawn.name} note {number}", note
    for number, asked in enumerate(plan.ask):
        yield f"ask {number}", asked.text
    for number, one in enumerate(plan.unknown):
        yield f"unknown {number}", one.what
        yield f"unknown {number} why", one.why
    for number, coming in enumerate(plan.next):
        yield f"next {number}", coming.text
    for number, bought in enumerate(plan.shop):
        yield f"shop {number} title", bought.title
        yield f"shop {number}", bought.text


def _of_action(action: Action) -> Iterator[tuple[str, str]]:
    for name in ("title", "because", "brief", "flag", "go_line"):
        yield name, getattr(action, name)
    for name in ("reasons", "chosen", "cautions"):
        for number, text in enumerate(getattr(action, name)):
            yield f"{name} {number}", text
    if action.second is not None:
        yield "second", action.second.text
    if action.sure is not None:
        yield "sure", action.sure.text
    for zone in action.zones:
        yield "zone", zone.text
    for number, text in enumerate(action.product_why):
        yield f"product_why {number}", text
    if action.burn is not None:
        yield "burn", action.burn.text
    if action.dose is not None:
        yield from of_dose(action.dose)


def of_dose(dose: Dose) -> Iterator[tuple[str, str]]:
    """The texts of a dose that are more than a number with its unit."""
    for name in ("limited_by", "nitrogen", "carrier_text"):
        yield name, getattr(dose, name)
    for number, step in enumerate(dose.steps):
        yield f"step {number}", step
    for brought in dose.delivers:
        yield f"delivers {brought.substance}", brought.text


def structure(plan: Plan) -> dict[str, Any]:
    """All of a plan that is decided, without the words for it."""
    head = plan.headline
    return {
        "headline": (head.verdict, head.task, head.lawn, head.day, head.start, head.end),
        "actions": [
            (lawn.name, *_decided(action)) for lawn in plan.lawns for action in lawn.actions
        ],
        "conditions": [
            (lawn.name, found.name, found.number, found.unit, found.estimate)
            for lawn in plan.lawns
            for found in lawn.conditions
        ],
        "ask": [(one.lawn, one.task, one.advised_on, one.day, one.answers) for one in plan.ask],
        "next": [(one.lawn, one.task, one.likely, one.earliest, one.latest) for one in plan.next],
        "shop": [(one.lawns, one.task, one.by) for one in plan.shop],
        "unknown": [one.lawn for one in plan.unknown],
        "days": [one.day for one in plan.days],
        "notes": [len(lawn.notes) for lawn in plan.lawns],
    }


def _decided(action: Action) -> tuple[Any, ...]:
    dose, second, sure = action.dose, action.second, action.sure
    return (
        action.id, action.task, action.verdict, action.rule, action.day, action.start, action.end,
        action.look_again, action.closes, action.not_before, action.water_mm,
        None if dose is None else (dose.product, dose.amount, dose.amount_unit, dose.area_m2,
                                   dose.bags, dose.cost, len(dose.steps)),
        None if second is None else (second.day, second.start, second.end),
        None if sure is None else (sure.members, sure.fulfilling, sure.may, sure.chance),
        None if action.burn is None else action.burn.risk,
        [(run.name, run.minutes, run.runs, run.minutes_each) for run in action.zones],
        [(one.holds, one.keyword) for one in action.evidence],
        bool(action.flag), bool(action.go_line), len(action.reasons), len(action.chosen),
        len(action.cautions), action.because == action.brief,
    )  # fmt: skip

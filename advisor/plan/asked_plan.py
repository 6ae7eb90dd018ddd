"""What the plan makes of the rules: each action in its order, with the principle that placed it."""

from __future__ import annotations

from datetime import date, datetime

from advisor.plan.asked_model import Planned, PlanSaid
from advisor.plan.compose import Given, make_plan
from advisor.plan.headline import why_it_leads
from advisor.plan.model import Action, LawnPlan, Verdict


def plan_said(given: Given, now: datetime, *, lawn: str = "", rule: str = "") -> PlanSaid:
    """The plan's actions by day and hour: all of them, or one lawn's, or those of one rule."""
    plan = make_plan(given, now)
    found = [
        (each, action)
        for each in plan.lawns
        for action in each.actions
        if action.verdict is not Verdict.WAIT
        and lawn in ("", each.name)
        and rule in ("", action.rule)
    ]
    found.sort(key=lambda pair: (pair[1].day or date.max, pair[1].start or ""))
    return PlanSaid(
        headline=plan.headline.text,
        leads=why_it_leads(plan.lawns, given.site.units),
        actions=tuple(_planned(*pair) for pair in found),
    )


def _planned(lawn: LawnPlan, action: Action) -> Planned:
    return Planned(
        lawn=lawn.name,
        lawn_title=lawn.title,
        task=action.task,
        title=action.title,
        verdict=action.verdict.value,
        rule=action.rule,
        day=action.day,
        start=action.start,
        end=action.end,
        closes=action.closes,
        product=action.dose.title if action.dose else "",
        chosen=(*action.chosen, *action.product_why),
        sure=action.sure,
        go_line=action.go_line,
        second=action.second,
    )

"""What every part of a digest needs: how this site writes days and places, and what is told."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from datetime import date
from typing import TypeVar

from advisor.digest.words import Units, when_text
from advisor.language.dates import day_text
from advisor.language.listing import listed
from advisor.language.words import tell
from advisor.plan.model import Action, LawnPlan, Plan, Verdict

Text = TypeVar("Text", bound=Hashable)


class Saying:
    """One plan's way of saying things. The texts of `plan` are clean already."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.units: Units = plan.site.units
        self.lawn_titles = {lawn.name: lawn.title for lawn in plan.lawns}

    def day(self, day: date | None) -> str:
        return day_text(day, self.units, self.plan.on) if day is not None else ""

    def when(self, day: date | None, start: str | None, end: str | None) -> str:
        return when_text(day, start, end, self.units, self.plan.on)

    def told(self, text: str) -> bool:
        """Whether the headline has said this already: nothing is said twice."""
        return text.casefold() in self.plan.headline.text.casefold()

    def places(self, titles: Sequence[str]) -> str:
        """Lawns by name; `both lawns` or `all lawns` where it is all, nothing where it is one."""
        lawns = len(self.plan.lawns)
        if len(titles) == lawns:
            return "" if lawns == 1 else tell("both lawns") if lawns == 2 else tell("all lawns")
        return listed(once(titles))

    def leads(self, lawn: LawnPlan, action: Action) -> bool:
        """Whether the headline speaks of it: one task on one day, on any lawn; a wait on its own
        lawn only."""
        head = self.plan.headline
        if (action.task, action.verdict) != (head.task, head.verdict):
            return False
        if action.verdict is Verdict.WAIT:
            return lawn.name == head.lawn
        return action.day == head.day

    def leading(self) -> list[tuple[LawnPlan, Action]]:
        """What the headline speaks of; its own lawn stands first."""
        found = [
            (lawn, action)
            for lawn in self.plan.lawns
            for action in lawn.actions
            if self.leads(lawn, action)
        ]
        return sorted(found, key=lambda pair: pair[0].name != self.plan.headline.lawn)


def once(texts: Iterable[Text]) -> tuple[Text, ...]:
    """The texts in order, each once, without empty ones."""
    return tuple(dict.fromkeys(text for text in texts if text))

"""The season as a document: all that its page shows of one site at one moment."""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from advisor.plan.ahead_model import Ahead
from advisor.plan.asked_model import RuleSaid
from advisor.plan.model import Plan


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class YearHad(_Part):
    """What a lawn has had of a substance in the year so far, beside its limit."""

    substance: str = Field(description="nutrient or active ingredient, as the journal names it")
    least: float = Field(description="surely put down, g/m2")
    most: float | None = Field(description="with what was perhaps done, g/m2; null: nobody knows")
    text: str = Field(description="both, for people")
    limit: float | None = Field(description="most in the year, g/m2; null: there is none")
    limit_text: str = Field(description="the same, for people; empty where there is none")
    left: float | None = Field(
        description="what surely is left of the limit, g/m2; null: no limit, or nobody knows"
    )
    left_text: str = Field(description="the same, for people; empty where there is no limit")


class Since(_Part):
    task: str
    title: str = Field(description="the task as a person says it")
    text: str = Field(description="days since it was done last, for people")


class LawnSeason(_Part):
    """What the season knows of one lawn beside its part of the plan."""

    name: str = Field(description="as the journal names it")
    title: str
    had: tuple[YearHad, ...] = Field(description="the year's sums: nutrients, then actives")
    since: tuple[Since, ...] = Field(description="tasks that were surely done, and how long ago")
    speaking: tuple[RuleSaid, ...] = Field(
        description="rules that have a say today: what opens, what waters, what holds, remarks"
    )
    silent: tuple[str, ...] = Field(description="names of the rules that have none")


class JournalLine(_Part):
    """One line of the journal, or what stands between its lines."""

    day: date | None = Field(description="null: not even its date can be read")
    lawn_title: str = Field(description="of the lawn it speaks of; empty: all of them")
    kind: Literal["told", "perhaps", "question", "unreadable"] = Field(
        description="told: it counts. perhaps: advised and not answered. question: it counts only"
        " once its owner has mended it. unreadable: what it may tell counts as not known"
    )
    text: str
    note: str = Field(default="", description="of what does not simply count: why, and what to do")


class JournalWeek(_Part):
    first: date | None = Field(description="its first day; null: lines without a date")
    lines: tuple[JournalLine, ...] = Field(description="newest first")


class SourceSaid(_Part):
    source: str
    rules: tuple[str, ...] = Field(description="names of the speaking rules that rest on it")


class Season(_Part):
    """One site at one moment: its year so far, what its rules say of it, and what is ahead."""

    plan: Plan = Field(description="what was decided at that moment")
    today: date = Field(description="local day of that moment")
    ahead: Ahead | None = Field(description="the coming windows; null without past years")
    cannot_tell: str = Field(description="why no rule could be asked; empty where they were")
    holds_everything: bool = Field(
        description="a rule that holds cannot be read, so all that is put down waits"
    )
    lawns: tuple[LawnSeason, ...] = Field(description="in the order of the plan's")
    journal_from: date | None = Field(description="day from which the journal tells all; or null")
    journal: tuple[JournalWeek, ...] = Field(description="this year's, newest week first")
    sources: tuple[SourceSaid, ...] = Field(description="what the speaking rules rest on")

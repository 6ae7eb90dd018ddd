"""The schema of `explain --json`: what each rule says of each lawn on one day, and why."""

from __future__ import annotations

from datetime import date, datetime
from enum import StrEnum
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from advisor.plan.model import SecondChoice, SiteName, Sure


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


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


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
    change_on: date | None = Field(
        description="the next day on which `holds` differs; of an hour rule the day of that hour"
    )
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
    hours: str = Field(
        default="", description="of an hour rule: in which hours of the day that is so, as a phrase"
    )
    at: str | None = Field(
        default=None, description="of an hour rule: the hour (HH:MM) whose numbers are told"
    )
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


class Planned(_Part):
    """One action of the plan, and why it stands where it does."""

    lawn: str
    lawn_title: str
    task: str
    title: str
    verdict: Literal["apply", "water"]
    rule: str = Field(description="the rule that opened it or asked for it")
    day: date | None = Field(alias="date")
    start: str | None = Field(alias="from", description="HH:MM, local")
    end: str | None = Field(alias="until", description="HH:MM, local")
    closes: date | None = Field(description="last day on which it is still good")
    product: str = Field(description="its name for people; empty for water")
    chosen: tuple[str, ...] = Field(
        description="the principles that placed it, its day's first, its product's last"
    )
    sure: Sure | None = Field(description="how sure it is; null where nothing tells")
    go_line: str
    second: SecondChoice | None


class PlanSaid(_Part):
    """What the plan makes of what the rules say."""

    headline: str
    leads: str = Field(description="why the headline is about that action; empty where all waits")
    actions: tuple[Planned, ...] = Field(description="by day and hour; of the week to come")


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
    plan: PlanSaid | None = Field(default=None, description="null: no weather to plan with")

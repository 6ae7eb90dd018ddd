"""The plan as a document: everything that a digest shows, and the schema of `plan.json`.

Numbers for machines are in SI (named with their unit); texts are for people, in the site's units.
"""

from __future__ import annotations

from datetime import date, datetime
from enum import StrEnum
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from advisor.language.speaking import Language
from advisor.plan.curves_model import LawnCurves
from advisor.site.place import Site


class Verdict(StrEnum):
    """The three things a digest can tell an owner to do."""

    APPLY = "apply"
    WAIT = "wait"
    WATER = "water"


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


class SiteName(_Part):
    id: str = Field(description="`id` of site.toml")
    title: str = Field(description="for people")
    zone: str = Field(description="time zone of all local days and hours, as the IANA names it")
    units: Literal["us", "metric"] = Field(description="in which the texts are")
    language: Language = Field(default="en", description="in which the texts are written")

    @classmethod
    def of(cls, site: Site) -> SiteName:
        """The same of a site's file."""
        return cls(
            id=site.id, title=site.title, zone=site.place.zone, units=site.units,
            language=site.language,
        )  # fmt: skip


class Weather(_Part):
    """The forecast that the plan rests on."""

    provider: str = Field(description="who made the forecast")
    attribution: str = Field(description="credit line that the provider's licence asks for")
    attribution_url: str = Field(description="where that line leads")
    licence_url: str = Field(default="", description="licence of the weather data, if any")
    fetched_at: datetime | None = Field(
        description="when the forecast was fetched; null: none is there"
    )
    age_hours: float | None = Field(description="from then to `decided_at`")
    stale: bool = Field(description="too old to decide on, or none at all")
    forecast_to: date | None = Field(description="last local day that the forecast covers")


class Evidence(_Part):
    """One condition of a rule, as it stood on the day it was decided for."""

    text: str = Field(description="the condition in the rule's own words")
    about: str = Field(default="", description="what it is about, in words: soil warmth")
    bound: str | None = Field(default=None, description="the limit as a quantity alone: 50 °F")
    keyword: str = Field(default="while", description="while, once or until: what it is for")
    value: str | None = Field(description="what was found, in the site's units")
    limit: str | None = Field(description="what it was held against, in the site's units")
    holds: bool | None = Field(description="null: cannot tell")
    margin: str | None = Field(description="how far the value is from the limit")
    just_at: bool = Field(default=False, description="the value is the limit itself")
    estimate: bool = Field(default=False, description="the value was worked out, and not measured")
    origin: str = Field(description="where the value came from, as a phrase")


class Delivery(_Part):
    """What a dose brings: a nutrient or active ingredient, per area."""

    substance: str = Field(
        description="nitrogen, phosphorus, potassium and iron as elements; or an active ingredient"
    )
    g_per_m2: float = Field(description="of the treated area")
    text: str = Field(description="for people, with the substance")


class Dose(_Part):
    product: str = Field(description="its `name` on the shelf")
    title: str = Field(description="the product, for people")
    analysis: str | None = Field(description="N-P2O5-K2O in percent, as on the label")
    amount: float = Field(description="kg, or L for a liquid")
    amount_unit: Literal["kg", "L"]
    amount_text: str = Field(description="what to weigh or measure out for this lawn")
    area_m2: float = Field(description="the lawn less its setbacks")
    area_text: str = Field(description="the same, for people")
    rate_text: str = Field(description="product per area, for people")
    limited_by: str = Field(description="which limit set the rate: label, law, the year, ...")
    delivers: tuple[Delivery, ...] = Field(description="what it brings per area")
    nitrogen: str = Field(
        default="", description="how much of its nitrogen is slow-release, and what releases that"
    )
    steps: tuple[str, ...] = Field(description="how to put it down, each with its caution")
    bags: int | None = Field(
        default=None, description="whole bags or bottles that this lawn's dose takes"
    )
    cost: float | None = Field(default=None, description="of the dose, in the shelf's money")
    cost_per_m2: float | None = Field(default=None, description="the same, of a m2")
    cost_per_kg_nitrogen: float | None = Field(
        default=None, description="what a kg of its nitrogen costs"
    )
    cost_per_kg_phosphate: float | None = Field(
        default=None, description="what a kg of its P2O5 costs, where it has no nitrogen"
    )
    cost_per_kg_potash: float | None = Field(
        default=None, description="what a kg of its K2O costs, where it has no nitrogen"
    )
    carrier_text: str = Field(
        default="", description="of a spray: how much to mix, and in how many tanks"
    )


class Burn(_Part):
    """How likely a dose burns the grass on its day."""

    risk: Literal["low", "some", "high"] = Field(
        description="low: no limit is reached; some, high: the text says which is"
    )
    text: str = Field(description="the risk, what it comes from, and what lessens it")
    source: str = Field(description="where the limits come from, or that they are judgement")


class SecondChoice(_Part):
    """When to do an action that did not come off as it was advised. It is a way out, not advice."""

    day: date | None = Field(default=None, alias="date", description="null: there is none")
    start: str | None = Field(default=None, alias="from", description="HH:MM, local")
    end: str | None = Field(default=None, alias="until", description="HH:MM, local")
    text: str = Field(description="the same in words, or why there is none")
    say_first: bool = Field(
        default=False, description="there is none until it is told whether the first was done"
    )


class Sure(_Part):
    """How sure the weather is that an action needs."""

    text: str = Field(description="the same as a sentence, for people")
    members: int | None = Field(default=None, description="forecasts of the ensemble")
    fulfilling: int | None = Field(
        default=None, description="those of them that surely bring what the action needs"
    )
    may: int | None = Field(
        default=None, description="the same with those of which it cannot be told"
    )
    chance: float | None = Field(
        default=None, description="highest chance of rain in an hour of it, 0 to 1"
    )


class ZoneRun(_Part):
    """How long one sprinkler zone runs for an action's water."""

    name: str = Field(description="of the zone, as site.toml has it")
    title: str = Field(description="the zone, for people")
    minutes: float = Field(description="in all, before they are parted and rounded")
    runs: int = Field(description="so many, that the soil may take the water in between")
    minutes_each: int = Field(description="of one run, to the whole minute")
    soak_minutes: int = Field(description="from the end of a run to the next; 0 for one run")
    evenness: float | None = Field(
        default=None, description="low-quarter uniformity measured; null: none was, none is assumed"
    )
    text: str = Field(description="the same, for people")


class Action(_Part):
    """What to do, or not to do, on one lawn about one task."""

    id: str = Field(description="stable while the advice is the same")
    task: str = Field(description="as rules and journal name it")
    title: str = Field(description="the task as a person says it")
    verdict: Verdict
    rule: str = Field(description="the rule that decided")
    because: str = Field(description="the rule's sentence with its numbers")
    brief: str = Field(
        default="", description="the same without the figures of today that stand with the lawn's"
    )
    not_before: date | None = Field(
        default=None, description="for a wait: its window surely stays shut until then"
    )
    reasons: tuple[str, ...] = Field(default=(), description="further sentences, if any")
    evidence: tuple[Evidence, ...] = Field(
        default=(), description="what the deciding rule found on that day"
    )
    day: date | None = Field(default=None, alias="date", description="null: no day is told")
    start: str | None = Field(default=None, alias="from", description="HH:MM, local")
    end: str | None = Field(default=None, alias="until", description="HH:MM, local")
    held: bool = Field(
        default=False,
        description="for a wait: its window is open, or may be, and something holds it",
    )
    look_again: date | None = Field(default=None, description="for a wait: when it may change")
    closes: date | None = Field(default=None, description="last day on which it is still good")
    flag: str = Field(default="", description="a window that will close unused, and the like")
    go_line: str = Field(default="", description="what to check that morning")
    chosen: tuple[str, ...] = Field(
        default=(), description="why this day, before what, these hours: the day's reason first"
    )
    second: SecondChoice | None = Field(default=None, description="null for what waits")
    sure: Sure | None = Field(default=None, description="how sure it is; null where nothing tells")
    dose: Dose | None = Field(default=None, description="null: nothing is put down")
    product_why: tuple[str, ...] = Field(
        default=(),
        description="why it is this product and not another of the shelf, a sentence each",
    )
    burn: Burn | None = Field(default=None, description="null: it brings nothing that may burn")
    water_mm: float | None = Field(default=None, description="depth of water to give; null: none")
    water_text: str = Field(default="", description="the same, for people")
    zones: tuple[ZoneRun, ...] = Field(
        default=(), description="of a watering: each zone's runs; one zone at a time"
    )
    cautions: tuple[str, ...] = Field(
        default=(), description="what to mind for people, animals and water"
    )
    source: str = Field(default="", description="the deciding rule's, law's or label's")


class Condition(_Part):
    name: str = Field(description="short word for programs")
    title: str = Field(description="for people")
    value: str = Field(description="for people, in the site's units")
    number: float | None = Field(default=None, description="in the unit of `unit`")
    unit: str = Field(default="", description="empty: the value is a word")
    origin: str = Field(description="where the value came from, as a phrase")
    span: bool = Field(default=False, description="between two numbers, both of which are known")
    estimate: bool = Field(default=False, description="worked out, and not measured")


class LawnPlan(_Part):
    name: str = Field(description="as the journal names it")
    title: str = Field(description="for people")
    grass: str = Field(description="as site.toml names it")
    grass_class: str = Field(description="cool-season or warm-season")
    area_text: str = Field(description="for people")
    state: str = Field(description="what the grass does, for people")
    conditions: tuple[Condition, ...] = Field(description="how things stand today")
    actions: tuple[Action, ...] = Field(description="advice, and what waits")
    notes: tuple[str, ...] = Field(default=(), description="what else to know of the lawn")


class Withdrawn(_Part):
    """Advice of an earlier mail for a time still to come that no longer stands."""

    id: str = Field(description="of the action that was advised")
    lawn_title: str
    task: str
    title: str = Field(description="the task as a person says it")
    day: date = Field(alias="date", description="the day that was advised")
    start: str | None = Field(default=None, alias="from", description="HH:MM, local, as advised")
    end: str | None = Field(default=None, alias="until", description="HH:MM, local, as advised")


class Ask(_Part):
    """Advice that was never answered: perhaps done."""

    id: str = Field(default="", description="that of the action that was advised")
    lawn: str = Field(description="its `name`")
    lawn_title: str
    task: str
    advised_on: date = Field(description="the day of the digest that advised it")
    day: date = Field(description="the day that was advised")
    text: str = Field(description="the question, for people")
    answers: tuple[str, ...] = Field(description="lines to write into the journal, any one")


class Heard(_Part):
    """What an answer by mail was taken to say, or why it was not taken."""

    text: str = Field(description="for people")
    understood: bool = Field(description="whether it was written down")


class Next(_Part):
    lawn: str = Field(description="its `name`")
    lawn_title: str
    task: str
    text: str = Field(description="when, and how sure that is, for people")
    likely: date | None = Field(description="the likeliest day")
    earliest: date | None = Field(description="first day that may be it")
    latest: date | None = Field(description="last day that may be it, or on which it is open")


class ToBuy(_Part):
    """What to look for in a shop: a class of product, where nothing on the shelf fits."""

    lawns: tuple[str, ...] = Field(description="their `name`s")
    lawn_titles: tuple[str, ...]
    task: str
    title: str = Field(description="the task as a person says it")
    text: str = Field(description="the class with its analysis, and how much of it")
    by: date | None = Field(description="the day by which to have it: its window opens then")
    source: str = Field(default="", description="where the choice of class comes from")


class Unknown(_Part):
    lawn: str | None = Field(description="null: it is of the whole site")
    what: str = Field(description="what is not known or not decided")
    why: str = Field(description="what is missing, and what would help")


class Headline(_Part):
    verdict: Verdict
    task: str | None = Field(description="null: of no single task")
    lawn: str | None = Field(description="its `name`; null: of no single lawn")
    day: date | None = Field(default=None, alias="date", description="null: of no day")
    start: str | None = Field(default=None, alias="from", description="HH:MM, local")
    end: str | None = Field(default=None, alias="until", description="HH:MM, local")
    text: str = Field(description="one sentence: the verdict and its reason")
    claim: str = Field(default="", description="what, where and when, without the verdict word")
    because: str = Field(default="", description="the reason, as a sentence")
    subject: str = Field(max_length=50, description="the verdict in at most 50 characters")


class DayAhead(_Part):
    """One of the coming days, for the strip of days."""

    day: date = Field(alias="date", description="local day")
    low: str = Field(description="lowest air temperature, in the site's units")
    high: str = Field(description="highest air temperature, in the site's units")
    rain: str = Field(description="in all, in the site's units")
    rain_chance: str = Field(description="highest of an hour")
    wind: str = Field(description="mean of the day, in the site's units")
    low_c: float | None = Field(default=None, description="the same numbers, for machines: °C")
    high_c: float | None = Field(default=None, description="°C")
    rain_mm: float | None = Field(default=None, description="mm")
    wind_m_s: float | None = Field(default=None, description="m/s, at 10 m")
    chance: float | None = Field(default=None, description="0 to 1; null: no source tells it")
    start: str | None = Field(
        default=None, alias="from", description="HH:MM, local: its best hours for work on the lawn"
    )
    end: str | None = Field(
        default=None, alias="until", description="HH:MM, local; null: no hours of it are good"
    )


class Plan(_Part):
    """What the rules come to for one site at one moment. `version` is that of this schema."""

    version: Literal[1] = 1
    site: SiteName
    on: date = Field(description="local day for which it was decided")
    decided_at: datetime = Field(description="with its offset from UTC")
    cannot_tell: bool = Field(description="the weather is unknown or stale: nothing was decided")
    weather: Weather
    headline: Headline
    lawns: tuple[LawnPlan, ...]
    days: tuple[DayAhead, ...] = Field(description="the strip of coming days")
    withdrawn: tuple[Withdrawn, ...] = Field(
        default=(), description="what earlier mails advised, and this plan no longer does"
    )
    ask: tuple[Ask, ...] = Field(description="advice to be answered")
    answers: tuple[Heard, ...] = Field(
        default=(), description="answers by mail since the last digest, as they were understood"
    )
    unheard: int = Field(
        default=0, description="mails since then that bore no good token, and were left alone"
    )
    next: tuple[Next, ...] = Field(description="what comes later")
    shop: tuple[ToBuy, ...] = Field(
        default=(), description="what to buy before a window opens, or while it is open"
    )
    unknown: tuple[Unknown, ...] = Field(description="what could not be decided, and why")
    problems: tuple[str, ...] = Field(
        default=(), description="lines of the owner's files that could not be read"
    )
    next_digest: date | None = Field(description="local day; null: none is scheduled")
    curves: tuple[LawnCurves, ...] = Field(
        default=(), description="what pictures show, for each lawn; empty: no weather, no curves"
    )

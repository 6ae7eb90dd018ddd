"""A replay as a document: the schema of `replay.json`.

Numbers for machines are in SI (named with their unit); texts are for people, in the site's units.
"""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from advisor.plan.model import SiteName, Verdict


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


class Told(_Part):
    """What one digest said of one task on one lawn."""

    lawn: str = Field(description="its `name`")
    task: str = Field(description="as rules name it")
    title: str = Field(description="the task as a person says it")
    verdict: Verdict
    rule: str = Field(description="the rule that decided")
    because: str = Field(description="the rule's sentence with its numbers")
    day: date | None = Field(
        default=None,
        alias="date",
        description="the day that was advised; null for a wait without one",
    )
    start: str | None = Field(default=None, alias="from", description="HH:MM, local")
    end: str | None = Field(default=None, alias="until", description="HH:MM, local")
    what: str = Field(default="", description="the amount, for people")
    look_again: date | None = Field(default=None, description="for a wait: when it may change")


class Back(_Part):
    """An advice that a note took back before its day."""

    on: date = Field(description="the evening of the note")
    lawn: str
    task: str
    day: date = Field(alias="date", description="the day that had been advised")
    because: str = Field(description="why it was taken back")
    instead: date | None = Field(default=None, description="its new day, or when to look again")


class WeekHeld(_Part):
    """How a week's holds stood for a task whose window was open in it, as the digest saw it."""

    lawn: str
    task: str
    open_days: int = Field(description="days of the week on which the window was open")
    held_days: int = Field(description="those of them on which something held it")
    rule: str = Field(description="what held most of these days; empty where nothing did")


class Week(_Part):
    """One digest, and what notes took back, or told of water, before the next."""

    on: date = Field(description="local day of the digest")
    foresight: Literal["perfect", "issued", "climatology", "none"] = Field(
        description="what was known of the days to come; none: no weather at all"
    )
    cannot_tell: bool = Field(description="the weather was unknown: nothing was decided")
    verdict: Verdict
    text: str = Field(description="the digest's headline")
    told: tuple[Told, ...] = Field(description="an entry for each task on each lawn")
    asked: int = Field(description="advice that nobody had answered")
    held: tuple[WeekHeld, ...] = Field(
        default=(), description="a task's open and held days of the week, where its window was open"
    )
    taken_back: tuple[Back, ...] = Field(default=(), description="by notes, before the next digest")
    noted: tuple[Told, ...] = Field(
        default=(), description="water that a note told of, since it became needed"
    )


class DoneLine(_Part):
    """Something that was put down or given in the replay."""

    day: date = Field(alias="date", description="on which it was done")
    lawn: str
    task: str
    product: str | None = Field(default=None, description="its `name` on the shelf; null: water")
    what: str = Field(description="the amount, for people")
    water_mm: float = Field(default=0.0, description="depth of water")


class Substance(_Part):
    """What an area got of a nutrient (as the element), an active ingredient or a product."""

    name: str = Field(description="nutrient, active ingredient, or `product:` with its name")
    g_per_m2: float = Field(description="of the treated area; mL/m2 for `product:` by volume")
    perhaps_g_per_m2: float | None = Field(
        description="with what was perhaps done; null: nobody knows how much"
    )
    text: str = Field(description="for people")


class YearLimit(_Part):
    """What a calendar year has had of something that is limited, with the time before the replay
    that the journal tells of."""

    year: int
    name: str = Field(description="what is limited")
    g_per_m2: float = Field(description="what the year has had")
    limit_g_per_m2: float = Field(description="the most in the year")
    text: str = Field(description="for people")


class LawnTotals(_Part):
    lawn: str
    title: str
    applications: int = Field(description="of products, all told")
    water_mm: float = Field(description="depth of all watering")
    water_m3: float = Field(description="the same, on the whole lawn")
    water_text: str = Field(description="the same, for people")
    substances: tuple[Substance, ...]
    years: tuple[YearLimit, ...]


class HeldBy(_Part):
    """On how many days a rule, law or label held a task whose window was open."""

    rule: str = Field(description="its name, or that of the law or label")
    days: int = Field(description="of those on which the window was open")
    why: str = Field(description="the rule's sentence on the last of these days")


class Held(_Part):
    """A task's season on one lawn, as each digest saw the week before it."""

    lawn: str
    task: str
    title: str
    open_days: int = Field(description="days on which the window was open")
    held_days: int = Field(description="those of them on which something held it")
    by: tuple[HeldBy, ...] = Field(description="the most days first")


class GrassSpell(_Part):
    """A stretch of days with the grass in one state."""

    first: date = Field(alias="from", description="its first day")
    last: date = Field(alias="to", description="its last day")
    state: str = Field(description="what the grass did, for people")


class LawnGrass(_Part):
    lawn: str
    spells: tuple[GrassSpell, ...]


class Run(_Part):
    """The service over the season once: with one rulebook and one sort of foresight."""

    rules: Literal["own", "against"] = Field(
        description="`own`: the rulebook that was asked about; `against`: the other one"
    )
    foresight: Literal["perfect", "issued"] = Field(
        description="whether forecasts were those issued at the time, or what came"
    )
    flattering: bool = Field(description="it knew weather that nobody could know")
    weeks: tuple[Week, ...] = Field(description="by digest")
    done: tuple[DoneLine, ...] = Field(description="by day")
    totals: tuple[LawnTotals, ...]
    held: tuple[Held, ...] = Field(description="by lawn and task")
    grass: tuple[LawnGrass, ...] = Field(description="by lawn")
    journal: tuple[str, ...] = Field(
        description="the lines of the journal that the owner wrote, or of the real one"
    )


class Differing(_Part):
    """One week in which two runs said something else of a task."""

    on: date = Field(description="day of the digests")
    lawn: str
    task: str
    title: str
    one: str = Field(description="what the first run said")
    other: str = Field(description="what the second run said")


class Compared(_Part):
    """Two runs side by side. `one` and `other` are indexes into `runs`."""

    one: int = Field(description="index into `runs`")
    other: int = Field(description="index into `runs`")
    weeks: tuple[Differing, ...] = Field(description="only those that differ")
    same_weeks: int = Field(description="weeks in which both said the same")


class Replay(_Part):
    """A past season as the service would have lived it. `version` is that of this schema."""

    version: Literal[1] = 1
    site: SiteName
    first: date = Field(alias="from", description="first day of the season")
    last: date = Field(alias="to", description="last day of the season")
    owner: Literal["obeys", "journal"] = Field(
        description="`obeys` does what is advised; `journal` did what the real journal says"
    )
    rules: str = Field(description="which rulebook, for people")
    against: str | None = Field(description="the rulebook it is held against, for people")
    weather: str = Field(description="where the weather came from")
    credit: str = Field(default="", description="credit line that the provider's licence asks for")
    invented: bool = Field(description="recorded weather of a demo: it shows nothing of the world")
    assumed: tuple[str, ...] = Field(description="what the replay had to assume")
    runs: tuple[Run, ...]
    compared: tuple[Compared, ...]

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

    lawn: str
    task: str
    title: str
    verdict: Verdict
    rule: str = Field(description="the rule that decided")
    because: str
    day: date | None = Field(default=None, alias="date")
    start: str | None = Field(default=None, alias="from", description="HH:MM, local")
    end: str | None = Field(default=None, alias="until", description="HH:MM, local")
    what: str = Field(default="", description="the amount, for people")
    look_again: date | None = None


class Back(_Part):
    """An advice that a note took back before its day."""

    on: date
    lawn: str
    task: str
    day: date = Field(alias="date")
    because: str
    instead: date | None = Field(default=None, description="its new day, or when to look again")


class WeekHeld(_Part):
    """How a week's holds stood for a task whose window was open in it, as the digest saw it."""

    lawn: str
    task: str
    open_days: int
    held_days: int
    rule: str = Field(description="what held most of these days; empty where nothing did")


class Week(_Part):
    """One digest, and what notes took back, or told of water, before the next."""

    on: date
    foresight: Literal["perfect", "issued", "climatology", "none"] = Field(
        description="what was known of the days to come; none: no weather at all"
    )
    cannot_tell: bool
    verdict: Verdict
    text: str = Field(description="the digest's headline")
    told: tuple[Told, ...]
    asked: int = Field(description="advice that nobody had answered")
    held: tuple[WeekHeld, ...] = ()
    taken_back: tuple[Back, ...] = ()
    noted: tuple[Told, ...] = Field(
        default=(), description="water that a note told of, since it became needed"
    )


class DoneLine(_Part):
    """Something that was put down or given in the replay."""

    day: date = Field(alias="date")
    lawn: str
    task: str
    product: str | None = None
    what: str = Field(description="the amount, for people")
    water_mm: float = 0.0


class Substance(_Part):
    """What an area got of a nutrient (as the element), an active ingredient or a product."""

    name: str
    g_per_m2: float = Field(description="of the treated area; mL/m2 for `product:` by volume")
    perhaps_g_per_m2: float | None = Field(
        description="with what was perhaps done; null: nobody knows how much"
    )
    text: str


class YearLimit(_Part):
    """What a calendar year has had of something that is limited, with the time before the replay
    that the journal tells of."""

    year: int
    name: str
    g_per_m2: float
    limit_g_per_m2: float
    text: str


class LawnTotals(_Part):
    lawn: str
    title: str
    applications: int
    water_mm: float
    water_m3: float
    water_text: str
    substances: tuple[Substance, ...]
    years: tuple[YearLimit, ...]


class HeldBy(_Part):
    """On how many days a rule, law or label held a task whose window was open."""

    rule: str
    days: int
    why: str = Field(description="the rule's sentence on the last of these days")


class Held(_Part):
    """A task's season on one lawn, as each digest saw the week before it."""

    lawn: str
    task: str
    title: str
    open_days: int
    held_days: int
    by: tuple[HeldBy, ...]


class GrassSpell(_Part):
    """A stretch of days with the grass in one state."""

    first: date = Field(alias="from")
    last: date = Field(alias="to")
    state: str


class LawnGrass(_Part):
    lawn: str
    spells: tuple[GrassSpell, ...]


class Run(_Part):
    """The service over the season once: with one rulebook and one sort of foresight."""

    rules: Literal["own", "against"]
    foresight: Literal["perfect", "issued"]
    flattering: bool = Field(description="it knew weather that nobody could know")
    weeks: tuple[Week, ...]
    done: tuple[DoneLine, ...]
    totals: tuple[LawnTotals, ...]
    held: tuple[Held, ...]
    grass: tuple[LawnGrass, ...]
    journal: tuple[str, ...] = Field(
        description="the lines of the journal that the owner wrote, or of the real one"
    )


class Differing(_Part):
    """One week in which two runs said something else of a task."""

    on: date
    lawn: str
    task: str
    title: str
    one: str
    other: str


class Compared(_Part):
    """Two runs side by side. `one` and `other` are indexes into `runs`."""

    one: int
    other: int
    weeks: tuple[Differing, ...]
    same_weeks: int


class Replay(_Part):
    """A past season as the service would have lived it. `version` is that of this schema."""

    version: Literal[1] = 1
    site: SiteName
    first: date = Field(alias="from")
    last: date = Field(alias="to")
    owner: Literal["obeys", "journal"]
    rules: str = Field(description="which rulebook, for people")
    against: str | None = Field(description="the rulebook it is held against, for people")
    weather: str = Field(description="where the weather came from")
    credit: str = Field(default="", description="credit line that the provider's licence asks for")
    invented: bool = Field(description="recorded weather of a demo: it shows nothing of the world")
    assumed: tuple[str, ...] = Field(description="what the replay had to assume")
    runs: tuple[Run, ...]
    compared: tuple[Compared, ...]

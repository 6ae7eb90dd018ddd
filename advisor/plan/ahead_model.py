"""The season ahead as a document: what `swardcast ahead` shows, and the schema of its JSON."""

from __future__ import annotations

from datetime import date, datetime
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from advisor.plan.model import SiteName

Standing = Literal["open", "forecast", "coming", "seldom"]
"""`open`: it is open today. `forecast`: the forecast already shows its day. `coming`: by past
years. `seldom`: by past years, in fewer than half of which it came."""


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Dates(_Part):
    """A day that differs from year to year."""

    likely: date = Field(description="half of the years are earlier, half later")
    earliest: date
    latest: date
    holds: float = Field(description="chance that a year's day lies from earliest to latest")
    years: int = Field(description="years of which the past tells")
    came: int = Field(description="years of them in which the day came at all")


class Purchase(_Part):
    """What a window wants from the shop, and by when."""

    by: date = Field(description="two weeks before the earliest date, or today")
    product: str | None = Field(description="on the shelf; null: nothing there serves it")
    title: str
    amount: float | None = Field(default=None, description="for this lawn, in kg or L")
    amount_unit: Literal["kg", "L"] | None = None
    amount_text: str = ""
    bag_text: str = ""
    text: str = Field(description="one sentence")


class Window(_Part):
    """One season of one rule on one lawn, as it comes next."""

    task: str
    title: str
    rule: str
    standing: Standing
    opens: Dates
    closes: Dates | None = Field(description="last day on which it is open, where that is told")
    opened: date | None = Field(default=None, description="when it opened this season, if it did")
    last_done: date | None = Field(default=None, description="when the task was surely done last")
    perhaps_done: date | None = Field(
        default=None, description="when it was advised and not answered: it counts as done"
    )
    wants: tuple[str, ...] = Field(
        default=(), description="what must be seen or done lately for it to open at all"
    )
    text: str = Field(description="one sentence: the dates and how sure they are")
    buy: Purchase | None = None


class Mark(_Part):
    """A turn of the season that is no window: frost, dormancy, heat, a closed season by law."""

    name: str
    title: str
    starts: Dates | None = None
    ends: Dates | None = None
    text: str


class Closed(_Part):
    """A closed season by law, as it stands in the site file."""

    title: str
    of: tuple[str, ...] = Field(description="nutrients, tasks and active ingredients")
    first: date
    last: date
    source: str


class LawnAhead(_Part):
    name: str
    title: str
    grass: str
    windows: tuple[Window, ...] = Field(description="by likely date")
    perhaps: tuple[Window, ...] = Field(
        description="windows that first want something seen or done"
    )
    marks: tuple[Mark, ...]
    closed: tuple[Closed, ...]
    silent: tuple[str, ...] = Field(description="rules for which there is no date, and why")


class Shopping(_Part):
    """One product, or class of products, for all lawns together."""

    by: date
    title: str
    amount_text: str
    bag_text: str
    text: str


class Ahead(_Part):
    """The coming year of one site. `version` is that of this schema."""

    version: Literal[1] = 1
    site: SiteName
    on: date
    decided_at: datetime
    first_year: int
    last_year: int
    years: int
    known_to: date | None = Field(
        description="last day of this year's weather and its forecast; null: none is known"
    )
    provider: str
    attribution: str
    attribution_url: str
    licence_url: str = ""
    lawns: tuple[LawnAhead, ...]
    shopping: tuple[Shopping, ...]
    assumes: tuple[str, ...] = Field(description="what was taken for granted, as sentences")

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
    earliest: date = Field(description="of the interval")
    latest: date = Field(description="of the interval")
    holds: float = Field(description="chance that a year's day lies from earliest to latest")
    years: int = Field(description="years of which the past tells")
    came: int = Field(description="years of them in which the day came at all")


class Purchase(_Part):
    """What a window wants from the shop, and by when."""

    by: date = Field(description="two weeks before the earliest date, or today")
    product: str | None = Field(description="on the shelf; null: nothing there serves it")
    title: str = Field(description="the product, or the class to look for")
    amount: float | None = Field(default=None, description="for this lawn, in kg or L")
    amount_unit: Literal["kg", "L"] | None = None
    amount_text: str = Field(default="", description="the same, for people")
    bag_text: str = Field(default="", description="in bags or bottles, for people")
    text: str = Field(description="one sentence")


class Window(_Part):
    """One season of one rule on one lawn, as it comes next."""

    task: str = Field(description="as rules name it")
    title: str = Field(description="the task as a person says it")
    rule: str = Field(description="its name")
    standing: Standing = Field(
        description="open: today; forecast: that shows its day; coming: by past years; seldom: in"
        " fewer than half of them"
    )
    opens: Dates = Field(description="first day on which it is open")
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
    buy: Purchase | None = Field(default=None, description="null: nothing has to be bought")


class Mark(_Part):
    """A turn of the season that is no window: frost, dormancy, heat, a closed season by law."""

    name: str = Field(description="short word for programs")
    title: str = Field(description="for people")
    starts: Dates | None = Field(default=None, description="its first day; null: not told")
    ends: Dates | None = Field(default=None, description="its last day; null: not told")
    text: str = Field(description="one sentence")


class Closed(_Part):
    """A closed season by law, as it stands in the site file."""

    title: str
    of: tuple[str, ...] = Field(description="nutrients, tasks and active ingredients")
    first: date = Field(description="its first day, as it comes next or is under way")
    last: date = Field(description="its last day")
    source: str = Field(description="where the law stands")


class LawnAhead(_Part):
    name: str = Field(description="as the journal names it")
    title: str
    grass: str
    windows: tuple[Window, ...] = Field(description="by likely date")
    perhaps: tuple[Window, ...] = Field(
        description="windows that first want something seen or done"
    )
    marks: tuple[Mark, ...] = Field(description="turns of the season that are no windows")
    closed: tuple[Closed, ...] = Field(description="seasons that law closes")
    silent: tuple[str, ...] = Field(description="rules for which there is no date, and why")


class Shopping(_Part):
    """One product, or class of products, for all lawns together."""

    by: date = Field(description="the earliest day by which a lawn wants it")
    title: str = Field(description="the product, or the class to look for")
    amount_text: str = Field(description="for all lawns, for people")
    bag_text: str = Field(description="in bags or bottles, for people")
    text: str = Field(description="one sentence")


class Ahead(_Part):
    """The coming year of one site. `version` is that of this schema."""

    version: Literal[1] = 1
    site: SiteName
    on: date = Field(description="local day on which it was told")
    decided_at: datetime = Field(description="with its offset from UTC")
    first_year: int = Field(description="of the past years")
    last_year: int = Field(description="of the past years")
    years: int = Field(description="past years of which it is told")
    known_to: date | None = Field(
        description="last day of this year's weather and its forecast; null: none is known"
    )
    provider: str = Field(description="who made the weather of past years")
    attribution: str = Field(description="credit line that the provider's licence asks for")
    attribution_url: str = Field(description="where that line leads")
    licence_url: str = Field(default="", description="licence of the weather data, if any")
    lawns: tuple[LawnAhead, ...]
    shopping: tuple[Shopping, ...] = Field(description="what all lawns want, by the day to have it")
    assumes: tuple[str, ...] = Field(description="what was taken for granted, as sentences")

"""The schema of `dose --json`: one product on one or all lawns, from its label to what is weighed.

Numbers are in SI, named with their unit; texts are for people, in the site's units.
"""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from advisor.plan.model import Dose, SiteName


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Brought(_Part):
    """What the dose brings of one nutrient or active ingredient. Labels state phosphorus and
    potassium as oxides; those, and what of the nitrogen is soluble, have rows of their own."""

    substance: str
    of: str = Field(default="", description="the row that it is a part or another measure of")
    g_per_m2: float
    text: str = Field(description="per area")
    lawn_g: float
    lawn_text: str = Field(description="on the whole lawn")


class YearSum(_Part):
    """What the year has of a substance (or of the product itself), before the dose and with it."""

    substance: str
    unit: Literal["g/m2", "mL/m2"] = Field(description="of the three numbers")
    before: float | None = Field(description="what was done and perhaps done; null: nobody knows")
    after: float | None
    limit: float | None = Field(description="most in the year, where there is a limit")
    text: str


class Pass(_Part):
    """One of the two passes at half rate."""

    kg: float
    text: str
    rate_g_per_m2: float
    rate_text: str
    kept_back_kg: float = Field(description="for missed strips and edges; within `kg`")
    kept_back_text: str


class Tanks(_Part):
    """A spray: water and product together."""

    total_l: float
    count: int = Field(description="0: cannot be told yet, see `note`")
    each_l: float | None
    product_each: float | None = Field(description="in each tank, kg or L as the dose")
    text: str
    note: str = ""


class LawnSheet(_Part):
    lawn: str
    title: str
    dose: Dose | None = Field(description="null: refused")
    refused: str = Field(default="", description="why there is no dose")
    unknown: bool = Field(default=False, description="whether something not known refused it")
    asked: str = Field(default="", description="what became of the rate that was asked for")
    not_now: tuple[str, ...] = Field(
        default=(), description="what law and label forbid on that day, whatever the dose"
    )
    brings: tuple[Brought, ...] = ()
    year: tuple[YearSum, ...] = ()
    passes: tuple[Pass, ...] = ()
    tanks: Tanks | None = None
    tool: str = Field(default="", description="the spreader or sprayer, as people call it")
    checks: tuple[str, ...] = Field(
        default=(), description="test run, fillings of the hopper, a catch held against it"
    )
    cost_text: str = ""


class Together(_Part):
    """All lawns that got a dose."""

    amount: float = Field(description="kg, or L as the dose")
    amount_text: str
    bags: int | None
    left_over: float | None = Field(description="what stays in the bags, kg or L")
    bags_text: str
    cost: float | None
    cost_text: str
    coverage_m2: float | None = Field(description="what one bag covers at the full rate")
    coverage_text: str


class DoseSheet(_Part):
    """What `swardcast dose` says. `version` is that of this schema."""

    version: Literal[1] = 1
    site: SiteName
    on: date
    product: str
    title: str
    analysis: str | None
    task: str
    lawns: tuple[LawnSheet, ...]
    together: Together | None
    notes: tuple[str, ...] = Field(default=(), description="what else to know")

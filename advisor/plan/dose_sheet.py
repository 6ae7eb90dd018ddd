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

    substance: str = Field(description="as labels and the journal name it")
    of: str = Field(default="", description="the row that it is a part or another measure of")
    g_per_m2: float = Field(description="of the treated area")
    text: str = Field(description="per area")
    lawn_g: float = Field(description="on the whole lawn")
    lawn_text: str = Field(description="on the whole lawn")


class YearSum(_Part):
    """What the year has of a substance (or of the product itself), before the dose and with it."""

    substance: str = Field(description="nutrient, active ingredient, or the product itself")
    unit: Literal["g/m2", "mL/m2"] = Field(description="of the three numbers")
    before: float | None = Field(description="what was done and perhaps done; null: nobody knows")
    after: float | None = Field(description="with the dose")
    limit: float | None = Field(description="most in the year, where there is a limit")
    text: str = Field(description="for people")


class Pass(_Part):
    """One of the two passes at half rate."""

    kg: float = Field(description="to weigh out for it")
    text: str = Field(description="the same, for people")
    rate_g_per_m2: float = Field(description="product per area")
    rate_text: str = Field(description="product per area, for people")
    kept_back_kg: float = Field(description="for missed strips and edges; within `kg`")
    kept_back_text: str = Field(description="the same, for people")


class Tanks(_Part):
    """A spray: water and product together."""

    total_l: float = Field(description="water and product in all")
    count: int = Field(description="0: cannot be told yet, see `note`")
    each_l: float | None = Field(description="in each tank; null: cannot be told yet")
    product_each: float | None = Field(description="in each tank, kg or L as the dose")
    text: str = Field(description="how to mix, for people")
    note: str = Field(default="", description="what is to be measured or set first")


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
    brings: tuple[Brought, ...] = Field(default=(), description="per area and on the lawn")
    year: tuple[YearSum, ...] = Field(
        default=(), description="what the year has of each, with the dose"
    )
    passes: tuple[Pass, ...] = Field(default=(), description="none for a liquid")
    tanks: Tanks | None = Field(default=None, description="null: no spray, or no carrier is stated")
    tool: str = Field(default="", description="the spreader or sprayer, as people call it")
    checks: tuple[str, ...] = Field(
        default=(), description="test run, fillings of the hopper, a catch held against it"
    )
    cost_text: str = Field(default="", description="for people; empty: no bag or price is stated")


class Together(_Part):
    """All lawns that got a dose."""

    amount: float = Field(description="kg, or L as the dose")
    amount_text: str = Field(description="for people")
    bags: int | None = Field(description="whole bags or bottles; null: the shelf does not tell")
    left_over: float | None = Field(description="what stays in the bags, kg or L")
    bags_text: str = Field(description="for people")
    cost: float | None = Field(description="in the shelf's money; null: the shelf does not tell")
    cost_text: str = Field(description="for people")
    coverage_m2: float | None = Field(description="what one bag covers at the full rate")
    coverage_text: str = Field(description="for people")


class DoseSheet(_Part):
    """What `swardcast dose` says. `version` is that of this schema."""

    version: Literal[1] = 1
    site: SiteName
    on: date = Field(description="local day as of which journal and law are read")
    product: str = Field(description="its `name` on the shelf")
    title: str = Field(description="the product, for people")
    analysis: str | None = Field(description="N-P2O5-K2O in percent, as on the label")
    task: str = Field(description="for which it is worked out")
    lawns: tuple[LawnSheet, ...]
    together: Together | None = Field(description="null: no lawn got a dose")
    notes: tuple[str, ...] = Field(default=(), description="what else to know")

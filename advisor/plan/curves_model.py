"""The curves of a lawn as a part of the plan: soil by day, water by day, the year's nutrients.

Numbers are in SI, named with their unit, and null where they are not known. Lists of one part run
along its `days`.
"""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

Amounts = tuple[float | None, ...]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Threshold(_Part):
    """A soil temperature at which a rule opens or shuts the window of a task."""

    task: str
    rule: str = Field(description="the rule that reads it")
    setting: str = Field(description="the setting that it stands in; empty: it has none")
    celsius: float = Field(description="at the depth of the curve")
    wants: Literal["at least", "at most"] = Field(
        description="the side on which the window may be open"
    )
    shuts: bool = Field(description="beyond it the window is shut for the season")


class SoilCurve(_Part):
    """Soil temperature at the depth that the rules of the next task read."""

    depth_m: float = Field(description="below the surface")
    days: tuple[date, ...] = Field(description="local days, today's among them, to the forecast's")
    low_c: Amounts = Field(description="of the day's mean, the lower bound")
    high_c: Amounts = Field(description="of the day's mean, the upper bound")
    coldest_c: Amounts = Field(description="of the day's hours, an estimate")
    warmest_c: Amounts = Field(description="of the day's hours, an estimate")
    thresholds: tuple[Threshold, ...] = Field(description="at most three, of tasks to come")


class WaterCurve(_Part):
    """The water of the root zone, as each morning finds it."""

    days: tuple[date, ...] = Field(description="local days, today's among them, to the forecast's")
    depletion_low_mm: Amounts = Field(description="water missing that morning, at least")
    depletion_high_mm: Amounts = Field(description="water missing that morning, at most")
    stress_line_mm: Amounts = Field(description="missing water at which stress begins")
    total_mm: float = Field(description="water that the root zone holds for the grass when full")
    rain_low_mm: Amounts = Field(description="over the day, what is known of it")
    rain_high_mm: Amounts = Field(description="over the day, at most")
    irrigation_mm: Amounts = Field(description="over the day, by the journal")
    perhaps_mm: Amounts = Field(description="advised over the day, and not answered")
    planned_mm: Amounts = Field(description="over the day, by this plan")


class PutDown(_Part):
    """What one event brought of a nutrient."""

    day: date = Field(description="on which it was, may have been or is to be put down")
    g_per_m2: float | None = Field(description="of the treated area; null: nobody knows")
    certainty: Literal["done", "perhaps done", "planned"] = Field(description="how sure it is")


class NutrientCurve(_Part):
    """What a calendar year brings of a nutrient, beside its limit and, of nitrogen, its curve."""

    substance: Literal["nitrogen", "phosphorus"] = Field(description="as an element")
    year: int
    limit_g_m2: float = Field(description="most in the year: the owner's, the law's or the grass's")
    limit_by: Literal["law", "owner", "grass"] = Field(description="which of them sets the limit")
    put_down: tuple[PutDown, ...] = Field(description="in the year, by day")
    low_g_m2: float = Field(description="surely put down in the year, up to today")
    high_g_m2: float | None = Field(description="at most put down, up to today; null: no bound")
    days: tuple[date, ...] = Field(description="the ends of months; empty: there is no curve")
    curve_g_m2: Amounts = Field(
        description="what growth has used of the limit by the end of each of `days`, in past years"
    )


class LawnCurves(_Part):
    lawn: str = Field(description="its `name`")
    soil: SoilCurve = Field(description="by day, six weeks behind and the forecast")
    water: WaterCurve = Field(description="by day, a month behind and the forecast")
    nutrients: tuple[NutrientCurve, ...] = Field(
        description="nitrogen, and phosphorus where law limits its year"
    )

"""The lawns of a site, and the local law that they are under, as site.toml states them."""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import Field

from advisor.site.amounts import AreaM2, HourlyWaterMm, MownAtM, NutrientGM2, RootsM, SetbackM2
from advisor.site.fields import (
    WEEKDAYS,
    Grass,
    Line,
    MonthDay,
    Name,
    Soil,
    Span,
    Table,
    Weekday,
)
from advisor.site.grass_limits import NITROGEN_ONCE_G_M2, NITROGEN_YEAR, SOLUBLE_ONCE_G_M2
from advisor.site.words import GRASSES


class Lawn(Table):
    """One measured area of one grass that is looked after as a whole."""

    name: Name = Field(examples=["front"], description="used in the journal; for ever")
    title: Line | None = Field(
        default=None, examples=["Front lawn"], description="the name for people"
    )
    grass: Grass = Field(examples=["tall-fescue"], description="what grows there")
    area_m2: AreaM2 = Field(alias="area", examples=["4200 ft2"], description="measured area")
    setback_m2: SetbackM2 = Field(
        default=0.0,
        alias="setback",
        examples=["300 ft2"],
        description="part of the area, beside water, where nothing is put down",
    )
    soil: Soil = Field(examples=["clay-loam"], description="texture of the soil")
    roots_m: RootsM = Field(
        default=0.1524, alias="roots", examples=["6 in"], description="depth of the roots"
    )
    mown_at_m: MownAtM | None = Field(
        default=None,
        alias="mown_at",
        examples=["3 in"],
        description="height at which it is mown; the middle of the grass's range",
    )
    cover: Literal["good", "fair", "poor"] = Field(
        default="good", examples=["good"], description="how dense the grass stands"
    )
    shade: float = Field(
        default=0.0,
        ge=0.0,
        le=0.9,
        examples=[0.3],
        description="share of the year's sun that trees and walls take from it, 0 to 0.9",
    )
    water_factor: float = Field(
        default=1.0,
        ge=0.2,
        le=1.5,
        examples=[0.9],
        description="what this lawn uses of the water that its kind of grass does elsewhere",
    )
    irrigated: bool = Field(default=True, examples=[True], description="whether it can be watered")
    nitrogen_year_g_m2: NutrientGM2 | None = Field(
        default=None,
        alias="nitrogen_year",
        examples=["2.5 lb/1000 ft2"],
        description="most nitrogen in a calendar year; a cautious default for the grass",
    )
    nitrogen_once_g_m2: NutrientGM2 = Field(
        default=NITROGEN_ONCE_G_M2,
        alias="nitrogen_once",
        examples=["0.9 lb/1000 ft2"],
        description="most nitrogen in one application",
    )
    soluble_once_g_m2: NutrientGM2 = Field(
        default=SOLUBLE_ONCE_G_M2,
        alias="soluble_once",
        examples=["0.7 lb/1000 ft2"],
        description="most water-soluble nitrogen in one application",
    )
    sprinklers_mm_h: HourlyWaterMm | None = Field(
        default=None,
        alias="sprinklers",
        examples=["0.9 in"],
        description="depth that the sprinklers give in an hour, from a catch-can test",
    )

    @property
    def shown(self) -> str:
        """The name for people."""
        return self.title or self.name

    @property
    def grass_class(self) -> str:
        return GRASSES[self.grass]

    @property
    def treated_m2(self) -> float:
        """The area that may be treated: less its setbacks."""
        return self.area_m2 - self.setback_m2

    @property
    def nitrogen_limit_g_m2(self) -> float:
        """Most nitrogen in a calendar year, the owner's or the grass's default."""
        stated = self.nitrogen_year_g_m2
        return NITROGEN_YEAR[self.grass].g_m2 if stated is None else stated

    @property
    def nitrogen_limit_source(self) -> str:
        if self.nitrogen_year_g_m2 is not None:
            return "stated for this lawn"
        return NITROGEN_YEAR[self.grass].source


class Ban(Table):
    """A season in which local law forbids nutrients; both its days are in it."""

    title: Line = Field(examples=["Summer fertilizer ban"], description="what people call it")
    nutrients: tuple[Literal["nitrogen", "phosphorus"], ...] = Field(
        strict=False,
        min_length=1,
        examples=[["nitrogen", "phosphorus"]],
        description="what may not be put down",
    )
    first: MonthDay = Field(
        alias="from", strict=False, examples=["06-01"], description="first day, month-day"
    )
    last: MonthDay = Field(
        alias="to", strict=False, examples=["09-30"], description="last day, month-day"
    )
    lawns: tuple[Name, ...] = Field(
        default=(),
        strict=False,
        examples=[["front"]],
        description="lawns that it covers; all if not given",
    )
    source: Line | None = Field(
        default=None, examples=["county code, chapter 12"], description="where the law stands"
    )

    def covers(self, lawn: str, day: date) -> bool:
        """Whether the ban is in force on that lawn on that day; it may run over new year."""
        if self.lawns and lawn not in self.lawns:
            return False
        here = (day.month, day.day)
        if self.first <= self.last:
            return self.first <= here <= self.last
        return here >= self.first or here <= self.last


class WateringTimes(Table):
    """The days and hours in which watering is allowed; none given allows all."""

    weekdays: tuple[Weekday, ...] = Field(
        default=(),
        strict=False,
        examples=[["tuesday", "saturday"]],
        description="days allowed; all if empty",
    )
    hours: tuple[Span, ...] = Field(
        default=(),
        strict=False,
        examples=[["04:00-09:00"]],
        description="hours allowed, as minutes after midnight; may run over midnight; all if empty",
    )
    source: Line | None = Field(
        default=None, examples=["water company's notice"], description="where the rule stands"
    )

    def allows(self, day: date) -> bool:
        """Whether sprinklers may run on that day."""
        return not self.weekdays or WEEKDAYS[day.weekday()] in self.weekdays

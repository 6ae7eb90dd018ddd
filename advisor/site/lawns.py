"""The lawns of a site, as site.toml states them."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.site.amounts import (
    AreaM2,
    HourlyWaterMm,
    MownAtM,
    NutrientGM2,
    RootsM,
    SetbackM2,
    ShoreM,
)
from advisor.site.fields import Day, Grass, Line, Name, Soil, Table
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
    shore_m: ShoreM | None = Field(
        default=None,
        alias="shore",
        examples=["60 ft"],
        description="length of the lawn's edge that lies along water; 0 ft where none does",
    )
    deflector: bool = Field(
        default=False,
        examples=[True],
        description="whether a deflector, a drop spreader or an aimed spray is used beside water",
    )
    established: Day | None = Field(
        default=None,
        examples=["2026-04-15"],
        description="day on which the whole lawn was sown or laid, where that is not long ago",
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

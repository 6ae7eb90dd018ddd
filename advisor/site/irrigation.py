"""The sprinkler zones of a site, as site.toml states them: which lawn, how fast, how evenly.

A zone is what one valve waters. A lawn with a single rate may say `sprinklers` in place of zones.
"""

from __future__ import annotations

from collections.abc import Iterable

from pydantic import Field

from advisor.site.amounts import Evenness, HourlyWaterMm, Slope
from advisor.site.fields import Line, Name, Table
from advisor.site.lawns import Lawn

SPRINKLERS = "sprinklers"
"""The name of the one zone of a lawn that states no zones, but a rate."""


class SprinklerZone(Table):
    """What one valve waters, as a catch-can test found it."""

    lawn: Name = Field(examples=["front"], description="the lawn that it waters")
    name: Name = Field(examples=["east"], description="name of the zone; once on its lawn")
    title: Line | None = Field(
        default=None, examples=["East side"], description="the name for people"
    )
    rate_mm_h: HourlyWaterMm = Field(
        alias="rate", examples=["0.9 in"], description="depth that it brings in an hour"
    )
    uniformity: Evenness | None = Field(
        default=None,
        examples=["62%"],
        description="low-quarter uniformity of the test; none is assumed",
    )
    slope: Slope = Field(
        default=0.0, examples=["4%"], description="rise over run of its ground; level if not given"
    )

    @property
    def shown(self) -> str:
        """The name for people."""
        return self.title or self.name


def zones_of(zones: Iterable[SprinklerZone], lawn: Lawn) -> tuple[SprinklerZone, ...]:
    """The zones of a lawn in the file's order; its `sprinklers` as one where it has none; empty
    where nothing is known of how fast it is watered."""
    found = tuple(zone for zone in zones if zone.lawn == lawn.name)
    if found or lawn.sprinklers_mm_h is None:
        return found
    rate = f"{lawn.sprinklers_mm_h} mm"
    return (SprinklerZone.model_validate({"lawn": lawn.name, "name": SPRINKLERS, "rate": rate}),)

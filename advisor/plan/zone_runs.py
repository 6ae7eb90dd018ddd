"""How long each sprinkler zone of a lawn runs for a depth of water, in runs that soak in, and how
much fits into the hours that are permitted."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.language.words import tell
from advisor.site.irrigation import SPRINKLERS, SprinklerZone, zones_of
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.turf.catch_can import minutes_for
from advisor.turf.cycles import Cycles, finished, parted

STEP = 0.25
"""Steps in which a depth is lessened until it fits [mm]."""


@dataclass(frozen=True)
class ZoneRuns:
    """One zone's part of a watering. `minutes` are those of the depth, before whole runs."""

    zone: SprinklerZone
    minutes: float
    cycles: Cycles

    @property
    def simple(self) -> bool:
        """Whether it stands for the lawn's `sprinklers`."""
        return self.zone.name == SPRINKLERS

    @property
    def text(self) -> str:
        """How to run it: `3 runs of 14 min, 78 min apart`."""
        if self.cycles.runs == 1:
            return tell("{minutes} min", minutes=f"{self.cycles.run_minutes:.0f}")
        return tell(
            "{runs} runs of {minutes} min, {apart} min apart",
            runs=self.cycles.runs,
            minutes=f"{self.cycles.run_minutes:.0f}",
            apart=f"{self.cycles.soak_minutes:.0f}",
        )


def zone_runs(site: Site, lawn: Lawn, depth_mm: float) -> tuple[ZoneRuns, ...]:
    """The runs of every zone of a lawn for a depth [mm]; empty where no rate is known.

    A zone whose evenness was measured runs longer, so that its drier parts have enough; none is
    assumed. Below 40 % no more minutes are added: that wants mending, not water.
    """
    return tuple(_runs(zone, lawn, depth_mm) for zone in zones_of(site.zones, lawn))


def _runs(zone: SprinklerZone, lawn: Lawn, depth_mm: float) -> ZoneRuns:
    minutes = minutes_for(depth_mm, zone.rate_mm_h, zone.uniformity)
    return ZoneRuns(zone, minutes, parted(minutes, zone.rate_mm_h, lawn.soil, zone.slope))


def time_taken(site: Site, lawn: Lawn, depth_mm: float) -> float:
    """Minutes from the first run to the last when one zone runs at a time; 0 where not known."""
    return finished([runs.cycles for runs in zone_runs(site, lawn, depth_mm)])


def depth_that_fits(site: Site, lawn: Lawn, depth_mm: float, minutes: float) -> float:
    """The depth [mm], or as much of it as `minutes` hold; 0 where not even a little fits."""
    fits = depth_mm
    while fits > 0 and time_taken(site, lawn, fits) > minutes:
        fits -= STEP
    return max(0.0, fits)

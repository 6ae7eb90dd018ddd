"""How a watering is parted into runs that soak in, and how the runs of several zones interlock.

Sprinklers that bring water faster than the soil takes it fill the surface first; from there it runs
off. So they stop before that, and go on when the surface is empty.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

INCH = 25.4

_CLAY, _SILTY_CLAY, _CLAY_LOAM = (0.10, 0.20), (0.15, 0.23), (0.20, 0.26)
_LOAM, _SANDY_LOAM, _LOAMY_SAND, _SAND = (0.35, 0.30), (0.40, 0.33), (0.50, 0.36), (0.60, 0.40)

INTAKE: dict[str, tuple[float, float]] = {
    soil: (INCH * rate, INCH * surface)
    for soil, (rate, surface) in {
        "sand": _SAND,
        "loamy-sand": _LOAMY_SAND,
        "sandy-loam": _SANDY_LOAM,
        "loam": _LOAM,
        "silt-loam": _CLAY_LOAM,
        "silt": _CLAY_LOAM,
        "sandy-clay-loam": _CLAY_LOAM,
        "clay-loam": _CLAY_LOAM,
        "silty-clay-loam": _SILTY_CLAY,
        "sandy-clay": _SILTY_CLAY,
        "clay": _CLAY,
    }.items()
}
"""Basic intake rate [mm/h] and water that may stand on level ground [mm], by texture.

The table of an irrigation test protocol, from memory; a texture that it lacks has the next slower
row (judgement). So it may part a watering and lengthen its pauses, and nothing else. The FAO
training manual, read at second hand, lets soils take as much or more: sand over 30, sandy loam 20
to 30, loam 10 to 20, clay loam 5 to 10, clay 1 to 5 mm/h.
"""

SLOPES = ((0.03, 1.0), (0.06, 0.75), (math.inf, 0.5))
"""Share of the standing water that a slope up to so much still holds. From memory, for clay (0.20,
0.15 and 0.10 in); for the other soils the same shares are judgement."""


@dataclass(frozen=True)
class Cycles:
    """One zone's watering: so many runs of so many minutes, so many minutes apart (0 for one)."""

    runs: int
    run_minutes: float
    soak_minutes: float

    @property
    def minutes(self) -> float:
        """Minutes that the zone runs in all."""
        return self.runs * self.run_minutes

    @property
    def whole(self) -> float:
        """Minutes from its first to its last, pauses included."""
        return self.minutes + (self.runs - 1) * self.soak_minutes


def surface_limits(soil: str, slope: float = 0.0) -> tuple[float, float]:
    """Intake rate [mm/h] and water that may stand [mm] on a soil at a slope (rise over run).

    Raises KeyError for a soil that is not in `INTAKE`, ValueError for a slope below 0.
    """
    if not slope >= 0:
        raise ValueError(f"slope must be 0 or more, not {slope:g}")
    intake, surface = INTAKE[soil]
    return intake, surface * next(share for most, share in SLOPES if slope <= most)


def longest_run(rate_mm_h: float, intake_mm_h: float, surface_mm: float) -> float:
    """Minutes that a zone may run at a stretch: 60 S / (PR - IR); infinite where the soil takes
    water as fast as it comes."""
    over = rate_mm_h - intake_mm_h
    return 60.0 * surface_mm / over if over > 0 else math.inf


def cycles(minutes: float, rate_mm_h: float, intake_mm_h: float, surface_mm: float) -> Cycles:
    """Part a watering of so many minutes into equal runs that soak in.

    Runs are the fewest that are no longer than `longest_run`; the pause is the time in which the
    soil takes in what may stand, S / IR. All above 0; ValueError otherwise.
    """
    for name, value in (
        ("minutes", minutes), ("rate_mm_h", rate_mm_h),
        ("intake_mm_h", intake_mm_h), ("surface_mm", surface_mm),
    ):  # fmt: skip
        if not 0 < value < math.inf:
            raise ValueError(f"{name} must be above 0, not {value:g}")
    longest = longest_run(rate_mm_h, intake_mm_h, surface_mm)
    # The hair keeps a watering of exactly so many runs from having one more.
    runs = max(1, math.ceil(minutes / longest - 1e-9))
    return Cycles(runs, minutes / runs, 60.0 * surface_mm / intake_mm_h if runs > 1 else 0.0)


def in_whole_minutes(asked: Cycles, longest: float) -> Cycles:
    """The same in whole minutes, as clocks of sprinklers count: runs to the nearest minute but not
    above `longest` (and at least one), pauses up."""
    run = round(asked.run_minutes)
    if run > longest:
        run = math.floor(longest)
    return Cycles(asked.runs, float(max(1, run)), float(math.ceil(asked.soak_minutes - 1e-9)))


def finished(zones: Sequence[Cycles]) -> float:
    """Minutes after which several zones are done when one runs at a time, in each other's pauses.

    At every turn the zone goes on that has rested enough; of several the one with the most still
    to come; where none has, all wait for the first. 0 without zones.
    """
    left = [zone.runs for zone in zones]
    ready = [0.0] * len(zones)
    clock = 0.0
    while any(left):
        todo = [n for n, runs in enumerate(left) if runs]
        clock = max(clock, min(ready[n] for n in todo))
        rested = [n for n in todo if ready[n] <= clock]
        n = max(rested, key=lambda n: (_to_come(zones[n], left[n]), -n))
        clock += zones[n].run_minutes
        ready[n] = clock + zones[n].soak_minutes
        left[n] -= 1
    return clock


def _to_come(zone: Cycles, runs: int) -> float:
    return runs * zone.run_minutes + (runs - 1) * zone.soak_minutes


def parted(minutes: float, rate_mm_h: float, soil: str, slope: float) -> Cycles:
    """The runs of whole minutes into which a run of `minutes` is parted, so that it soaks in."""
    limits = surface_limits(soil, slope)
    asked = cycles(minutes, rate_mm_h, *limits)
    return in_whole_minutes(asked, longest_run(rate_mm_h, *limits))

"""Daily soil temperature at any depth: from the service's layers, or an estimate where it has none.

The layers keep their true depths; between two of them the daily mean is interpolated on depth.
Where the service gives no soil the 10 cm temperature is estimated from air temperature (Zheng,
Hunt & Running 1993), and every origin says so: such a value can be some 3 °C (5 °F) off, mostly
too cold in spring, so it opens windows late rather than early.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.daily import Daily
from advisor.turf.soil_temperature import estimate_under_turf, interpolate_depth

Floats = NDArray[np.float64]

ESTIMATE_DEPTH = 0.10
ESTIMATE = (
    "estimated at 10 cm from air temperature (Zheng et al. 1993); it runs late in a fast spring"
)


@dataclass(frozen=True)
class Soil:
    """Soil temperature of a site: `at(depth)` gives values and which of them are estimates."""

    daily: Daily
    estimate: Floats

    @classmethod
    def under(cls, daily: Daily) -> Soil:
        """Estimate 10 cm for every day that the service leaves out.

        Each run of such days starts from the last value the service gave; a run at the very start
        is spun up from its own first air temperatures.
        """
        known = interpolate_depth(daily.soil_depths, daily.soil.T, ESTIMATE_DEPTH)
        estimate = np.full(len(daily.days), np.nan)
        missing = np.isnan(known)
        day = 0
        while day < len(missing):
            if not missing[day]:
                day += 1
                continue
            end = day
            while end < len(missing) and missing[end]:
                end += 1
            start = float(known[day - 1]) if day else None
            estimate[day:end] = estimate_under_turf(daily.air_mean[day:end], start)
            day = end
        return cls(daily, estimate)

    def at(self, depth_m: float) -> tuple[Floats, NDArray[np.bool_]]:
        """Daily mean [°C] at a depth in metres, and where it is an estimate; NaN is unknown."""
        layers = interpolate_depth(self.daily.soil_depths, self.daily.soil.T, depth_m)
        estimated = np.isnan(layers) & ~np.isnan(self.estimate)
        return np.where(np.isnan(layers), self.estimate, layers), estimated

    def origin(self, day: int, depth_m: float) -> str:
        """Where the temperature of a day at a depth came from."""
        _, estimated = self.at(depth_m)
        if estimated[day]:
            return ESTIMATE
        depths = [d for d, t in zip(self.daily.soil_depths, self.daily.soil[:, day], strict=True)
                  if not np.isnan(t)]  # fmt: skip
        above = max((d for d in depths if d <= depth_m), default=None)
        below = min((d for d in depths if d >= depth_m), default=None)
        used = sorted({d for d in (above, below) if d is not None})
        layers = " and ".join(f"{100 * d:.0f}" for d in used)
        return self.daily.origin(day, f"model soil at {layers} cm")

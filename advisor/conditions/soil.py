"""Daily soil temperature of a lawn at any depth: the service's layers, or an estimate without them.

The layers keep their true depths; between two of them the daily mean is interpolated on depth.
Where the service gives none, heat is conducted down to the asked depth from a surface that air and
sun make (`turf.heat_conduction`, `turf.turf_surface`). Where layers end, what they were off that
estimate on their last day fades by a quarter a day. The owner's thermometer corrects both, each by
its own difference from the readings (`turf.thermometer`); every origin says what was done.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.daily import Daily
from advisor.conditions.place import day_of_year
from advisor.conditions.table import Estimate
from advisor.language.dates import separated
from advisor.language.words import tell, tell_many
from advisor.series.quantity import Kind, show
from advisor.site import facts as journal
from advisor.turf.heat_conduction import soil_from_surface
from advisor.turf.soil_temperature import interpolate_depth
from advisor.turf.sun import extraterrestrial_radiation, radiation_from_temperature
from advisor.turf.thermometer import believable, correction, reading_of_day
from advisor.turf.turf_surface import surface_under_grass

Floats = NDArray[np.float64]

SNOW_COVER = 0.01
"""Snow that counts as cover [m]."""

FADES = 0.25
"""Share of the difference between the last layer and the estimate that is lost each day: the rate
at which soil follows air under plants in Zheng, Hunt and Running (1993)."""


@dataclass(frozen=True)
class Surface:
    """The ground's surface under grass, shape (days,): daily mean [°C] and half of its range."""

    mean: Floats
    swing: Floats

    @classmethod
    def under(cls, daily: Daily, latitude_deg: float, elevation_m: float) -> Surface:
        """From a site's days; radiation that is not known is told from the range of the air
        (FAO-56 eq. 50), and snow that is not known does not lie."""
        above = extraterrestrial_radiation(np.deg2rad(latitude_deg), day_of_year(daily.days))
        told = radiation_from_temperature(
            daily.air_max, daily.air_min, above, elevation_m=elevation_m
        )
        sun = np.where(np.isnan(daily.radiation), told, daily.radiation)
        return cls(
            *surface_under_grass(daily.air_max, daily.air_min, sun, daily.snow_depth > SNOW_COVER)
        )


@dataclass(frozen=True)
class Reading:
    """One reading of the owner's thermometer; `solar_hour` is NaN where no time was noted."""

    day: date
    celsius: float
    depth_m: float
    solar_hour: float


def readings_of(
    lines: Iterable[tuple[date, journal.Soil]], zone: ZoneInfo, longitude_deg: float
) -> tuple[Reading, ...]:
    """The journal's readings, their clock turned into the sun's (the equation of time left out)."""

    def solar(day: date, minute: int | None) -> float:
        if minute is None:
            return float("nan")
        clock = datetime(day.year, day.month, day.day, tzinfo=zone) + timedelta(minutes=minute)
        at = clock.astimezone(UTC)
        return (at.hour + at.minute / 60 + longitude_deg / 15) % 24

    return tuple(
        Reading(day, line.celsius, line.depth_m, solar(day, line.minute)) for day, line in lines
    )


@dataclass(frozen=True)
class Correction:
    """What readings add to a model, shape (days,) [°C], from how many, and how many are not
    believed."""

    add: Floats
    sd: Floats
    used: int
    left_out: int


@dataclass(frozen=True)
class Soil:
    """Soil temperature of a lawn: `at(depth)` gives values and which of them are estimates."""

    daily: Daily
    surface: Surface
    diffusivity: float
    layers: Correction
    estimate: Correction
    units: str
    _found: dict[float, tuple[Floats, NDArray[np.bool_]]] = field(
        default_factory=dict, repr=False, compare=False
    )

    @classmethod
    def under(
        cls,
        daily: Daily,
        surface: Surface,
        diffusivity: float,
        readings: Sequence[Reading] = (),
        units: str = "us",
    ) -> Soil:
        """The soil below a surface; `diffusivity` in m2/s.

        Readings of days after today, or outside the days of the weather, are not looked at.
        """
        on_axis = {day: i for i, day in enumerate(daily.days[: daily.today + 1])}
        seen = [one for one in readings if one.day in on_axis]
        days = np.array([on_axis[one.day] for one in seen], dtype=np.intp)
        depths = np.array([one.depth_m for one in seen])
        mean, sd = reading_of_day(
            [one.celsius for one in seen],
            depths,
            [one.solar_hour for one in seen],
            surface.swing[days],
            diffusivity,
        )

        def corrected(model: Callable[[float], Floats]) -> Correction:
            off = np.full(len(seen), np.nan)
            for depth in np.unique(depths):
                there = depths == depth
                off[there] = mean[there] - model(float(depth))[days[there]]
            kept = believable(off, sd)
            add, unsure = correction(off[kept], sd[kept], days[kept], np.arange(len(daily.days)))
            wild = ~kept & ~np.isnan(off + sd)
            return Correction(add, unsure, int(kept.sum()), int(wild.sum()))

        return cls(
            daily,
            surface,
            diffusivity,
            corrected(lambda depth: _layers(daily, depth)),
            corrected(lambda depth: soil_from_surface(surface.mean, depth, diffusivity)),
            units,
        )

    def at(self, depth_m: float) -> tuple[Floats, NDArray[np.bool_]]:
        """Daily mean [°C] at a depth in metres, and where it is an estimate; NaN is unknown."""
        if depth_m not in self._found:
            layers = _layers(self.daily, depth_m) + self.layers.add
            conducted = soil_from_surface(self.surface.mean, depth_m, self.diffusivity)
            conducted = conducted + self.estimate.add
            estimate = conducted + _fading(layers - conducted)
            estimated = np.isnan(layers) & ~np.isnan(estimate)
            self._found[depth_m] = np.where(np.isnan(layers), estimate, layers), estimated
        return self._found[depth_m]

    def origin(self, day: int, depth_m: float) -> str:
        """Where the temperature of a day at a depth came from."""
        _, estimated = self.at(depth_m)
        if estimated[day]:
            depth = show(depth_m, Kind.LENGTH, self.units).replace(separated(".0 "), " ")
            how = tell("estimated at {depth} by heat conduction from air and sun", depth=depth)
            return Estimate(self._read(how, self.estimate, day))
        depths = [d for d, t in zip(self.daily.soil_depths, self.daily.soil[:, day], strict=True)
                  if not np.isnan(t)]  # fmt: skip
        above = max((d for d in depths if d <= depth_m), default=None)
        below = min((d for d in depths if d >= depth_m), default=None)
        used = sorted({d for d in (above, below) if d is not None})
        depths_cm = [separated(f"{100 * d:.3g}") for d in used]
        if len(used) == 2:
            above_cm, below_cm = depths_cm
            what = tell("model soil at {above} and {below} cm", above=above_cm, below=below_cm)
        else:
            what = tell("model soil at {depth} cm", depth="".join(depths_cm))
        return self._read(self.daily.origin(day, what), self.layers, day)

    def _read(self, how: str, by: Correction, day: int) -> str:
        """A phrase with what the owner's thermometer has to do with the value."""
        said = how
        if by.used:
            add, sd = (
                show(float(value), Kind.TEMPERATURE_DIFFERENCE, self.units)
                for value in (by.add[day], by.sd[day])
            )
            sign = "" if add.startswith("-") else "+"
            said = tell_many(
                "{origin}, corrected by {added} from {count} reading of yours, ±{sd}",
                "{origin}, corrected by {added} from {count} readings of yours, ±{sd}",
                by.used,
                origin=said,
                added=sign + add,
                sd=sd,
            )
        if by.left_out:
            said = tell_many(
                "{origin}, {count} reading of yours left out as too far off to be believed",
                "{origin}, {count} readings of yours left out as too far off to be believed",
                by.left_out,
                origin=said,
            )
        return said


def _layers(daily: Daily, depth_m: float) -> Floats:
    order = np.argsort(daily.soil_depths)
    depths = [daily.soil_depths[i] for i in order]
    return interpolate_depth(depths, daily.soil[order].T, depth_m)


def _fading(off: Floats) -> Floats:
    """The last known difference before or on each day, less a quarter of it a day; 0 before any."""
    axis = np.arange(len(off))
    last = np.maximum.accumulate(np.where(np.isnan(off), -1, axis))
    return np.where(last < 0, 0.0, off[last] * (1 - FADES) ** (axis - last))

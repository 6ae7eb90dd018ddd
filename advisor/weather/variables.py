"""The service's variables that we ask for: name, unit, our column, and what can be true.

Names, units and the hour that a value belongs to are those of the service's documentation. The
ranges are wide bounds of what can be true anywhere on land: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Variable:
    """`low` to `high` is in the service's unit; a value down to `clip_low` or up to `clip_high`
    is rounding and is set to the bound. Ours is the service's value divided by `per`."""

    name: str
    unit: str
    column: str
    title: str
    low: float
    high: float
    per: float = 1.0
    clip_low: float | None = None
    clip_high: float | None = None


_ALL = (
    Variable("temperature_2m", "°C", "air_temp", "air temperature", -90, 60),
    Variable("relative_humidity_2m", "%", "humidity", "humidity", 0, 100, 100, clip_high=101),
    Variable("dew_point_2m", "°C", "dew_point", "dew point", -90, 60),
    Variable("precipitation", "mm", "rain", "rain", 0, 300),
    Variable("precipitation_probability", "%", "rain_chance", "chance of rain", 0, 100, 100),
    Variable("wind_speed_10m", "m/s", "wind", "wind", 0, 120),
    Variable("wind_gusts_10m", "m/s", "gust", "gusts", 0, 120),
    Variable("shortwave_radiation", "W/m²", "radiation", "sunshine (radiation)", 0, 1500,
             clip_low=-20),
    Variable("snow_depth", "m", "snow_depth", "depth of snow", 0, 20),
    Variable("soil_temperature_0cm", "°C", "soil_temp_0", "soil temperature at the surface",
             -60, 80),
    Variable("soil_temperature_6cm", "°C", "soil_temp_6", "soil temperature at 6 cm", -60, 80),
    Variable("soil_temperature_18cm", "°C", "soil_temp_18", "soil temperature at 18 cm", -60, 80),
    Variable("soil_temperature_54cm", "°C", "soil_temp_54", "soil temperature at 54 cm", -60, 80),
)  # fmt: skip

VARIABLES: dict[str, Variable] = {variable.name: variable for variable in _ALL}
"""Every variable that we ask for, by the service's name."""

SOIL: tuple[str, ...] = tuple(name for name in VARIABLES if name.startswith("soil_temperature"))
"""The service's names of soil temperatures, from the surface down."""

ABOVE: tuple[str, ...] = tuple(name for name in VARIABLES if name not in SOIL)
"""All the others."""

PAST: tuple[str, ...] = tuple(
    name for name in ABOVE if name not in ("precipitation_probability", "snow_depth")
)
"""What the archive is asked for, hour by hour. It has no chances; of its snow depth its
documentation says nothing, and one unknown name costs the whole request. Its soil layers are means
over 0 to 7 and 7 to 28 cm and of another model: they are no values at the depths of our columns,
and stay out. Days that only the archive knows have their soil worked out from its other columns."""

DAILY: tuple[Variable, ...] = (
    Variable("temperature_2m_max", "°C", "air_max", "highest air temperature", -90, 60),
    Variable("temperature_2m_min", "°C", "air_min", "lowest air temperature", -90, 60),
    Variable("precipitation_sum", "mm", "rain", "rain", 0, 2000),
    Variable("shortwave_radiation_sum", "MJ/m²", "radiation", "sunshine (radiation)", 0, 50,
             clip_low=-1),
)  # fmt: skip
"""What the archive is asked for day by day; the columns are those of past years."""

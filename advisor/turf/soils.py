"""Tables of soils, lawns and grasses that the water balance is fed with."""

from __future__ import annotations

from advisor.site.words import COOL, WARM

AVAILABLE_WATER: dict[str, tuple[float, float]] = {
    "sand": (0.13, 0.06),
    "loamy-sand": (0.16, 0.08),
    "sandy-loam": (0.22, 0.10),
    "loam": (0.31, 0.15),
    "silt-loam": (0.33, 0.13),
    "silt": (0.33, 0.09),
    "sandy-clay-loam": (0.32, 0.20),
    "clay-loam": (0.39, 0.23),
    "silty-clay-loam": (0.44, 0.23),
    "sandy-clay": (0.39, 0.27),
    "clay": (0.54, 0.39),
}
"""Field capacity and wilting point [m3/m3] by texture: the default soils of FAO's AquaCrop.

Other tables differ: loam holds 160 mm/m here, 125 to 175 by NRCS, 180 to 210 by Colorado State
4.707. Silt and silty clay loam lie above every range that names them, sandy clay loam below; where
ours is too high, thirst is seen late. `tests/published/test_published_soils.py` has them all.
"""

HYDROLOGIC_GROUP: dict[str, str] = {
    "sand": "A",
    "loamy-sand": "A",
    "sandy-loam": "A",
    "loam": "B",
    "silt-loam": "B",
    "silt": "B",
    "sandy-clay-loam": "C",
    "clay-loam": "C",
    "silty-clay-loam": "C",
    "sandy-clay": "D",
    "clay": "D",
}
"""Hydrologic soil group by texture.

AquaCrop's default soils fall into four steps of curve number (46, 61, 72, 77); that these are the
groups A to D is a judgement. TR-55, appendix A, puts clay loam and silty clay loam in D (from
memory).
"""

CURVE_NUMBERS: dict[str, dict[str, int]] = {
    "A": {"good": 39, "fair": 49, "poor": 68},
    "B": {"good": 61, "fair": 69, "poor": 79},
    "C": {"good": 74, "fair": 79, "poor": 86},
    "D": {"good": 80, "fair": 84, "poor": 89},
}
"""Curve number of lawns by hydrologic group and cover of grass: NRCS TR-55 (1986), Table 2-2a.

Good is over 75 % cover, fair 50 to 75 %, poor under 50 %.
"""

CROP_COEFFICIENTS: dict[str, tuple[float, ...]] = {
    COOL: (0.61, 0.64, 0.75, 1.04, 0.95, 0.88, 0.94, 0.86, 0.74, 0.75, 0.69, 0.60),
    WARM: (0.61, 0.54, 0.76, 0.72, 0.79, 0.68, 0.71, 0.71, 0.62, 0.54, 0.58, 0.55),
}
"""Kc of growing turf from January to December: Meyer, Gibeault and Youngner (1985), California.

South of the equator the months stand half a year apart: see `crop_coefficients`.
"""

DORMANT_COEFFICIENT = 0.35
"""Kc of brown, dormant turf. Judgement: no table gives one; the nearest measured number is that of
bahiagrass in January and February in Florida (Jia, Dukes and Jacobs 2009)."""


_SAND, _LOAM, _CLAY = 0.85e-6, 0.5e-6, 0.42e-6

HEAT_DIFFUSIVITY: dict[str, float] = {
    "sand": _SAND,
    "loamy-sand": _SAND,
    "sandy-loam": _LOAM,
    "loam": _LOAM,
    "silt-loam": _LOAM,
    "silt": _LOAM,
    "sandy-clay-loam": _LOAM,
    "clay-loam": _CLAY,
    "silty-clay-loam": _CLAY,
    "sandy-clay": _CLAY,
    "clay": _CLAY,
}
"""Thermal diffusivity of moist soil by texture [m2/s].

After De Vries (1963), as a textbook prints it, with 0.2 and 0.4 of water by volume: sandy soil
0.99e-6 and 0.85e-6, clay 0.40e-6 and 0.45e-6. Loam lies between; 0.5e-6 for it, and which textures
count as which, is judgement. Measured under grass it is nearer 0.35e-6 (a damping depth of 10 cm
for the day and 1.80 m for the year: Jacobs, Heusinkveld and Holtslag 2011).
"""


def crop_coefficients(grass_class: str, southern: bool = False) -> tuple[float, ...]:
    """Kc of growing turf for January to December on the asked hemisphere.

    Parameters
    ----------
    grass_class : str
        "cool-season" or "warm-season".
    southern : bool
        Whether the lawn lies south of the equator: the row is then moved by six months.

    Returns
    -------
    tuple of 12 float

    Raises
    ------
    ValueError
        There is no such class.
    """
    if grass_class not in CROP_COEFFICIENTS:
        raise ValueError(f"grass_class must be {COOL} or {WARM}, not {grass_class}")
    row = CROP_COEFFICIENTS[grass_class]
    return row[6:] + row[:6] if southern else row

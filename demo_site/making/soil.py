"""Heat conduction into the soil under turf: one dimension, implicit finite differences.

Freezing of soil water is left out: near 0 C the soil follows the air a little faster than real
soil does.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

DIFFUSIVITY = 0.5e-6
"""m2/s, moist loam."""
HEAT_CAPACITY = 2.2e6
"""J/(m3 K)."""
CONDUCTIVITY = DIFFUSIVITY * HEAT_CAPACITY
CANOPY = 13.0
"""W/(m2 K) between the air above and the soil surface, through grass and thatch."""
SNOW_CONDUCTIVITY = 0.15
"""W/(m K), fresh snow."""

NODES = np.array(
    [0, 1, 2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 21, 25, 30, 36, 44, 54, 66, 80, 100, 125, 155, 190,
     230], dtype=float) / 100.0  # fmt: skip
"""Depths in metres at which the temperature is worked out."""
DEPTHS = {0: 0, 6: 6, 18: 12, 54: 18}
"""Index in NODES of each recorded depth in cm."""

STEP = 1800.0
"""Seconds; two steps an hour."""


def stepper(conductance: float) -> tuple[Floats, Floats]:
    """The half-hour step for one surface conductance in W/(m2 K).

    Gives (M, g): the profile after a step is M @ profile + g * (temperature that drives the
    surface). The foot of the profile lets no heat through. Implicit (theta = 0.55).
    """
    gap = np.diff(NODES)
    mass = np.zeros(len(NODES))
    mass[:-1] += gap / 2
    mass[1:] += gap / 2
    mass *= HEAT_CAPACITY
    rate = np.zeros((len(NODES), len(NODES)))
    for i, link in enumerate(CONDUCTIVITY / gap):
        rate[i, i] -= link
        rate[i, i + 1] += link
        rate[i + 1, i] += link
        rate[i + 1, i + 1] -= link
    rate[0, 0] -= conductance
    rate /= mass[:, None]
    drive = np.zeros(len(NODES))
    drive[0] = conductance / mass[0]
    theta = 0.55
    inverse = np.linalg.inv(np.eye(len(NODES)) - theta * STEP * rate)
    return (
        inverse @ (np.eye(len(NODES)) + (1 - theta) * STEP * rate),
        inverse @ (STEP * drive),
    )


def conduct(drive: Floats, start: Floats, snow_depth: Floats | None = None) -> Floats:
    """Soil temperatures at the end of each hour.

    `drive`: the temperature above the grass that drives the surface, shape (hours, ...).
    `start`: the profile at NODES, shape (nodes, ...). `snow_depth` in m, shape (hours,).
    Returns shape (4, hours, ...): at 0, 6, 18 and 54 cm.
    """
    steppers: dict[int, tuple[Floats, Floats]] = {}
    depth_cm = (
        np.zeros(len(drive), dtype=int)
        if snow_depth is None
        else np.rint(snow_depth * 100).astype(int)
    )
    kept = list(DEPTHS.values())
    out = np.empty((len(kept), *drive.shape))
    profile = start
    before = drive[0]
    for hour, now in enumerate(drive):
        cm = int(depth_cm[hour])
        if cm not in steppers:
            steppers[cm] = stepper(1.0 / (1.0 / CANOPY + cm / 100.0 / SNOW_CONDUCTIVITY))
        matrix, gain = steppers[cm]
        for share in (0.25, 0.75):
            pull = np.multiply.outer(gain, before + share * (now - before))
            profile = matrix @ profile + pull
        out[:, hour] = profile[kept]
        before = now
    return out


def settled(mean: float, swing: float, warmest: float, day: float) -> Floats:
    """The profile under a yearly wave of `mean` and `swing` (K) at day-of-year `day`.

    The exact solution for a half-space (Carslaw and Jaeger, Conduction of Heat in Solids, 2.6).
    """
    omega = 2 * np.pi / (365.25 * 86400)
    damping = np.sqrt(2 * DIFFUSIVITY / omega)
    phase = omega * (day - warmest) * 86400 - NODES / damping
    profile: Floats = mean + swing * np.exp(-NODES / damping) * np.cos(phase)
    return profile

"""The risk that what is put down burns the grass: by quick nitrogen, salt, heat, drought, leaves.

Published are the limits for quick nitrogen at once; the steps from there are judgement, built on
figures from memory where the cause says so. They warn and hold; nothing is opened by a low risk.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum, StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from advisor.turf.ranges import AIR, within

G_M2 = 4.88243
"""Grams a square metre in a pound on 1000 ft2."""

SOLUBLE = 0.7 * G_M2
"""Most quick nitrogen at once [g/m2]: Maryland, New Jersey and Florida's rule of 2007."""
CEILING = 1.0 * G_M2
"""Most nitrogen at once [g/m2]: Purdue and Illinois extension."""
LITTLE = 0.25 * G_M2
"""Quick nitrogen that cool-season grass bears in heat, and any grass on its leaves [g/m2], from
memory."""
ON_LEAVES = 0.5 * G_M2
"""Quick nitrogen in a spray that dries on the leaf [g/m2]: more burns, from memory."""
SALTY = 2.3 * G_M2
"""Salt [g/m2 of sodium nitrate] of the most quick nitrogen that those laws allow, as ammonium
sulfate, the saltiest of the usual sources. That twice as much is too much is judgement."""

IRON = 3 * 0.112085
"""Iron in a spray above which leaves may blacken for a while [g/m2]: above a few pounds an acre,
Florida extension; that a few are three is judgement."""

WARM_AIR = (85.0 - 32.0) / 1.8
HOT_AIR = (90.0 - 32.0) / 1.8
"""Air above which quick nitrogen burns cool-season grass somewhat, and much [C]: 85 to 90 F, from
memory; Purdue waits with feeding until highs leave the 90s."""
TOO_HOT_AIR = 35.0
"""The same for warm-season grass [C]: shoots grow best up to 95 F of air, extension; that quick
nitrogen burns above it is common practice, no source."""


class Risk(IntEnum):
    """How likely a burn is."""

    LOW = 0
    SOME = 1
    HIGH = 2


class Cause(StrEnum):
    """What may burn."""

    NITROGEN = "quick nitrogen"
    SALT = "salt"
    HEAT = "heat"
    DROUGHT = "drought"
    LEAVES = "nitrogen left on the leaves"
    IRON = "iron on the leaves"


SOURCES: dict[Cause, str] = {
    Cause.NITROGEN: "at most 0.7 lb/1000 ft2 of quick nitrogen: Maryland, New Jersey, Florida 2007;"
    " at most 1 lb in all: Purdue, Illinois",
    Cause.SALT: "salt index after Rader 1943, from memory; the limits are judgement",
    Cause.HEAT: "85 to 90 F for cool-season grass, from memory; Purdue waits until highs leave the"
    " 90s",
    # Told, and no more: that nothing is put down on such grass the rules say.
    Cause.DROUGHT: "no nitrogen on grass that is short of water, from memory",
    Cause.LEAVES: "at most 0.25 to 0.5 lb/1000 ft2 of quick nitrogen on the leaf, from memory",
    Cause.IRON: "above a few pounds an acre leaves blacken for a while, and heat makes it worse:"
    " Florida extension; three pounds are judgement",
}
"""Where the limits of each cause come from."""


@dataclass(frozen=True)
class Load:
    """What a dose brings at once, g/m2: quick nitrogen, salt (as sodium nitrate), iron; whether it
    dries on the leaves, as a spray or as granules that have to stick to them."""

    soluble_g_m2: float
    salt_g_m2: float
    iron_g_m2: float = 0.0
    sprayed: bool = False
    on_leaves: bool = False


def burn_risk(
    load: Load, air_max_c: ArrayLike, dry: ArrayLike, *, cool_season: bool
) -> Mapping[Cause, NDArray[np.int8]]:
    """The risk of each cause, as `Risk`, element by element.

    Parameters
    ----------
    load : Load
        What is put down.
    air_max_c : array_like
        Highest air temperature of the day [C]; not known (NaN) counts as hot.
    dry : array_like
        Whether the grass is short of water, of the same shape.
    cool_season : bool
        Whether it is a cool-season grass.

    Raises
    ------
    ValueError
        An air temperature that cannot be.
    """
    air = np.where(np.isnan(np.asarray(air_max_c, dtype=np.float64)), AIR[1], air_max_c)
    air = within("air_max_c", air, AIR)
    short = np.asarray(dry, dtype=bool)
    soluble, feeds = load.soluble_g_m2, load.soluble_g_m2 > LITTLE * (1 + 1e-6)
    warm, hot = (WARM_AIR, HOT_AIR) if cool_season else (TOO_HOT_AIR, np.inf)
    heat = _steps(air > warm + 1e-9, air > hot + 1e-9) * feeds
    salty = _step(load.salt_g_m2, SALTY, 2 * SALTY)
    leaves = Risk.LOW
    if load.on_leaves or load.sprayed:
        leaves = _step(soluble, LITTLE, ON_LEAVES if load.sprayed else np.inf)
    blackens = _step(load.iron_g_m2, IRON, np.inf) if load.sprayed else Risk.LOW
    return {
        Cause.NITROGEN: np.full(air.shape, _step(soluble, SOLUBLE, CEILING), dtype=np.int8),
        Cause.SALT: np.full(air.shape, salty, dtype=np.int8),
        Cause.HEAT: heat.astype(np.int8),
        Cause.DROUGHT: (short * feeds * Risk.SOME).astype(np.int8),
        Cause.LEAVES: np.full(air.shape, leaves, dtype=np.int8),
        Cause.IRON: np.full(air.shape, blackens, dtype=np.int8),
    }


def _step(value: float, some: float, high: float) -> Risk:
    """The risk of a value by two limits that are good themselves."""
    slack = 1 + 1e-3  # limits are rounded where they are printed
    return Risk((value > some * slack) + (value > high * slack))


def _steps(some: NDArray[np.bool_], high: NDArray[np.bool_]) -> NDArray[np.int8]:
    return some.astype(np.int8) + high.astype(np.int8)

"""What can be true: ranges of single values, and soil layers that are one layer twice."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from advisor.series.hourly import SOIL_DEPTHS, Floats
from advisor.weather.variables import Variable

_ENOUGH_ROWS = 24


def within_range(variable: Variable, values: Floats) -> tuple[Floats, int]:
    """`values` in the service's unit, shape (hours,), with what cannot be true as NaN; and the
    count of those. Mere rounding beyond a bound is set to the bound and not counted."""
    checked = values.copy()
    if variable.clip_low is not None:
        checked[(checked < variable.low) & (checked >= variable.clip_low)] = variable.low
    if variable.clip_high is not None:
        checked[(checked > variable.high) & (checked < variable.clip_high)] = variable.high
    out = (checked < variable.low) | (checked > variable.high)
    checked[out] = np.nan
    return checked, int(np.count_nonzero(out))


def collapsed_soil(columns: Mapping[str, Floats]) -> tuple[dict[str, Floats], list[str]]:
    """The columns with the deeper of two equal soil layers unknown, and a note for each.

    A weather model with coarse soil is given out under several depths: the same numbers twice.
    Two layers count as one when they are equal in every hour in which both are known, and these
    are at least 24.
    """
    kept = dict(columns)
    notes = []
    depths = [name for name in SOIL_DEPTHS if name in columns]
    for i, deeper in enumerate(depths):
        for shallower in depths[:i]:
            above, below = columns[shallower], columns[deeper]
            both = ~np.isnan(above) & ~np.isnan(below)
            if np.count_nonzero(both) >= _ENOUGH_ROWS and np.array_equal(above[both], below[both]):
                kept[deeper] = np.full(len(below), np.nan)
                notes.append(
                    f"The weather model does not tell soil at {SOIL_DEPTHS[deeper] * 100:.0f} cm "
                    f"from soil at {SOIL_DEPTHS[shallower] * 100:.0f} cm; the deeper is unknown."
                )
                break
    return kept, notes

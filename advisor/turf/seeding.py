"""When seed may go down: soil that is right, and time enough before the first frost.

Each number says how it was known. One that is remembered may close a window; whether it may open
one is for the reader of `opens_by`, which tells how the opening number was known. The soil of
every row is that at 4 in, the depth of the list it comes from.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from advisor.turf.frost import AUTUMN, autumn_day, day_in_half
from advisor.turf.ranges import AIR, within
from advisor.turf.stages import Trust

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class SeedingWindow:
    """One use of seed: on which side of a soil temperature, and how long before the frost.

    `autumn_only` keeps to the half year from 1 August (1 February in the south), for soil that
    must have cooled, not be still cool from winter.
    """

    name: str
    source: str
    depth_m: float
    soil_c: float
    falling: bool
    opens_by: Trust
    days_before_frost: int
    closes_by: Trust
    autumn_only: bool

    def open(
        self,
        days: ArrayLike,
        soil_c: ArrayLike,
        frost_day: tuple[float, float],
        *,
        southern: bool = False,
    ) -> tuple[Flags, Flags]:
        """Whether the window is surely, and perhaps, open on each day.

        Parameters
        ----------
        days : array_like of datetime64[D] or date, shape (n,)
            Dates.
        soil_c : array_like, shape (n,)
            Daily or running mean of the soil at `depth_m` [C], -90 to 60; NaN is unknown.
        frost_day : pair of float
            Bounds of autumn's median first frost, as `turf.frost.frost_day` gives them
            [d from 1 August, in the south from 1 March]; inf is none, NaN unknown.
        southern : bool
            Whether the place lies south of the equator.

        Returns
        -------
        surely, perhaps : ndarray of bool, shape (n,)
            Unknown soil or frost may be right, and never surely is.

        Raises
        ------
        ValueError
            A temperature lies outside its range, or the bounds of the frost are not in order.
        """
        soil = within("soil_c", soil_c, AIR)
        soonest, latest = frost_day
        if soonest > latest:
            raise ValueError(f"frost_day must be in order, not {soonest:g} and {latest:g}")
        right = soil <= self.soil_c if self.falling else soil >= self.soil_c
        maybe = right | np.isnan(soil)
        number = autumn_day(days, southern)
        if self.autumn_only:
            autumn = ~np.isnan(day_in_half(days, AUTUMN, southern))
            right, maybe = right & autumn, maybe & autumn
        return (
            right & (soonest - number >= self.days_before_frost),
            maybe & ~(latest - number < self.days_before_frost),
        )


COOL_SEASON = SeedingWindow(
    "cool-season grass in late summer",
    "NC State by way of Delaware 2005: planting in late summer at 70 F and below; 45 days before "
    "the first frost from memory",
    0.1016,
    (70 - 32) / 1.8,
    falling=True,
    opens_by=Trust.READ,
    days_before_frost=45,
    closes_by=Trust.MEMORY,
    autumn_only=True,
)

WARM_SEASON = SeedingWindow(
    "warm-season grass",
    "steady 65 to 70 F, and 90 days before the first frost: both from memory",
    0.1016,
    (65 - 32) / 1.8,
    falling=False,
    opens_by=Trust.MEMORY,
    days_before_frost=90,
    closes_by=Trust.MEMORY,
    autumn_only=False,
)

OVERSEEDING_WARM = SeedingWindow(
    "cool-season grass into warm-season turf for the winter",
    "NC State by way of Delaware 2005: overseeding at 74 F; 2 to 3 weeks before the first frost "
    "from memory, of which the longer is taken",
    0.1016,
    (74 - 32) / 1.8,
    falling=True,
    opens_by=Trust.READ,
    days_before_frost=21,
    closes_by=Trust.MEMORY,
    autumn_only=True,
)

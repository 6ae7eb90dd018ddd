"""Published values, and ours beside them: what the README's table of science is made from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class How(StrEnum):
    """How a value came to us. Only what was read in its source counts as published."""

    READ = "read in the source, or in a library's tests that quote it"
    SECOND_HAND = "read at second hand"
    RECALLED = "recalled from memory"
    COMPUTED = "computed from the formula, a regression value"


READ, SECOND_HAND, RECALLED, COMPUTED = How


@dataclass(frozen=True)
class Published:
    """One value of one source.

    `printed` is the text as the source prints it; its last digit sets the tolerance: half of it.
    `within` widens that (in the same unit) and needs a `why` that lies in the source; `exact` is
    for a table whose values are not rounded. `ours` asks our code for the same quantity in the same
    unit.
    """

    quantity: str
    source: str
    printed: str
    unit: str
    ours: Callable[[], float]
    how: How = READ
    within: float | None = None
    why: str = ""
    exact: bool = False

    def __post_init__(self) -> None:
        Decimal(self.printed)
        if (self.within is None) != (not self.why):
            raise ValueError(f"{self.quantity}: a wider tolerance and its reason go together")

    @property
    def value(self) -> float:
        return float(Decimal(self.printed))

    @property
    def rounding(self) -> float:
        """Half of the last printed digit."""
        exponent = Decimal(self.printed).as_tuple().exponent
        assert isinstance(exponent, int)
        return 0.5 * 10.0**exponent

    @property
    def tolerance(self) -> float:
        if self.exact:
            return 1e-9
        # The hair is for a value that lies on the edge of its rounding, as 0.125 does for 0.12.
        return (self.rounding if self.within is None else self.within) + 1e-9

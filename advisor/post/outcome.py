"""What became of a mail: the one answer that every way of delivery gives."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """How a try to deliver ended."""

    DELIVERED = "delivered"
    TRANSIENT = "transient"
    """Not accepted; the same may work later."""
    PERMANENT = "permanent"
    """Not accepted; somebody has to mend something first."""
    AMBIGUOUS = "ambiguous"
    """Perhaps accepted: try again later, with the same Message-ID."""


@dataclass(frozen=True)
class Outcome:
    """The end of one try. `sentence` says what happened and, if need be, what to mend; it never
    holds a password."""

    kind: Kind
    sentence: str
    at_the_door: bool = False
    """It ended before the mail was named: the next mail for this server would fare no better."""

    @property
    def delivered(self) -> bool:
        return self.kind is Kind.DELIVERED

"""What the walk comes to: its choices, and what it looked at."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from advisor.plan.dose import Measured, Refusal
from advisor.plan.hours import Stretch
from advisor.plan.view import View
from advisor.rulebook.book import Rule
from advisor.rulebook.explain import Explanation
from advisor.site.lawns import Lawn
from advisor.site.shelf import Product


@dataclass(frozen=True)
class Second:
    """The day (an index) and hours to take where an action's own do not come off; without a day
    there are none, and `why` says so, for behind a colon."""

    day: int | None = None
    stretch: Stretch | None = None
    why: str = ""


@dataclass(frozen=True)
class Placed:
    """How the walk came to an action.

    `view` is its lawn as it stood when it was chosen, `after` the candidate of the same lawn that
    it went before. `put_off_from` is the day (an index) that it could have had, had it not waited
    to share a trip with `lawns`, which lists its own too; empty where it shares none.
    """

    view: View
    announced: bool = False
    kept_hours: bool = False
    after: Choice | None = None
    put_off_from: int | None = None
    lawns: tuple[str, ...] = ()


@dataclass(frozen=True)
class Choice:
    """One action of the plan: what, where, on which day (an index), and why."""

    lawn: Lawn
    task: str
    day: int
    rule: Rule
    explanation: Explanation
    closes: int | None
    stretch: Stretch | None = None
    product: Product | None = None
    measured: Measured | None = None
    water_mm: float = 0.0
    onset: int | None = None
    """Of a watering: the later day on which the grass would begin to lack water without it."""
    rain_room_mm: float = 0.0
    """Of a watering: what the root zone lacks and is left for the rain that is forecast."""
    water_asked_mm: float = 0.0
    """Of a watering: what it would be if the permitted hours had room for all of it."""
    placed: Placed | None = field(default=None, compare=False, repr=False)
    second: Second | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Walk:
    """The finished plan: its choices in order, each lawn's view before any and once all of them
    are counted, and for each (lawn, task) why a product could not be used."""

    choices: tuple[Choice, ...]
    before: Mapping[str, View]
    views: Mapping[str, View]
    refusals: Mapping[tuple[str, str], Refusal]
    standing: Mapping[tuple[str, str], date] = field(default_factory=dict)
    """By lawn and task, the day announced that is still to come."""


def by_lawn(choices: tuple[Choice, ...], lawn: str) -> Iterator[Choice]:
    return (choice for choice in choices if choice.lawn.name == lawn)


def one_trip(one: Choice, other: Choice) -> bool:
    """Whether two lawns take the same product for the same task, so that one trip may do both."""
    return (
        one.product is not None
        and (one.task, one.product) == (other.task, other.product)
        and one.lawn != other.lawn
    )

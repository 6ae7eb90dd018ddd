"""The line to check on the morning of an action: go, or leave it for the second choice.

Its numbers are the label's and those of the rules that hold the product, the stricter of the two;
an owner who stands on the lawn can read wind, air and ground, and needs no forecast for them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from advisor.language.dates import day_text
from advisor.language.listing import enumerated
from advisor.language.words import later, tell
from advisor.plan.choice import Choice, Second
from advisor.plan.view import Setting, View
from advisor.rulebook.book import Rule, RuleKind
from advisor.rulebook.tree import Compare, Constant, Either, FactValue, More, Test
from advisor.series.quantity import Kind, show
from advisor.site.words import WATERING

WIND, GUST, AIR = "wind", "gust", "air_temp"

WATER_GO = later(
    "Leave it if more than a quarter of this fell since this page was written; the next digest"
    " works it out again."
)

GROUND = later("grass dry and not frosted, soil firm underfoot")

GROUND_ON_THE_LEAF = later("leaves wet or dry as the label asks, no frost, soil firm underfoot")
"""For granules that work through the leaf: some labels want them to stick."""

RAIN_NEAR = later("no rain falling or close")


@dataclass
class _Limits:
    """The strictest limits of what can be read on the spot [m/s, °C]; None where there is none."""

    wind: float | None = None
    gust: float | None = None
    air: float | None = None
    air_least: float | None = None


def go_line(choice: Choice, setting: Setting, watches: Iterable[str] = ()) -> str:
    """What to check that morning before starting, and what to do where it fails.

    `watches` are official warnings that forbid the work, as what to look for: `no flood watch`.
    """
    if choice.task == WATERING:
        return tell(WATER_GO)
    units, product = setting.site.units, choice.product
    dry = product.dry_hours if product is not None else None
    parts = [tell(RAIN_NEAR)]
    if dry is not None:
        hours = show(dry / 24, Kind.DURATION, unit="hours")
        parts = [tell("no rain falling, and none told for {hours}", hours=hours)]
    limits = _limits(choice)
    if limits.wind is not None:
        parts.append(tell("wind under {limit}", limit=show(limits.wind, Kind.SPEED, units)))
    if limits.gust is not None:
        parts.append(tell("gusts under {limit}", limit=show(limits.gust, Kind.SPEED, units)))
    if limits.air is not None:
        parts.append(tell("air under {limit}", limit=show(limits.air, Kind.TEMPERATURE, units)))
    if limits.air_least is not None:
        least = show(limits.air_least, Kind.TEMPERATURE, units)
        parts.append(tell("air above {limit}", limit=least))
    leaf = product is not None and "granules-on-the-leaf" in product.kinds
    parts += [tell(GROUND_ON_THE_LEAF) if leaf else tell(GROUND), *watches]
    return _only_with(enumerated(parts), choice.second, choice.day, setting)


def _only_with(parts: str, second: Second | None, day: int, setting: Setting) -> str:
    """The whole line: what has to be so, and what to do where it is not."""
    if second is None:
        return tell("Go only with {conditions}.", conditions=parts)
    if second.day is None or second.stretch is None:
        return tell(
            "Go only with {conditions}; else leave it, since no second choice is left.",
            conditions=parts,
        )
    if second.day == day:
        start, _ = second.stretch.text()
        return tell(
            "Go only with {conditions}; else try again from {start}.",
            conditions=parts,
            start=start,
        )
    return tell(
        "Go only with {conditions}; else leave it until {day}.",
        conditions=parts,
        day=day_text(setting.days[second.day], setting.site.units),
    )


def _limits(choice: Choice) -> _Limits:
    found = _Limits()
    product = choice.product
    if product is None:
        return found
    found.wind, found.air = product.wind_max_m_s, product.air_max_c
    if choice.placed is None:
        return found
    for rule in _holding(choice.placed.view, choice.placed.view.names(product)):
        for compare in _forbids(rule):
            assert isinstance(compare.right, Constant)
            assert isinstance(compare.left, FactValue)
            _tighten(found, compare.left.name, compare.more, compare.right.value)
    return found


def _holding(view: View, names: frozenset[str]) -> Iterator[Rule]:
    """The rules that may hold one of `names` on this lawn."""
    for rule in view.setting.book.rules.values():
        if (
            rule.kind is RuleKind.HOLDS
            and not rule.broken
            and names.intersection(rule.tasks)
            and rule.speaks_of(view.lawn.grass, view.lawn.grass_class)
        ):
            yield rule


def _forbids(rule: Rule) -> tuple[Compare, ...]:
    """The comparisons that hold by themselves: those of the first line, where the whole rule reads
    wind or air and nothing that could not be read beside the shed. Its further lines can only let
    go, so leaving them out is the stricter reading."""
    lines = [_plain(condition.test) for condition in rule.conditions]
    if not lines or any(line is None for line in lines):
        return ()
    return lines[0] or ()


def _plain(test: Either) -> tuple[Compare, ...] | None:
    """The tests of a line, where each compares wind, gusts or air with a number; else None."""
    found = [_compared(each) for each in test.tests]
    return None if None in found else tuple(each for each in found if each is not None)


def _compared(test: Test) -> Compare | None:
    match test:
        case Compare(left=FactValue(name=name), right=Constant()) if name in (WIND, GUST, AIR):
            return test
        case _:
            return None


def _tighten(limits: _Limits, fact: str, more: More, value: float) -> None:
    upper = more in (More.AT_LEAST, More.MORE_THAN)
    if fact == WIND and upper:
        limits.wind = value if limits.wind is None else min(limits.wind, value)
    elif fact == GUST and upper:
        limits.gust = value if limits.gust is None else min(limits.gust, value)
    elif fact == AIR and upper:
        limits.air = value if limits.air is None else min(limits.air, value)
    elif fact == AIR:
        limits.air_least = value if limits.air_least is None else max(limits.air_least, value)

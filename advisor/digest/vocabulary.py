"""The vocabulary of rules as text for a terminal, with today's values where a site is named."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from advisor.conditions.themes import by_theme
from advisor.conditions.told import depths_text, kind_text, range_text, remarks
from advisor.conditions.vocabulary import FactWord
from advisor.digest.words import sentence, wrap

if TYPE_CHECKING:  # arrays stand behind it
    from advisor.plan.facts_today import Today

WIDTH = 80


def render_facts(units: str | None, today: Mapping[str, Sequence[Today]] | None = None) -> str:
    """Every fact, theme by theme. `units` None tells both systems; `today` the values, if any."""
    lines: list[str] = []
    for theme, facts in by_theme().items():
        lines += ["", theme.capitalize(), "=" * len(theme)]
        for fact in facts:
            lines += _fact(fact, units, (today or {}).get(fact.name, ()))
    return "\n".join(lines[1:])


def _fact(fact: FactWord, units: str | None, today: Sequence[Today]) -> Iterator[str]:
    told = (kind_text(fact), range_text(fact, units), depths_text(fact, units))
    head = f"{fact.name}: {', '.join(part for part in told if part)}"
    yield from wrap(head, then="    ", width=WIDTH)
    for text in (fact.meaning, *remarks(fact), *_values(today)):
        yield from wrap(sentence(text), "  ", "    ", width=WIDTH)


def _values(today: Sequence[Today]) -> Iterator[str]:
    """The value now of each lawn; lawns on which it is the same share a line."""
    same: dict[tuple[str, str, str], list[str]] = {}
    for one in today:
        same.setdefault((one.depth, one.value, one.origin), []).append(one.title)
    every = len({one.lawn for one in today})
    for (depth, value, origin), lawns in same.items():
        named = " and ".join(lawns)
        if len(lawns) == every > 1:
            named = "both lawns" if every == 2 else "all lawns"
        source = f" ({origin})" if origin else ""
        yield f"Now{f' at {depth}' if depth else ''}: {value} on {named}{source}"

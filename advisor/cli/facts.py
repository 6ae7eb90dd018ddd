"""`swardcast facts`: every word that a rule may use, and what it is today."""

from __future__ import annotations

import argparse
import json
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.cli.exits import Exit
from advisor.cli.say import document, err, out
from advisor.conditions.themes import by_theme
from advisor.conditions.vocabulary import FactWord
from advisor.digest.vocabulary import render_facts
from advisor.language.dates import day_text
from advisor.series.quantity import INSIDE

if TYPE_CHECKING:  # arrays stand behind it
    from advisor.plan.facts_today import Today

    Values = Mapping[str, Sequence[Today]]


def run(arguments: argparse.Namespace) -> int:
    if arguments.site is None:
        _print(None, None, arguments.json)
        return Exit.DONE
    return _of_site(arguments)


def _of_site(arguments: argparse.Namespace) -> int:
    # slow imports (arrays, the store), for nothing where no site is named
    from advisor.cli.looking import look
    from advisor.cli.opening import open_site
    from advisor.plan.asked import views
    from advisor.plan.compose import why_no_weather
    from advisor.plan.facts_today import facts_today

    opened = open_site(Path(arguments.site), arguments.state, arguments.on)
    if opened is None:
        return Exit.SITE
    given = look(opened)
    if given is None:
        return Exit.LATER
    looked_at = views(given, opened.now)
    if not arguments.json:
        day = day_text(opened.now.astimezone(opened.site.place.zone_info).date(), opened.site.units)
        out(f"{opened.site.title}, {day}, before anything is planned\n")
    _print(opened.site.units, facts_today(looked_at) if looked_at else None, arguments.json)
    if not looked_at:
        err(why_no_weather(given, opened.now))
        return Exit.NO_FORECAST
    return Exit.DONE


def _print(units: str | None, today: Values | None, as_json: bool) -> None:
    if as_json:
        document(json.dumps(_document(today), indent=2, ensure_ascii=False))
    else:
        out(render_facts(units, today))


def _document(today: Values | None) -> dict[str, object]:
    """Version 1: `unit` is the one in which `low` and `high` are given, the facts' and today's;
    null stands for no bound. `today` is there with a site."""
    return {
        "version": 1,
        "facts": [
            _fact(fact, theme) | ({} if today is None else {"today": _today(fact, today)})
            for theme, facts in by_theme().items()
            for fact in facts
        ],
    }


def _fact(fact: FactWord, theme: str) -> dict[str, object]:
    numeric = fact.kind is not None
    return {
        "name": fact.name,
        "theme": theme,
        "kind": str(fact.kind) if numeric else "word",
        "unit": INSIDE[fact.kind] if fact.kind is not None else None,
        "low": fact.low if numeric else None,
        "high": fact.high if numeric and not math.isinf(fact.high) else None,
        "depths_m": fact.depths,
        "words": fact.words,
        "meaning": fact.meaning,
        "meaning_by_hour": fact.hourly or None,
        "for_day_rules": fact.daily,
        "additive": fact.additive,
        "changed_by": fact.changed_by.value if fact.changed_by else None,
    }


def _today(fact: FactWord, today: Values) -> list[dict[str, object]]:
    return [
        {
            "lawn": one.lawn,
            "depth_m": one.depth_m,
            "value": one.value,
            "low": one.low,
            "high": one.high,
            "origin": one.origin or None,
        }
        for one in today.get(fact.name, ())
    ]

"""What held a season's tasks, and how the grass stood: by the weather as it came, day by day."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from itertools import groupby

import numpy as np

from advisor.conditions.site_weather import site_weather
from advisor.conditions.vocabulary import STATES
from advisor.plan.replay_foresight import perfect
from advisor.plan.replay_model import GrassSpell, Held, HeldBy, LawnGrass
from advisor.plan.restrict import watering_allowed
from advisor.plan.view import Bools, Setting, View
from advisor.plan.words import TASK_TITLES
from advisor.rulebook.book import Rulebook
from advisor.series.hourly import Series
from advisor.series.years import PastYears
from advisor.site.place import Site
from advisor.site.shelf import Shelf
from advisor.site.sums import Sums
from advisor.site.words import WATERING

Reasons = dict[str, tuple[Bools, str]]
"""By rule: the days on which it held, and its sentence on the last of them."""


def held_and_grass(
    site: Site, shelf: Shelf, book: Rulebook, truth: Series, past: PastYears | None,
    counted: Sums, first: date, last: date,
) -> tuple[tuple[Held, ...], tuple[LawnGrass, ...]]:  # fmt: skip
    """Each task whose window was open on some day, with what held it; and each lawn's grass.

    A long replay is looked at a year at a time, as the service would have: a season's sums begin
    with it.
    """
    found: dict[tuple[str, str], Held] = {}
    spells: dict[str, list[GrassSpell]] = {lawn.name: [] for lawn in site.lawns}
    for begin, stop in _years(first, last):
        now = datetime.combine(stop, time(23), site.place.zone_info)
        known = perfect(truth, now)
        weather = site_weather(known.series, site, now, past) if known is not None else None
        if weather is None:
            continue
        setting = Setting(site, shelf, book, weather, now)
        span = slice(
            max(0, (begin - setting.days[0]).days), max(0, (stop - setting.days[0]).days + 1)
        )
        for lawn in site.lawns:
            view = View(setting, lawn, counted, np.zeros(len(setting.days)))
            for task in view.tasks:
                held = _held(view, task, span)
                if held is not None:
                    before = found.get((lawn.name, task))
                    found[lawn.name, task] = held if before is None else _added(before, held)
            spells[lawn.name] += _spells(view, span)
    rising = [found[lawn.name, task] for lawn in site.lawns for task in TASK_TITLES
              if (lawn.name, task) in found]  # fmt: skip
    return tuple(rising), tuple(
        LawnGrass(lawn=lawn, spells=tuple(one)) for lawn, one in spells.items()
    )


def _years(first: date, last: date) -> Iterator[tuple[date, date]]:
    for year in range(first.year, last.year + 1):
        yield max(first, date(year, 1, 1)), min(last, date(year, 12, 31))


def _held(view: View, task: str, span: slice) -> Held | None:
    opened = np.zeros(len(view.setting.days), dtype=bool)
    for _, days in view.opened(task):
        opened |= days
    opened = opened[span]
    if not opened.any():
        return None
    by: list[HeldBy] = []
    together = np.zeros(len(opened), dtype=bool)
    for name, (held, why) in _reasons(view, task, span).items():
        counts = opened & held[span]
        together |= counts
        if counts.any():
            by.append(HeldBy(rule=name, days=int(counts.sum()), why=why))
    by.sort(key=lambda one: (-one.days, one.rule))
    return Held(
        lawn=view.lawn.name,
        task=task,
        title=TASK_TITLES[task],
        open_days=int(opened.sum()),
        held_days=int(together.sum()),
        by=tuple(by),
    )


def _reasons(view: View, task: str, span: slice) -> Reasons:
    found: Reasons = {}
    for rule, verdicts in view.holds(task):
        held = view.holding(verdicts, task)
        if held[span].any():
            last = int(np.flatnonzero(held[span])[-1]) + span.start
            found[rule.name] = held, view.explain(rule, last).sentence
    if task == WATERING:
        shut = ~watering_allowed(view.setting.site, view.setting.days)
        found["watering-days"] = shut, "Not one of the site's watering days."
        return found
    products = view.products(task)
    if not products:
        everything = np.ones(len(view.setting.days), dtype=bool)
        found["nothing-on-the-shelf"] = everything, "Nothing on the shelf serves it on this grass."
        return found
    # The first product that is allowed is what a plan asks about first.
    for restriction in view.restrictions(products[0]):
        held, why = found.get(restriction.name, (np.zeros_like(restriction.held), ""))
        on = restriction.held[span].any()
        found[restriction.name] = held | restriction.held, restriction.sentence if on else why
    return found


def _added(one: Held, other: Held) -> Held:
    days: dict[str, HeldBy] = {by.rule: by for by in one.by}
    for by in other.by:
        before = days[by.rule].days if by.rule in days else 0
        days[by.rule] = by.model_copy(update={"days": before + by.days})
    return one.model_copy(
        update={
            "open_days": one.open_days + other.open_days,
            "held_days": one.held_days + other.held_days,
            "by": tuple(sorted(days.values(), key=lambda by: (-by.days, by.rule))),
        }
    )


def _spells(view: View, span: slice) -> Iterator[GrassSpell]:
    codes = view.facts.table.words["grass"].codes[span]
    day = view.setting.days[span.start] if len(codes) else date.min
    for code, run in groupby(int(code) for code in codes):
        length = len(list(run))
        state = STATES[code].replace("-", " ") if code >= 0 else "unknown"
        yield GrassSpell(first=day, last=day + timedelta(length - 1), state=state)
        day += timedelta(length)

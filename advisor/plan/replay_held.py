"""What held a season's tasks, as each digest saw its week; and how the grass stood, as it came."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from itertools import groupby

import numpy as np

from advisor.conditions.site_weather import site_weather
from advisor.conditions.vocabulary import STATES
from advisor.language.words import tell
from advisor.plan.choice import Walk
from advisor.plan.model import Action, Plan, Verdict
from advisor.plan.replay_foresight import perfect
from advisor.plan.replay_model import GrassSpell, Held, HeldBy, LawnGrass, WeekHeld
from advisor.plan.restrict import watering_allowed
from advisor.plan.view import ADVICE_DAYS, Bools, Setting, View
from advisor.plan.watering import thirsty
from advisor.plan.words import TASK_TITLES, task_title
from advisor.rulebook.book import Rulebook, RuleKind
from advisor.series.hourly import Series
from advisor.series.years import PastYears
from advisor.site.place import Site
from advisor.site.shelf import Shelf
from advisor.site.sums import Sums
from advisor.site.words import WATERING

Reasons = dict[str, tuple[Bools, str]]
"""By rule: the days of the week on which it held, and its sentence on the last of them."""


LATER = "not-yet"
"""What stands for a rule where the plan has a later day in mind, or nothing to do it with."""


@dataclass
class _Count:
    open_days: int = 0
    held_days: int = 0
    by: dict[str, tuple[int, str]] = field(default_factory=dict)


@dataclass
class HoldCount:
    """Counts, digest by digest, the days on which a task's window was open and what held it."""

    _counts: dict[tuple[str, str], _Count] = field(default_factory=dict)

    def add(self, walk: Walk, plan: Plan) -> tuple[WeekHeld, ...]:
        """Count the week of one digest, before anything of its own plan is in it.

        An open day that nothing holds and on which the task is not done all the same (no fit hours,
        no dose) counts as held by what the digest says it waits for.
        """
        waits = {
            (lawn.name, action.task): action
            for lawn in plan.lawns
            for action in lawn.actions
            if action.verdict is Verdict.WAIT
        }
        found = []
        for view in walk.before.values():
            setting = view.setting
            week = slice(setting.today, min(setting.end, setting.today + ADVICE_DAYS))
            found += [
                self._add(view, task, week, waits.get((view.lawn.name, task)))
                for task in view.tasks
            ]
        return tuple(one for one in found if one is not None)

    def _add(self, view: View, task: str, week: slice, wait: Action | None) -> WeekHeld | None:
        opened = np.zeros(week.stop - week.start, dtype=bool)
        for _, days in view.opened(task):
            opened |= days[week]
        if not opened.any():
            return None
        count = self._counts.setdefault((view.lawn.name, task), _Count())
        together = np.zeros(len(opened), dtype=bool)
        most, rule = 0, ""
        reasons = _reasons(view, task, week)
        if wait is not None:
            free = opened & ~np.any(
                [np.zeros_like(opened), *(r for r, _ in reasons.values())], axis=0
            )
            rule_there = view.setting.book.rules.get(wait.rule)
            opens = rule_there is not None and rule_there.kind is not RuleKind.HOLDS
            name = LATER if opens else wait.rule
            held_by_it, _ = reasons.get(name, (np.zeros_like(opened), ""))
            reasons[name] = held_by_it | free, wait.because
        for name, (held, why) in reasons.items():
            counts = opened & held
            together |= counts
            if counts.any():
                if counts.sum() > most:
                    most, rule = int(counts.sum()), name
                before, _ = count.by.get(name, (0, ""))
                count.by[name] = before + int(counts.sum()), why
        count.open_days += int(opened.sum())
        count.held_days += int(together.sum())
        return WeekHeld(
            lawn=view.lawn.name,
            task=task,
            open_days=int(opened.sum()),
            held_days=int(together.sum()),
            rule=rule,
        )

    def told(self, site: Site) -> tuple[Held, ...]:
        """Each task whose window was open on some day, in the order of lawns and tasks."""
        return tuple(
            Held(
                lawn=lawn.name,
                task=task,
                title=task_title(task),
                open_days=count.open_days,
                held_days=count.held_days,
                by=tuple(
                    HeldBy(rule=rule, days=days, why=why)
                    for rule, (days, why) in sorted(
                        count.by.items(), key=lambda one: (-one[1][0], one[0])
                    )
                ),
            )
            for lawn in site.lawns
            for task in TASK_TITLES
            if (count := self._counts.get((lawn.name, task))) is not None
        )


def _reasons(view: View, task: str, week: slice) -> Reasons:
    """What holds a task, by rule, law and label. Of several products the first that is allowed
    speaks, as it is the first that a plan asks about."""
    found: Reasons = {}
    products = view.products(task)
    names = [task]
    if products and task != WATERING:
        names += sorted(view.names(products[0]) - {task})
    for name in names:
        for rule, verdicts in view.holds(name):
            held = view.holding(verdicts, name)[week]
            if held.any() and rule.name not in found:
                last = int(np.flatnonzero(held)[-1]) + week.start
                found[rule.name] = held, view.explain(rule, last).sentence
    if task == WATERING:
        shut = ~watering_allowed(view.setting.site, view.setting.days, view.lawn.name)[week]
        told = np.any([held for held, _ in found.values()], axis=0) if found else ~shut & shut
        if (shut & ~told).any():  # the shipped rules say it themselves
            found["watering-days"] = shut, tell("Not one of the site's watering days.")
        return found
    thirst = thirsty(view)[week]
    if thirst.any():
        found["water-first"] = thirst, tell("The lawn is short of water, and that comes first.")
    if not products:
        everything = np.ones(week.stop - week.start, dtype=bool)
        said = tell("Nothing on the shelf serves it on this grass.")
        found["nothing-on-the-shelf"] = everything, said
        return found
    for restriction in view.restrictions(products[0]):
        held = restriction.held[week]
        if held.any():
            before, _ = found.get(restriction.name, (np.zeros_like(held), ""))
            found[restriction.name] = before | held, restriction.sentence
    return found


def grass_spells(
    site: Site, shelf: Shelf, book: Rulebook, truth: Series, past: PastYears | None,
    counted: Sums, first: date, last: date,
) -> tuple[LawnGrass, ...]:  # fmt: skip
    """Each lawn's grass from `first` to `last`, by the weather as it came. A long replay is looked
    at a year at a time, since a season's sums begin with it."""
    spells: dict[str, list[GrassSpell]] = {lawn.name: [] for lawn in site.lawns}
    for begin, stop in _years(first, last):
        now = datetime.combine(stop, time(12), site.place.zone_info)
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
            spells[lawn.name] += _spells(view, span)
    return tuple(LawnGrass(lawn=lawn, spells=tuple(one)) for lawn, one in spells.items())


def _years(first: date, last: date) -> Iterator[tuple[date, date]]:
    for year in range(first.year, last.year + 1):
        yield max(first, date(year, 1, 1)), min(last, date(year, 12, 31))


def _spells(view: View, span: slice) -> Iterator[GrassSpell]:
    codes = view.facts.table.words["grass"].codes[span]
    day = view.setting.days[span.start] if len(codes) else date.min
    for code, run in groupby(int(code) for code in codes):
        length = len(list(run))
        state = STATES[code].replace("-", " ") if code >= 0 else "unknown"
        yield GrassSpell(first=day, last=day + timedelta(length - 1), state=state)
        day += timedelta(length)

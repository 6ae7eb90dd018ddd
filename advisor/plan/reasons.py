"""Why a task waits on a lawn: what holds it, what its window still wants, or what is not known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from advisor.language.dates import day_text
from advisor.language.sentences import as_sentence, decapitalised
from advisor.language.words import tell
from advisor.plan.choice import Walk
from advisor.plan.dose import Refusal
from advisor.plan.hour_reasons import hours_held
from advisor.plan.lying import LABEL
from advisor.plan.owner_time import beside_free, closes_before, not_free
from advisor.plan.reason import NOTHING, Reason, evidence, missing_in, only_beyond
from advisor.plan.restrict import (
    BY_LAW,
    Restriction,
    not_a_watering_day,
    watering_allowed,
    watering_barred,
)
from advisor.plan.shut import shut
from advisor.plan.sureness import PRINCIPLE
from advisor.plan.view import ADVICE_DAYS, View
from advisor.plan.watering import LEAST_WATER, rained_out, thirsty, water_wanted
from advisor.series.quantity import Kind, show
from advisor.site.free_time import long_enough
from advisor.site.words import WATERING


@dataclass(frozen=True)
class Waiting:
    """All that is to be said of a task that waits."""

    reasons: tuple[Reason, ...]
    look_again: date | None
    flag: str


def waiting(walk: Walk, view: View, task: str) -> Waiting:
    """Why a task that is not in the plan this week waits on a lawn."""
    setting = view.setting
    today, end = setting.today, setting.end
    opened = np.zeros(len(setting.days), dtype=bool)
    for _, days in view.opened(task):
        opened |= days
    # Advice is for the week; what only a later week may bring is told as waited for.
    open_days = [day for day in range(today, min(end, today + ADVICE_DAYS)) if opened[day]]
    if open_days:
        # A day on which the owner can work, or sprinklers may run, tells more than one on which
        # nobody could.
        suit = [day for day in open_days if _suits(view, task, setting.days[day])]
        reasons = _held_on(walk.refusals, view, task, (suit or open_days)[0])
        held_days = [day for day in open_days if usable(view, task, day)]
        look_again = setting.days[held_days[0]] if held_days and held_days[0] > today else None
        permitted = None if suit or task != WATERING else _next_permitted(view, open_days[0])
        if permitted is not None:
            # That today is not a day for water is half of an answer where the next one is.
            first, more = reasons[0], _of_permitted(view, permitted)
            brief = f"{first.brief} {more}" if first.brief else ""
            reasons[0] = replace(first, because=f"{first.because} {more}", brief=brief)
            look_again = look_again or setting.days[permitted]
        lost = _lost(view, task, open_days, opened)
        dry = thirsty(view)
        suits = next(
            (day for day in lost if not dry[day] and usable(view, task, day, owner=False)), None
        )
        if suits is not None and suit and reasons[0].rule != "shelf":
            reasons[0] = beside_free(view, reasons[0], suit[0], suits)
        flag = _flag(view, open_days[-1], lost, suits)
        return Waiting(tuple(reasons), look_again, flag)
    holding = [r for r in _rule_holds(view, task, today) if not r.unknown]
    # What will not change as far as the forecast tells is the truer reason, and stands first.
    passing = [reason for reason in holding if reason.until is not None]
    lasting = [reason for reason in holding if reason.until is None]
    reasons = [*lasting, *shut(view, task, today), *passing]
    until = reasons[0].until if reasons else None
    return Waiting(tuple(reasons), None if until is None else setting.days[until], "")


def _next_permitted(view: View, day: int) -> int | None:
    """The next day of the week after it on which sprinklers may run; None where none is."""
    days = range(day + 1, min(view.setting.end, day + 1 + ADVICE_DAYS))
    return next((one for one in days if _suits(view, WATERING, view.setting.days[one])), None)


def _of_permitted(view: View, day: int) -> str:
    """Why a permitted day is not watered, though the grass lacked water on a day before."""
    found = [r for r in _rule_holds(view, WATERING, day) if not r.unknown]
    found += shut(view, WATERING, day)
    why = tell("Too little would be missing.")
    if found:
        why = found[0].by_then or found[0].because
    return tell(
        "On {day} sprinklers may run; that day, {why}",
        day=day_text(view.setting.days[day], view.setting.site.units),
        why=decapitalised(why),
    )


def _suits(view: View, task: str, day: date) -> bool:
    """Whether the owner, or the law of sprinklers, leaves a day free."""
    site = view.setting.site
    if task == WATERING:
        return site.watering.allows(day, view.lawn.name)
    return site.free.allows(day)


def _flag(view: View, week: int, run: list[int], suits: int | None) -> str:
    """What to tell of a window whose open days `run` all go by unused; `suits` is the first of them
    that only the owner's own time shuts, and `week` the last day of this week's advice."""
    if suits is not None:
        return closes_before(view, run, suits)
    if not run or run[-1] > week:
        return ""  # what holds all of it may be the weather of a later week, which changes yet
    when = day_text(view.setting.days[run[-1]], view.setting.site.units)
    return tell("The window is likely to close after {day}, before it can be used.", day=when)


def _lost(view: View, task: str, open_days: list[int], opened: np.ndarray) -> list[int]:
    """The open days of a window that will close, as far as the forecast tells, before it can be
    used; none where it can be, or where nobody knows."""
    run = [] if task == WATERING else _until_closed(view, open_days, opened)
    return [] if any(usable(view, task, day) for day in run) else run


def _until_closed(view: View, open_days: list[int], opened: np.ndarray) -> list[int]:
    """The open days of this week and those that follow on them until the window closes; none where
    the forecast does not tell of its end."""
    last = open_days[-1]
    while last + 1 < view.setting.end and opened[last + 1]:
        last += 1
    if last + 1 >= view.setting.end:
        return []
    return [*open_days, *range(open_days[-1] + 1, last + 1)]


def usable(view: View, task: str, day: int, *, owner: bool = True) -> bool:
    """Whether neither a rule nor a restriction holds a task on a day, nor all its hours; `owner`:
    nor the owner's own time."""
    if view.held(task)[day]:
        return False
    if task == WATERING:
        return bool(view.setting.site.watering.allows(view.setting.days[day], view.lawn.name))
    for product in view.products(task):
        names = view.names(product)
        held = any(restriction.held[day] for restriction in view.restrictions(product))
        if not held and not any(view.held(name)[day] for name in names):
            free = view.work_hours(names, day) if owner else view.free_hours(names, day)
            if free is None or long_enough(free):
                return True
    return False


def why_not(view: View, task: str, day: int) -> Reason:
    """Why a day on which the window is open is not used."""
    return _held_on({}, view, task, day)[0]


def _held_on(
    refusals: Mapping[tuple[str, str], Refusal], view: View, task: str, day: int
) -> list[Reason]:
    """What holds a task on a day on which its window is open; what is sure stands first."""
    reasons = _rule_holds(view, task, day)
    setting = view.setting
    if setting.book.holds_everything and task != WATERING:
        reasons.append(
            Reason(
                "unreadable-rule",
                tell(
                    "A rule file of yours cannot be read, so everything that is put down is held"
                    " until it is mended."
                ),
                (),
                "",
                day,
                True,
                tell("a rule file is broken"),
            )
        )
    if task != WATERING and thirsty(view)[day]:
        reasons.append(_water_first(view, day))
    if task == WATERING:
        on = setting.days[day]
        if not setting.site.watering.allows(on, view.lawn.name):
            shown = day_text(on, setting.site.units)
            why, source = watering_barred(setting.site, view.lawn.name, on, shown)
            first = not_a_watering_day(setting.site, view.lawn.name, on)
            reasons.append(Reason("watering-days", why, (), source, day, opens_with_day=first))
        if not reasons and (wet := rained_out(setting, day, float(water_wanted(view)[day]))):
            shown = day_text(on, setting.site.units)
            because = tell("Not on {day}: {why}", day=shown, why=wet)
            reasons.append(Reason("unsure-rain", because, (), tell(PRINCIPLE), day))
        if not reasons:
            reasons += hours_held(view, {WATERING}, day)
        if not reasons:
            least = show(LEAST_WATER, Kind.WATER, setting.site.units)
            reasons.append(
                Reason(
                    "little-water",
                    tell(
                        "Less than {depth} would be missing after the rain in sight, or too little"
                        " of that day's watering hours is left.",
                        depth=least,
                    ),
                    (),
                    tell("the water balance and the forecast"),
                    day,
                )
            )
        return _sure_first(reasons)
    products = view.products(task)
    if products:
        # The product that is closest to allowed tells most: fewest restrictions first.
        def count(index: int) -> int:
            return sum(bool(r.held[day]) for r in view.restrictions(products[index]))

        best = min(range(len(products)), key=count)
        reasons += [
            _of_restriction(restriction, day, view)
            for restriction in view.restrictions(products[best])
            if restriction.held[day]
        ]
        names = view.names(products[best])
        for other in sorted(names - {task}):
            reasons += _rule_holds(view, other, day)
        reasons = _told_once(reasons)
    refusal = refusals.get((view.lawn.name, task))
    if refusal is not None and refusal.passes:
        if not reasons:
            because = as_sentence(refusal.why)
            reasons.append(Reason("water-in", because, (), tell(LABEL), day))
    elif refusal is not None:
        # What the shelf lacks no waiting mends, so it is told before anything that passes.
        return [
            Reason(
                "shelf", as_sentence(refusal.why), (), tell("the shelf"), day,
                refusal.unknown, refusal.why,
            ),
            *_sure_first(reasons),
        ]  # fmt: skip
    if not reasons and (busy := not_free(view, day)) is not None:
        reasons.append(busy)
    if not reasons:
        reasons += hours_held(view, names if products else {task}, day)
    if not reasons:
        because = tell("No dry and calm hours by day are forecast.")
        if setting.site.free.hours_on(setting.days[day]) is not None:
            because = tell("No dry and calm hours by day are forecast in your own hours.")
        source = tell("label limits and the hourly forecast")
        reasons.append(Reason("no-hours", because, (), source, day))
    return _sure_first(reasons)


def _water_first(view: View, day: int) -> Reason:
    """That a lawn is short of water; and that it must not be watered, where no day in sight is
    permitted."""
    setting = view.setting
    ahead = setting.days[setting.today : setting.end]
    because = tell("The lawn is short of water: water it first, then put something down.")
    source = tell("principle of the plan: water before food")
    if wet := rained_out(setting, day, float(water_wanted(view)[day])):
        because = tell(
            "The lawn is short of water, and rain may mend that: {why} Wait for it.", why=wet
        )
    if not watering_allowed(setting.site, ahead, view.lawn.name).any():
        last = day_text(ahead[-1], setting.site.units)
        because = tell(
            "The lawn is short of water, and must not be watered: your watering rules forbid it on"
            " every day to {day}. Put nothing down until rain has come.",
            day=last,
        )
        law = watering_barred(setting.site, view.lawn.name, ahead[0], "")[1]
        source = f"{source}; {law}"
    return Reason("water-first", because, (), source, day)


def _told_once(reasons: list[Reason]) -> list[Reason]:
    """Of two reasons of one name, the later: the law's own words say more than a rule's."""
    return list({reason.rule: reason for reason in reasons}.values())


def _sure_first(reasons: list[Reason]) -> list[Reason]:
    """What is sure before what cannot be told, and what lasts before what passes."""
    return sorted(reasons, key=lambda reason: (reason.unknown, reason.until is not None))


def _rule_holds(view: View, task: str, day: int) -> list[Reason]:
    out = []
    for rule, verdicts in view.holds(task):
        if not view.holding(verdicts, task)[day]:
            continue
        explanation = view.explain(rule, day)
        unknown = not verdicts.yes[day]
        missing = missing_in(explanation, view.setting.book) if unknown else NOTHING
        sentence = explanation.sentence
        if unknown:
            sentence = tell("Cannot tell whether it has to wait; {missing}.", missing=missing.text)
        out.append(
            Reason(
                rule.name,
                sentence,
                evidence(explanation, view.setting.book),
                rule.source,
                day,
                unknown and not only_beyond(explanation),
                missing.text,
                explanation.first_change,
                missing.undated,
            )
        )
    return out


def _of_restriction(restriction: Restriction, day: int, view: View) -> Reason:
    unsure = bool(restriction.unknown[day])
    sentence = restriction.sentence
    if unsure:
        # What the law holds begins with its title, which stays as it is written.
        why = sentence if restriction.name in BY_LAW else decapitalised(sentence)
        sentence = tell("It cannot be ruled out: {why}", why=why)
    released = np.flatnonzero(~restriction.held[day : view.setting.end])
    return Reason(
        restriction.name, sentence, (), restriction.source, day, unsure,
        restriction.missing if unsure else "",
        day + int(released[0]) if len(released) else None,
    )  # fmt: skip

"""What to look for in a shop where a window is open or near and nothing on the shelf fits.

A class of product with its analysis and how much of it, never a brand. What is asked for obeys the
lawn's limits, soil test and closed seasons; the label that is then read in the shop stands above
it. Nothing is asked for that a held or spent year would leave unused;
where nobody knows what the year has had, that is told in place of an amount.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from advisor.language.listing import either, listed
from advisor.language.words import tell
from advisor.plan.choice import Walk
from advisor.plan.fertilizer import fertilizer
from advisor.plan.model import ToBuy
from advisor.plan.names import grass_text
from advisor.plan.view import View
from advisor.plan.words import task_title
from advisor.series.quantity import Kind, show
from advisor.site.law import Ban
from advisor.site.shelf import Product
from advisor.site.words import COOL, WATERING

WEEKS_AHEAD = 4
"""A window that is likely to open within so many weeks is worth a trip to the shop [judgement]."""

UNFIT_KINDS = ("phosphorus", "quick-nitrogen")
"""Kinds of product that, where a rule holds them, leave room for one of another kind."""

SEED_LIKELY_DAYS = 400.0
"""Who sowed within so many days is likely to sow again within a barrier's time [judgement]."""

BASE_NUTRIENTS = {"feed": {"nitrogen"}, "iron": {"iron"}}
"""The nutrient that a task is about."""

GRASS = "{grass}"
"""Stands for the grass in what several lawns want."""

NOTHING_LIKELY: Mapping[tuple[str, str], date] = {}


@dataclass(frozen=True)
class _Wanted:
    lawn: str
    title: str
    grass: str
    task: str
    what: str
    amount: str
    source: str
    by: date


def to_buy(
    walk: Walk, likely: Mapping[tuple[str, str], date] = NOTHING_LIKELY
) -> tuple[ToBuy, ...]:
    """What to buy, by the day on which it is wanted. `likely` holds, by lawn and task, the first
    day on which a window beyond the forecast is likely to open.

    A product that differs only in the grass that its label has to name is told once for all.
    """
    wanted = [
        one
        for view in walk.views.values()
        for task in view.tasks
        if task != WATERING and (one := _wanted(walk, view, task, likely)) is not None
    ]
    wanted.sort(key=lambda one: one.by)
    groups: dict[tuple[str, str], list[_Wanted]] = {}
    for one in wanted:
        groups.setdefault((one.task, one.what), []).append(one)
    bought = [
        ToBuy(
            lawns=tuple(one.lawn for one in members),
            lawn_titles=tuple(one.title for one in members),
            task=task,
            title=task_title(task),
            text=" ".join(
                (_for_all(task, what, members), *(one.amount for one in members))
            ).strip(),
            by=members[0].by,
            source=members[0].source,
        )
        for (task, what), members in groups.items()
    ]
    return (*bought, *_running_out(walk))


def _for_all(task: str, what: str, members: Sequence[_Wanted]) -> str:
    """The words of a product for all its grasses."""
    grasses = tuple(dict.fromkeys(one.grass for one in members))
    # A fertilizer's label is to exclude none of them, another's is to name them all.
    return what.replace(GRASS, either(grasses) if task == "feed" else listed(grasses))


def _wanted(
    walk: Walk, view: View, task: str, likely: Mapping[tuple[str, str], date]
) -> _Wanted | None:
    lawn, setting = view.lawn, view.setting
    if any((one.lawn.name, one.task) == (lawn.name, task) for one in walk.choices):
        return None
    held = view.held(task)
    opened = [days for _, days in view.opened(task)]
    days = [
        day
        for day in range(setting.today, setting.end)
        if any(one[day] for one in opened)
        and not held[day]
        and not _closed(view, task, setting.days[day])
    ]
    if days:
        index, by = days[0], setting.days[days[0]]
    else:
        today = setting.days[setting.today]
        expected = likely.get((lawn.name, task))
        if expected is None or not today <= expected <= today + timedelta(weeks=WEEKS_AHEAD):
            return None
        if _closed(view, task, expected):
            return None
        # The lawn as the forecast leaves it stands for the day that it does not reach.
        index, by = setting.end - 1, expected
    if not all(_unfit(view, product, days) for product in view.products(task)):
        return None
    grass = grass_text(lawn.grass)
    # Seed is of the grass itself.
    found = look_for(view, task, index, by, likely, grass if task == "overseed" else GRASS)
    if found is None:
        return None
    what, amount, source = found
    return _Wanted(lawn.name, lawn.shown, grass, task, what, amount, source, by)


def _unfit(view: View, product: Product, days: list[int]) -> bool:
    """Whether a product is nothing for its owner to use, or is held throughout the window for what
    it is: another product would not be. One that only lacks a figure is on the shelf."""
    if product.restricted_use:
        return True
    kinds = [kind for kind in UNFIT_KINDS if kind in product.kinds]
    own = [
        one
        for one in view.restrictions(product)
        if one.name.startswith("burn-") or one.name == "slow-release-by-law"
    ]
    return bool(days) and all(
        any(view.held(kind)[day] for kind in kinds) or any(one.held[day] for one in own)
        for day in days
    )


def look_for(
    view: View,
    task: str,
    day: int,
    by: date,
    likely: Mapping[tuple[str, str], date],
    grass: str | None = None,
) -> tuple[str, str, str] | None:
    """The class, how much of it, and the source. `grass` is what stands for the lawn's grass in
    the class; not given, it is its name."""
    grass = grass_text(view.lawn.grass) if grass is None else grass
    area = show(view.lawn.treated_m2, Kind.AREA, view.setting.site.units)
    enough = tell(
        "Enough for the {area} of {lawn} at the label's rate.", area=area, lawn=view.lawn.shown
    )
    match task:
        case "feed":
            return fertilizer(view, day, by, grass)
        case "pre-emergent":
            actives = _permitted(view, by, "prodiamine", "dithiopyr", "pendimethalin")
            if not actives:
                return None
            what = tell(
                "Granules with {actives} and without fertilizer (first number 0), whose label names"
                " {grass}, and not one for licensed people only (restricted use).",
                actives=actives,
                grass=grass,
            )
            return (
                f"{what} {_seed_too(view, by, likely)}",
                enough,
                "Purdue: prodiamine, dithiopyr and pendimethalin keep grass seed from sprouting,"
                " siduron does not",
            )
        case "grub-preventive":
            if not _permitted(view, by, "chlorantraniliprole"):
                return None
            return (
                tell(
                    "Granules with chlorantraniliprole for April to June, whose label names"
                    " {grass}, and not one for licensed people only (restricted use). Imidacloprid"
                    " and its kin are for June and July, harm bees, and are restricted in places:"
                    " mow flowers off first.",
                    grass=grass,
                ),
                enough,
                "extension, months at second hand",
            )
        case "broadleaf-herbicide":
            return (
                tell(
                    "A selective spray against broad-leaved weeds, such as 2,4-D with mecoprop and"
                    " dicamba, whose label names {grass}, and not one for licensed people only"
                    " (restricted use): some grasses bear only other mixtures.",
                    grass=grass,
                ),
                enough,
                "common practice, no source; the label says which grasses bear it",
            )
        case "iron":
            return (
                _iron(view.setting.site.units),
                enough,
                "Arizona extension; Shaddox and Unruh 2018",
            )
        case "overseed":
            return (*_seed(view, grass, area), "judgement")
        case "wetting-agent":
            return (
                tell(
                    "A soil surfactant (wetting agent) for turf whose label allows {grass}.",
                    grass=grass,
                ),
                enough,
                "judgement",
            )
        case "lime":
            return (
                tell("Ground limestone; dolomitic only if the soil test asks for magnesium."),
                tell(
                    "The soil test says how much for the {area} of {lawn}.",
                    area=area,
                    lawn=view.lawn.shown,
                ),
                "judgement",
            )
    return None


def _iron(units: str) -> str:
    if units == "us":
        return tell(
            "Iron to spray: chelated iron, or ferrous sulfate, of which 2 to 4 oz go on 1000 ft² in"
            " 1 to 3 gallons of water. Granular iron gave no colour in about 14 trials."
        )
    return tell(
        "Iron to spray: chelated iron, or ferrous sulfate, of which 60 to 120 g go on 100 m² in 4"
        " to 12 litres of water. Granular iron gave no colour in about 14 trials."
    )


def _bans(view: View, day: date) -> Iterator[Ban]:
    """The closed seasons that a lawn lies in on a day."""
    return (ban for ban in view.setting.site.bans if ban.covers(view.lawn.name, day))


def _closed(view: View, task: str, day: date) -> bool:
    """Whether law forbids a task on a day, or the nutrient that it is about."""
    nutrients = BASE_NUTRIENTS.get(task, set())
    return any(task in ban.tasks or nutrients & set(ban.nutrients) for ban in _bans(view, day))


def _permitted(view: View, day: date, *actives: str) -> str:
    """Those of some active ingredients that law leaves free on a day, as a list of words."""
    barred = {active for ban in _bans(view, day) for active in ban.actives}
    return either([active for active in actives if active not in barred])


def _seed_too(view: View, by: date, likely: Mapping[tuple[str, str], date]) -> str:
    """What a barrier does to seed; where seeding is likely, what to look for instead."""
    sown = view.sums.days_since(view.lawn.name, "overseed", [by])[0][0]
    wide = any(
        days[view.setting.today : view.setting.end].any() for _, days in view.opened("overseed")
    )
    expected = likely.get((view.lawn.name, "overseed"))
    known = any("overseed" in event.tasks for event in view.sums.events(view.lawn.name))
    if wide or expected is not None or (known and sown <= SEED_LIKELY_DAYS):
        return tell(
            "Where you mean to seed within months look for siduron instead: the others keep grass"
            " seed from sprouting."
        )
    return tell("It keeps grass seed from sprouting for months: not where you mean to seed.")


def _seed(view: View, grass: str, area: str) -> tuple[str, str]:
    what = tell("This year's certified seed of {grass}, free of weed seed.", grass=grass)
    if view.lawn.grass_class != COOL:
        what = tell(
            "This year's certified seed: perennial ryegrass for green in winter, or {grass} to"
            " thicken the lawn in early summer.",
            grass=grass,
        )
    enough = tell(
        "Enough for the {area} of {lawn} at the bag's rate for overseeding.",
        area=area,
        lawn=view.lawn.shown,
    )
    return what, enough


def _running_out(walk: Walk) -> list[ToBuy]:
    """Products that the plan uses and of which, as far as shelf and journal know, too little is
    left: no more than the bags that what was used must have come from."""
    out = []
    for name in dict.fromkeys(one.product.name for one in walk.choices if one.product is not None):
        choices = [one for one in walk.choices if one.product and one.product.name == name]
        product, measured = choices[0].product, [one.measured for one in choices if one.measured]
        if product is None or product.bag is None or not measured:
            continue
        bag = product.in_its_measure(product.bag)
        view = walk.before[choices[0].lawn.name]
        # What nobody named may have been any product: of that the bags tell nothing.
        used = sum(
            event.grams_per_m2.get(f"product:{name}", 0.0)
            * view.setting.site.lawn(event.lawn).treated_m2
            / 1000
            for event in view.sums.all_events
            if event.product == name
        )
        needed = sum(one.dose.amount for one in measured)
        if bag is None or not math.isfinite(used):
            continue
        left = max(1, math.ceil(used / bag - 1e-9)) * bag - used
        if needed <= left + 1e-9:
            continue
        kind = Kind.MASS if product.measured_in == "kg" else Kind.VOLUME
        units = view.setting.site.units
        first = choices[0]
        out.append(
            ToBuy(
                lawns=tuple(one.lawn.name for one in choices),
                lawn_titles=tuple(one.lawn.shown for one in choices),
                task=first.task,
                title=task_title(first.task),
                text=_look_how_much(product, show(needed, kind, units), show(left, kind, units)),
                by=view.setting.days[first.day],
                source=tell("shelf and journal"),
            )
        )
    return out


def _look_how_much(product: Product, needed: str, left: str) -> str:
    words = {"product": product.shown, "needed": needed, "left": left}
    if product.form == "granular":
        return tell(
            "Look how much {product} is left: the plan takes {needed}, and if no bag was bought"
            " besides, about {left} of it remain.",
            **words,
        )
    return tell(
        "Look how much {product} is left: the plan takes {needed}, and if no bottle was bought"
        " besides, about {left} of it remain.",
        **words,
    )

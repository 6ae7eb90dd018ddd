"""What to buy before a window opens: the shelf's product with the amount, or what to look for."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta
from functools import cache

from advisor.language.dates import date_text, separated
from advisor.language.listing import listed
from advisor.language.words import later, tell, tell_as, tell_many
from advisor.plan.ahead_model import LawnAhead, Purchase, Shopping, Window
from advisor.plan.asked import views
from advisor.plan.compose import Given
from advisor.plan.dose import Refusal, measure
from advisor.plan.names import grass_text
from advisor.plan.restrict import lasting
from advisor.plan.shopping import NOTHING_LIKELY, look_for
from advisor.plan.view import View
from advisor.series.quantity import Kind, pretty_unit, show, shown
from advisor.site.events import Certainty, Event, tasks_of
from advisor.site.lawns import Lawn
from advisor.site.shelf import Product, Shelf
from advisor.site.sums import Sums

BEFORE = timedelta(days=14)
"""How long before the earliest date a thing should be there [judgement: two weeks for the shop and
the post]."""

Look = Callable[[str, Lawn, date], str]
"""What to look for in a shop for a task on a lawn by a day, as a class of product with its amount;
the empty text where nothing more is wanted."""

CLASSES: dict[str, str] = {
    "pre-emergent": later("a pre-emergent barrier whose label names {grass}"),
    "feed": later(
        "a lawn fertilizer with half or more of its nitrogen slow-release, and no phosphorus"
        " unless a soil test asks for it"
    ),
    "iron": later("an iron product for leaves whose label names {grass}"),
    "overseed": later("certified seed of {grass}, weed seed 0.3 % or less"),
    "grub-preventive": later("a grub preventive that your state allows, whose label names {grass}"),
    "broadleaf-herbicide": later("a selective broad-leaved weed killer whose label names {grass}"),
    "wetting-agent": later("a nonionic wetting agent for turf"),
    "lime": later("ground or pelletized lime, of the kind that the soil test names"),
}
"""Classes of product, for a shelf that has nothing for a task [common practice, no source]; to be
told with the lawn's grass."""


def plain_class(task: str, lawn: Lawn, _by: date) -> str:
    """A class of product for a task, in words that a shop understands."""
    return tell(CLASSES[task], grass=grass_text(lawn.grass))


def in_a_shop(given: Given, now: datetime) -> Look:
    """What `plan.shopping` says of the lawn as it stands; plain classes where there is no weather
    to say it by."""

    @cache
    def looked_at() -> dict[str, View]:
        return {view.lawn.name: view for view in views(given, now)}

    def look(task: str, lawn: Lawn, by: date) -> str:
        view = looked_at().get(lawn.name)
        if view is None:
            return plain_class(task, lawn, by)
        # The lawn as the forecast leaves it stands for a day that it does not reach.
        found = look_for(view, task, view.setting.end - 1, by, NOTHING_LIKELY)
        return " ".join(part for part in found[:2] if part) if found else ""

    return look


def purchase(
    window: Window, lawn: Lawn, given: Given, counted: Sums, today: date, look: Look
) -> tuple[Purchase | None, Sums]:
    """What a window wants, and by when: for the dose as it would be measured on its likely day.

    Returned too are the sums with that dose in them, so that a later window of the year is measured
    by what this one leaves.
    """
    by = max(today, window.opens.earliest - BEFORE)
    units, task = given.site.units, window.task
    if by == today:
        when = tell_as("when to have it", "now")
    else:
        when = tell("by {date}", date=date_text(by, units, today))
    for product in given.shelf.serving(task):
        if not product.allowed_on(lawn.grass, lawn.grass_class):
            continue
        likely = max(today, window.opens.likely)
        if any(law.held[0] for law in lasting(given.site, lawn, product, [likely], counted)):
            continue
        measured = measure(product, lawn, given.site, counted, likely, task=task)
        if isinstance(measured, Refusal):
            continue
        dose = measured.dose
        bag = show_bag(product, units)
        planned = Event(
            day=likely,
            lawn=lawn.name,
            tasks=tasks_of(product, given.shelf),
            product=product.name,
            grams_per_m2=measured.grams_per_m2,
            certainty=Certainty.PLANNED,
            text=tell(
                "foreseen: {amount} of {product}", amount=dose.amount_text, product=product.name
            ),
        )
        bought = Purchase(
            by=by,
            product=product.name,
            title=product.shown,
            amount=dose.amount,
            amount_unit=dose.amount_unit,
            amount_text=dose.amount_text,
            bag_text=bag,
            text=_have(product, dose.amount_text, when, bag),
        )
        return bought, counted.with_planned(planned)
    wanted = look(task, lawn, window.opens.likely).rstrip(".")
    if not wanted:
        return None, counted
    text = tell(
        "Nothing on the shelf can be dosed for it. To buy {when}: {what}.", when=when, what=wanted
    )
    return Purchase(by=by, product=None, title=wanted, text=text), counted


def _have(product: Product, amount: str, when: str, bag: str) -> str:
    """What to have of a product that is on the shelf, with what a full one holds where known."""
    words = {"amount": amount, "product": product.shown, "when": when}
    if not bag:
        return tell("Have {amount} of {product} {when}.", **words)
    if product.form == "liquid":
        return tell(
            "Have {amount} of {product} {when}; a full bottle holds {holds}.", holds=bag, **words
        )
    return tell("Have {amount} of {product} {when}; a full bag holds {holds}.", holds=bag, **words)


def show_bag(product: Product, units: str) -> str:
    """What one bag or bottle holds, or nothing where the shelf does not say."""
    if product.bag is None:
        return ""
    number, unit = shown(product.bag.value, product.bag.kind, units)
    return f"{number.removesuffix(separated('.0'))} {pretty_unit(unit)}"


def shopping(lawns: Sequence[LawnAhead], shelf: Shelf, units: str) -> tuple[Shopping, ...]:
    """What all windows together want, one line a product or class of product, by date."""
    wanted: dict[tuple[str | None, str], list[tuple[str, Purchase]]] = {}
    for lawn in lawns:
        for window in lawn.windows:
            if window.buy is not None:
                key = window.buy.product, window.buy.title
                wanted.setdefault(key, []).append((lawn.title, window.buy))
    lines = []
    for (name, title), each in wanted.items():
        by = min(buy.by for _, buy in each)
        words = {
            "title": title,
            "lawns": listed(tuple(dict.fromkeys(lawn for lawn, _ in each))),
        }
        product = shelf.get(name) if name is not None else None
        amounts = [buy.amount for _, buy in each if buy.amount is not None]
        amount = bags = ""
        text = tell("{title}: for {lawns}", **words)
        if product is not None and amounts:
            liquid = each[0][1].amount_unit == "L"
            total = math.fsum(amounts)
            amount = show(total, Kind.VOLUME if liquid else Kind.MASS, units)
            bags = _bags(product, total, units)
            text = _in_all(amount, bags, words)
        lines.append(
            Shopping(
                by=by, title=title, amount_text=amount, bag_text=bags, text=text,
            )
        )  # fmt: skip
    return tuple(sorted(lines, key=lambda line: (line.by, line.title)))


def _in_all(amount: str, bags: str, words: dict[str, str]) -> str:
    """What an amount is for: a long window may leave room for another feeding, which is not
    counted."""
    if bags:
        return tell(
            "{title}: {amount} in all, one pass in each window, for {lawns} ({bags})",
            amount=amount,
            bags=bags,
            **words,
        )
    return tell(
        "{title}: {amount} in all, one pass in each window, for {lawns}", amount=amount, **words
    )


def _bags(product: Product, total: float, units: str) -> str:
    """How many full bags or bottles an amount is, in kg or L."""
    bag = product.bag
    holds = product.in_its_measure(bag) if bag is not None else None
    if holds is None or not holds > 0:
        return ""
    number = math.ceil(total / holds - 1e-9)
    size = show_bag(product, units)
    if product.form == "liquid":
        return tell_many("{count} bottle of {size}", "{count} bottles of {size}", number, size=size)
    return tell_many("{count} bag of {size}", "{count} bags of {size}", number, size=size)

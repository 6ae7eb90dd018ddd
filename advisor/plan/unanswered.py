"""What was advised and never answered, put as a question."""

from __future__ import annotations

from datetime import date

from advisor.language.dates import day_text
from advisor.language.words import tell
from advisor.plan.model import Ask
from advisor.plan.words import task_title
from advisor.series.quantity import Kind, show
from advisor.site.place import Site
from advisor.site.shelf import Shelf
from advisor.site.sums import Asked, Sums
from advisor.site.words import WATERING


def asks_of(site: Site, shelf: Shelf, counted: Sums, today: date) -> tuple[Ask, ...]:
    """The questions that are open on a day, the newest advice first."""
    lawns = {lawn.name: lawn.shown for lawn in site.lawns}
    return tuple(
        Ask(
            id=asked.advised.id,
            lawn=asked.advised.lawn,
            lawn_title=lawns.get(asked.advised.lawn, asked.advised.lawn),
            task=asked.advised.task,
            advised_on=asked.advised.issued,
            day=asked.advised.day,
            text=_asked(asked, site, shelf),
            answers=asked.answers,
        )
        for asked in counted.asks(today)
    )


def _asked(asked: Asked, site: Site, shelf: Shelf) -> str:
    """What was advised, for whom it may remind."""
    advice = asked.advised
    when = day_text(advice.day, site.units)
    lawn = next((lawn.shown for lawn in site.lawns if lawn.name == advice.lawn), advice.lawn)
    product = shelf.get(advice.product) if advice.product else None
    if advice.task == WATERING:
        what = show(advice.amount, Kind.WATER, site.units)
    elif product is None:
        what = advice.product or tell("product not known")
    else:
        liquid = product.measured_in == "L"
        amount = show(advice.amount, Kind.VOLUME if liquid else Kind.MASS, site.units)
        what = tell("{amount} of {product}", amount=amount, product=product.shown)
    return tell(
        "{task} on {lawn}, {what}, was advised for {day}.",
        task=task_title(advice.task),
        lawn=lawn,
        what=what,
        day=when,
    )

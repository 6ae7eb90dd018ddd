"""Spreaders and sprayers as site.toml states them, and what the journal tells of how they spread.

Nothing is kept beside the journal: what a spreader did, and what is to be mended in its setting, is
worked out from its lines each time, so that an undone line has no effect.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median
from typing import TYPE_CHECKING, Literal

from pydantic import Field

from advisor.series.quantity import Kind
from advisor.site.amounts import HopperKg, SprayLM2, SwathM, TankL, written_amount
from advisor.site.facts import Applied, Entry
from advisor.site.fields import Line, Name, Table, word_hint
from advisor.site.problem import Problem

if TYPE_CHECKING:
    from advisor.site.journal import Journal
    from advisor.site.place import Site
    from advisor.site.shelf import Shelf

ACCEPTED = 0.05
"""How far what went down may lie from what was meant (Massachusetts extension: within 5 %)."""

RUN = 3
"""The most checks that one correction is made from [judgement]."""


class Spreader(Table):
    """One spreader for granules."""

    name: Name = Field(examples=["red-drum"], description="used in the journal; for ever")
    title: Line | None = Field(
        default=None, examples=["Red drum spreader"], description="the name for people"
    )
    kind: Literal["broadcast", "drop"] = Field(
        examples=["broadcast"], description="whether it throws or drops what it spreads"
    )
    swath_m: SwathM | None = Field(
        default=None,
        alias="swath",
        examples=["8 ft"],
        description="width that a pass covers, to where half as much falls as in the middle",
    )
    hopper_kg: HopperKg | None = Field(
        default=None, alias="hopper", examples=["30 lb"], description="what its hopper holds"
    )

    @property
    def shown(self) -> str:
        """The name for people."""
        return self.title or self.name


class Sprayer(Table):
    """One sprayer."""

    name: Name = Field(examples=["back-pack"], description="used in the journal; for ever")
    title: Line | None = Field(
        default=None, examples=["Back-pack sprayer"], description="the name for people"
    )
    tank_l: TankL = Field(alias="tank", examples=["4 gal"], description="what its tank holds")
    output_l_m2: SprayLM2 | None = Field(
        default=None,
        alias="output",
        examples=["1 gal/1000 ft2"],
        description="spray that it puts out at your pace, measured with water",
    )

    @property
    def shown(self) -> str:
        """The name for people."""
        return self.title or self.name


@dataclass(frozen=True)
class Check:
    """How one application came out: `ratio` is what the ground that was reached got, over what was
    meant for it (1.1: a tenth too much)."""

    day: date
    lawn: str
    spreader: str
    product: str
    mark: str | None
    ratio: float


@dataclass(frozen=True)
class Correction:
    """What a spreader did with a product the last `times` that tell, at the mark it stood at last.

    `ratio` is what goes down over what is meant: with this product the opening is set for the
    wanted rate divided by it, counted from where it stood.
    """

    spreader: str
    product: str
    mark: str | None
    ratio: float
    times: int

    @property
    def in_order(self) -> bool:
        return abs(self.ratio - 1) <= ACCEPTED + 1e-9


def checks(site: Site, journal: Journal, today: date) -> tuple[Check, ...]:
    """Every line up to `today` that tells how an application came out, by day."""
    return tuple(
        check
        for entry in journal.spread
        if entry.day <= today and (check := _check(site, entry)) is not None
    )


def _check(site: Site, entry: Entry) -> Check | None:
    what = entry.what
    if not isinstance(what, Applied) or what.spreader is None:
        return None
    if what.left is not None:
        down = written_amount(what.written, Kind.MASS, Kind.VOLUME)
        left = written_amount(what.left, Kind.MASS, Kind.VOLUME)
        if down is None or left is None or down.kind is not left.kind:
            return None
        ratio = down.value / (down.value + left.value)
    elif what.short is not None:
        area = site.lawn(entry.lawns[0]).treated_m2
        if what.short_m2 >= area:
            return None
        ratio = area / (area - what.short_m2)
    else:
        return None
    return Check(entry.day, entry.lawns[0], what.spreader, what.product, what.mark, ratio)


def correction(found: Sequence[Check], spreader: str, product: str) -> Correction | None:
    """What the checks (by day) say of a spreader with a product; None where they say nothing.

    The newest rules: was it within `ACCEPTED`, the opening is right as it stands, and what came
    before it was stood with another. Else it is the median of the run that ends with it, of at most
    `RUN` checks at the same mark that were off to the same side.
    """
    own = [check for check in found if (check.spreader, check.product) == (spreader, product)]
    if not own:
        return None
    last = own[-1]
    run = [last.ratio]
    if abs(last.ratio - 1) > ACCEPTED + 1e-9:
        for check in reversed(own[:-1]):
            same = check.mark == last.mark and (check.ratio > 1) == (last.ratio > 1)
            if not same or abs(check.ratio - 1) <= ACCEPTED + 1e-9 or len(run) == RUN:
                break
            run.append(check.ratio)
    return Correction(spreader, product, last.mark, median(run), len(run))


def usual_spreader(site: Site, journal: Journal, product: str, today: date) -> Spreader | None:
    """The spreader that a product went down with last, or the only one that there is."""
    known = {spreader.name: spreader for spreader in site.spreaders}
    used = [
        known[entry.what.spreader]
        for entry in journal.spread
        if entry.day <= today
        and isinstance(entry.what, Applied)
        and entry.what.product == product
        and entry.what.spreader in known
    ]
    if used:
        return used[-1]
    return site.spreaders[0] if len(site.spreaders) == 1 else None


def mismatches(site: Site, journal: Journal, shelf: Shelf) -> tuple[Problem, ...]:
    """Lines that name a spreader that the site has not, or one that cannot put down such a product,
    or say that more ground went without than there is. What they say was put down counts all the
    same."""
    known = [one.name for one in site.spreaders] + [one.name for one in site.sprayers]
    found: list[Problem] = []
    for entry in journal.spread:
        what = entry.what
        if not isinstance(what, Applied) or what.spreader is None:
            continue
        if what.spreader not in known:
            said = f"no spreader or sprayer is called “{what.spreader}”"
            hint = word_hint(what.spreader, known) if known else ""
            found.append(_warned(entry, said, hint or "Write a [[spreader]] into site.toml."))
        found += _wrong_tool(site, shelf, entry, what)
        lawn = next((lawn for lawn in site.lawns if lawn.name in entry.lawns), None)
        if lawn is not None and what.short_m2 >= lawn.treated_m2:
            said = f"{what.short} short is not less than the area of {lawn.name}"
            found.append(_warned(entry, said, "Until mended, what it brought is not known."))
    return tuple(found)


def _wrong_tool(site: Site, shelf: Shelf, entry: Entry, what: Applied) -> Iterator[Problem]:
    """Told where a liquid went down with a spreader, or granules with a sprayer."""
    product = shelf.get(what.product)
    if product is None:
        return
    spreaders = [one.name for one in site.spreaders]
    sprayers = [one.name for one in site.sprayers]
    liquid = product.form == "liquid"
    if what.spreader not in (spreaders if liquid else sprayers):
        return
    is_a, of = ("spreader", "a liquid") if liquid else ("sprayer", "granular")
    wanted, fitting = ("sprayer", sprayers) if liquid else ("spreader", spreaders)
    hint = f"Name the {wanted} ({', '.join(fitting)}), or mend the product's name."
    if not fitting:
        hint = f"Name a {wanted}, which site.toml has not yet, or mend the product's name."
    said = f"{what.spreader} is a {is_a}, and {product.name} is {of}"
    yield _warned(entry, said, hint)


def _warned(entry: Entry, what: str, hint: str) -> Problem:
    text = f"{entry.day}  {entry.lawn}  {entry.text}"
    return Problem(entry.file, entry.line, 0, what, hint, text, warning=True)

"""A dose worked out, as text for a terminal: what to weigh stands first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.digest import together
from advisor.digest.doing import HOW
from advisor.digest.words import sentence, wrap
from advisor.language.dates import day_text
from advisor.plan.dose_sheet import Brought, DoseSheet, LawnSheet, Together
from advisor.plan.words import TASK_SHORT

WIDTH = 80
LABEL = 13
"""Columns of the words on the left."""


def render_dose(sheet: DoseSheet) -> str:
    """The whole sheet, lawn by lawn, and what all of it takes."""
    analysis = f" ({sheet.analysis})" if sheet.analysis else ""
    day = f"{day_text(sheet.on, sheet.site.units)} {sheet.on.year}"
    lines = _wrapped(
        f"{sheet.title}{analysis} for {TASK_SHORT[sheet.task]}, {sheet.site.title}, {day}."
    )
    lines += _wrapped(
        "Arithmetic from label, law and journal; no weather was looked at, so whether and when it"
        " goes down is the digest's to say. The label stands above this page."
    )
    for lawn in sheet.lawns:
        lines += ["", *_headed(lawn.title), *_lawn(lawn)]
    if sheet.together is not None:
        lines += ["", *_headed(HOW), *_steps(sheet.lawns)]
        title = "All lawns" if len(sheet.lawns) > 1 else "To have"
        lines += ["", *_headed(title), *_in_all(sheet.together)]
    for note in sheet.notes:
        lines += ["", *_wrapped(note)]
    return "\n".join(lines)


def _lawn(lawn: LawnSheet) -> Iterator[str]:
    for told in lawn.not_now:
        yield from _row("Not now", told)
    if lawn.dose is None:
        yield from _row("No dose", sentence(lawn.refused))
        return
    dose = lawn.dose
    if lawn.asked:
        yield from _row("Held", lawn.asked)
    yield from _row(
        "Weigh out" if dose.amount_unit == "kg" else "Measure out",
        f"{dose.amount_text} on {dose.area_text}",
    )
    yield from _row("Rate", f"{dose.rate_text}, set by {dose.limited_by}")
    for one in lawn.passes[:1]:
        yield from _row(
            "Two passes",
            f"{one.text} each, at half rate ({one.rate_text}); of each keep back"
            f" {one.kept_back_text} for missed strips and edges",
        )
    if dose.carrier_text:
        yield from _row("Mix", dose.carrier_text)
    for brought in _brings(lawn):
        yield from _row("Brings", brought)
    for year in lawn.year:
        yield from _row("This year", year.text)
    if lawn.cost_text:
        yield from _row("Costs", lawn.cost_text)
    for check in lawn.checks:
        yield from _row("Check", check)


def _brings(lawn: LawnSheet) -> Iterator[str]:
    """What stands for itself, with its part or its other measure behind it."""
    for row in lawn.brings:
        if row.of:
            continue
        more = [_more(other) for other in lawn.brings if other.of == row.substance]
        text = f"{row.text} {row.substance}, {row.lawn_text} on the lawn"
        yield "; ".join((text, *more))


def _more(row: Brought) -> str:
    if row.of == "nitrogen":
        return f"{row.text} of it soluble"
    return f"the label's {row.substance}: {row.text}, {row.lawn_text} on the lawn"


def _steps(lawns: Sequence[LawnSheet]) -> Iterator[str]:
    """How to put it down, for all lawns at once; what differs says whose it is."""
    own = [(lawn.title, lawn.dose.steps) for lawn in lawns if lawn.dose is not None]
    for place, step in enumerate(together.steps(own), 1):
        yield from wrap(step, f"{place:>2}. ", width=WIDTH)


def _headed(title: str) -> list[str]:
    return [title, "=" * min(len(title), WIDTH)]


def _in_all(whole: Together) -> Iterator[str]:
    yield from _row("In all", whole.amount_text)
    if whole.bags_text:
        yield from _row("To have", whole.bags_text)
        yield from _row("Covers", whole.coverage_text)
    if whole.cost_text:
        yield from _row("Costs", whole.cost_text)


def _row(label: str, text: str) -> list[str]:
    return wrap(text, label.ljust(LABEL), " " * LABEL, width=WIDTH)


def _wrapped(text: str) -> list[str]:
    return wrap(text, width=WIDTH)

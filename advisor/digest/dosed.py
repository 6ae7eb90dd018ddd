"""A dose worked out, as text for a terminal: what to weigh stands first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.digest import together
from advisor.digest.doing import HOW
from advisor.digest.words import sentence, wrap
from advisor.language.dates import day_text
from advisor.language.words import tell, tell_as
from advisor.plan.dose_sheet import Brought, DoseSheet, LawnSheet, Together
from advisor.plan.names import substance_text
from advisor.plan.words import task_short

WIDTH = 80
LABEL = 13
"""Columns of the words on the left, where they are no longer."""


def render_dose(sheet: DoseSheet) -> str:
    """The whole sheet, lawn by lawn, and what all of it takes."""
    analysis = f" ({sheet.analysis})" if sheet.analysis else ""
    day = f"{day_text(sheet.on, sheet.site.units)} {sheet.on.year}"
    lines = _wrapped(
        tell(
            "{product} for {task}, {site}, {day}.",
            product=f"{sheet.title}{analysis}",
            task=task_short(sheet.task),
            site=sheet.site.title,
            day=day,
        )
    )
    lines += _wrapped(
        tell(
            "Arithmetic from label, law and journal; no weather was looked at, so whether and when"
            " it goes down is the digest's to say. The label overrides this page."
        )
    )
    for lawn in sheet.lawns:
        lines += ["", *_headed(lawn.title), *_lawn(lawn)]
    if sheet.together is not None:
        lines += ["", *_headed(tell(HOW)), *_steps(sheet.lawns)]
        title = tell("All lawns") if len(sheet.lawns) > 1 else tell("To have")
        lines += ["", *_headed(title), *_in_all(sheet.together)]
    for note in sheet.notes:
        lines += ["", *_wrapped(note)]
    return "\n".join(lines)


def _lawn(lawn: LawnSheet) -> Iterator[str]:
    for told in lawn.not_now:
        yield from _row(tell("Not now"), told)
    if lawn.dose is None:
        yield from _row(tell("No dose"), sentence(lawn.refused))
        return
    dose = lawn.dose
    if lawn.asked:
        yield from _row(tell_as("what was asked for", "Held"), lawn.asked)
    yield from _row(
        tell("Weigh out") if dose.amount_unit == "kg" else tell("Measure out"),
        tell("{amount} on {area}", amount=dose.amount_text, area=dose.area_text),
    )
    yield from _row(
        tell("Rate"), tell("{rate}, set by {limit}", rate=dose.rate_text, limit=dose.limited_by)
    )
    for one in lawn.passes[:1]:
        yield from _row(
            tell("Two passes"),
            tell(
                "{amount} each, at half rate ({rate}); of each keep back {reserve} for missed"
                " strips and edges",
                amount=one.text,
                rate=one.rate_text,
                reserve=one.kept_back_text,
            ),
        )
    if dose.carrier_text:
        yield from _row(tell_as("a spray", "Mix"), dose.carrier_text)
    for brought in _brings(lawn):
        yield from _row(tell("Brings"), brought)
    for year in lawn.year:
        yield from _row(tell("This year"), year.text)
    if lawn.cost_text:
        yield from _row(tell("Costs"), lawn.cost_text)
    for check in lawn.checks:
        yield from _row(tell("Check"), check)


def _brings(lawn: LawnSheet) -> Iterator[str]:
    """What stands for itself, with its part or its other measure behind it."""
    for row in lawn.brings:
        if row.of:
            continue
        more = [_more(other) for other in lawn.brings if other.of == row.substance]
        text = tell(
            "{amount} {substance}, {whole} on the lawn",
            amount=row.text,
            substance=substance_text(row.substance),
            whole=row.lawn_text,
        )
        yield "; ".join((text, *more))


def _more(row: Brought) -> str:
    if row.of == "nitrogen":
        return tell("{amount} of it soluble", amount=row.text)
    return tell(
        "the label's {substance}: {amount}, {whole} on the lawn",
        substance=substance_text(row.substance),
        amount=row.text,
        whole=row.lawn_text,
    )


def _steps(lawns: Sequence[LawnSheet]) -> Iterator[str]:
    """How to put it down, for all lawns at once; what differs says whose it is."""
    own = [(lawn.title, lawn.dose.steps) for lawn in lawns if lawn.dose is not None]
    for place, step in enumerate(together.steps(own), 1):
        yield from wrap(step, f"{place:>2}. ", width=WIDTH)


def _headed(title: str) -> list[str]:
    return [title, "=" * min(len(title), WIDTH)]


def _in_all(whole: Together) -> Iterator[str]:
    yield from _row(tell("In all"), whole.amount_text)
    if whole.bags_text:
        yield from _row(tell("To have"), whole.bags_text)
        yield from _row(tell("Covers"), whole.coverage_text)
    if whole.cost_text:
        yield from _row(tell("Costs"), whole.cost_text)


def _row(label: str, text: str) -> list[str]:
    return wrap(text, f"{label} ".ljust(LABEL), " " * LABEL, width=WIDTH)


def _wrapped(text: str) -> list[str]:
    return wrap(text, width=WIDTH)

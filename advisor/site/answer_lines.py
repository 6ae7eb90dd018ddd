"""One line that was read of an answer, held against the advice it is about: what to write down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from advisor.language.dates import day_text
from advisor.language.words import tell
from advisor.series.quantity import Kind, Written, convert
from advisor.site.answer_scan import Line, Says
from advisor.site.facts import (
    Applied,
    Done,
    NotYet,
    Rain,
    Seen,
    Skipped,
    Soil,
    Undo,
    Watered,
    What,
)
from advisor.site.ledger import EARLY, LATE, WATERING
from advisor.site.words import SIGHTINGS

if TYPE_CHECKING:
    from advisor.site.answer_words import About

FAR = 1.5
"""An amount more than so many times what was advised, or less than that part of it, is told."""

Standing = Mapping[str, Sequence[tuple[str, str, str, date, What]]]
"""By the id of an advice: mail, lawn, text, day, and what each line says that stands."""


class Refusal(Exception):  # noqa: N818 - it is no error: the owner is told
    """Why something is not taken; a clause for people."""


@dataclass(frozen=True)
class Speech:
    """What one line comes to. `lines` are to be written in order, of each the first that the
    journal takes; `about` is the id of the advice; `told` says it to people. A `reading` is of
    a gauge, a thermometer or an eye, and answers no advice."""

    lines: tuple[tuple[tuple[date, str, What], ...], ...]
    about: str
    told: str
    reading: bool = False


def speak(
    line: Line, about: Sequence[About], said_on: date, today: date, standing: Standing, units: str
) -> list[Speech]:
    """What a line that could be read says of the advice that the mail answers. Raises Refusal."""
    says = _what(line)
    if len(line.days) > 1:
        raise Refusal(tell("it names more than one day"))
    for named in line.days:
        if named > today:
            raise Refusal(tell("{day} is still to come", day=day_text(named, units, today)))
    day = line.days[0] if line.days else None
    if line.minutes and says is not Says.SOIL:
        raise Refusal(tell("a time of day belongs to a soil thermometer's reading"))
    if says in (Says.RAIN, Says.SOIL, Says.SEEN, Says.WATERED):
        return [_reading(says, line, about, day or said_on, units)]
    return [
        _answer(says, line, one, day, said_on, standing.get(one.advice.id, ()), units)
        for one in _meant(says, line, about)
    ]


def _what(line: Line) -> Says:
    """The one thing that a line says; a temperature with a depth speaks for itself."""
    says = set(line.says)
    if not says and _of_kind(line.amounts, Kind.TEMPERATURE) and len(line.amounts) == 2:
        return Says.SOIL
    if len(says) != 1:
        raise Refusal(
            tell("it says more than one thing")
            if says
            else tell("it does not say what: done, skipped, not yet, rain, soil, seen or undo")
        )
    if line.sightings and says != {Says.SEEN}:
        raise Refusal(tell("it says more than one thing"))
    return says.pop()


def _of_kind(amounts: Sequence[Written], kind: Kind) -> list[Written]:
    return [one for one in amounts if kind in one.kinds()]


def _single(line: Line, kind: Kind, right: str) -> Written:
    """The only amount of a line, which is of that kind."""
    if len(line.amounts) != 1 or kind not in line.amounts[0].kinds():
        raise Refusal(tell("one quantity was expected, as in “{right}”", right=right))
    return line.amounts[0]


def _reading(says: Says, line: Line, about: Sequence[About], day: date, units: str) -> Speech:
    first = about[0].advice.id
    shown = day_text(day, units)
    if says is Says.RAIN:
        rain = _single(line, Kind.WATER, "rain 0.42 in")
        told = tell("{day}: rain {amount}", day=shown, amount=rain)
        return Speech((((day, "all", Rain(rain)),),), first, told, reading=True)
    lawn, title = _lawn(line, about)
    if says is Says.SOIL:
        depths = _of_kind(line.amounts, Kind.LENGTH)
        heats = _of_kind(line.amounts, Kind.TEMPERATURE)
        if len(line.amounts) != 2 or len(depths) != 1 or len(heats) != 1 or len(line.minutes) > 1:
            right = "soil 54 F at 2 in, 08:00"
            raise Refusal(
                tell("a temperature and a depth were expected, as in “{right}”", right=right)
            )
        minute = line.minutes[0] if line.minutes else None
        soil = Soil(heats[0], depths[0], minute)
        told = tell("{lawn}, {day}: {reading}", lawn=title, day=shown, reading=soil)
        return Speech((((day, lawn, soil),),), first, told, reading=True)
    if says is Says.SEEN:
        if len(line.sightings) != 1 or line.amounts:
            words = ", ".join(SIGHTINGS)
            raise Refusal(tell("it does not say what was seen; known are {words}", words=words))
        seen = Seen(line.sightings[0])
        told = tell("{lawn}, {day}: {reading}", lawn=title, day=shown, reading=seen)
        return Speech((((day, lawn, seen),),), first, told, reading=True)
    if not line.amounts and any(one.advice.task == WATERING for one in about):
        raise Refusal(tell("say “done” for the water that was advised, or how much it was"))
    water = _single(line, Kind.WATER, "watered 0.5 in")
    told = tell("{lawn}, {day}: watered {amount}", lawn=title, day=shown, amount=water)
    return Speech((((day, lawn, Watered(water)),),), first, told, reading=True)


def _lawn(line: Line, about: Sequence[About]) -> tuple[str, str]:
    """The lawn that a reading is of: the one that is named, or the only one of the mail."""
    titles = {one.advice.lawn: one.lawn_title for one in about}
    named = line.lawns or set(titles)
    if len(named) != 1 or (line.every and len(titles) > 1):
        raise Refusal(tell("it does not say on which lawn"))
    name = next(iter(named))
    return name, titles.get(name, name)


def _meant(says: Says, line: Line, about: Sequence[About]) -> list[About]:
    """The advice that a line is about, of all that the mail answers. A weight is none of water, and
    water is not offered to be skipped."""
    found = [
        one
        for one in about
        if (not line.lawns or one.advice.lawn in line.lawns)
        and (not line.tasks or one.advice.task in line.tasks)
        and (not line.products or one.advice.product in line.products)
    ]
    if not found:
        raise Refusal(tell("the mail that it answers advised nothing of the kind"))
    if line.amounts or says in (Says.SKIPPED, Says.NOT_YET):
        water = bool(line.amounts) and Kind.WATER in line.amounts[0].kinds()
        found = [one for one in found if (one.advice.task == WATERING) is water] or found
    days = {one.advice.day for one in found}
    if len(found) > 1 and len(days) > 1 and line.days:
        found = [one for one in found if one.advice.day == line.days[0]] or found
    if len(found) == 1:
        return found
    lawns = [one.advice.lawn for one in found]
    all_of_them = line.every or len(line.lawns) == len(set(lawns))
    alike = len({one.advice.task for one in found}) == 1 and len(set(lawns)) == len(lawns)
    if not (all_of_them and alike and not line.amounts):
        raise Refusal(
            tell("the mail that it answers advised several things; say which lawn and which task")
        )
    return found


def _answer(
    says: Says,
    line: Line,
    about: About,
    day: date | None,
    said_on: date,
    stands: Sequence[tuple[str, str, str, date, What]],
    units: str,
) -> Speech:
    advice = about.advice
    if says is Says.UNDO:
        return _undone(line, about, stands, units)
    did = [one for one in stands if isinstance(one[4], Done | Applied | Watered)]
    if says is Says.DONE:
        return _done(line, about, day, said_on, stands, did, units)
    if line.amounts:
        raise Refusal(tell("an amount goes with “done” alone"))
    if did:
        raise Refusal(_already(did))
    # Of a day on which only this advice can be meant: a newer one is answered by itself.
    last = min(said_on, advice.day)
    if about.next_issued is not None:
        last = min(last, about.next_issued - timedelta(1))
    if last < advice.issued:
        raise Refusal(tell("newer advice has taken the place of what it answers; answer that"))
    told = {"lawn": about.lawn_title, "task": about.task_title, "day": day_text(advice.day, units)}
    if says is Says.SKIPPED:
        text = tell("{lawn}, advised for {day}: {task} skipped", **told)
        return Speech((((last, advice.lawn, Skipped(advice.task)),),), advice.id, text)
    text = tell("{lawn}, advised for {day}: {task} not done yet", **told)
    return Speech((((last, advice.lawn, NotYet(advice.task)),),), advice.id, text)


def _already(did: Sequence[tuple[str, str, str, date, What]]) -> str:
    return tell(
        "“{line}” stands already; answer “undo” first, and then what is right", line=did[-1][2]
    )


def _undone(
    line: Line, about: About, stands: Sequence[tuple[str, str, str, date, What]], units: str
) -> Speech:
    """Take back all lines of the newest mail about this advice."""
    if line.amounts:
        raise Refusal(tell("an amount goes with “done” alone"))
    if not stands:
        raise Refusal(tell("no answer by mail to it stands that could be undone"))
    last = [one for one in stands if one[0] == stands[-1][0]]
    told = tell(
        "{lawn}: undone, {lines}",
        lawn=about.lawn_title,
        lines=", ".join(
            tell("“{day}: {line}”", day=day_text(day, units), line=text)
            for _, _, text, day, _ in last
        ),
    )
    undos = tuple(((day, lawn, Undo(day, text)),) for _, lawn, text, day, _ in last)
    return Speech(undos, about.advice.id, told)


def _done(
    line: Line,
    about: About,
    day: date | None,
    said_on: date,
    stands: Sequence[tuple[str, str, str, date, What]],
    did: Sequence[tuple[str, str, str, date, What]],
    units: str,
) -> Speech:
    advice = about.advice
    # Without a day it was done on the advised one, if that has come.
    on = day or max(advice.issued, min(said_on, advice.day))
    written = _amount(line, about) if line.amounts else None
    _not_before(about, on, written, units)
    if did:
        only = did[0][4]
        same_day = all(one[3] == on for one in did)
        if not (written and len(did) == 1 and only == Done(advice.task) and same_day):
            raise Refusal(_already(did))
    choices = tuple((on, advice.lawn, what) for what in _deeds(about, on, written, units))
    # What stands as skipped was done after all.
    undos = tuple(
        ((at, lawn, Undo(at, text)),)
        for _, lawn, text, at, what in stands
        if isinstance(what, Skipped)
    )
    shown = {"lawn": about.lawn_title, "day": day_text(on, units), "task": about.task_title}
    if written is None:
        told = tell("{lawn}, {day}: {task} done, as advised", **shown)
    elif advice.task == WATERING:
        told = tell("{lawn}, {day}: watered {amount}", amount=written, **shown)
    else:
        product = about.product_title or advice.product or ""
        told = tell(
            "{lawn}, {day}: {task} done, {amount} of {product}",
            amount=written, product=product, **shown,
        )  # fmt: skip
    return Speech((*undos, choices), advice.id, told + _far(about, written, units))


def _not_before(about: About, on: date, written: Written | None, units: str) -> None:
    issued = about.advice.issued
    if on < issued - EARLY or (on < issued and written is None):
        raise Refusal(
            tell(
                "{day} is before the advice went out, on {issued}; write it into the journal",
                day=day_text(on, units),
                issued=day_text(issued, units),
            )
        )


def _amount(line: Line, about: About) -> Written:
    """The amount that was put down (or the water that was given)."""
    if about.advice.task == WATERING:
        return _single(line, Kind.WATER, "done 0.5 in")
    if len(line.amounts) != 1 or not {Kind.MASS, Kind.VOLUME} & line.amounts[0].kinds():
        raise Refusal(tell("one quantity was expected, as in “{right}”", right="done 5.4 lb"))
    if about.advice.product is None:
        raise Refusal(tell("no product was advised; write it into the journal with its product"))
    return line.amounts[0]


def _deeds(about: About, on: date, written: Written | None, units: str) -> list[What]:
    """What to write, and what else where the journal does not take that."""
    advice = about.advice
    if written is not None:
        if advice.task == WATERING:
            return [Watered(written)]
        assert advice.product is not None  # said by `_amount`
        if on <= advice.day + LATE:
            # In place of a bare “done” of the same day it takes its amounts' place.
            return [Applied(written, advice.product)]
        return [Done(advice.task, written, advice.product)]
    found: list[What] = [Done(advice.task)]
    advised = _advised(about, units)
    if advised is not None:
        found.append(
            Watered(advised) if advice.task == WATERING else Applied(advised, advice.product or "")
        )
    # Nobody else knows the amounts of advice that a newer digest has replaced.
    return found if about.announced or len(found) == 1 else found[1:]


def _advised(about: About, units: str) -> Written | None:
    """What was advised, as a line of the journal says it; None where no amount was."""
    advice = about.advice
    if advice.amount <= 0:
        return None
    if advice.task == WATERING:
        unit = "in" if units == "us" else "mm"
        return Written(round(convert(advice.amount, Kind.WATER, unit), 2), unit)
    if advice.product is None:
        return None
    kind, unit = (Kind.VOLUME, "fl oz") if about.liquid else (Kind.MASS, "lb")
    if units != "us":
        unit = "mL" if kind is Kind.VOLUME else "kg"
    return Written(round(convert(advice.amount, kind, unit), 2), unit)


def _far(about: About, written: Written | None, units: str) -> str:
    """A sentence more, where what was done is far from what was advised."""
    advised = _advised(about, units)
    if written is None or advised is None:
        return ""
    kinds = (Kind.WATER,) if about.advice.task == WATERING else (Kind.MASS, Kind.VOLUME)
    kind = next((k for k in kinds if k in written.kinds() and k in advised.kinds()), None)
    if kind is None:
        return ""
    part = written.as_kind(kind) / advised.as_kind(kind)
    if 1 / FAR <= part <= FAR:
        return ""
    return " " + tell(
        "({advised} was advised. It counts as you wrote it; if that is a slip, answer “undo”, and"
        " then what is right.)",
        advised=advised,
    )

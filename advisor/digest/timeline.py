"""A replayed season as a picture: months across, and for each lawn what was put down, the water,
what held, and how the grass stood; the forecasts as issued above perfect foresight."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from advisor.digest.drawing import Drawing
from advisor.digest.words import applications_text
from advisor.language.dates import day_text, month_text
from advisor.language.listing import enumerated
from advisor.language.words import later, tell
from advisor.plan.model import Verdict
from advisor.plan.replay_model import DoneLine, Replay, Run
from advisor.plan.words import task_short, verdict_within
from advisor.site.words import WATERING

_DIGESTS = {"issued": later("digests, as issued"), "perfect": later("digests, perfect")}
_PUT_DOWN = {"issued": later("put down, as issued"), "perfect": later("put down, perfect")}
_WATER = {"issued": later("water, as issued"), "perfect": later("water, perfect")}
_HELD = {"issued": later("held, as issued"), "perfect": later("held, perfect")}
"""What stands beside a lane, by the sort of foresight; room is short."""

_STATES = {
    "active": "apply",
    "greening up": "band",
    "heat stressed": "wait",
    "drought stressed": "other",
    "summer dormant": "faint",
    "winter dormant": "grid",
}
"""The ink of each state of the grass; what is not known stays blank."""

_SHORT = {
    "active": later("active"),
    "greening up": later("greening up"),
    "heat stressed": later("heat stressed"),
    "drought stressed": later("drought stressed"),
    "summer dormant": later("summer dormant"),
    "winter dormant": later("winter dormant"),
}
_IN_FULL = {
    "active": later("grass active"),
    "greening up": later("grass greening up"),
    "heat stressed": later("grass heat stressed"),
    "drought stressed": later("grass drought stressed"),
    "summer dormant": later("grass summer dormant"),
    "winter dormant": later("grass winter dormant"),
}
"""What each state is called, in the lane of the grass and elsewhere."""


@dataclass(frozen=True)
class _Layout:
    """Sizes in user units. On a phone a lane's name stands above it, else to its left."""

    width: float
    left: float
    right: float
    size: float
    above: bool

    @property
    def row(self) -> float:
        """What a lane's name takes above it."""
        return self.size + 4 if self.above else 0.0


DESK = _Layout(width=960, left=150, right=14, size=12, above=False)
PHONE = _Layout(width=360, left=8, right=8, size=12, above=True)


class _Sheet:
    """A drawing that grows downward, lane by lane, over a span of days."""

    def __init__(self, first: date, last: date, units: str, layout: _Layout) -> None:
        self.first, self.last, self.units, self.layout = first, last, units, layout
        self.y = 0.0
        self.drawn: list[tuple[str, tuple[object, ...], dict[str, object]]] = []

    @property
    def days(self) -> int:
        return (self.last - self.first).days + 1

    def x(self, day: date) -> float:
        inner = self.layout.width - self.layout.left - self.layout.right
        return self.layout.left + inner * min(self.days, (day - self.first).days) / self.days

    def week(self, day: date, share: float) -> float:
        """The width of a bar over a share of the week from a day on, as far as that is there."""
        return max(1.2, share * (self.x(day + timedelta(7)) - self.x(day)))

    def draw(self, shape: str, *where: object, **how: object) -> None:
        self.drawn.append((shape, where, how))

    def lane(self, name: str, height: float) -> float:
        """Begin a lane, write its name, and give the y of its top."""
        layout = self.layout
        if layout.above:
            self.y += layout.row
            self.draw("text", layout.left, self.y - 3, name, ink="faint", size=layout.size - 1)
        else:
            self.draw(
                "text", layout.left - 8, self.y + height / 2 + layout.size / 3, name,
                ink="faint", size=layout.size - 1, anchor="end",
            )  # fmt: skip
        top = self.y
        self.y += height + (3 if layout.above else 5)
        return top


def timeline(replay: Replay, rules: str = "own", *, narrow: bool = False) -> str:
    """The season under one rulebook as SVG text; `narrow` for a phone's width."""
    runs = sorted((run for run in replay.runs if run.rules == rules), key=lambda r: r.flattering)
    sheet = _Sheet(replay.first, replay.last, replay.site.units, PHONE if narrow else DESK)
    sheet.y = sheet.layout.size + 10
    for run in runs:
        top = sheet.lane(tell(_DIGESTS[run.foresight]), 16)
        _verdicts(sheet, run, top)
    most = max((line.water_mm for run in runs for line in run.done), default=0.0)
    for lawn in runs[0].totals:
        sheet.y += 10
        _title(sheet, lawn.title)
        _grass(sheet, runs[0], lawn.lawn)
        for run in runs:
            sheet.y += 3
            own = [line for line in run.done if line.lawn == lawn.lawn]
            _put_down(sheet, run, own, replay.site.units)
            if any(line.water_mm for line in own):
                _water(sheet, run, own, most, replay.site.units)
            if any(held.lawn == lawn.lawn for week in run.weeks for held in week.held):
                _held(sheet, run, lawn.lawn)
    lanes, sheet.drawn = sheet.drawn, []
    _months(sheet)  # below all else
    sheet.drawn += lanes
    sheet.y += 8
    _legend(sheet, runs)
    title = tell("{site}, {first} to {last}", site=replay.site.title, first=replay.first,
                 last=replay.last)  # fmt: skip
    return _svg(sheet, title, finding(runs))


def finding(runs: Sequence[Run]) -> str:
    """What the picture shows, in a sentence for each run."""
    parts = []
    for run in runs:
        told = enumerated(
            [
                tell(
                    "{lawn} {applications} and {water} of water",
                    lawn=lawn.title,
                    applications=applications_text(lawn.applications),
                    water=lawn.water_text,
                )
                for lawn in run.totals
            ]
        )
        if run.foresight == "perfect":
            parts.append(tell("Perfect foresight: {lawns}.", lawns=told))
        else:
            parts.append(tell("As issued: {lawns}.", lawns=told))
    return " ".join(parts)


def _svg(sheet: _Sheet, title: str, finding: str) -> str:
    drawing = Drawing(sheet.layout.width, sheet.y + 4, title, finding)
    for shape, where, how in sheet.drawn:
        getattr(drawing, shape)(*where, **how)
    return drawing.svg()


def _months(sheet: _Sheet) -> None:
    """Lines and names of months, or of years in a long replay."""
    long = sheet.days > 800
    apart = (sheet.layout.width - sheet.layout.left - sheet.layout.right) / sheet.days * 30
    for day in _firsts(sheet.first, sheet.last, long):
        x = sheet.x(day)
        sheet.draw("line", x, sheet.layout.size + 6, x, sheet.y, "grid")
        if long:
            name = str(day.year)
        else:
            name = month_text(day.month, sheet.units, "abbreviated")
            name = name if apart > 26 else name[:1]
        if x < sheet.layout.width - 20 - sheet.layout.right:
            sheet.draw("text", x + 2, sheet.layout.size, name, size=sheet.layout.size - 1)


def _firsts(first: date, last: date, years: bool) -> Iterator[date]:
    day = first
    while day <= last:
        yield day
        if years:
            day = date(day.year + 1, 1, 1)
        else:
            day = (day.replace(day=1) + timedelta(32)).replace(day=1)


_TALL = {Verdict.APPLY: 16.0, Verdict.WATER: 11.0, Verdict.WAIT: 5.0}


def _verdicts(sheet: _Sheet, run: Run, top: float) -> None:
    """A bar for each digest: tall to apply, half to water, low to wait."""
    for week in run.weeks:
        tall = _TALL[week.verdict]
        wide = sheet.week(week.on, 0.62)
        ink = "faint" if week.cannot_tell else week.verdict.value
        sheet.draw("rect", sheet.x(week.on), top + 16 - tall, wide, tall, ink,
                   note=f"{week.on}: {week.text}")  # fmt: skip


def _title(sheet: _Sheet, title: str) -> None:
    sheet.y += sheet.layout.size + 2
    sheet.draw("text", 8.0, sheet.y, title, size=sheet.layout.size + 1, bold=True)
    sheet.y += 8


def _grass(sheet: _Sheet, run: Run, lawn: str) -> None:
    spells = next((one.spells for one in run.grass if one.lawn == lawn), ())
    if not spells:
        return
    top = sheet.lane(tell("grass"), 8)
    for spell in spells:
        ink = _STATES.get(spell.state)
        if ink is not None:
            x = sheet.x(spell.first)
            wide = sheet.x(spell.last + timedelta(1)) - x
            note = tell("{state}, {first} to {last}", state=tell(_SHORT[spell.state]),
                        first=spell.first, last=spell.last)  # fmt: skip
            sheet.draw("rect", x, top, wide, 8.0, ink, note=note)


def _put_down(sheet: _Sheet, run: Run, done: Sequence[DoneLine], units: str) -> None:
    """A dot for each application, with its task beside it where there is room."""
    size = sheet.layout.size - 1
    top = sheet.lane(tell(_PUT_DOWN[run.foresight]), 15)
    sheet.draw("line", sheet.layout.left, top + 14.5,
               sheet.layout.width - sheet.layout.right, top + 14.5, "grid")  # fmt: skip
    put = [line for line in done if line.product is not None]
    ends = [*(sheet.x(line.day) for line in put[1:]), sheet.layout.width]
    for line, end in zip(put, ends, strict=True):
        x = sheet.x(line.day)
        sheet.draw("circle", x, top + 8, 4.5, "apply",
                   note=f"{day_text(line.day, units)}: {line.what}")  # fmt: skip
        full = task_short(line.task)
        for word in (full, full.split()[-1]):
            if x + 7 + len(word) * size * 0.58 < end - 6:
                sheet.draw("text", x + 7, top + 12, word, size=size)
                break


def _water(sheet: _Sheet, run: Run, done: Sequence[DoneLine], most: float, units: str) -> None:
    """A bar for each watering, as tall as it was deep."""
    top = sheet.lane(tell(_WATER[run.foresight]), 20)
    wide = 2.0 if sheet.layout.above else 3.0
    for line in done:
        if line.task == WATERING and line.water_mm > 0:
            tall = 20 * line.water_mm / most
            sheet.draw("rect", sheet.x(line.day) - wide / 2, top + 20 - tall, wide, tall, "water",
                       note=f"{day_text(line.day, units)}: {line.what}")  # fmt: skip


def _held(sheet: _Sheet, run: Run, lawn: str) -> None:
    """How much of each week something with an open window was held."""
    top = sheet.lane(tell(_HELD[run.foresight]), 10)
    for week in run.weeks:
        found = [one for one in week.held if one.lawn == lawn and one.task != WATERING]
        days = max((one.held_days for one in found), default=0)
        if days:
            tall = 10 * days / 7
            why = enumerated(
                [
                    tell("{task} by {rule}", task=task_short(one.task), rule=one.rule)
                    for one in found
                    if one.rule
                ]
            )
            sheet.draw("rect", sheet.x(week.on), top + 10 - tall, sheet.week(week.on, 0.85), tall,
                       "wait", note=f"{week.on}: {why}")  # fmt: skip


def _legend(sheet: _Sheet, runs: Sequence[Run]) -> None:
    """What the inks say, in words, wrapped to the width."""
    seen = {spell.state for run in runs[:1] for lawn in run.grass for spell in lawn.spells}
    marks = [
        ("apply", tell("apply, put down")), ("water", verdict_within(Verdict.WATER)),
        ("wait", tell("wait, held")),
        *((ink, tell(_IN_FULL[state])) for state, ink in _STATES.items() if state in seen),
    ]  # fmt: skip
    size = sheet.layout.size - 1
    x, limit = 8.0, sheet.layout.width - 8
    sheet.y += size
    for ink, words in marks:
        needs = 20 + len(words) * size * 0.56
        if x + needs > limit:
            x, sheet.y = 8.0, sheet.y + size + 6
        sheet.draw("rect", x, sheet.y - size + 2, 10.0, 10.0, ink)
        sheet.draw("text", x + 14, sheet.y, words, size=size)
        x += needs
    sheet.y += 4

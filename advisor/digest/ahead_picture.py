"""The season ahead as a picture: a row a window over thirteen months, for a wide page or a phone.

Each row has the range in which the window opens as a broad band with a stroke at the likely day,
and from there a thin bar to the day on which it likely closes. What law closes is hatched. The
picture says nothing that the table beside it does not say.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from advisor.digest.ahead_view import SeasonView, season_view, what_is_closed
from advisor.digest.clean import clean_text
from advisor.digest.drawing import Drawing
from advisor.language.dates import date_text, month_text
from advisor.language.words import tell
from advisor.plan.ahead_model import Ahead, Dates, LawnAhead, Mark, Window
from advisor.plan.ahead_words import dates_text, range_text

LONGEST_TITLE = 40
"""Characters of a lawn's title that a phone has room for."""

MONTHS = 13
"""Months from the one of today on: a year, whatever its day."""

_INKS = {"frost": "water", "winter-dormancy": "other", "heat-stress": "wait", "drought": "wait"}


@dataclass(frozen=True)
class _Size:
    """Measures of a layout, in user units. `above`: labels stand above the bars, not beside."""

    width: float
    left: float
    right: float
    row: float
    band: float
    type: float
    small: float
    above: bool


_WIDE = _Size(1000, 250, 16, 34, 16, 14, 12.5, above=False)
_NARROW = _Size(360, 6, 6, 46, 14, 13.5, 12, above=True)


@dataclass(frozen=True)
class _Row:
    """One row: `opens` with a band from first to last and a stroke at the likely day, `until` the
    end of its bar; `closed` hatched stretches instead."""

    label: str
    said: str
    ink: str
    opens: tuple[date, date, date] | None = None
    until: date | None = None
    closed: tuple[tuple[date, date], ...] = ()
    note: str = ""

    @property
    def begins(self) -> date:
        return self.opens[0] if self.opens else self.closed[0][0]


def wide(ahead: Ahead) -> Drawing:
    """A picture for a page, a screen or paper."""
    return _draw(ahead, _WIDE)


def narrow(ahead: Ahead) -> Drawing:
    """The same for a phone: 360 units wide, so that its words are as large as the page's."""
    return _draw(ahead, _NARROW)


def _draw(ahead: Ahead, size: _Size) -> Drawing:
    view = season_view(ahead)
    groups = [(lawn.title, list(_rows(lawn, ahead))) for lawn in ahead.lawns]
    head = 3 * size.row / 2 if size.above else size.row
    height = 34 + sum(head + len(rows) * size.row for _, rows in groups) + 30
    drawing = Drawing(size.width, height, view.title, _finding(ahead, view))
    axis = _Axis(ahead.on, ahead.site.units, size, height - 30)
    axis.months(drawing)
    y = 34.0
    for title, rows in groups:
        drawing.text(
            6, y + head * 0.62, clean_text(title, LONGEST_TITLE), size=size.type + 2, bold=True
        )
        y += head
        for row in rows:
            _row(drawing, axis, size, y, row)
            y += size.row
    axis.today(drawing, date_text(ahead.on, ahead.site.units))
    return drawing


def _finding(ahead: Ahead, view: SeasonView) -> str:
    """What the picture shows, as words."""
    units = ahead.site.units
    told = [
        tell(
            "{lawn}: {windows}.",
            lawn=lawn.title,
            windows="; ".join(
                tell("{task} open now", task=window.title)
                if window.standing == "open"
                else tell("{task} {dates}", task=window.title,
                          dates=dates_text(window.opens, units))
                for window in lawn.windows
            ),
        )
        for lawn in ahead.lawns
        if lawn.windows
    ]  # fmt: skip
    return " ".join((f"{view.title}.", *told)) if told else view.title


class _Axis:
    """Thirteen months from left to right."""

    def __init__(self, today: date, units: str, size: _Size, bottom: float) -> None:
        self._today, self._units, self._size, self._bottom = today, units, size, bottom
        self.first = today.replace(day=1)
        self.last = _month(self.first, MONTHS)
        self._per_day = (size.width - size.left - size.right) / (self.last - self.first).days

    def x(self, day: date) -> float:
        """Where a day begins; one beyond an end is at that end."""
        inside = min(max(day, self.first), self.last)
        return self._size.left + (inside - self.first).days * self._per_day

    def months(self, drawing: Drawing) -> None:
        for n in range(MONTHS):
            begins = _month(self.first, n)
            x, width = self.x(begins), self.x(_month(begins, 1)) - self.x(begins)
            drawing.line(x, 30, x, self._bottom, "grid")
            name = month_text(begins.month, self._units, "abbreviated")
            drawing.text(
                x + width / 2, 20, name[:1] if self._size.above else name,
                ink="faint", size=self._size.small, anchor="middle",
            )  # fmt: skip
        drawing.line(self.x(self.last), 30, self.x(self.last), self._bottom, "grid")

    def today(self, drawing: Drawing, said: str) -> None:
        x = self.x(self._today)
        drawing.line(x, 30, x, self._bottom + 6, "ink", thick=1.5, dashed=True)
        anchor = "start" if x < self._size.width * 0.8 else "end"
        drawing.text(
            x,
            self._bottom + 20,
            tell("today, {day}", day=said),
            size=self._size.small,
            anchor=anchor,
        )


def _month(day: date, later: int) -> date:
    months = day.year * 12 + day.month - 1 + later
    return date(months // 12, months % 12 + 1, 1)


def _row(drawing: Drawing, axis: _Axis, size: _Size, y: float, row: _Row) -> None:
    middle = y + (27 if size.above else size.row / 2)
    top = middle - size.band / 2
    if size.above:
        drawing.text(6, y + 14, row.label, size=size.type)
        drawing.text(size.width - 6, y + 14, row.said, ink="faint", size=size.small, anchor="end")
    else:
        drawing.text(18, middle + 5, row.label, size=size.type)
    end = axis.x(axis.first)
    for first, last in row.closed:
        end = _hatched(drawing, axis, (first, last), top, size.band, row.note)
    if row.opens is not None:
        end = _opening(drawing, axis, middle, size.band, row)
    if not size.above:
        # Beside the bar, or before it where the picture ends.
        room = size.width - end - size.right
        wanted = 7.0 * len(row.said)
        if room >= wanted:
            drawing.text(end + 8, middle + 4.5, row.said, ink="faint", size=size.small)
        else:
            drawing.text(
                axis.x(row.begins) - 8,
                middle + 4.5,
                row.said,
                ink="faint",
                size=size.small,
                anchor="end",
            )


def _opening(drawing: Drawing, axis: _Axis, middle: float, band: float, row: _Row) -> float:
    """The band, the bar behind it and the stroke at the likely day; returns where all that ends."""
    assert row.opens is not None
    earliest, likely, latest = row.opens
    left, right = axis.x(earliest), max(axis.x(latest + timedelta(1)), axis.x(earliest) + 2)
    at = axis.x(likely)
    end = max(right, axis.x(row.until) if row.until else right)
    drawing.rect(left, middle - band / 2, right - left, band, "band", row.note)
    if row.until is not None and row.until > likely:
        drawing.rect(at, middle - 2, axis.x(row.until) - at, 4, row.ink, row.note)
    drawing.rect(at - 1.5, middle - band / 2 - 2, 3, band + 4, row.ink, row.note)
    return end


def _hatched(
    drawing: Drawing, axis: _Axis, span: tuple[date, date], top: float, band: float, note: str
) -> float:
    """A stretch that law closes; returns where it ends."""
    left, right = axis.x(span[0]), axis.x(span[1] + timedelta(1))
    drawing.rect(left, top, right - left, band, "grid", note)
    x = left
    while x + 4 < right:
        run = min(band, right - x)
        drawing.line(x, top + band, x + run, top + band - run, "faint")
        x += 7
    return right


def _rows(lawn: LawnAhead, ahead: Ahead) -> Iterator[_Row]:
    units = ahead.site.units
    for window in lawn.windows:
        yield _of_window(window, ahead)
    for mark in lawn.marks:
        yield from _of_mark(mark, ahead)
    for of in dict.fromkeys(closed.of for closed in lawn.closed):
        spans = [closed for closed in lawn.closed if closed.of == of]
        dates = ", ".join(
            tell("{first} to {last}", first=date_text(one.first, units),
                 last=date_text(one.last, units))
            for one in spans
        )  # fmt: skip
        yield _Row(
            tell("No {what}", what=what_is_closed(of)), tell("closed by law"), "faint",
            closed=tuple((one.first, one.last) for one in spans),
            note=f"{', '.join(dict.fromkeys(one.title for one in spans))}: {dates}",
        )  # fmt: skip


def _of_window(window: Window, ahead: Ahead) -> _Row:
    units = ahead.site.units
    until = window.closes.likely if window.closes else None
    if window.standing == "open":
        since = window.opened or ahead.on
        said = tell("open now")
        if until is not None:
            said = tell("open now, until {day}", day=date_text(until, units))
        return _Row(window.title, said, "apply", (since, since, since), until, note=window.text)
    return _Row(window.title, _dated(window.opens, units), "apply", _three(window.opens), until,
                note=window.text)  # fmt: skip


def _of_mark(mark: Mark, ahead: Ahead) -> Iterator[_Row]:
    units = ahead.site.units
    named = (
        (tell("First frost"), tell("Last frost"))
        if mark.name == "frost"
        else (tell("{turn} begins", turn=mark.title), tell("{turn} ends", turn=mark.title))
    )
    for label, dates in sorted(
        ((label, dates) for label, dates in zip(named, (mark.starts, mark.ends), strict=True)
         if dates is not None),
        key=lambda pair: pair[1].likely,
    ):  # fmt: skip
        yield _Row(label, _dated(dates, units), _INKS[mark.name], _three(dates), note=mark.text)


def _three(dates: Dates) -> tuple[date, date, date]:
    return dates.earliest, dates.likely, dates.latest


def _dated(dates: Dates, units: str) -> str:
    likely = date_text(dates.likely, units)
    if dates.earliest == dates.latest:
        return likely
    return tell("{likely} ({range})", likely=likely, range=range_text(dates, units))

"""Why an action has its day, its place before others, its hours: which principle placed it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, time

import numpy as np

from advisor.language.dates import day_text
from advisor.language.listing import listed
from advisor.language.words import tell
from advisor.plan.choice import Choice, Placed
from advisor.plan.hours import LONGEST, MIDDAY, Stretch
from advisor.plan.reasons import usable, why_not
from advisor.plan.view import View
from advisor.plan.watering import thirsty
from advisor.plan.words import task_in_full
from advisor.series.hourly import HOUR
from advisor.series.quantity import Kind, show
from advisor.site.words import WATERING

DRIER_BY = 0.2
"""Rain of a day less than another's that makes it the drier one [mm; judgement]."""


def why_chosen(choice: Choice) -> tuple[str, ...]:
    """Short sentences, that on the day first; none where it is not known how it was placed."""
    if choice.placed is None:
        return ()
    return (
        _day(choice, choice.placed),
        *_shared(choice.placed),
        *_before(choice, choice.placed),
        *_hours(choice, choice.placed),
    )


def _day(choice: Choice, placed: Placed) -> str:
    view = placed.view
    when = _named(view, choice.day)
    if placed.announced:
        return tell("It keeps {day}, the day that it was announced for.", day=when)
    if placed.put_off_from is not None:
        first = _named(view, placed.put_off_from)
        return tell(
            "It is put off from {first} to {day}, to share a trip with the spreader.",
            first=first,
            day=when,
        )
    if choice.onset is not None:
        lack = _named(view, choice.onset)
        return tell(
            "{day} is the last good watering day before {lack}, when the grass begins to lack it.",
            day=when,
            lack=lack,
        )
    opened = _opened(choice, view)
    if not opened:
        if choice.day == view.setting.today:
            return tell(
                "{day} (today) is the first day that suits: the earliest goes first.", day=when
            )
        return tell("{day} is the first day that suits: the earliest goes first.", day=when)
    if (alone := _owner_only(choice, placed)) is not None:
        return alone
    first = tell("{day} is the first open day that nothing holds.", day=when)
    return f"{first} {_not_it(choice, view, opened[0])}"


def _not_it(choice: Choice, view: View, day: int) -> str:
    """Why an open day before its own is not used."""
    reason = why_not(view, choice.task, day)
    if reason.opens_with_day:
        return tell("Before it, {why}", why=reason.because)
    return tell("{day} is not it: {why}", day=_named(view, day), why=reason.because)


def _opened(choice: Choice, view: View) -> list[int]:
    """The days before its own on which its window is open: for water, after the last planned."""
    first = view.setting.today
    if choice.task == WATERING:
        planned = np.flatnonzero(view.planned_mm[: choice.day])
        first = max(first, int(planned[-1]) + 1 if len(planned) else 0)
    windows = [opened for _, opened in view.opened(choice.task)]
    return [day for day in range(first, choice.day) if any(opened[day] for opened in windows)]


def owner_only(choice: Choice) -> str | None:
    """That an action waits for its owner alone, as a sentence; None where that is not so."""
    if choice.placed is None or choice.placed.announced or choice.placed.put_off_from is not None:
        return None
    return _owner_only(choice, choice.placed)


def _owner_only(choice: Choice, placed: Placed) -> str | None:
    view = placed.view
    if choice.task == WATERING:
        return None
    days = _opened(choice, view)
    alone = [day for day in days if not view.owner_free[day] and _would_do(view, choice, day)]
    if not alone:
        return None
    own = [day for day in days if view.owner_free[day]]
    besides = f" {_not_it(choice, view, own[0])}" if own else ""
    return _not_free(choice, view, alone) + besides


def _would_do(view: View, choice: Choice, day: int) -> bool:
    """Whether a day lacks nothing but its owner."""
    return usable(view, choice.task, day, owner=False) and not thirsty(view)[day]


def _not_free(choice: Choice, view: View, days: list[int]) -> str:
    rain = view.setting.weather.daily.rain_low
    driest = min(days, key=lambda day: float(rain[day]))
    drier = float(rain[choice.day]) - float(rain[driest]) > DRIER_BY
    missed = _named(view, driest if drier else days[0])
    free = _named(view, choice.day)
    if drier:
        return tell(
            "You are free on {free}, not on {missed}, which would have been drier.",
            free=free,
            missed=missed,
        )
    return tell(
        "You are free on {free}, not on {missed}, which is open too.", free=free, missed=missed
    )


def _named(view: View, day: int) -> str:
    return day_text(view.setting.days[day], view.setting.site.units)


def _shared(placed: Placed) -> Iterator[str]:
    if len(placed.lawns) > 1:
        yield tell("One trip with the spreader does {lawns}.", lawns=listed(placed.lawns))


def _before(choice: Choice, placed: Placed) -> Iterator[str]:
    """By which principle it went before the next candidate of its lawn."""
    other, view = placed.after, placed.view
    if other is None:
        return
    name = task_in_full(other.task)
    if choice.day < other.day and not placed.announced and other.task != WATERING:
        when = _named(view, other.day)
        yield tell(
            "It goes before {task}, which could go no sooner than {day}.", task=name, day=when
        )
    elif choice.day != other.day:
        return
    elif choice.task == WATERING:
        yield tell("Water goes before food: {task} waits until it is given.", task=name)
    elif choice.closes != other.closes and choice.closes is not None:
        yield tell(
            "It goes before {task}: its window closes first, after {day}.",
            task=name,
            day=_named(view, choice.closes),
        )
    else:
        yield tell(
            "It goes before {task} by the order of tasks alone: no window closes sooner.",
            task=name,
        )


def _hours(choice: Choice, placed: Placed) -> Iterator[str]:
    stretch, setting = choice.stretch, placed.view.setting
    if stretch is None:
        return
    start, end = stretch.text()
    hours = tell("{start} to {end}", start=start, end=end)
    if choice.task == WATERING:
        day, lawn = setting.days[choice.day], choice.lawn.name
        if setting.site.watering.spans(day, lawn) is not None:
            yield tell("{hours}: the first hours left in which watering is allowed.", hours=hours)
        elif stretch.start.hour * 60 >= MIDDAY[0]:
            yield tell("{hours}: the morning is held, so water goes down at midday.", hours=hours)
        else:
            yield tell("{hours}: before dawn there is least wind and evaporation.", hours=hours)
        return
    if placed.kept_hours:
        yield tell(
            "{hours} lie in the hours that it was announced for, and are still good.", hours=hours
        )
        return
    owner = setting.site.free.hours_on(setting.days[choice.day])
    yield _calmest(hours, _wind(choice, placed.view, stretch), owner is not None)


def _calmest(hours: str, wind: str, yours: bool) -> str:
    """That they are the calmest dry hours, of the owner's own where those are stated."""
    words = {"hours": hours, "most": LONGEST, "wind": wind}
    match yours, bool(wind):
        case True, True:
            return tell(
                "{hours}: the calmest dry hours in which you are free, {most} at the most, with"
                " wind of {wind}.",
                **words,
            )
        case True, False:
            return tell(
                "{hours}: the calmest dry hours in which you are free, {most} at the most.",
                **words,
            )
        case False, True:
            return tell(
                "{hours}: the calmest dry hours, {most} at the most, with wind of {wind}.",
                **words,
            )
        case _:
            return tell("{hours}: the calmest dry hours, {most} at the most.", **words)


def _wind(choice: Choice, view: View, stretch: Stretch) -> str:
    """The mean wind of the hours; empty where it is not known."""
    weather = view.setting.weather
    series, day = weather.series, view.setting.days[choice.day]

    def row(clock: time) -> int:
        moment = datetime.combine(day, clock, weather.zone).astimezone(UTC)
        return int((moment - series.start).total_seconds()) // HOUR

    blow = series.column("wind")[max(0, row(stretch.start) - 1) : max(0, row(stretch.end))]
    if not len(blow) or np.isnan(blow).any():
        return ""
    return show(float(np.mean(blow)), Kind.SPEED, view.setting.site.units)

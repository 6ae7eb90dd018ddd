"""Why an action has its day, its place before others, its hours: which principle placed it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, time

import numpy as np

from advisor.language.dates import day_text
from advisor.plan.choice import Choice, Placed
from advisor.plan.hours import LONGEST, MIDDAY, Stretch
from advisor.plan.reasons import usable, why_not
from advisor.plan.view import View
from advisor.plan.watering import thirsty
from advisor.plan.words import TASK_TITLES
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
        return f"It keeps {when}, the day that it was announced for."
    if placed.put_off_from is not None:
        first = _named(view, placed.put_off_from)
        return f"It is put off from {first} to {when}, to share a trip with the spreader."
    if choice.onset is not None:
        lack = _named(view, choice.onset)
        return (
            f"{when} is the last good watering day before {lack}, when the grass begins to lack it."
        )
    opened = _opened(choice, view)
    if not opened:
        today_too = " (today)" if choice.day == view.setting.today else ""
        return f"{when}{today_too} is the first day that suits: the earliest goes first."
    if (alone := _owner_only(choice, placed)) is not None:
        return alone
    return f"{when} is the first open day that nothing holds. {_not_it(choice, view, opened[0])}"


def _not_it(choice: Choice, view: View, day: int) -> str:
    """Why an open day before its own is not used."""
    name, why = _named(view, day), why_not(view, choice.task, day)
    return f"Before it, {why}" if why.startswith(name) else f"{name} is not it: {why}"


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
    would = "would have been drier" if drier else "is open too"
    return f"You are free on {_named(view, choice.day)}, not on {missed}, which {would}."


def _named(view: View, day: int) -> str:
    return day_text(view.setting.days[day], view.setting.site.units)


def _shared(placed: Placed) -> Iterator[str]:
    if len(placed.lawns) > 1:
        names = f"{', '.join(placed.lawns[:-1])} and {placed.lawns[-1]}"
        yield f"One trip with the spreader does {names}."


def _before(choice: Choice, placed: Placed) -> Iterator[str]:
    """By which principle it went before the next candidate of its lawn."""
    other, view = placed.after, placed.view
    if other is None:
        return
    name = TASK_TITLES[other.task]
    if choice.day < other.day and not placed.announced and other.task != WATERING:
        when = _named(view, other.day)
        yield f"It goes before {_low(name)}, which could go no sooner than {when}."
    elif choice.day != other.day:
        return
    elif choice.task == WATERING:
        yield f"Water goes before food: {_low(name)} waits until it is given."
    elif choice.closes != other.closes and choice.closes is not None:
        yield (
            f"It goes before {_low(name)}: its window closes first, after"
            f" {_named(view, choice.closes)}."
        )
    else:
        yield f"It goes before {_low(name)} by the order of tasks alone: no window closes sooner."


def _low(title: str) -> str:
    return title[:1].lower() + title[1:]


def _hours(choice: Choice, placed: Placed) -> Iterator[str]:
    stretch, setting = choice.stretch, placed.view.setting
    if stretch is None:
        return
    start, end = stretch.text()
    hours = f"{start} to {end}"
    if choice.task == WATERING:
        day, lawn = setting.days[choice.day], choice.lawn.name
        if setting.site.watering.spans(day, lawn) is not None:
            yield f"{hours}: the first hours left in which watering is allowed."
        elif stretch.start.hour * 60 >= MIDDAY[0]:
            yield f"{hours}: the morning is held, so water goes down at midday."
        else:
            yield f"{hours}: before dawn there is least wind and evaporation."
        return
    if placed.kept_hours:
        yield f"{hours} lie in the hours that it was announced for, and are still good."
        return
    owner = setting.site.free.hours_on(setting.days[choice.day])
    where = "" if owner is None else " in which you are free"
    calm = _wind(choice, placed.view, stretch)
    yield f"{hours}: the calmest dry hours{where}, {LONGEST} at the most{calm}."


def _wind(choice: Choice, view: View, stretch: Stretch) -> str:
    """The mean wind of the hours, where it is known."""
    weather = view.setting.weather
    series, day = weather.series, view.setting.days[choice.day]

    def row(clock: time) -> int:
        moment = datetime.combine(day, clock, weather.zone).astimezone(UTC)
        return int((moment - series.start).total_seconds()) // HOUR

    blow = series.column("wind")[max(0, row(stretch.start) - 1) : max(0, row(stretch.end))]
    if not len(blow) or np.isnan(blow).any():
        return ""
    return f", with wind of {show(float(np.mean(blow)), Kind.SPEED, view.setting.site.units)}"

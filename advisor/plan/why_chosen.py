"""Why an action has its day, its place before others, its hours: which principle placed it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, time

import numpy as np

from advisor.plan.choice import Choice, Placed
from advisor.plan.hours import LONGEST, MIDDAY, Stretch
from advisor.plan.owner_time import next_free
from advisor.plan.reasons import why_not
from advisor.plan.view import View
from advisor.plan.words import TASK_TITLES, day_text
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
    today = view.setting.today
    opened = [day for day in range(today, choice.day) if _opened(view, choice.task, day)]
    if not opened:
        today_too = " (today)" if choice.day == today else ""
        return (
            f"{when}{today_too} is the first day that is open and unheld: the earliest goes first."
        )
    for day in opened:
        if choice.task != WATERING and next_free(view, day) != day and _usable(view, choice, day):
            return _not_free(choice, view, day)
    name, why = _named(view, opened[0]), why_not(view, choice.task, opened[0])
    return f"{when} is the first open day that nothing holds. {name} is not it: {why}"


def _opened(view: View, task: str, day: int) -> bool:
    return any(days[day] for _, days in view.opened(task))


def _usable(view: View, choice: Choice, day: int) -> bool:
    """Whether rules and law leave a day on which the owner is not free."""
    return not view.held(choice.task)[day] and not any(
        view.held(name)[day] for name in (view.names(choice.product) if choice.product else ())
    )


def _not_free(choice: Choice, view: View, day: int) -> str:
    rain = view.setting.weather.daily.rain_low
    missed, taken = float(rain[day]), float(rain[choice.day])
    would = "would have been drier" if taken - missed > DRIER_BY else "would have been sooner"
    return f"You are free on {_named(view, choice.day)}; {_named(view, day)} {would}."


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
    if choice.day < other.day and not placed.announced:
        yield f"It goes before {_low(name)}, which can go no sooner than {_named(view, other.day)}."
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
        if setting.site.watering.hours:
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

    blow = series.column("wind")[max(0, row(stretch.start)) : max(0, row(stretch.end))]
    if not len(blow) or np.isnan(blow).any():
        return ""
    return f", with wind of {show(float(np.mean(blow)), Kind.SPEED, view.setting.site.units)}"

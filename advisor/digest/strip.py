"""The coming days as a strip: a column for each, its numbers without their units."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from advisor.digest.parts import DayView, StripView
from advisor.digest.saying import Saying
from advisor.language.dates import date_text, month_text, weekday_text
from advisor.language.words import tell
from advisor.plan.model import Action, DayAhead, Verdict
from advisor.series.quantity import Kind, pretty_unit, shown

WET_MM = 2.5
"""Rain of a day from which its cell is marked: about a tenth of an inch [judgement]."""

NONE = "–"
"""Stands where there is nothing to say."""


def strip(say: Saying) -> StripView:
    """The coming days of the plan. Where something is advised for a day, its
    hours are the day's."""
    units, none = say.units, tell("No hours of these days suit putting anything down.")
    any_hours = any(_hours(say, day)[0] is not None for day in say.plan.days)
    return StripView(
        days=tuple(_day(say, day, any_hours) for day in say.plan.days),
        month=month_text(say.plan.days[0].day.month, units, "abbreviated") if say.plan.days else "",
        degrees=pretty_unit(shown(0.0, Kind.TEMPERATURE, units)[1]),
        depth=pretty_unit(shown(0.0, Kind.WATER, units)[1]),
        speed=pretty_unit(shown(0.0, Kind.SPEED, units)[1]),
        note="" if any_hours or not say.plan.days else none,
    )


def _hours(say: Saying, ahead: DayAhead) -> tuple[tuple[str, str] | None, Action | None]:
    """The hours of a day, and what is advised for them."""
    advised = next(iter(_advised(say, ahead.day)), None)
    start, end = (advised.start, advised.end) if advised else (ahead.start, ahead.end)
    return ((start, end) if start and end else None), advised


def _day(say: Saying, ahead: DayAhead, any_hours: bool) -> DayView:
    known, advised = _hours(say, ahead)
    return DayView(
        day=say.day(ahead.day),
        name=weekday_text(ahead.day.weekday(), say.units),
        # The month stands at the head of the strip, and where another begins.
        date=str(ahead.day.day) if ahead.day.day > 1 else date_text(ahead.day, say.units),
        low=_number(say, ahead.low_c, Kind.TEMPERATURE),
        high=_number(say, ahead.high_c, Kind.TEMPERATURE),
        rain=_number(say, ahead.rain_mm, Kind.WATER),
        chance=ahead.rain_chance or NONE,
        wind=_number(say, ahead.wind_m_s, Kind.SPEED),
        hours=known,
        brief=_brief(known) if known else NONE,
        advised=advised.verdict.value if advised is not None and known else "",
        wet=ahead.rain_mm is not None and ahead.rain_mm >= WET_MM,
        told=_told(ahead, known, advised, any_hours),
    )


def _brief(hours: tuple[str, str]) -> str:
    """Hours for a narrow column: `9–14`, `4:25–9`."""
    return "–".join(hour.removeprefix("0").removesuffix(":00") for hour in hours)


def _told(
    ahead: DayAhead, hours: tuple[str, str] | None, advised: Action | None, any_hours: bool
) -> str:
    """The day as a line of text."""
    weather = (
        tell("{low} to {high}, rain {rain} ({chance}), wind {wind}",
             low=ahead.low, high=ahead.high, rain=ahead.rain, chance=ahead.rain_chance,
             wind=ahead.wind)
        if ahead.rain_chance
        else tell("{low} to {high}, rain {rain}, wind {wind}",
                  low=ahead.low, high=ahead.high, rain=ahead.rain, wind=ahead.wind)
    )  # fmt: skip
    if not any_hours:
        return weather
    if hours is None:
        return tell("{weather}, no good hours", weather=weather)
    start, end = hours
    if advised is not None:
        return tell("{weather}; advised from {start} to {end}", weather=weather, start=start,
                    end=end)  # fmt: skip
    return tell("{weather}; best {start} to {end}", weather=weather, start=start, end=end)


def _advised(say: Saying, day: date) -> Iterator[Action]:
    """What is advised for a day: what is put down before water."""
    found = [
        action
        for lawn in say.plan.lawns
        for action in lawn.actions
        if action.verdict is not Verdict.WAIT and action.day == day and action.start
    ]
    yield from sorted(found, key=lambda a: (a.verdict is Verdict.WATER, a.start or ""))


def _number(say: Saying, value: float | None, kind: Kind) -> str:
    return NONE if value is None else shown(value, kind, say.units)[0]

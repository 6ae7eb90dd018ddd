"""What the owner's own time does to a task: days that would suit, and find nobody at home."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from advisor.language.dates import day_text
from advisor.language.words import later, tell
from advisor.plan.reason import Reason
from advisor.plan.view import View

SOURCE = later("your own [free] in site.toml")


def next_free(view: View, day: int) -> int | None:
    """The first day from `day` on, by index, on which the owner can work; None as far as the plan
    looks ahead."""
    setting = view.setting
    return next(
        (d for d in range(day, setting.end) if setting.site.free.allows(setting.days[d])), None
    )


def not_free(view: View, day: int) -> Reason | None:
    """That the owner cannot work on a day, where that is so."""
    free = next_free(view, day)
    if free == day:
        return None
    units, days = view.setting.site.units, view.setting.days
    when = day_text(days[day], units)
    if free is None:
        because = tell("You are not free on {day}.", day=when)
    else:
        because = tell(
            "You are not free on {day}; you are on {other}.",
            day=when,
            other=day_text(days[free], units),
        )
    return Reason("your-own-time", because, (), tell(SOURCE), day, until=free)


def closes_before(view: View, run: Sequence[int], suits: int) -> str:
    """What to tell of a window with the open days `run`, on none of which its owner can use it;
    `suits` is the first on which nothing but that is in the way."""
    setting = view.setting
    units, days = setting.site.units, setting.days
    last = run[-1]
    when = day_text(days[last], units)
    if any(setting.site.free.allows(days[day]) for day in run):
        other = day_text(days[suits], units)
        return tell(
            "The window is likely to close after {day}. Until then your free days do not suit,"
            " and others would, such as {other}: find time on one and say so under [free] in"
            " site.toml, or let it go.",
            day=when,
            other=other,
        )
    free = next_free(view, last + 1)
    if free is not None:
        return tell(
            "The window is likely to close after {day}, and you are free on {free}: find time"
            " before it closes and say so under [free] in site.toml, or let it go.",
            day=when,
            free=day_text(days[free], units),
        )
    return tell(
        "The window is likely to close after {day}, and you are not free as far as the forecast"
        " tells: find time before it closes and say so under [free] in site.toml, or let it go.",
        day=when,
    )


def beside_free(view: View, reason: Reason, day: int, suits: int) -> Reason:
    """A reason that speaks of a day on which the owner is free, with that day's name, and that the
    days without it, such as `suits`, are not the owner's."""
    units, days = view.setting.site.units, view.setting.days

    def told(sentence: str) -> str:
        return tell(
            "On {day}, when you are free: {sentence} Days that would suit, such as {other}, are"
            " not your free ones.",
            day=day_text(days[day], units),
            sentence=sentence,
            other=day_text(days[suits], units),
        )

    brief = told(reason.brief) if reason.brief else ""
    return replace(reason, because=told(reason.because), brief=brief)

"""What the owner's own time does to a task: days that would suit, and find nobody at home."""

from __future__ import annotations

from advisor.plan.reason import Reason
from advisor.plan.view import View
from advisor.plan.words import day_text

SOURCE = "your own [free] in site.toml"


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
    again = f"; you are on {day_text(days[free], units)}" if free is not None else ""
    return Reason(
        "your-own-time", f"You are not free on {when}{again}.", (), SOURCE, day, until=free
    )


def closes_before(view: View, last: int) -> str:
    """What to tell of a window that stays open to `last` and finds its owner busy until then."""
    units, days = view.setting.site.units, view.setting.days
    free = next_free(view, last + 1)
    when = day_text(days[last], units)
    yours = (
        f"and you are free on {day_text(days[free], units)}"
        if free is not None
        else "and you are not free as far as the forecast tells"
    )
    return (
        f"The window is likely to close after {when}, {yours}: find time before it closes and say"
        " so under [free] in site.toml, or let it go."
    )

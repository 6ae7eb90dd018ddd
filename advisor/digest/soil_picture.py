"""Soil temperature by day, with the day's range, and the temperatures that windows wait for."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from advisor.digest.lettering import Spot
from advisor.digest.plot import LEFT, RIGHT, WIDTH, Picture, Plot, round_steps, runs, some_dates
from advisor.language.dates import date_text, separated
from advisor.language.sentences import capitalised
from advisor.language.words import tell, tell_many
from advisor.plan.curves_model import SoilCurve, Threshold
from advisor.plan.words import TASK_SHORT
from advisor.series.quantity import Kind, convert, pretty_unit, show

ByDay = dict[date, float]


def soil_picture(curve: SoilCurve, today: date, units: str) -> Picture | None:
    """The picture; None where no day's temperature is known."""
    mean = known_days(curve)
    if len(mean) < 2:
        return None
    depth = _depth(curve.depth_m, units)
    title = tell("Soil temperature at {depth}", depth=depth)
    finding = _finding(curve, mean, today, units, depth)
    unit = "F" if units == "us" else "C"

    def own(celsius: float) -> float:
        return convert(celsius, Kind.TEMPERATURE, unit)

    span = [value for values in (curve.coldest_c, curve.warmest_c) for value in values
            if value is not None] + [one.celsius for one in curve.thresholds]  # fmt: skip
    low, high = own(min(span)), own(max(span))
    room = max(4.0, 0.09 * (high - low))
    plot = Plot(title, finding, curve.days, (low - room, high + room), units)
    plot.ahead(today)
    plot.values((tick, f"{tick:.0f} {pretty_unit(unit)}")
                for tick in round_steps(low - room, high + room, 5))  # fmt: skip
    _band(plot, curve, own)
    for threshold in curve.thresholds:
        y = plot.y(own(threshold.celsius))
        plot.line([(LEFT - 4, y), (WIDTH - RIGHT, y)], "ink", thick=1.4, dash="6 4")
    for run in runs(curve.days, [mean.get(day) for day in curve.days]):
        behind = [(plot.x(day), plot.y(own(value))) for day, value in run if day <= today]
        ahead = [(plot.x(day), plot.y(own(value))) for day, value in run if day >= today]
        plot.line(behind, "soil", thick=2.4)
        plot.line(ahead, "soil", thick=2.4, dash="5 3.5")
    plot.today(today, tell("forecast") if max(mean) > today else "")
    plot.dates(some_dates(curve.days, units))
    if today in mean:
        x, y = plot.x(today), plot.y(own(mean[today]))
        plot.drawing.circle(x, y, 4, "soil")
        plot.label(show(mean[today], Kind.TEMPERATURE, units), plot.around(x, y), "soil",
                   bold=True, halo="ground")  # fmt: skip
    for threshold in curve.thresholds:
        plot.label(_told(threshold, units), plot.along(plot.y(own(threshold.celsius))),
                   halo="ground")  # fmt: skip
    if max(mean) > today:
        x, y = plot.x(max(mean)), plot.y(own(mean[max(mean)]))
        plot.label(show(mean[max(mean)], Kind.TEMPERATURE, units),
                   [Spot(x, y + dy, "end") for dy in (-9, 18, -18, 27, -28, 38)], "soil",
                   halo="ground")  # fmt: skip
    plot.label(tell("the day's range"), _at_the_edge(plot, curve, own), "soil", halo="ground")
    return Picture("soil", title, finding, plot.finished())


def known_days(curve: SoilCurve) -> ByDay:
    """The days whose mean is known."""
    return {
        day: low
        for day, low, high in zip(curve.days, curve.low_c, curve.high_c, strict=True)
        if low is not None and low == high
    }


def _band(plot: Plot, curve: SoilCurve, own: Callable[[float], float]) -> None:
    """From the coldest to the warmest hour of each day."""
    cold, warm = (runs(curve.days, values) for values in (curve.coldest_c, curve.warmest_c))
    for below, above in zip(cold, warm, strict=True):
        lower = [(plot.x(day), plot.y(own(value))) for day, value in below]
        upper = [(plot.x(day), plot.y(own(value))) for day, value in above]
        plot.drawing.polygon([*lower, *reversed(upper)], "soil-band")
        for edge in (lower, upper):
            plot.line(edge, "soil", thick=0.6, kept=False)


def _at_the_edge(plot: Plot, curve: SoilCurve, own: Callable[[float], float]) -> list[Spot]:
    """Places above and below what the day's range fills."""
    return [
        Spot(plot.x(day), plot.y(own(value)) + dy, "start")
        for values, dy in ((curve.coldest_c, 20), (curve.warmest_c, -8))
        for day, value in list(zip(curve.days, values, strict=True))[1:-20:3]
        if value is not None
    ]


def _depth(depth_m: float, units: str) -> str:
    return show(depth_m, Kind.LENGTH, units, unit="in" if units == "us" else "cm").replace(
        separated(".0") + " ", " "
    )


def _told(threshold: Threshold, units: str) -> str:
    """A threshold beside its line."""
    task, limit = tell(TASK_SHORT[threshold.task]), show(
        threshold.celsius, Kind.TEMPERATURE, units
    )  # fmt: skip
    if threshold.wants == "at least":
        if threshold.shuts:
            return tell("{task} down to {limit}", task=task, limit=limit)
        return tell("{task} from {limit}", task=task, limit=limit)
    if threshold.shuts:
        return tell("{task} up to {limit}", task=task, limit=limit)
    return tell("{task} at {limit} or less", task=task, limit=limit)


def _finding(curve: SoilCurve, mean: ByDay, today: date, units: str, depth: str) -> str:
    """What the picture shows, as sentences."""
    first, last = min(mean), max(mean)
    told = []
    if today in mean:
        told.append(
            tell("Soil at {depth}: {value} today.", depth=depth,
                 value=show(mean[today], Kind.TEMPERATURE, units))
        )  # fmt: skip
    else:
        told.append(tell("Soil at {depth}: today's temperature is not known.", depth=depth))
    told += [_beside(threshold, mean, today, units) for threshold in curve.thresholds]
    if last > today:
        told.append(
            tell("{value} expected by {date}.", value=show(mean[last], Kind.TEMPERATURE, units),
                 date=date_text(last, units))
        )  # fmt: skip
    else:
        told.append(tell("The days ahead are not known."))
    behind = [mean[day] for day in mean if day <= today]
    if behind:
        told.append(
            tell("Since {date} the days' means lay between {low} and {high}.",
                 date=date_text(first, units), low=show(min(behind), Kind.TEMPERATURE, units),
                 high=show(max(behind), Kind.TEMPERATURE, units))
        )  # fmt: skip
    missing = sum(day not in mean for day in curve.days if first <= day <= last)
    if missing:
        told.append(
            tell_many("{count} day in between is not known.", "{count} days in between are not"
                      " known.", missing)
        )  # fmt: skip
    return " ".join(told)


def _beside(threshold: Threshold, mean: ByDay, today: date, units: str) -> str:
    """On which side of a threshold the soil is, since when, and when that changes."""
    named = capitalised(_told(threshold, units))
    behind = sorted(day for day in mean if day <= today)
    ahead = sorted(day for day in mean if day > today)
    if not behind:
        return tell("{threshold}.", threshold=named)
    now = behind[-1]
    above = mean[now] >= threshold.celsius
    since = now
    for day in reversed(behind):
        # A day that is not known may have been on the other side.
        if (mean[day] >= threshold.celsius) is not above or (since - day).days > 1:
            break
        since = day
    turn = next((day for day in ahead if (mean[day] >= threshold.celsius) is not above), None)
    whole = since == behind[0]
    words = {"threshold": named, "since": date_text(since, units)}
    if turn is None:
        if whole:
            return (
                tell("{threshold}: the soil has been warmer since {since} at the latest.", **words)
                if above
                else tell("{threshold}: the soil has been colder since {since} at the latest.",
                          **words)
            )  # fmt: skip
        return (
            tell("{threshold}: the soil has been warmer since {since}.", **words)
            if above
            else tell("{threshold}: the soil has been colder since {since}.", **words)
        )
    words["turn"] = date_text(turn, units)
    return (
        tell(
            "{threshold}: the soil has been warmer since {since}, and by the forecast is colder on"
            " {turn}.",
            **words,
        )
        if above
        else tell(
            "{threshold}: the soil has been colder since {since}, and by the forecast is warmer"
            " on {turn}.",
            **words,
        )
    )

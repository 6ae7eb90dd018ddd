"""The root zone's water as the soil below a surface, with rain and sprinklers above it."""

from __future__ import annotations

from datetime import date

from advisor.digest.lettering import Spot, text_width
from advisor.digest.plot import (
    LEFT,
    RIGHT,
    SIZE,
    WIDTH,
    Picture,
    Plot,
    Points,
    round_steps,
    runs,
    some_dates,
)
from advisor.language.dates import date_text, separated
from advisor.language.words import later, tell, tell_as
from advisor.plan.curves_model import Amounts, WaterCurve
from advisor.series.quantity import Kind, convert, show

SURFACE = 94.0
"""Where the ground begins, in units from the top."""

RAIN_TOP = 56.0
"""Where the tallest bar ends."""

LEAST_SCALE = 12.0
"""Water that a full bar stands for at least [mm], so that drizzle does not look like a downpour."""

CALLED = {
    "rain": later("rain {amount}"),
    "given": later("sprinklers {amount}"),
    "planned": later("planned {amount}"),
    "perhaps": later("perhaps {amount}"),
}
"""What stands at the tallest bar of each sort."""


def water_picture(curve: WaterCurve, today: date, units: str) -> Picture | None:
    """The picture; None where nothing is known of the water."""
    low, high = _by_day(curve, curve.depletion_low_mm), _by_day(curve, curve.depletion_high_mm)
    days = sorted(low.keys() & high.keys())
    if len(days) < 2:
        return None
    title = tell("Water in the root zone")
    finding = _finding(curve, low, high, today, units)
    unit = "in" if units == "us" else "mm"
    line = _by_day(curve, curve.stress_line_mm)
    deepest = min(
        curve.total_mm, 1.15 * max([*high.values(), *(1.3 * one for one in line.values())])
    )

    def own(mm: float) -> float:
        return convert(mm, Kind.WATER, unit)

    plot = Plot(title, finding, curve.days, (-own(deepest), 0.0), units, height=242, top=SURFACE)
    plot.drawing.rect(plot.x(today), 22, WIDTH - RIGHT - plot.x(today), plot.bottom - 22, "ahead")
    digits = 0 if own(deepest) >= 4 else 1
    steps = [step for step in round_steps(0.0, own(deepest), 3) if step > 0]
    plot.values([(0.0, tell_as("soil", "full")), *(
        (-step, f"{separated(f'−{step:.{digits}f}')} {unit}") for step in steps)])  # fmt: skip

    def points(amounts: Amounts) -> list[Points]:
        return [[(plot.x(day), plot.y(-own(value))) for day, value in run]
                for run in runs(curve.days, amounts)]  # fmt: skip

    wet, dry = points(curve.depletion_low_mm), points(curve.depletion_high_mm)
    for upper, lower in zip(wet, dry, strict=True):
        floor = [(upper[-1][0], plot.bottom), (upper[0][0], plot.bottom)]
        plot.drawing.polygon([*lower, *floor], "tank")
        if upper != lower:
            plot.drawing.polygon([*upper, *reversed(lower)], "maybe")
        for edge in (upper, lower) if upper != lower else (lower,):
            behind = [point for point in edge if point[0] <= plot.x(today)]
            ahead = [point for point in edge if point[0] >= plot.x(today)]
            plot.line(behind, "water", thick=2.2)
            plot.line(ahead, "water", thick=2.2, dash="5 3.5")
    stress = points(curve.stress_line_mm)
    for run in stress:
        plot.line(run, "stress", thick=1.6, dash="6 4")
    _given(plot, curve, units)
    here = (plot.x(today), plot.y(-own(high[today]))) if today in high else None
    plot.top = 22  # of the line of today, above the bars
    plot.today(today, tell("forecast") if days[-1] > today else "")
    plot.dates(some_dates(curve.days, units))
    if here is not None:
        x, y = here
        plot.drawing.circle(x, y, 4, "water")
        spots = [spot for spot in plot.around(x, y) if spot.y > max(y, SURFACE + 12)]
        plot.label(tell("lacks {amount}", amount=_between(low[today], high[today], units)),
                   [Spot(x - 6, plot.bottom - 7, "end"), *spots], "water", bold=True,
                   halo="tank")  # fmt: skip
    if line:
        near = line[min(line, key=lambda day: abs((day - today).days))]
        words = tell("stress begins at {amount}", amount=show(near, Kind.WATER, units))
        spots = [Spot(x, y + dy, anchor) for dy in (-6, 15) for run in stress
                 for at, anchor in ((0.02, "start"), (0.98, "end"), (0.3, "middle"),
                                    (0.6, "middle"))
                 for x, y in [run[int(at * (len(run) - 1))]]]  # fmt: skip
        plot.label(words, spots, "stress", halo="tank")
    return Picture("water", title, finding, plot.finished())


def _given(plot: Plot, curve: WaterCurve, units: str) -> None:
    """Bars on the ground: rain solid, sprinklers with a hat, what was perhaps given or is planned
    hollow; a question mark where rain is not known."""
    rows = (
        ("planned", curve.planned_mm, "other"),
        ("rain", curve.rain_low_mm, "water"),
        ("given", curve.irrigation_mm, "other"),
        ("perhaps", curve.perhaps_mm, "other"),
    )
    most = max([LEAST_SCALE, *(one or 0.0 for _, amounts, _ in rows for one in amounts)])
    tops: dict[str, tuple[float, float]] = {}
    for name, amounts, ink in reversed(rows):
        for day, mm in zip(curve.days, amounts, strict=True):
            if mm:
                tall = (SURFACE - RAIN_TOP) * mm / most
                _bar(plot, plot.x(day), SURFACE - tall, ink, name)
                tops[name] = min(tops.get(name, (SURFACE, 0.0)), (SURFACE - tall, plot.x(day)))
    for run in _unknown(curve):
        x = (plot.x(run[0]) + plot.x(run[-1])) / 2
        plot.label("?", [Spot(x, SURFACE - 5, "middle"), Spot(x, SURFACE - 18, "middle")], "faint",
                   bold=True, halo="ground")  # fmt: skip
    for name, amounts, ink in rows:
        if name not in tops:
            continue
        top, x = tops[name]
        most = max(one or 0.0 for one in amounts)
        shown = tell(CALLED[name], amount=show(most, Kind.WATER, units))
        half = text_width(shown, SIZE) / 2
        middle = min(max(x, LEFT + half), WIDTH - 4 - half)
        spots = [Spot(middle + dx, y, "middle") for y in (RAIN_TOP - 5, RAIN_TOP - 20, top - 5)
                 for dx in (0, -20, 20, -40, 40, -60, 60, -90, 90)]  # fmt: skip
        if name == "planned":
            spots.insert(0, Spot(WIDTH - 4, RAIN_TOP - 20, "end"))
        plot.label(shown, spots, ink, halo="ground")


def _bar(plot: Plot, x: float, top: float, ink: str, name: str) -> None:
    wide = 0.62 * (plot.x(plot.days[1]) - plot.x(plot.days[0]))
    left, right = x - wide / 2, x + wide / 2
    if name in ("planned", "perhaps"):
        plot.line([(left, SURFACE), (left, top), (right, top), (right, SURFACE)], ink, thick=1.3,
                  dash="2 1.5")  # fmt: skip
        return
    plot.drawing.rect(left, top, wide, SURFACE - top, ink)
    plot.line([(x, SURFACE), (x, top)], ink, thick=0.5)
    if name == "given":
        plot.drawing.rect(left - 1.5, top - 2, wide + 3, 2, ink)


def _unknown(curve: WaterCurve) -> list[list[date]]:
    """Stretches of days of whose rain there is no bound."""
    gone = [0.0 if one is None else None for one in curve.rain_high_mm]
    return [[day for day, _ in run] for run in runs(curve.days, gone)]


def _by_day(curve: WaterCurve, amounts: Amounts) -> dict[date, float]:
    return {day: value for day, value in zip(curve.days, amounts, strict=True) if value is not None}


def _between(low: float, high: float, units: str) -> str:
    least, most = (show(value, Kind.WATER, units) for value in (low, high))
    return least if least == most else tell("{low} to {high}", low=least, high=most)


def _finding(
    curve: WaterCurve, low: dict[date, float], high: dict[date, float], today: date, units: str
) -> str:
    """What the picture shows, as sentences."""
    line = _by_day(curve, curve.stress_line_mm)
    told = []

    def water(mm: float) -> str:
        return show(mm, Kind.WATER, units)

    if today in low and today in high:
        missing = _between(low[today], high[today], units)
        if today in line:
            told.append(
                tell("The root zone lacks {missing} today; stress begins at {line}.",
                     missing=missing, line=water(line[today]))
            )  # fmt: skip
        else:
            told.append(tell("The root zone lacks {missing} today.", missing=missing))
    else:
        told.append(tell("How much water the root zone lacks today is not known."))
    behind = [day for day in curve.days if day < today]
    rain, most = _by_day(curve, curve.rain_low_mm), _by_day(curve, curve.rain_high_mm)
    given = _by_day(curve, curve.irrigation_mm)
    perhaps, planned = _by_day(curve, curve.perhaps_mm), _by_day(curve, curve.planned_mm)

    def total(amounts: dict[date, float], days: list[date]) -> float:
        return sum(amounts.get(day, 0.0) for day in days)

    if behind:
        since = date_text(behind[0], units)
        words = {"date": since, "rain": water(total(rain, behind)),
                 "given": water(total(given, behind))}  # fmt: skip
        if all(day in most for day in behind):
            told.append(tell("Since {date}: {rain} of rain and {given} from sprinklers.", **words))
        else:
            told.append(
                tell("Since {date}: at least {rain} of rain, some hours being unknown, and {given}"
                     " from sprinklers.", **words)
            )  # fmt: skip
        if maybe := total(perhaps, behind):
            told.append(
                tell("{amount} more was advised, and nobody said whether it was given.",
                     amount=water(maybe))
            )  # fmt: skip
    ahead = [day for day in curve.days if day >= today]
    if len(ahead) > 1:
        told.append(
            tell("Forecast up to {date}: {rain} of rain.", date=date_text(ahead[-1], units),
                 rain=water(total(rain, ahead)))
        )  # fmt: skip
    if coming := [day for day in ahead if planned.get(day)]:
        told.append(
            tell("Planned: {amount} of water, first on {date}.",
                 amount=water(total(planned, coming)), date=date_text(coming[0], units))
        )  # fmt: skip
    short = next((day for day in ahead if day in high and day in line and high[day] > line[day]),
                 None)  # fmt: skip
    if short is not None:
        told.append(
            tell("The grass may lack water today.")
            if short == today
            else tell("The grass may lack water from {date} on.", date=date_text(short, units))
        )
    elif len(ahead) > 1 and all(day in high and day in line for day in ahead):
        told.append(tell("The grass does not come to lack water in that time."))
    return " ".join(told)

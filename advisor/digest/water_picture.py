"""The root zone's water as the soil below a surface, with rain and sprinklers above it."""

from __future__ import annotations

from datetime import date

from advisor.digest.lettering import Spot
from advisor.digest.plot import RIGHT, WIDTH, Picture, Plot, Points, half_months, round_steps, runs
from advisor.language.dates import date_text, separated
from advisor.language.words import tell, tell_as
from advisor.plan.curves_model import Amounts, WaterCurve
from advisor.series.quantity import Kind, convert, show

SURFACE = 74.0
"""Where the ground begins, in units from the top."""

RAIN_TOP = 36.0
"""Where the tallest bar ends."""

LEAST_SCALE = 12.0
"""Water that a full bar stands for at least [mm], so that drizzle does not look like a downpour."""


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
    deepest = min(curve.total_mm, 1.15 * max([*high.values(), *(1.3 * one for one in line.values())]))

    def own(mm: float) -> float:
        return convert(mm, Kind.WATER, unit)

    plot = Plot(title, finding, curve.days, (-own(deepest), 0.0), units, height=224, top=SURFACE)
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
        plot.drawing.polygon([*lower, *floor], "band")
        for edge in (upper, lower) if upper != lower else (lower,):
            behind = [point for point in edge if point[0] <= plot.x(today)]
            ahead = [point for point in edge if point[0] >= plot.x(today)]
            plot.line(behind, "water", thick=2.2)
            plot.line(ahead, "water", thick=2.2, dash="5 3.5")
    stress = points(curve.stress_line_mm)
    for run in stress:
        plot.line(run, "wait", thick=1.6, dash="6 4")
    _given(plot, curve, units)
    plot.top = 22
    plot.today(today, tell("forecast") if days[-1] > today else "")
    plot.dates(half_months(curve.days, units))
    if today in low:
        plot.label(_between(low[today], high[today], units),
                   plot.around(plot.x(today), plot.y(-own(high[today]))), "water", bold=True,
                   halo="band")  # fmt: skip
    told = tell("stress begins at {amount}", amount=show(line[min(line, key=lambda d: abs(
        (d - today).days))], Kind.WATER, units)) if line else ""  # fmt: skip
    if stress:
        spots = [Spot(x, y + dy, anchor) for dy in (-6, 15) for run in stress
                 for at, anchor in ((0.02, "start"), (0.98, "end"), (0.3, "middle"), (0.6, "middle"))
                 for x, y in [run[int(at * (len(run) - 1))]]]  # fmt: skip
        plot.label(told, spots, "wait", halo="band")
    return Picture("water", title, finding, plot.finished())


def _given(plot: Plot, curve: WaterCurve, units: str) -> None:
    """Bars on the ground: rain solid, sprinklers with a hat, planned water hollow."""
    rows = (
        ("rain", [one or 0.0 for one in curve.rain_low_mm], "water", tell_as("water", "rain")),
        ("given", [one or 0.0 for one in curve.irrigation_mm], "other", tell_as("water", "sprinklers")),
        ("planned", [one or 0.0 for one in curve.planned_mm], "other", tell_as("water", "planned")),
    )
    most = max(LEAST_SCALE, *(max(amounts) for _, amounts, _, _ in rows))
    wide = 0.62 * (plot.x(curve.days[1]) - plot.x(curve.days[0]))
    labels = []
    for name, amounts, ink, called in rows:
        for day, mm in zip(curve.days, amounts, strict=True):
            if mm <= 0:
                continue
            x, tall = plot.x(day), (SURFACE - RAIN_TOP) * mm / most
            left, top = x - wide / 2, SURFACE - tall
            if name == "planned":
                edge = [(left, SURFACE), (left, top), (left + wide, top), (left + wide, SURFACE)]
                plot.line(edge, ink, thick=1.3, dash="2 1.5")
            else:
                plot.drawing.rect(left, top, wide, tall, ink)
                plot.line([(x, SURFACE), (x, top)], ink, thick=0.5)
            if name == "given":
                plot.drawing.rect(left - 1.5, top - 2, wide + 3, 2, ink)
        if max(amounts) > 0:
            where = amounts.index(max(amounts))
            x, top = plot.x(curve.days[where]), SURFACE - (SURFACE - RAIN_TOP) * max(amounts) / most
            words = tell("{what} {amount}", what=called,
                         amount=show(max(amounts), Kind.WATER, units))  # fmt: skip
            labels.append((words, ink, x, top))
    for words, ink, x, top in labels:
        spots = [Spot(x + dx, y, anchor) for y in (top - 5, top + 8, top + 20, RAIN_TOP, SURFACE - 6)
                 for dx, anchor in ((0, "middle"), (6, "start"), (-6, "end"), (20, "start"),
                                    (-20, "end"))]  # fmt: skip
        plot.label(words, spots, ink, halo="ground")


def _by_day(curve: WaterCurve, amounts: Amounts) -> dict[date, float]:
    return {
        day: value for day, value in zip(curve.days, amounts, strict=True) if value is not None
    }


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
            told.append(
                tell("Since {date}: {rain} of rain and {given} from sprinklers.", **words)
            )
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
            tell("Up to {date}: {rain} of rain forecast, {planned} of water planned.",
                 date=date_text(ahead[-1], units), rain=water(total(rain, ahead)),
                 planned=water(total(planned, ahead)))
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

"""Nitrogen put down over the year, beside the year's limit and what usual growth uses of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta

from advisor.digest.lettering import Spot
from advisor.digest.plot import LEFT, RIGHT, WIDTH, Picture, Plot, round_steps
from advisor.language.dates import date_text, month_text, separated
from advisor.language.words import later, tell
from advisor.plan.curves_model import NutrientCurve, PutDown
from advisor.series.quantity import Kind, convert, show, show_small

LIMITS = {
    "law": later("law allows {limit}"),
    "owner": later("your limit {limit}"),
    "grass": later("limit {limit}"),
}


def nutrient_picture(curves: tuple[NutrientCurve, ...], today: date, units: str) -> Picture | None:
    """The picture; None where there is neither a limit nor anything put down."""
    nitrogen = next((one for one in curves if one.substance == "nitrogen"), None)
    if nitrogen is None:
        return None
    phosphorus = next((one for one in curves if one.substance == "phosphorus"), None)
    title = tell("Nitrogen in {year}", year=nitrogen.year)
    told = [*_told(nitrogen, today, units), *_told(phosphorus, today, units)]
    finding = " ".join(told)
    days = [date(nitrogen.year, 1, 1) + timedelta(n) for n in (0, 364)]
    unit = "lb/1000 ft2" if units == "us" else "g/m2"

    def own(grams: float) -> float:
        return convert(grams, Kind.MASS_PER_AREA, unit)

    surely = _steps(nitrogen, ("done",))
    maybe = _steps(nitrogen, ("done", "perhaps done"))
    planned = _steps(nitrogen, ("done", "perhaps done", "planned"))
    most = max(nitrogen.limit_g_m2, planned[-1][1]) * 1.16
    more = 30 if phosphorus is not None else 0
    plot = Plot(title, finding, days, (0.0, own(most)), units, height=206 + more, below=24 + more)
    plot.ahead(today)
    digits = 1 if own(most) < 10 else 0
    plot.values((step, separated(f"{step:.{digits}f}")) for step in round_steps(0.0, own(most), 4))
    _curve(plot, nitrogen, own)
    limit = plot.y(own(nitrogen.limit_g_m2))
    plot.line([(LEFT - 4, limit), (WIDTH - RIGHT, limit)], "ink", thick=1.6)

    def drawn(steps: list[tuple[date, float]], until: date) -> list[tuple[float, float]]:
        out = [(plot.x(days[0]), plot.y(0.0))]
        for day, grams in steps:
            out += [(plot.x(day), out[-1][1]), (plot.x(day), plot.y(own(grams)))]
        return [*out, (max(plot.x(until), out[-1][0]), out[-1][1])]

    sure = drawn(surely, today)
    if maybe[-1][1] > surely[-1][1]:
        edge = drawn(maybe, today)
        plot.line(edge, "apply", thick=1.6, dash="2 2.5")
        plot.label(tell("perhaps {amount}", amount=show_small(maybe[-1][1], units)),
                   plot.around(*edge[-1]), "apply", halo="ground")  # fmt: skip
    plot.drawing.polygon(
        [*sure, (sure[-1][0], plot.bottom), (sure[0][0], plot.bottom)], "apply-band"
    )
    plot.line(sure, "apply", thick=2.6)
    if planned[-1][1] > maybe[-1][1]:
        coming = [one for one in nitrogen.put_down if one.certainty == "planned"]
        edge = [
            (sure[-1][0], plot.y(own(maybe[-1][1]))),
            *drawn(planned, coming[-1].day + timedelta(24))[-3:],
        ]
        plot.line(edge, "apply", thick=2.2, dash="5 3.5")
        more_text = show_small(planned[-1][1] - maybe[-1][1], units)
        plot.label(tell("planned {amount}", amount=more_text),
                   plot.around(*edge[-1]), "apply", halo="ground")  # fmt: skip
    for one in nitrogen.put_down:
        if one.g_per_m2 is None:
            x = plot.x(one.day)
            plot.line([(x, plot.bottom), (x, limit)], "apply", thick=1.2, dash="2 2.5")
            plot.label(tell("amount unknown"), plot.around(x, plot.bottom - 30), "apply",
                       halo="ground")  # fmt: skip
    plot.today(today, "")
    plot.dates((date(nitrogen.year, month, 1), month_text(month, units, "abbreviated"))
               for month in (1, 4, 7, 10))  # fmt: skip
    most_text = show(nitrogen.limit_g_m2, Kind.MASS_PER_AREA, units)
    plot.label(tell(LIMITS[nitrogen.limit_by], limit=most_text),
               plot.along(limit), halo="ground")  # fmt: skip
    sum_text = show_small(surely[-1][1], units) if surely[-1][1] else tell("none yet")
    if nitrogen.high_g_m2 is None:
        sum_text = (
            tell("at least {amount}", amount=sum_text) if surely[-1][1] else tell("not known")
        )
    plot.label(sum_text,
               [*plot.around(*sure[-1]), *plot.around(sure[-1][0] / 2, sure[-1][1])],
               "apply", bold=True, halo="ground")  # fmt: skip
    _growth(plot, nitrogen, own)
    if phosphorus is not None:
        _phosphorus(plot, phosphorus, units)
    return Picture("nutrients", title, finding, plot.finished())


def _steps(curve: NutrientCurve, certainties: tuple[str, ...]) -> list[tuple[date, float]]:
    """The sum after each event of some certainties, from 1 January on."""
    total, out = 0.0, [(date(curve.year, 1, 1), 0.0)]
    for one in curve.put_down:
        if one.certainty in certainties and one.g_per_m2 is not None:
            total += one.g_per_m2
            out.append((one.day, total))
    return out


def _curve(plot: Plot, nitrogen: NutrientCurve, own: Callable[[float], float]) -> None:
    if not nitrogen.days:
        return
    ends = [(day + timedelta(1), grams) for day, grams in _known(nitrogen)]
    points = [(LEFT, plot.y(0.0))]
    points += [(min(plot.x(day), WIDTH - RIGHT), plot.y(own(grams))) for day, grams in ends]
    plot.line(points, "faint", thick=1.8, dash="1 3.2")


def _growth(plot: Plot, nitrogen: NutrientCurve, own: Callable[[float], float]) -> None:
    """What the dotted curve is, where there is one."""
    half = [(day, grams) for day, grams in _known(nitrogen) if grams >= 0.3 * nitrogen.limit_g_m2]
    spots = [
        Spot(plot.x(day) + dx, plot.y(own(grams)) + dy, anchor)
        for dx, dy, anchor in (
            (6, 12, "start"),
            (-8, -4, "end"),
            (6, 26, "start"),
            (-8, -18, "end"),
        )
        for day, grams in half[:5]
    ]
    plot.label(tell("usual growth"), spots, "faint", halo="ground")


def _known(nitrogen: NutrientCurve) -> Iterator[tuple[date, float]]:
    return (
        (day, grams)
        for day, grams in zip(nitrogen.days, nitrogen.curve_g_m2, strict=True)
        if grams is not None
    )


def _phosphorus(plot: Plot, curve: NutrientCurve, units: str) -> None:
    """A line of words below, and a bar of how much of the limit is used."""
    y = plot.bottom + 41
    share = 1.0 if curve.high_g_m2 is None else min(1.0, curve.high_g_m2 / curve.limit_g_m2)
    words = (
        tell("phosphorus: amount unknown")
        if curve.high_g_m2 is None
        else tell("phosphorus {amount} of {limit}",
                  amount=show_small(curve.high_g_m2, units),
                  limit=show_small(curve.limit_g_m2, units))
    )  # fmt: skip
    plot.fixed(words, Spot(8, y), "ink")
    across = WIDTH - RIGHT - 8
    plot.drawing.rect(8, y + 6, across, 3, "grid")
    plot.drawing.rect(8, y + 6, across * share, 3, "other")


def _told(curve: NutrientCurve | None, today: date, units: str) -> Iterator[str]:
    """What the picture shows of a nutrient, as sentences."""
    if curve is None:
        return

    def amount(grams: float) -> str:
        return show_small(grams, units) if grams else tell("none")

    limit = show_small(curve.limit_g_m2, units)
    words = {"limit": limit, "year": curve.year, "low": amount(curve.low_g_m2),
             "high": amount(curve.high_g_m2 or 0.0)}  # fmt: skip
    nitrogen = curve.substance == "nitrogen"
    if curve.high_g_m2 is None:
        yield from _unbounded(curve, units)
    elif curve.high_g_m2 > curve.low_g_m2:
        yield (
            tell("Nitrogen put down in {year}: {low}, with what was perhaps done {high}, of at most"
                 " {limit}.", **words)
            if nitrogen
            else tell("Phosphorus put down in {year}: {low}, with what was perhaps done {high}, of"
                      " at most {limit}.", **words)
        )  # fmt: skip
    else:
        yield (
            tell("Nitrogen put down in {year}: {low} of at most {limit}.", **words)
            if nitrogen
            else tell("Phosphorus put down in {year}: {low} of at most {limit}.", **words)
        )
    for one in curve.put_down:
        if one.certainty == "planned":
            yield _planned(one, nitrogen, units)
    used = used_by(curve, today)
    if used is not None:
        yield tell("Usual growth has used {amount} by now.", amount=show_small(used, units))
    elif nitrogen:
        yield tell("What usual growth uses is not known: there are too few past years.")


def _unbounded(curve: NutrientCurve, units: str) -> Iterator[str]:
    """The sum where nobody knows how much more there was."""
    words = {"limit": show_small(curve.limit_g_m2, units), "year": curve.year,
             "low": show_small(curve.low_g_m2, units)}  # fmt: skip
    nitrogen = curve.substance == "nitrogen"
    if not curve.low_g_m2:
        yield (
            tell("Nitrogen put down in {year}: nobody knows how much, of at most {limit}.", **words)
            if nitrogen
            else tell("Phosphorus put down in {year}: nobody knows how much, of at most {limit}.",
                      **words)
        )  # fmt: skip
    else:
        yield (
            tell("Nitrogen put down in {year}: at least {low}, and nobody knows how much more, of"
                 " at most {limit}.", **words)
            if nitrogen
            else tell("Phosphorus put down in {year}: at least {low}, and nobody knows how much"
                      " more, of at most {limit}.", **words)
        )  # fmt: skip
    known = _steps(curve, ("done", "perhaps done"))[-1][1]
    if known > curve.low_g_m2 + 0.01:
        yield tell("With what was perhaps done it is {amount} or more.",
                   amount=show_small(known, units))  # fmt: skip


def _planned(one: PutDown, nitrogen: bool, units: str) -> str:
    amount = show_small(one.g_per_m2, units) if one.g_per_m2 else tell("unknown")
    words = {"date": date_text(one.day, units), "amount": amount}
    if nitrogen:
        return tell("{amount} of nitrogen is planned for {date}.", **words)
    return tell("{amount} of phosphorus is planned for {date}.", **words)


def used_by(curve: NutrientCurve, today: date) -> float | None:
    """What usual growth has used by a day [g/m2], between the ends of months on a straight line;
    None where there is no curve."""
    before, grams_before = date(curve.year, 1, 1) - timedelta(1), 0.0
    for day, grams in _known(curve):
        if day >= today:
            share = (today - before) / (day - before)
            return grams_before + share * (grams - grams_before)
        before, grams_before = day, grams
    return None

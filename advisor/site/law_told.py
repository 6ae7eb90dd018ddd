"""The local law in words: every restriction that a site states, for its owner to look over."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.series.quantity import Kind, convert, show
from advisor.site.fields import MonthDay
from advisor.site.law import Ban, Ordinance, WateringTimes
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.under_law import distance_law, strip_m2

DEFER = (
    "This is what your site file states, and no more: local code, a label and a permit stand above"
    " it, and change. Where two of them differ, the strictest is kept."
)

_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def season_text(first: MonthDay | None, last: MonthDay | None) -> str:
    """`from 1 June to 30 September`, or `at any time of the year`."""
    if first is None or last is None:
        return "at any time of the year"
    return f"from {_day(first)} to {_day(last)}"


def _day(month_day: MonthDay) -> str:
    return f"{month_day[1]} {_MONTHS[month_day[0] - 1]}"


def told(site: Site) -> tuple[str, ...]:
    """Every restriction that the site file states, a sentence each; none where it states none."""
    lines = [
        *(_ban(ban) for ban in site.bans),
        *(
            f"{law.title}: {part}{_where(law.lawns)}."
            for law in site.ordinances
            for part in _law(law, site)
        ),
        *(line for lawn in site.lawns for line in _shore(lawn, site)),
        *(_watering(rule) for rule in site.watering_rules),
    ]
    return (*lines, DEFER) if lines else ()


def _where(lawns: Sequence[str]) -> str:
    return f", on {' and '.join(lawns)}" if lawns else ""


def _ban(ban: Ban) -> str:
    what = " or ".join((*ban.nutrients, *ban.tasks, *ban.actives))
    words = {"soil-test": "a soil test that says low", "new-turf": "a lawn's first season"}
    free = " and ".join(words[way] for way in ban.unless)
    freed = f"; {free} frees phosphorus" if free else ""
    season = season_text(ban.first, ban.last)
    return f"{ban.title}: no {what} {season}{_where(ban.lawns)}{freed}."


def _law(law: Ordinance, site: Site) -> Iterator[str]:
    units = site.units
    what = " or ".join(law.nutrients)
    if law.slow_release is not None:
        yield f"at least {law.slow_release:.0%} of the nitrogen slow-release"
    for limit, of in (
        (law.nitrogen_once_g_m2, "nitrogen in one application"),
        (law.soluble_once_g_m2, "water-soluble nitrogen in one application"),
        (law.nitrogen_year_g_m2, "nitrogen in a year"),
        (law.phosphate_once_g_m2, "phosphate in one application"),
        (law.phosphate_year_g_m2, "phosphate in a year"),
    ):
        if limit is not None:
            yield f"at most {show(limit, Kind.MASS_PER_AREA, units)} of {of}"
    if law.after_seeding_days is not None:
        wait = show(law.after_seeding_days, Kind.DURATION, units)
        yield f"no {what} for {wait} after seeding or sodding"
    if law.heavy_rain_mm is not None:
        rain = show(law.heavy_rain_mm, Kind.WATER, units)
        yield f"no {what} before {rain} of rain or more within 24 hours"
    if law.storms:
        yield f"no {what} while a storm, flood or tropical watch or warning is in force"
    if law.from_water_m is not None:
        full = away_text(law.from_water_m, units)
        lesser = ""
        if law.from_water_guarded_m is not None:
            guarded = away_text(law.from_water_guarded_m, units)
            lesser = f", {guarded} with a deflector or drop spreader"
        yield f"nothing within {full} of water{lesser}"


def away_text(metres: float, units: str) -> str:
    """A distance on the ground as it is paced off: `10 ft`, `3.5 m`."""
    unit = "ft" if units == "us" else "m"
    return f"{convert(metres, Kind.LENGTH, unit):.1f}".removesuffix(".0") + f" {unit}"


def _shore(lawn: Lawn, site: Site) -> Iterator[str]:
    """The strip along water, and the area that is left out for it."""
    law = distance_law(site.ordinances, lawn)
    if law is None or not lawn.shore_m:
        return
    shore = away_text(lawn.shore_m, site.units)
    away = away_text(law.distance_m(lawn.deflector), site.units)
    least = show(strip_m2(site.ordinances, lawn), Kind.AREA, site.units)
    kept = show(lawn.setback_m2, Kind.AREA, site.units)
    yield f"{lawn.shown}: {shore} of shore by {away} is {least}; {kept} is left out of every dose."


def _watering(rule: WateringTimes) -> str:
    parts = []
    if rule.forbidden:
        parts.append("none")
    if rule.weekdays:
        parts.append("on " + " and ".join(day.capitalize() for day in rule.weekdays))
    if rule.dates:
        parts.append(f"on {rule.dates} dates")
    if rule.not_on:
        parts.append("not on the " + " or ".join(_nth(day) for day in rule.not_on))
    if rule.hours:
        parts.append("from " + " or ".join(f"{_clock(a)} to {_clock(b)}" for a, b in rule.hours))
    houses = f" for {rule.houses} house numbers" if rule.houses else ""
    season = "" if rule.first is None else f", {season_text(rule.first, rule.last)}"
    when = ", ".join(parts) or "at any time"
    return f"{rule.title or 'Watering'}{houses}: {when}{season}{_where(rule.lawns)}."


def _nth(day: int) -> str:
    end = "th" if 10 < day < 14 else {1: "st", 2: "nd", 3: "rd"}.get(day % 10, "th")
    return f"{day}{end}"


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02}:{minutes % 60:02}"

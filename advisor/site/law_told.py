"""The local law in words: every restriction that a site states, for its owner to look over."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import reduce

from advisor.language.dates import month_text, separated, weekday_text
from advisor.language.listing import either, enumerated, listed
from advisor.language.words import later, tell, tell_as
from advisor.series.quantity import Kind, convert, show
from advisor.site.fields import WEEKDAYS, MonthDay
from advisor.site.law import Ban, Ordinance, WateringTimes
from advisor.site.lawns import Lawn
from advisor.site.named import caught_by_law
from advisor.site.place import Site
from advisor.site.under_law import distance_law, strip_m2

DEFER = later(
    "This is what your site file states, and no more: local code, a label and a permit stand above"
    " it, and change. Where two of them differ, the strictest is kept."
)


def season_text(first: MonthDay | None, last: MonthDay | None) -> str:
    """`from 1 June to 30 September`, or `at any time of the year`."""
    if first is None or last is None:
        return tell("at any time of the year")
    return tell("from {first} to {last}", first=_day(first), last=_day(last))


def _day(month_day: MonthDay) -> str:
    month, day = month_day
    return tell("{day} {month}", day=day, month=month_text(month, "metric"))


def told(site: Site) -> tuple[str, ...]:
    """Every restriction that the site file states, a sentence each; none where it states none."""
    lines = [
        *(_ban(ban) for ban in site.bans),
        *(_on(law, rule) for law in site.ordinances for rule in _law(law, site)),
        *(line for lawn in site.lawns for line in _shore(lawn, site)),
        *(_watering(rule, site.units) for rule in site.watering_rules),
    ]
    return (*lines, tell(DEFER)) if lines else ()


def _all_of(texts: Sequence[str]) -> str:
    """`a and b and c`: none of them to be overlooked."""
    return reduce(lambda some, last: listed((some, last)), texts) if texts else ""


def _any_of(texts: Sequence[str]) -> str:
    """`a or b or c`."""
    return reduce(lambda some, last: either((some, last)), texts) if texts else ""


def _on(law: Ordinance, rule: str) -> str:
    """One rule of an ordinance, with the lawns that it covers where it names any."""
    if law.lawns:
        return tell(
            "{law}: {rule}, on {lawns}.", law=law.title, rule=rule, lawns=_all_of(law.lawns)
        )
    return tell("{law}: {rule}.", law=law.title, rule=rule)


def _ban(ban: Ban) -> str:
    ways = {
        "soil-test": tell("a soil test that says low"),
        "new-turf": tell("a lawn's first season"),
    }
    words = {
        "law": ban.title,
        "what": _any_of([
            *(caught_by_law(name) for name in (*ban.nutrients, *ban.tasks)), *ban.actives,
        ]),
        "season": season_text(ban.first, ban.last),
    }  # fmt: skip
    if ban.lawns and ban.unless:
        return tell(
            "{law}: no {what} {season}, on {lawns}; {freed} frees phosphorus.",
            lawns=_all_of(ban.lawns),
            freed=_all_of([ways[way] for way in ban.unless]),
            **words,
        )
    if ban.lawns:
        return tell("{law}: no {what} {season}, on {lawns}.", lawns=_all_of(ban.lawns), **words)
    if ban.unless:
        return tell(
            "{law}: no {what} {season}; {freed} frees phosphorus.",
            freed=_all_of([ways[way] for way in ban.unless]),
            **words,
        )
    return tell("{law}: no {what} {season}.", **words)


NITROGEN_ONCE = later("at most {amount} of nitrogen in one application")
SOLUBLE_ONCE = later("at most {amount} of water-soluble nitrogen in one application")
NITROGEN_YEAR = later("at most {amount} of nitrogen in a year")
PHOSPHATE_ONCE = later("at most {amount} of phosphate in one application")
PHOSPHATE_YEAR = later("at most {amount} of phosphate in a year")


def _law(law: Ordinance, site: Site) -> Iterator[str]:
    """What an ordinance asks, a phrase for each rule."""
    units = site.units
    what = _any_of([caught_by_law(name) for name in law.nutrients])
    if law.slow_release is not None:
        yield tell("at least {share} of the nitrogen slow-release", share=f"{law.slow_release:.0%}")
    for limit, message in (
        (law.nitrogen_once_g_m2, NITROGEN_ONCE),
        (law.soluble_once_g_m2, SOLUBLE_ONCE),
        (law.nitrogen_year_g_m2, NITROGEN_YEAR),
        (law.phosphate_once_g_m2, PHOSPHATE_ONCE),
        (law.phosphate_year_g_m2, PHOSPHATE_YEAR),
    ):
        if limit is not None:
            yield tell(message, amount=show(limit, Kind.MASS_PER_AREA, units))
    if law.after_seeding_days is not None:
        wait = show(law.after_seeding_days, Kind.DURATION, units)
        yield tell("no {what} for {time} after seeding or sodding", what=what, time=wait)
    if law.heavy_rain_mm is not None:
        rain = show(law.heavy_rain_mm, Kind.WATER, units)
        yield tell("no {what} before {rain} of rain or more within 24 hours", what=what, rain=rain)
    if law.storms:
        yield tell(
            "no {what} while a storm, flood or tropical watch or warning is in force", what=what
        )
    if law.from_water_m is not None:
        full = away_text(law.from_water_m, units)
        if law.from_water_guarded_m is None:
            yield tell("nothing within {full} of water", full=full)
        else:
            yield tell(
                "nothing within {full} of water, {guarded} with a deflector or drop spreader",
                full=full,
                guarded=away_text(law.from_water_guarded_m, units),
            )


def away_text(metres: float, units: str) -> str:
    """A distance on the ground as it is paced off: `10 ft`, `3.5 m`."""
    unit = "ft" if units == "us" else "m"
    written = f"{convert(metres, Kind.LENGTH, unit):.1f}".removesuffix(".0")
    return f"{separated(written)} {unit}"


def _shore(lawn: Lawn, site: Site) -> Iterator[str]:
    """The strip along water, and the area that is left out for it."""
    law = distance_law(site.ordinances, lawn)
    if law is None or not lawn.shore_m:
        return
    yield tell(
        "{lawn}: {shore} of shore by {away} is {least}; {kept} is left out of every dose.",
        lawn=lawn.shown,
        shore=away_text(lawn.shore_m, site.units),
        away=away_text(law.distance_m(lawn.deflector), site.units),
        least=show(strip_m2(site.ordinances, lawn), Kind.AREA, site.units),
        kept=show(lawn.setback_m2, Kind.AREA, site.units),
    )


def _watering(rule: WateringTimes, units: str) -> str:
    parts = [*_when(rule, units)] or [tell("at any time")]
    if rule.first is not None:
        parts.append(season_text(rule.first, rule.last))
    if rule.lawns:
        parts.append(tell("on {lawns}", lawns=_all_of(rule.lawns)))
    law, when = rule.title or tell("Watering"), enumerated(parts)
    match rule.houses:
        case "odd":
            return tell("{law} for odd house numbers: {when}.", law=law, when=when)
        case "even":
            return tell("{law} for even house numbers: {when}.", law=law, when=when)
        case None:
            return tell("{law}: {rule}.", law=law, rule=when)


def _when(rule: WateringTimes, units: str) -> Iterator[str]:
    """When watering is allowed, a phrase for each way in which the rule says it."""
    if rule.forbidden:
        yield tell_as("watering allowed", "none")
    if rule.weekdays:
        days = [weekday_text(WEEKDAYS.index(day), units, "wide") for day in rule.weekdays]
        yield tell("on {days}", days=_all_of(days))
    if rule.dates == "odd":
        yield tell("on odd dates")
    elif rule.dates == "even":
        yield tell("on even dates")
    if rule.not_on:
        yield tell("not on the {days}", days=_any_of([_nth(day) for day in rule.not_on]))
    if rule.hours:
        spans = [
            tell("{first} to {last}", first=_clock(first), last=_clock(last))
            for first, last in rule.hours
        ]
        yield tell("from {hours}", hours=_any_of(spans))


def _nth(day: int) -> str:
    """A day of the month: `31st`."""
    match 0 if 10 < day < 14 else day % 10:
        case 1:
            return tell("{day}st", day=day)
        case 2:
            return tell("{day}nd", day=day)
        case 3:
            return tell("{day}rd", day=day)
        case _:
            return tell("{day}th", day=day)


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02}:{minutes % 60:02}"

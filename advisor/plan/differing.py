"""What the owner's rule files change, lawn by lawn: the schema of `explain --differs --json`."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from advisor.language.dates import day_text
from advisor.plan.asked import is_for, views
from advisor.plan.asked_words import what_it_is
from advisor.plan.compose import Given, why_no_weather
from advisor.plan.model import SiteName
from advisor.plan.view import View
from advisor.rulebook.book import Rule, Rulebook, RuleKind
from advisor.rulebook.differs import Days, Difference, Run, Why, differences
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.hours import HourEvaluator, by_the_hour

SHOWN = 6
"""Stretches of days that a sentence lists; of more, the latest."""


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


class Stretch(_Part):
    first: date = Field(alias="from")
    last: date = Field(alias="to")


class SettingChanged(_Part):
    name: str
    shipped: str | None
    own: str | None


class DaysSaid(_Part):
    """When a rule is known to be open, to hold, to ask or to speak."""

    yes: tuple[Stretch, ...]
    unknown: tuple[Stretch, ...] = Field(description="days of which it cannot be told")


class RuleDiffers(_Part):
    name: str
    kind: Literal["opens", "holds", "waters", "notes"]
    what: str
    why: Literal["replaced", "switched off", "added", "uses a changed setting"]
    settings: tuple[SettingChanged, ...]
    shipped: DaysSaid | None = Field(description="null: no such rule for this lawn, or by hours")
    own: DaysSaid | None
    shipped_hours: int | None = Field(
        default=None, description="of an hour rule: hours to come in which it says so"
    )
    own_hours: int | None = None
    text: str = Field(description="the difference in a sentence")


class LawnDiffers(_Part):
    name: str
    title: str
    rules: tuple[RuleDiffers, ...]


class Differs(_Part):
    """What the owner's files change beside the shipped rules. `version` is that of this schema."""

    version: Literal[1] = 1
    site: SiteName
    on: date
    first_day: date | None = Field(description="from here on the weather was looked at")
    last_day: date | None = Field(description="last day of the forecast")
    cannot_tell: str = Field(description="why no weather is to be had; empty where there is some")
    holds_everything: bool
    lawns: tuple[LawnDiffers, ...]


def what_differs(
    given: Given, shipped: Rulebook, now: datetime, *, lawn: str = "", rule: str = ""
) -> Differs:
    """What `given.book` says otherwise than `shipped`, on the past days that are known and as far
    as the forecast reaches."""
    site, looked_at = given.site, views(given, now)
    daily = looked_at[0].setting.weather.daily if looked_at else None
    return Differs(
        site=SiteName.of(site),
        on=now.astimezone(site.place.zone_info).date(),
        first_day=daily.days[0] if daily else None,
        last_day=daily.days[daily.forecast_end - 1] if daily else None,
        cannot_tell="" if looked_at else why_no_weather(given, now),
        holds_everything=given.book.holds_everything,
        lawns=tuple(
            LawnDiffers(
                name=view.lawn.name,
                title=view.lawn.shown,
                rules=tuple(
                    _rule(view, shipped, difference)
                    for difference in _of_lawn(view, shipped)
                    if rule in ("", difference.change.name)
                ),
            )
            for view in looked_at
            if lawn in ("", view.lawn.name)
        ),
    )


def _of_lawn(view: View, shipped: Rulebook) -> tuple[Difference, ...]:
    own, table = view.setting.book, view.facts.table
    hours = view.by_hour

    def hourly(asked: Evaluator) -> HourEvaluator:
        return by_the_hour(asked, hours.facts, hours.zone, hours.now)

    return differences(shipped, own, table, lambda rule: is_for(rule, view.lawn), hourly)


def _rule(view: View, shipped: Rulebook, found: Difference) -> RuleDiffers:
    change, days = found.change, view.setting.days
    rule = change.own or change.shipped
    assert rule is not None  # a change is of a rule that one of the books has

    def written(book: Rulebook, name: str) -> str | None:
        setting = book.settings.get(name)
        return str(setting.written) if setting else None

    return RuleDiffers(
        name=change.name,
        kind=rule.kind.value,
        what=what_it_is(rule),
        why=change.why.value,
        settings=tuple(
            SettingChanged(name=n, shipped=written(shipped, n), own=written(view.setting.book, n))
            for n in change.settings
        ),
        shipped=_days(found.shipped, days),
        own=_days(found.own, days),
        shipped_hours=found.shipped_hours,
        own_hours=found.own_hours,
        text=sentence(found, days, view.setting.today, view.setting.site.units),
    )


def _days(found: Days | None, days: Sequence[date]) -> DaysSaid | None:
    if found is None:
        return None

    def dated(runs: tuple[Run, ...]) -> tuple[Stretch, ...]:
        return tuple(Stretch(first=days[first], last=days[last]) for first, last in runs)

    return DaysSaid(yes=dated(found.yes), unknown=dated(found.unknown))


_IS: dict[RuleKind, str] = {
    RuleKind.OPENS: "is open",
    RuleKind.HOLDS: "holds",
    RuleKind.WATERS: "asks for water",
    RuleKind.NOTES: "speaks",
}
_BEGINS = {**_IS, RuleKind.OPENS: "opens", RuleKind.WATERS: "asks"}
_ENDS: dict[RuleKind, str] = {
    RuleKind.OPENS: "shuts",
    RuleKind.HOLDS: "lets go",
    RuleKind.WATERS: "stops asking",
    RuleKind.NOTES: "falls silent",
}


def sentence(found: Difference, days: Sequence[date], today: int, units: str) -> str:
    """The difference in words; `days` are the table's, `today` an index into them."""
    change = found.change
    rule = change.own or change.shipped
    assert rule is not None
    if rule.broken:
        return f"“{rule.name}” cannot be read, so it holds on every day until it is mended."
    if rule.hourly:
        return _by_hours(found, rule)
    year = days[today].year

    def told(of: Days | None) -> str:
        if of is None or not of.yes:
            return "on none of these days"
        shown = [_stretch(run, days, year, units) for run in of.yes[-SHOWN:]]
        more = len(of.yes) - len(shown)
        listed = ", ".join(shown)
        return f"{listed} ({more} more before)" if more else listed

    own, shipped, kind = found.own, found.shipped, rule.kind
    if own is None:
        gone = "is switched off" if change.why is Why.OFF else "is not for this lawn"
        return f"With your files “{rule.name}” {gone}; shipped it {_IS[kind]} {told(shipped)}."
    unsure = ""
    if own.unknown and (shipped is None or own.unknown != shipped.unknown):
        where = told(Days(own.unknown, ()))
        unsure = f" It cannot be told{', and so holds,' if kind is RuleKind.HOLDS else ''} {where}."
    if shipped is None:
        return f"“{rule.name}” is yours alone; it {_IS[kind]} {told(own)}.{unsure}"
    if own.yes == shipped.yes:
        return f"With your files “{rule.name}” {_IS[kind]} {told(own)}, as shipped.{unsure}"
    how = _shifted(own.yes, shipped.yes, kind)
    if how is None and own.yes and shipped.yes:
        how = f"{_IS[kind]} on {_counted(own.yes)} rather than {_length(shipped.yes)}"
    return (
        f"With your files “{rule.name}” {how + ':' if how else _IS[kind]} {told(own)}; shipped"
        f" {told(shipped)}.{unsure}"
    )


def _by_hours(found: Difference, rule: Rule) -> str:
    def told(hours: int) -> str:
        return "1 hour" if hours == 1 else f"{hours} hours"

    name, does, own, shipped = rule.name, _IS[rule.kind], found.own_hours, found.shipped_hours
    if own is None:
        gone = f"With your files “{name}” is not asked"
        return f"{gone}; shipped it {does} in {told(shipped or 0)} to come."
    if shipped is None:
        return f"“{name}” is yours alone; it {does} in {told(own)} to come."
    return f"With your files “{name}” {does} in {told(own)} to come; shipped in {told(shipped)}."


def _shifted(own: tuple[Run, ...], shipped: tuple[Run, ...], kind: RuleKind) -> str | None:
    """By how many days one stretch begins and ends sooner or later; None for more stretches."""
    if len(own) != 1 or len(shipped) != 1:
        return None
    verbs = (_BEGINS[kind], _ENDS[kind])
    by = [o - s for o, s in zip(own[0], shipped[0], strict=True)]
    return " and ".join(
        f"{verb} {abs(n)} {'day' if abs(n) == 1 else 'days'} {'later' if n > 0 else 'earlier'}"
        for verb, n in zip(verbs, by, strict=True)
        if n
    )


def _length(runs: tuple[Run, ...]) -> int:
    return sum(last - first + 1 for first, last in runs)


def _counted(runs: tuple[Run, ...]) -> str:
    return "1 day" if _length(runs) == 1 else f"{_length(runs)} days"


def _stretch(run: Run, days: Sequence[date], year: int, units: str) -> str:
    first, last = (_short(days[index], year, units) for index in run)
    return first if run[0] == run[1] else f"{first} to {last}"


def _short(day: date, year: int, units: str) -> str:
    """A day without its weekday; with its year if that is another."""
    text = day_text(day, units).partition(" ")[2]
    return text if day.year == year else f"{text} {day.year}"

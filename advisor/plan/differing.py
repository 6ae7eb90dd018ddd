"""What the owner's rule files change, lawn by lawn: the schema of `explain --differs --json`."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from advisor.language.dates import date_text
from advisor.language.listing import enumerated, listed
from advisor.language.words import later, tell, tell_many
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


_IS_ON: dict[RuleKind, str] = {
    RuleKind.OPENS: later("is open {days}"),
    RuleKind.HOLDS: later("holds {days}"),
    RuleKind.WATERS: later("asks for water {days}"),
    RuleKind.NOTES: later("speaks {days}"),
}
_RATHER_THAN: dict[RuleKind, str] = {
    RuleKind.OPENS: later("is open on {own} rather than {shipped}: {days}"),
    RuleKind.HOLDS: later("holds on {own} rather than {shipped}: {days}"),
    RuleKind.WATERS: later("asks for water on {own} rather than {shipped}: {days}"),
    RuleKind.NOTES: later("speaks on {own} rather than {shipped}: {days}"),
}
_IN_HOURS: dict[RuleKind, str] = {
    RuleKind.OPENS: later("is open in {hours} to come"),
    RuleKind.HOLDS: later("holds in {hours} to come"),
    RuleKind.WATERS: later("asks for water in {hours} to come"),
    RuleKind.NOTES: later("speaks in {hours} to come"),
}
_SOONER: dict[RuleKind, tuple[str, str]] = {
    RuleKind.OPENS: (later("opens {days} earlier"), later("shuts {days} earlier")),
    RuleKind.HOLDS: (later("holds {days} earlier"), later("lets go {days} earlier")),
    RuleKind.WATERS: (later("asks {days} earlier"), later("stops asking {days} earlier")),
    RuleKind.NOTES: (later("speaks {days} earlier"), later("falls silent {days} earlier")),
}
_LATER: dict[RuleKind, tuple[str, str]] = {
    RuleKind.OPENS: (later("opens {days} later"), later("shuts {days} later")),
    RuleKind.HOLDS: (later("holds {days} later"), later("lets go {days} later")),
    RuleKind.WATERS: (later("asks {days} later"), later("stops asking {days} later")),
    RuleKind.NOTES: (later("speaks {days} later"), later("falls silent {days} later")),
}
"""What a rule does sooner or later: first its beginning, then its end."""


def sentence(found: Difference, days: Sequence[date], today: int, units: str) -> str:
    """The difference in words; `days` are the table's, `today` an index into them."""
    change = found.change
    rule = change.own or change.shipped
    assert rule is not None
    if rule.broken:
        return tell(
            "“{rule}” cannot be read, so it holds on every day until it is mended.", rule=rule.name
        )
    if rule.hourly:
        return _by_hours(found, rule)

    def told(of: Days | None) -> str:
        return _told(of, days, days[today], units)

    own, shipped, kind = found.own, found.shipped, rule.kind
    words = {"rule": rule.name, "shipped": told(shipped)}
    if own is None:
        words["does"] = tell(_IS_ON[kind], days=told(shipped))
        if change.why is Why.OFF:
            return tell("With your files “{rule}” is switched off; shipped it {does}.", **words)
        return tell("With your files “{rule}” is not for this lawn; shipped it {does}.", **words)
    words["does"] = tell(_IS_ON[kind], days=told(own))
    if shipped is None:
        said = tell("“{rule}” is yours alone; it {does}.", **words)
    elif own.yes == shipped.yes:
        said = tell("With your files “{rule}” {does}, as shipped.", **words)
    else:
        words["does"] = _otherwise(own.yes, shipped.yes, kind, told(own))
        said = tell("With your files “{rule}” {does}; shipped {shipped}.", **words)
    if not own.unknown or (shipped is not None and own.unknown == shipped.unknown):
        return said
    where = told(Days(own.unknown, ()))
    unsure = (
        tell("It cannot be told, and so holds, {days}.", days=where)
        if kind is RuleKind.HOLDS
        else tell("It cannot be told {days}.", days=where)
    )
    return f"{said} {unsure}"


def _told(of: Days | None, days: Sequence[date], today: date, units: str) -> str:
    """The stretches of days on which a rule says so, the latest of them."""
    if of is None or not of.yes:
        return tell("on none of these days")
    shown = [_stretch(run, days, today, units) for run in of.yes[-SHOWN:]]
    more = len(of.yes) - len(shown)
    told = enumerated(shown)
    return tell("{stretches} ({count} more before)", stretches=told, count=more) if more else told


def _otherwise(own: tuple[Run, ...], shipped: tuple[Run, ...], kind: RuleKind, days: str) -> str:
    """How a rule's days differ from the shipped ones, with its days."""
    shifted = _shifted(own, shipped, kind)
    if shifted:
        return tell("{shifted}: {days}", shifted=shifted, days=days)
    if shifted is None and own and shipped:
        return tell(
            _RATHER_THAN[kind], own=_counted(_length(own)), shipped=_length(shipped), days=days
        )
    return tell(_IS_ON[kind], days=days)


def _by_hours(found: Difference, rule: Rule) -> str:
    def told(hours: int) -> str:
        return tell_many("{count} hour", "{count} hours", hours)

    own, shipped = found.own_hours, found.shipped_hours
    words = {"rule": rule.name, "shipped": told(shipped or 0)}
    if own is None:
        words["does"] = tell(_IN_HOURS[rule.kind], hours=words["shipped"])
        return tell("With your files “{rule}” is not asked; shipped it {does}.", **words)
    words["does"] = tell(_IN_HOURS[rule.kind], hours=told(own))
    if shipped is None:
        return tell("“{rule}” is yours alone; it {does}.", **words)
    return tell("With your files “{rule}” {does}; shipped in {shipped}.", **words)


def _shifted(own: tuple[Run, ...], shipped: tuple[Run, ...], kind: RuleKind) -> str | None:
    """By how many days one stretch begins and ends sooner or later; None for more stretches."""
    if len(own) != 1 or len(shipped) != 1:
        return None
    by = [o - s for o, s in zip(own[0], shipped[0], strict=True)]
    return listed(
        [
            tell((_LATER if n > 0 else _SOONER)[kind][end], days=_counted(abs(n)))
            for end, n in enumerate(by)
            if n
        ]
    )


def _length(runs: tuple[Run, ...]) -> int:
    return sum(last - first + 1 for first, last in runs)


def _counted(days: int) -> str:
    return tell_many("{count} day", "{count} days", days)


def _stretch(run: Run, days: Sequence[date], today: date, units: str) -> str:
    first, last = (date_text(days[index], units, today) for index in run)
    return first if run[0] == run[1] else tell("{first} to {last}", first=first, last=last)

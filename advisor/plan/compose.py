"""From the finished walk to the plan document: words for people beside numbers for machines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from advisor.conditions.facts import lawn_facts
from advisor.conditions.site_weather import SiteWeather, site_weather
from advisor.conditions.vocabulary import STATES
from advisor.language.dates import day_text
from advisor.language.listing import listed
from advisor.language.speaking import speaking
from advisor.language.words import tell
from advisor.plan.actions import do, wait
from advisor.plan.choice import Walk, by_lawn
from advisor.plan.coming import what_comes_next
from advisor.plan.curves import curves
from advisor.plan.fold import walk
from advisor.plan.headline import headline
from advisor.plan.hours import Stretch
from advisor.plan.model import (
    Action,
    LawnPlan,
    Next,
    Plan,
    SiteName,
    Unknown,
    Verdict,
    Weather,
)
from advisor.plan.reason import Reason
from advisor.plan.reasons import waiting
from advisor.plan.shopping import to_buy
from advisor.plan.shut import may_be_open
from advisor.plan.standing import conditions
from advisor.plan.strip import coming_days
from advisor.plan.unanswered import asks_of
from advisor.plan.view import ADVICE_DAYS, Setting, View
from advisor.plan.withdrawn import withdrawn
from advisor.plan.words import task_title
from advisor.rulebook.book import Rulebook, RuleKind
from advisor.series.ensemble import Ensemble
from advisor.series.hourly import Series
from advisor.series.quantity import Kind, show
from advisor.series.watches import Watches
from advisor.series.years import PastYears
from advisor.site.events import Advised
from advisor.site.fields import WEEKDAYS
from advisor.site.journal import Journal
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.shelf import Shelf
from advisor.site.sums import Sums, sums
from advisor.site.words import WATERING

STALE_AFTER = timedelta(hours=36)
"""A forecast older than this carries no decision [judgement: forecasts lose a day's skill]."""


@dataclass(frozen=True)
class Given:
    """What a decision is made from. `series` is None where no weather is to be had."""

    site: Site
    shelf: Shelf
    journal: Journal
    book: Rulebook
    series: Series | None
    advised: Sequence[Advised]
    attribution: str
    attribution_url: str
    licence_url: str = ""
    problems: Sequence[str] = ()
    failure: str = ""
    """A sentence on a fetch that went wrong, for the owner; empty where none did."""
    past: PastYears | None = None
    watches: Watches | None = None
    """What the last look at a service for storm watches found, where the site names one."""
    coming: Sequence[Next] = ()
    """What past years tell of windows beyond the forecast, by likely date."""
    announced_hours: Mapping[str, tuple[str | None, str | None]] = field(default_factory=dict)
    """By the id of an advice, the hours (HH:MM, local) for which it was announced."""
    ensemble: Ensemble | None = None
    """The newest forecasts of many members, where there are any: they may hold, never open."""


def make_plan(given: Given, now: datetime) -> Plan:
    """Decide one site at one moment, in the site's language. The same arguments give the same
    plan."""
    return plan_and_walk(given, now)[0]


def plan_and_walk(given: Given, now: datetime) -> tuple[Plan, Walk | None]:
    """The plan, and the walk that it was made by; None without usable weather."""
    with speaking(given.site.language):
        return _plan_and_walk(given, now)


def _plan_and_walk(given: Given, now: datetime) -> tuple[Plan, Walk | None]:
    site = given.site
    today = now.astimezone(site.place.zone_info).date()
    counted = sums(site, given.shelf, given.journal, given.advised, today)
    weather = usable_weather(given, now)
    if weather is None:
        return _cannot_tell(given, now, today, counted), None
    setting = Setting(site, given.shelf, given.book, weather, now, given.watches, given.ensemble)
    # Water is looked at afresh each time; what is put down keeps the day it was announced for.
    standing = {(a.lawn, a.task): a.day for a in counted.standing if a.task != WATERING}
    hours = {
        (a.lawn, a.task): Stretch(time.fromisoformat(start), time.fromisoformat(end))
        for a in counted.standing
        for start, end in [given.announced_hours.get(a.id, (None, None))]
        if start and end and a.task != WATERING
    }
    done = walk(setting, counted, now, standing, hours)
    lawns = tuple(_lawn(setting, done, lawn) for lawn in site.lawns)
    asks = asks_of(site, given.shelf, counted, today)
    plan = Plan(
        site=SiteName.of(site),
        on=today,
        decided_at=now,
        cannot_tell=False,
        weather=_weather(given, now, weather),
        headline=headline(site, lawns, asks, broken=_broken(given.book)),
        lawns=lawns,
        days=coming_days(setting, done),
        withdrawn=withdrawn(given.advised, lawns, counted, now, given.announced_hours),
        ask=asks,
        next=what_comes_next(setting, done, given.coming),
        shop=to_buy(done, {(n.lawn, n.task): n.earliest for n in given.coming if n.earliest}),
        unknown=(*_failure(given), *_unknown(setting, done)),
        problems=tuple(given.problems),
        next_digest=next_digest(site, today),
        curves=curves(setting, done),
    )
    return plan, done


def usable_weather(given: Given, now: datetime) -> SiteWeather | None:
    """The weather facts, where there is a forecast that a decision may rest on."""
    if given.series is None or now - given.series.source.fetched_at > STALE_AFTER:
        return None
    weather = site_weather(given.series, given.site, now, given.past)
    if weather is None or weather.daily.forecast_end <= weather.daily.today:
        return None
    return weather


def why_no_weather(given: Given, now: datetime) -> str:
    """Why there is no usable weather, as a sentence."""
    if given.series is None:
        return tell("There is no forecast: none could be fetched yet.")
    age = now - given.series.source.fetched_at
    if age > STALE_AFTER:
        hours = age.total_seconds() / 3600
        return tell(
            "The newest forecast is {hours} hours old, too old to decide on.", hours=f"{hours:.0f}"
        )
    return tell("The newest forecast does not tell of today's air temperature.")


def next_digest(site: Site, today: date) -> date:
    """The next scheduled date after today."""
    weekday = WEEKDAYS.index(site.digest.weekday)
    ahead = (weekday - today.weekday() - 1) % 7 + 1
    return today + timedelta(ahead)


def _weather(given: Given, now: datetime, weather: SiteWeather | None) -> Weather:
    fetched = given.series.source.fetched_at if given.series is not None else None
    last = None
    if weather is not None and weather.daily.forecast_end > weather.daily.today:
        last = weather.daily.days[weather.daily.forecast_end - 1]
    return Weather(
        provider=given.series.source.provider if given.series is not None else "none",
        attribution=given.attribution,
        attribution_url=given.attribution_url,
        licence_url=given.licence_url,
        fetched_at=fetched,
        age_hours=round((now - fetched).total_seconds() / 3600, 1) if fetched else None,
        stale=weather is None,
        forecast_to=last,
    )


def _lawn(setting: Setting, done: Walk, lawn: Lawn) -> LawnPlan:
    view = done.views[lawn.name]
    today = setting.today
    actions: list[Action] = []
    for task in view.tasks:
        chosen = [
            choice
            for choice in by_lawn(done.choices, lawn.name)
            if choice.task == task and choice.day < today + ADVICE_DAYS
        ]
        if chosen:
            actions.extend(do(setting, choice) for choice in chosen)
        elif _worth_telling(setting, done, view, task):
            actions.append(wait(setting, done, view, task))
    actions.sort(key=lambda a: (a.verdict is Verdict.WAIT, a.day or date.max, a.start or ""))
    area = lawn.area_m2
    return LawnPlan(
        name=lawn.name,
        title=lawn.shown,
        grass=lawn.grass,
        grass_class=lawn.grass_class,
        area_text=show(area, Kind.AREA, setting.site.units),
        # What stands is what is so now: nothing that the plan has yet to do is in it.
        state=_state(done.before[lawn.name], today),
        conditions=conditions(setting, done.before[lawn.name]),
        actions=tuple(actions),
        notes=_notes(view, today),
    )


ALWAYS_TOLD = ("feed", "pre-emergent", WATERING)
"""Tasks that every owner wonders about each week; any other is told of when it is its time."""


def _worth_telling(setting: Setting, done: Walk, view: View, task: str) -> bool:
    """Whether a wait belongs into the digest: a window is open within the plan's reach, or may be
    for all that is known, or the task was announced for a day still to come."""
    if task in ALWAYS_TOLD or (view.lawn.name, task) in done.standing:
        return True
    ahead = slice(setting.today, setting.end)
    return any(
        days[ahead].any() or may_be_open(view, rule, setting.today)
        for rule, days in view.opened(task)
    )


def _broken(book: Rulebook) -> str:
    """Where the mistake is for which everything put down is held; empty where there is none."""
    mistakes = [problem for problem in book.problems if not problem.warning]
    if not book.holds_everything or not mistakes:
        return ""
    file, line = mistakes[0].file, mistakes[0].line
    return tell("{file}, line {line}", file=file, line=line) if line else file


def _state(view: View, day: int) -> str:
    code = int(view.facts.table.words["grass"].codes[day])
    return STATES[code].replace("-", " ") if code >= 0 else "unknown"


def _notes(view: View, day: int) -> tuple[str, ...]:
    return tuple(
        view.explain(rule, day).sentence
        for rule in view.setting.book.rules.values()
        if rule.kind is RuleKind.NOTES
        and rule.speaks_of(view.lawn.grass, view.lawn.grass_class)
        and view.sure(rule)[day]
    )


def _failure(given: Given) -> tuple[Unknown, ...]:
    if not given.failure:
        return ()
    return (Unknown(lawn=None, what=tell("The newest forecast"), why=given.failure),)


def _unknown(setting: Setting, done: Walk) -> tuple[Unknown, ...]:
    """What could not be told where that decided: an unknown beside a sure reason did not."""
    out: list[Unknown] = []
    for lawn in setting.site.lawns:
        view = done.views[lawn.name]
        planned = {choice.task for choice in by_lawn(done.choices, lawn.name)}
        for task in view.tasks:
            if task in planned or not _worth_telling(setting, done, view, task):
                continue
            reasons = waiting(done, view, task).reasons
            if reasons and reasons[0].unknown:
                out.append(
                    Unknown(
                        lawn=lawn.name,
                        what=tell("{task} on {lawn}", task=task_title(task), lawn=lawn.shown),
                        why=_with_line(reasons[0]),
                    )
                )
    return tuple(out)


def _with_line(reason: Reason) -> str:
    """What is missing, with the line of the journal that would tell it."""
    lines = listed([tell("`last {task} DATE`", task=task) for task in reason.undated])
    if not lines:
        return reason.missing
    return tell(
        "{missing}. Write down when it was last done, as in {lines}",
        missing=reason.missing,
        lines=lines,
    )


def _last_known(given: Given, now: datetime, lawn: Lawn, counted: Sums) -> tuple[str, ...]:
    """Water must not wait for a forecast for ever: what the balance, carried on with the last one,
    says of a lawn that is surely past its stress line."""
    if given.series is None or not lawn.irrigated:
        return ()
    weather = site_weather(given.series, given.site, now)
    if weather is None:
        return ()
    table = lawn_facts(weather, given.site, lawn, counted).table
    today = weather.daily.today
    missing = float(table.number("depletion").low[today])
    line = float(table.number("stress_line").high[today])
    if not missing > line:
        return ()
    units = given.site.units
    known = given.series.source.fetched_at.astimezone(weather.zone).date()
    return (
        tell(
            "By the water balance as last known, on {day}: {missing} is missing and stress begins"
            " at {line}. Where the grass wilts, water it on a permitted day, at most that much;"
            " look at the sky first, since rain since then is not known.",
            day=day_text(known, units),
            missing=show(missing, Kind.WATER, units),
            line=show(line, Kind.WATER, units),
        ),
    )


def _cannot_tell(given: Given, now: datetime, today: date, counted: Sums) -> Plan:
    """No weather, or weather too old to decide on: wait, and say so."""
    site = given.site
    why = why_no_weather(given, now)
    lawns = tuple(
        LawnPlan(
            name=lawn.name,
            title=lawn.shown,
            grass=lawn.grass,
            grass_class=lawn.grass_class,
            area_text=show(lawn.area_m2, Kind.AREA, site.units),
            state="unknown",
            conditions=(),
            actions=(),
            notes=_last_known(given, now, lawn, counted),
        )
        for lawn in site.lawns
    )
    asks = asks_of(site, given.shelf, counted, today)
    return Plan(
        site=SiteName.of(site),
        on=today,
        decided_at=now,
        cannot_tell=True,
        weather=_weather(given, now, None),
        headline=headline(
            site,
            lawns,
            asks,
            cannot_tell=tell("{why} Put nothing down until there is a new one.", why=why),
        ),
        lawns=lawns,
        days=(),
        ask=asks,
        next=(),
        unknown=(
            Unknown(lawn=None, what=tell("Everything that depends on weather"), why=why),
            *_failure(given),
        ),
        problems=tuple(given.problems),
        next_digest=next_digest(site, today),
    )

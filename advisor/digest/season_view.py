"""The season in its reader's words, ready to lay out; every text in it is clean."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from advisor.digest.ahead_view import LawnRows, season_view
from advisor.digest.clean import cleaned
from advisor.digest.explained import UNREADABLE, place_text, says_text, source_text
from advisor.digest.parts import DigestView
from advisor.digest.saying import once
from advisor.digest.standing import shown_value
from advisor.digest.strip import NONE
from advisor.digest.view import view
from advisor.digest.words import sentence, state_text
from advisor.language.dates import day_text, full_day_text, language_tag
from advisor.language.sentences import capitalised
from advisor.language.words import later, tell
from advisor.plan.ahead_model import Ahead
from advisor.plan.asked_model import ConditionSaid, RuleSaid
from advisor.plan.model import Condition, LawnPlan
from advisor.plan.names import grass_text
from advisor.plan.season_model import JournalLine, JournalWeek, LawnSeason, Season, YearHad
from advisor.site.named import caught_by_law

GROUPS = {
    "opens": later("Open windows"),
    "waters": later("Asks for water"),
    "holds": later("What holds back"),
    "notes": later("Remarks"),
}
"""By kind of rule, what those that speak stand under."""

MARKS = {
    "perhaps": later("perhaps done"),
    "question": later("please look"),
    "unreadable": later("cannot be read"),
}
"""By kind of line, what stands before what does not simply count."""


@dataclass(frozen=True)
class ConditionView:
    """`state` is yes, no or unsure, `state_text` the same in words; `found` has value, limit
    and margin."""

    text: str
    state: str
    state_text: str
    found: str
    origin: str
    change: str


@dataclass(frozen=True)
class RuleView:
    name: str
    kind: str
    what: str
    says: str
    sentence: str
    lets: tuple[str, ...]
    at: str
    conditions: tuple[ConditionView, ...]
    more: tuple[str, ...]
    source: str
    place: str


@dataclass(frozen=True)
class GroupView:
    """Rules of one kind that speak."""

    title: str
    rules: tuple[RuleView, ...]


@dataclass(frozen=True)
class HadView:
    """`done` and `perhaps` are parts of the limit in percent, for the bar; None where there is no
    limit, or where nobody knows."""

    substance: str
    text: str
    limit: str
    left: str
    done: float | None
    perhaps: float


@dataclass(frozen=True)
class LawnView:
    anchor: str
    name: str
    title: str
    about: str
    notes: tuple[str, ...]
    ahead: LawnRows | None
    had: tuple[HadView, ...]
    since: tuple[tuple[str, str], ...]
    groups: tuple[GroupView, ...]
    silent: str
    numbers: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class LineView:
    day: str
    lawn: str
    mark: str
    text: str
    note: str


@dataclass(frozen=True)
class WeekView:
    title: str
    lines: tuple[LineView, ...]


@dataclass(frozen=True)
class SeasonView:
    """All that the page says. `verdict` is the word, `claim` what follows it."""

    language: str
    title: str
    day: str
    verdict: str
    verdict_line: str
    digest: DigestView
    cannot_tell: tuple[str, ...]
    lawns: tuple[LawnView, ...]
    ahead_sure: str
    ahead_held: str
    ahead_about: tuple[str, ...]
    journal_from: str
    weeks: tuple[WeekView, ...]
    sources: tuple[tuple[str, str], ...]
    small: tuple[str, ...]


def season_words(season: Season) -> SeasonView:
    """The document as words, in the language that is spoken. Its texts may hold anything: they are
    cleaned here."""
    season = cleaned(season)
    plan, units = season.plan, season.plan.site.units
    digest = view(plan)
    ahead = season_view(season.ahead) if season.ahead is not None else None
    rows = dict(
        zip((lawn.name for lawn in season.ahead.lawns), ahead.lawns, strict=True)
        if season.ahead is not None and ahead is not None
        else ()
    )
    begins = tell("It does not say from which day on it tells all.")
    if season.journal_from is not None:
        day = day_text(season.journal_from, units, season.today)
        begins = tell("It tells all that was done from {day} on.", day=day)
    return SeasonView(
        language=language_tag(units),
        title=tell("{site}: the season of {year}", site=plan.site.title, year=season.today.year),
        day=full_day_text(season.today, units),
        verdict=digest.verdict,
        verdict_line=digest.verdict_line,
        digest=digest,
        cannot_tell=tuple(_cannot_tell(season)),
        lawns=tuple(
            _lawn(number, lawn, said, rows.get(lawn.name))
            for number, (lawn, said) in enumerate(
                zip(season.lawns, plan.lawns, strict=True), start=1
            )
        ),
        ahead_sure=ahead.intro[1] if ahead is not None else "",
        ahead_held=ahead.held if ahead is not None else "",
        ahead_about=tuple(_about_ahead(season.ahead)) if season.ahead is not None else (),
        journal_from=begins,
        weeks=tuple(_week(week, season) for week in season.journal),
        sources=tuple((", ".join(one.rules), sentence(one.source)) for one in season.sources),
        small=tuple(_small(season, digest)),
    )


def _cannot_tell(season: Season) -> Iterator[str]:
    if season.cannot_tell:
        yield season.cannot_tell
    if season.holds_everything:
        yield tell(UNREADABLE)


def _about_ahead(ahead: Ahead) -> Iterator[str]:
    yield tell(
        "Dates come from {years} past years, {first} to {last}.",
        years=ahead.years, first=ahead.first_year, last=ahead.last_year,
    )  # fmt: skip
    yield from ahead.assumes


def _small(season: Season, digest: DigestView) -> Iterator[str]:
    yield digest.weather
    # As text, since the page leads nowhere but to itself.
    yield from once((digest.attribution, digest.attribution_url, digest.licence_url))
    if season.ahead is not None and season.ahead.attribution != digest.attribution:
        yield season.ahead.attribution
    yield digest.next_digest


def _lawn(number: int, lawn: LawnSeason, plan: LawnPlan, ahead: LawnRows | None) -> LawnView:
    about = (grass_text(plan.grass), plan.area_text, state_text(plan.state))
    return LawnView(
        anchor=f"lawn-{number}",
        name=lawn.name,
        title=lawn.title,
        about=sentence(", ".join(about)),
        notes=plan.notes,
        ahead=ahead,
        had=tuple(_had(one) for one in lawn.had),
        since=tuple((one.title, one.text) for one in lawn.since),
        groups=tuple(_groups(lawn)),
        silent=", ".join(lawn.silent),
        numbers=tuple(_numbers(plan.conditions)),
    )


def _had(had: YearHad) -> HadView:
    done, perhaps = None, 0.0
    if had.limit and had.most is not None:
        done = min(100.0, 100 * had.least / had.limit)
        perhaps = min(100.0, 100 * had.most / had.limit) - done
    return HadView(
        substance=capitalised(caught_by_law(had.substance)),
        text=had.text,
        limit=had.limit_text or tell("no limit known"),
        left=had.left_text or NONE,
        done=done,
        perhaps=perhaps,
    )


def _groups(lawn: LawnSeason) -> Iterator[GroupView]:
    for kind, title in GROUPS.items():
        rules = tuple(_rule(rule) for rule in lawn.speaking if rule.kind == kind)
        if rules:
            yield GroupView(tell(title), rules)


def _rule(rule: RuleSaid) -> RuleView:
    more = [tell("Next: {what}.", what=rule.change)] if rule.change else []
    if rule.latch_text:
        more.append(tell("Memory: {what}.", what=rule.latch_text))
    return RuleView(
        name=rule.name,
        kind=rule.kind,
        what=rule.what,
        says=says_text(rule),
        sentence=rule.sentence,
        lets=tuple(
            tell("{name} is {meaning}", name=_plain(let.name), meaning=_plain(let.meaning))
            for let in rule.lets
        ),
        at=tell("In the hour from {hour}:", hour=rule.at) if rule.at and rule.conditions else "",
        conditions=tuple(_condition(one) for one in rule.conditions),
        more=tuple(more),
        source=source_text(rule),
        place=place_text(rule),
    )


def _plain(text: str) -> str:
    """A name of the rule language as words."""
    return text.replace("_", " ")


def _condition(one: ConditionSaid) -> ConditionView:
    state = {True: "yes", False: "no", None: "unsure"}[one.holds]
    words = {True: tell("holds"), False: tell("does not hold"), None: tell("cannot tell")}
    # The limits of a fact that is a word stand in its line already.
    numeric = any(sign.isdigit() for sign in one.limit or "")
    parts = [one.value or one.missing]
    if numeric and one.value is not None:
        parts.append(
            tell("shuts at {limit}", limit=one.limit)
            if one.keyword == "until"
            else tell("limit {limit}", limit=one.limit)
        )
    if one.margin:
        parts.append(one.margin)
    return ConditionView(
        text=f"{one.word} {_plain(one.text)}",
        state=state,
        state_text=words[one.holds],
        found=", ".join(part for part in parts if part),
        origin=tell("From {origin}.", origin=one.origin) if one.origin else "",
        change=sentence(one.change) if one.change else "",
    )


def _numbers(conditions: tuple[Condition, ...]) -> Iterator[tuple[str, str, str]]:
    for one in conditions:
        yield one.title, shown_value(one), sentence(one.origin)


def _week(week: JournalWeek, season: Season) -> WeekView:
    title = tell("Without a date that can be read")
    if week.first is not None:
        day = day_text(week.first, season.plan.site.units, season.today)
        title = tell("Week of {day}", day=day)
    return WeekView(title, tuple(_line(line, season) for line in week.lines))


def _line(line: JournalLine, season: Season) -> LineView:
    lawn = line.lawn_title
    if not lawn and len(season.lawns) > 1:
        lawn = tell("both lawns") if len(season.lawns) == 2 else tell("all lawns")
    return LineView(
        day=day_text(line.day, season.plan.site.units, season.today) if line.day else "",
        lawn=lawn,
        mark=tell(MARKS[line.kind]) if line.kind in MARKS else "",
        text=line.text,
        note=line.note,
    )

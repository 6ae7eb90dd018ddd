"""The season of a site: its year so far, what each rule says of it and why, and what is ahead.

It decides nothing: the plan is given, the rules are asked of the lawns as they stand, and the sums
are those that doses and facts rest on.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta

from advisor.language.dates import first_weekday
from advisor.language.speaking import speaking
from advisor.language.words import tell
from advisor.plan.ahead_model import Ahead
from advisor.plan.asked import ask_rules
from advisor.plan.asked_model import LawnSaid, RuleSaid
from advisor.plan.compose import Given
from advisor.plan.dose_year import year_limit
from advisor.plan.model import Plan
from advisor.plan.season_model import (
    JournalLine,
    JournalWeek,
    LawnSeason,
    Season,
    Since,
    SourceSaid,
    YearHad,
)
from advisor.plan.words import task_title
from advisor.series.quantity import show_small
from advisor.site.facts import Unreadable
from advisor.site.journal import Journal
from advisor.site.lawns import Lawn
from advisor.site.sums import Sums, sums
from advisor.site.year_had import had_text, substances_had, tasks_since, year_had

KINDS = ("opens", "waters", "holds", "notes")
"""In this order the rules that speak are told: what may be done first, then what keeps it back."""


def look_over_season(given: Given, plan: Plan, ahead: Ahead | None, now: datetime) -> Season:
    """The season of a site at `now`, in the site's language. `plan` is what was decided then,
    `ahead` what past years tell. The same arguments give the same season."""
    with speaking(given.site.language):
        return _season(given, plan, ahead, now)


def _season(given: Given, plan: Plan, ahead: Ahead | None, now: datetime) -> Season:
    site = given.site
    today = now.astimezone(site.place.zone_info).date()
    counted = sums(site, given.shelf, given.journal, given.advised, today)
    asked = ask_rules(given, now)
    said = {lawn.name: lawn for lawn in asked.lawns}
    lawns = tuple(_lawn(lawn, counted, said.get(lawn.name)) for lawn in site.lawns)
    return Season(
        plan=plan,
        today=today,
        ahead=ahead,
        cannot_tell=asked.cannot_tell,
        holds_everything=asked.holds_everything,
        lawns=lawns,
        journal_from=given.journal.start,
        journal=weeks(journal_lines(given.journal, plan, site.lawns, today), site.units),
        sources=_sources(rule for lawn in lawns for rule in lawn.speaking),
    )


def _lawn(lawn: Lawn, counted: Sums, said: LawnSaid | None) -> LawnSeason:
    rules = said.rules if said is not None else ()
    speaking_first = sorted(
        (rule for rule in rules if rule.speaks), key=lambda rule: KINDS.index(rule.kind)
    )
    return LawnSeason(
        name=lawn.name,
        title=lawn.shown,
        had=tuple(_had(lawn, counted, name) for name in substances_had(counted, lawn.name)),
        since=tuple(
            Since(task=task, title=task_title(task), text=days)
            for task, days in tasks_since(counted, lawn.name)
        ),
        speaking=tuple(speaking_first),
        silent=tuple(rule.name for rule in rules if not rule.speaks),
    )


def _had(lawn: Lawn, counted: Sums, substance: str) -> YearHad:
    units = counted.site.units
    low, high = year_had(counted, lawn.name, substance)
    limit = year_limit(substance, lawn, counted)
    known = not math.isinf(high)
    left = max(0.0, limit - high) if limit is not None and known else None
    left_text = ""
    if limit is not None:
        left_text = tell("cannot be told") if left is None else show_small(left, units)
    return YearHad(
        substance=substance,
        least=low,
        most=high if known else None,
        text=had_text(low, high, units),
        limit=limit,
        limit_text=show_small(limit, units) if limit is not None else "",
        left=left,
        left_text=left_text,
    )


def journal_lines(
    journal: Journal, plan: Plan, lawns: Sequence[Lawn], today: date
) -> tuple[JournalLine, ...]:
    """This year's lines, newest first, with the plan's open questions among them; what cannot be
    dated stands before all others."""
    titles = {lawn.name: lawn.shown for lawn in lawns}
    found: list[JournalLine] = [
        JournalLine(
            day=entry.day, lawn_title=titles.get(entry.lawn, ""), kind="told", text=entry.text
        )
        for entry in journal.entries
        if entry.day.year == today.year and entry.day <= today
    ]
    found += [
        JournalLine(
            day=question.entry.day,
            lawn_title=titles.get(question.entry.lawn, ""),
            kind="question",
            text=question.entry.text,
            note=_mend(question.problem.what, question.problem.hint),
        )
        for question in journal.questions
        if question.future or question.entry.day.year == today.year
    ]
    found += [
        JournalLine(
            day=ask.day,
            lawn_title=ask.lawn_title,
            kind="perhaps",
            text=ask.text,
            note=tell("It counts as perhaps done until you answer. Any one of these lines does:")
            + " "
            + "; ".join(ask.answers),
        )
        for ask in plan.ask
    ]
    found += [
        _unreadable(line, titles)
        for line in journal.unreadable
        if line.day is None or line.day.year == today.year
    ]
    # Of one day, the later in the file is the newer.
    numbered = sorted(enumerate(found), key=lambda one: (one[1].day or date.max, one[0]))
    return tuple(line for _, line in reversed(numbered))


def _unreadable(line: Unreadable, titles: dict[str, str]) -> JournalLine:
    return JournalLine(
        day=line.day,
        lawn_title=titles[line.lawns[0]] if len(line.lawns) == 1 and len(titles) > 1 else "",
        kind="unreadable",
        text=line.text if line.day is not None else line.problem.text,
        note=_mend(line.problem.what, line.problem.hint),
    )


def _mend(what: str, hint: str) -> str:
    return " ".join([f"{what[:1].upper()}{what[1:]}.", *hint.splitlines()])


def weeks(lines: Iterable[JournalLine], units: str) -> tuple[JournalWeek, ...]:
    """Lines by the reader's weeks, in their order."""
    found: dict[date | None, list[JournalLine]] = {}
    for line in lines:
        found.setdefault(_week(line.day, units), []).append(line)
    return tuple(JournalWeek(first=first, lines=tuple(found[first])) for first in found)


def _week(day: date | None, units: str) -> date | None:
    if day is None:
        return None
    return day - timedelta((day.weekday() - first_weekday(units)) % 7)


def _sources(rules: Iterable[RuleSaid]) -> tuple[SourceSaid, ...]:
    found: dict[str, list[str]] = {}
    for rule in rules:
        if rule.source and rule.name not in found.setdefault(rule.source, []):
            found[rule.source].append(rule.name)
    return tuple(SourceSaid(source=source, rules=tuple(names)) for source, names in found.items())

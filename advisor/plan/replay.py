"""The service over a past season, as if it had been there.

A digest on each of the site's weekdays, with the weather as it was known that morning and the
journal as it stood; and on the evening before each day for which something was advised, or on which
sprinklers may run, one more look, as the service takes it with every newer forecast: what that
takes back is not done, and water that it finds needed is given.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any, Protocol

from advisor.language.words import tell
from advisor.plan.announced import Sent, announced
from advisor.plan.choice import Walk
from advisor.plan.compose import Given, next_digest, plan_and_walk
from advisor.plan.model import Action, Plan, Verdict
from advisor.plan.needed import Note, may_tell, note
from advisor.plan.recant import TakenBack, announced_hours, may_alert
from advisor.plan.replay_foresight import Known
from advisor.plan.replay_held import HoldCount
from advisor.plan.replay_model import Back, Held, Told, Week
from advisor.plan.replay_owner import Deed
from advisor.rulebook.book import Rulebook
from advisor.series.quantity import Kind, show
from advisor.series.years import PastYears
from advisor.site.events import Advised
from advisor.site.fields import WEEKDAYS
from advisor.site.journal import Journal
from advisor.site.place import Site
from advisor.site.shelf import Shelf
from advisor.site.sums import sums

EVENING = time(21)
"""When, on the day before, a day's work is looked at once more [judgement]."""


class Owner(Protocol):
    """Whose journal it is, and who may do what is advised (see `replay_owner`)."""

    deeds: list[Deed]

    def journal(self, day: date, *, morning: bool = False) -> Journal: ...
    def do(self, action: Action, lawn: str) -> None: ...
    def end(self, day: date) -> None: ...


@dataclass(frozen=True)
class Season:
    """What a replay is made from. `known` gives the weather as it was known at a moment, None where
    none was; `looks_again`: whether a newer forecast may take back what was announced."""

    site: Site
    shelf: Shelf
    book: Rulebook
    first: date
    last: date
    known: Callable[[datetime], Known | None]
    past: Callable[[datetime], PastYears | None]
    looks_again: bool = True


@dataclass(frozen=True)
class Lived:
    """A season's digests, the advice that stands at its end, answered or not, and what held."""

    weeks: tuple[Week, ...]
    advised: tuple[Advised, ...]
    held: tuple[Held, ...]


@dataclass(frozen=True)
class _Due:
    """An action that the owner means to do."""

    lawn: str
    action: Action


@dataclass
class _Living:
    season: Season
    owner: Owner
    sent: list[Sent] = field(default_factory=list)
    due: list[_Due] = field(default_factory=list)
    weeks: list[Week] = field(default_factory=list)
    alerts: int = 0
    water_notes: int = 0
    last_water_note: date | None = None
    holds: HoldCount = field(default_factory=HoldCount)


def digest_days(site: Site, first: date, last: date) -> list[date]:
    """The dates of the digests from `first` to `last`."""
    weekday = WEEKDAYS.index(site.digest.weekday)
    begin = first + timedelta((weekday - first.weekday()) % 7)
    return [begin + timedelta(7 * n) for n in range((last - begin).days // 7 + 1)]


def live(season: Season, owner: Owner, progress: Callable[[date], None] = lambda _: None) -> Lived:
    """Live through the season. `progress` is called with the date of each digest.

    What was done stands with the owner afterwards.
    """
    living = _Living(season, owner)
    digests = set(digest_days(season.site, season.first, season.last))
    for n in range((season.last - season.first).days + 1):
        day = season.first + timedelta(n)
        if day in digests:
            _digest(living, day)
            progress(day)
        for due in living.due:
            if due.action.day == day:
                owner.do(due.action, due.lawn)
        living.due = [due for due in living.due if due.action.day and due.action.day > day]
        owner.end(day)
        if season.looks_again and day < season.last:
            _look_again(living, day)
    return Lived(tuple(living.weeks), tuple(announced(living.sent)), living.holds.told(season.site))


def _decide(
    living: _Living, now: datetime, journal: Journal, known: Known | None
) -> tuple[Plan, Walk | None]:
    season = living.season
    given = Given(
        site=season.site,
        shelf=season.shelf,
        journal=journal,
        book=season.book,
        series=known.series if known is not None else None,
        advised=announced(living.sent),
        attribution="",
        attribution_url="",
        past=season.past(now),
        announced_hours=announced_hours(living.sent),
    )
    return plan_and_walk(given, now)


def _digest(living: _Living, day: date) -> None:
    site = living.season.site
    now = datetime.combine(day, time.fromisoformat(site.digest.hour), site.place.zone_info)
    known = living.season.known(now)
    plan, walk = _decide(living, now, living.owner.journal(day, morning=True), known)
    held = living.holds.add(walk, plan) if walk is not None else ()
    living.sent.append(Sent(plan.on, not plan.cannot_tell, _documents(plan)))
    living.alerts = living.water_notes = 0
    if not plan.cannot_tell:
        living.due = [
            _Due(lawn.name, action)
            for lawn in plan.lawns
            for action in lawn.actions
            if action.verdict is not Verdict.WAIT and action.day is not None
        ]
    living.weeks.append(_week(plan, known).model_copy(update={"held": held}))


def _look_again(living: _Living, day: date) -> None:
    """The look on the evening before a day's work. What no longer stands is taken back, and done on
    the new day that the note names, if it names one; water that became needed is told and given.
    Each as often as the service tells of it."""
    site, tomorrow = living.season.site, day + timedelta(1)
    takes_back = may_alert(living.alerts, site.digest.alerts) and any(
        due.action.day == tomorrow for due in living.due
    )
    waters = may_tell(
        living.water_notes, living.last_water_note, day, site.digest.alerts
    ) and _may_water(living, tomorrow)
    if not (takes_back or waters):
        return
    now = datetime.combine(day, EVENING, site.place.zone_info)
    known = living.season.known(now)
    if known is None or known.foresight == "climatology":
        return  # no newer forecast has come
    journal, told = living.owner.journal(day), announced(living.sent)
    standing = sums(site, living.season.shelf, journal, told, day).standing
    plan, _ = _decide(living, now, journal, known)
    found = note(
        plan, standing, told, day, next_digest(site, day), announced_hours(living.sent),
        takes_back=takes_back, waters=waters,
    )  # fmt: skip
    if found.taken or found.water:
        _tell(living, plan, found, {advice.id for advice in standing})


def _may_water(living: _Living, day: date) -> bool:
    """Whether a digest has gone out and sprinklers may run on a day."""
    site = living.season.site
    return bool(living.sent) and any(
        lawn.irrigated and site.watering.allows(day, lawn.name) for lawn in site.lawns
    )


def _tell(living: _Living, plan: Plan, found: Note, standing: set[str]) -> None:
    """What the note leaves standing, a new day that it names and its water count as advised."""
    taken = found.taken
    living.alerts += bool(taken)
    if found.water:
        living.water_notes, living.last_water_note = living.water_notes + 1, plan.on
    water = [_Due(one.lawn, one.action) for one in found.water]
    new = {due.action.id for due in water}
    moved = [
        *water,
        *(
            due
            for one in taken
            if (due := _moved_to(plan, one)) is not None and due.action.id not in new
        ),
    ]
    documents = {
        str(document["id"]): (lawn, document)
        for sent in living.sent
        for lawn, document in sent.actions
    }
    gone = {one.advised.id for one in taken}
    left = sorted((standing - gone - new) & documents.keys())
    again = [(due.lawn, _document(due.action)) for due in moved]
    living.sent.append(Sent(plan.on, True, (*(documents[name] for name in left), *again)))
    stands = [due for due in living.due if due.action.id not in gone]
    had = {due.action.id for due in stands}
    living.due = stands + [due for due in moved if due.action.id not in had]
    week = living.weeks[-1]
    back = tuple(_back(plan.on, one) for one in taken)
    noted = tuple(_told(due.lawn, due.action, plan.site.units) for due in water)
    living.weeks[-1] = week.model_copy(
        update={"taken_back": (*week.taken_back, *back), "noted": (*week.noted, *noted)}
    )


def _moved_to(plan: Plan, taken: TakenBack) -> _Due | None:
    """The action of the plan that a note names in place of the one taken back."""
    if not taken.moved or taken.instead is None:
        return None
    for lawn in plan.lawns:
        if lawn.name == taken.advised.lawn:
            for action in lawn.actions:
                if (action.task, action.day) == (taken.advised.task, taken.instead) and (
                    action.verdict is not Verdict.WAIT
                ):
                    return _Due(lawn.name, action)
    return None


def _documents(plan: Plan) -> tuple[tuple[str, dict[str, Any]], ...]:
    return tuple(
        (lawn.name, _document(action))
        for lawn in plan.lawns
        for action in lawn.actions
        if action.verdict is not Verdict.WAIT
    )


def _document(action: Action) -> dict[str, Any]:
    """What is read back of an action that was sent, under the names of `plan.json`."""
    return {
        "id": action.id,
        "task": action.task,
        "date": action.day.isoformat() if action.day else None,
        "from": action.start,
        "until": action.end,
        "dose": (
            {"product": action.dose.product, "amount": action.dose.amount} if action.dose else None
        ),
        "water_mm": action.water_mm,
    }


def _week(plan: Plan, known: Known | None) -> Week:
    return Week(
        on=plan.on,
        foresight=known.foresight if known is not None else "none",
        cannot_tell=plan.cannot_tell,
        verdict=plan.headline.verdict,
        text=plan.headline.text,
        asked=len(plan.ask),
        told=tuple(
            _told(lawn.name, action, plan.site.units)
            for lawn in plan.lawns
            for action in lawn.actions
        ),
    )


def _told(lawn: str, action: Action, units: str) -> Told:
    return Told(
        lawn=lawn,
        task=action.task,
        title=action.title,
        verdict=action.verdict,
        rule=action.rule,
        because=action.because,
        day=action.day,
        start=action.start,
        end=action.end,
        what=_what(action, units),
        look_again=action.look_again,
    )


def _what(action: Action, units: str) -> str:
    if action.dose is not None:
        return tell(
            "{amount} of {product}", amount=action.dose.amount_text, product=action.dose.product
        )
    return "" if action.water_mm is None else show(action.water_mm, Kind.WATER, units)


def _back(on: date, taken: TakenBack) -> Back:
    return Back(
        on=on,
        lawn=taken.advised.lawn,
        task=taken.advised.task,
        day=taken.advised.day,
        because=taken.because,
        instead=taken.instead,
    )

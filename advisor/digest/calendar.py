"""What a mail advises, as entries of a calendar (RFC 5545, published by RFC 5546).

An entry's UID is its action's, so a later mail about it updates it, moves its hours or cancels it.
The same plan and sender give the same bytes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING
from urllib.parse import quote
from zoneinfo import ZoneInfo

from advisor.digest.clean import cleaned
from advisor.digest.mail import sender_address
from advisor.digest.saying import once
from advisor.digest.view import DEFER
from advisor.language.dates import day_text
from advisor.language.speaking import speaking
from advisor.language.words import tell, tell_as
from advisor.plan.model import Action, LawnPlan, Plan, Verdict, Withdrawn
from advisor.series.quantity import Kind, show

if TYPE_CHECKING:
    from icalendar import Alarm, Event

PRODUCT = "-//Swardcast//Lawn digest//EN"

SEQUENCE_FROM = datetime(2020, 1, 1, tzinfo=UTC)
"""SEQUENCE counts seconds from here; 31 bits of them last until 2088."""

LARGEST_SEQUENCE = 2**31 - 1

FIRST_ALARM, LAST_ALARM = time(7), time(21)
"""An alarm comes an hour before, where that is not before the first or after the last of these."""

EVENING = time(18)
"""When the alarm comes otherwise: the evening before, or that evening for what begins at night."""

_MAILTO = "@!$'*+"
"""Signs of an address that a mailto URI takes as they are (RFC 6068)."""


def calendar(plan: Plan, *, sender: str, message_id_domain: str | None = None) -> bytes:
    """One entry for each action that the plan advises for a day, and one that cancels for each that
    it withdraws; empty where there is neither. Times are in UTC.

    `sender` and `message_id_domain` are those of the mail (ValueError as `build_mail`): the sender
    is the organizer, which RFC 5546, 3.2.1 requires of what is published.
    """
    from icalendar import Calendar  # slow to load, and not needed by all that starts

    with speaking(plan.site.language):
        whole = Calendar()
        whole.add("prodid", PRODUCT)
        whole.add("version", "2.0")
        whole.add("calscale", "GREGORIAN")
        whole.add("method", "PUBLISH")
        for event in _Writer(cleaned(plan), sender, message_id_domain).events():
            whole.add_component(event)
        return whole.to_ical() if whole.subcomponents else b""


def uid(plan: Plan, action_id: str, domain: str) -> str:
    """The name of an action's entry: the same in every mail about it."""
    whole = f"{plan.site.id}\n{action_id}".encode("utf-8", "surrogatepass")
    return f"{hashlib.sha256(whole).hexdigest()[:32]}@{domain}"


def sequence(decided_at: datetime) -> int:
    """Grows from mail to mail by the clock alone. Nothing has to be remembered for it: not which
    mail arrived, nor what was said before the state was lost."""
    seconds = int((_utc(decided_at) - SEQUENCE_FROM).total_seconds())
    return min(max(seconds, 0), LARGEST_SEQUENCE)


@dataclass(frozen=True)
class When:
    """When an entry begins, ends and reminds. A `start` without hours is a date, and lasts the
    whole day; `end` is None where it has no length. `alarm` counts from the start."""

    start: date | datetime
    end: date | datetime | None
    alarm: timedelta


def when(day: date, start: str | None, end: str | None, zone: ZoneInfo) -> When:
    """A day and hours (HH:MM by the clock of `zone`) as an entry has them; an end before the start
    is on the next day.

    RFC 5545, 3.3.5: an hour that clocks skip is read by the offset before the gap, one that comes
    twice is the first of the two. Where that leaves no time between start and end, there is no end.
    """
    first, last = _clock(start), _clock(end)
    evening_before = datetime.combine(day, EVENING) - timedelta(days=1)
    if first is None:
        # Whole days have no zone: this counts from the reader's own midnight.
        return When(day, day + timedelta(days=1), evening_before - datetime.combine(day, time()))
    begins = datetime.combine(day, first, zone)
    over = day + timedelta(days=1) if last is not None and last < first else day
    ends = None if last is None else datetime.combine(over, last, zone).astimezone(UTC)
    starts = begins.astimezone(UTC)
    before = starts - timedelta(hours=1)
    local = before.astimezone(zone)
    if local.date() != day or local.time() < FIRST_ALARM:
        before = evening_before.replace(tzinfo=zone).astimezone(UTC)
    elif local.time() >= LAST_ALARM:
        before = datetime.combine(day, EVENING, zone).astimezone(UTC)
    return When(starts, ends if ends is not None and ends > starts else None, before - starts)


class _Writer:
    """Makes the entries of one plan, whose texts are clean."""

    def __init__(self, plan: Plan, sender: str, message_id_domain: str | None) -> None:
        self.plan = plan
        self.zone = ZoneInfo(plan.site.zone)
        self.sender = sender_address(sender)
        self.domain = message_id_domain or self.sender.domain

    def events(self) -> Iterator[Event]:
        """Each action once: a UID may stand in a calendar only once."""
        seen: set[str] = set()
        for lawn in self.plan.lawns:
            for action in lawn.actions:
                if action.verdict is Verdict.WAIT or action.day is None or action.id in seen:
                    continue
                seen.add(action.id)
                yield self.advised(lawn, action, action.day)
        for gone in self.plan.withdrawn:
            if gone.id not in seen:
                seen.add(gone.id)
                yield self.cancelled(gone)

    def advised(self, lawn: LawnPlan, action: Action, day: date) -> Event:
        times = when(day, action.start, action.end, self.zone)
        title = self.title(action, lawn)
        event = self.event(action.id, times, title, "CONFIRMED")
        event.add("description", "\n".join(_told(action, self.plan)))
        event.add("location", self.plan.site.title)
        if self.reminds(times):
            event.add_component(_alarm(title, times.alarm))
        return event

    def cancelled(self, gone: Withdrawn) -> Event:
        times = when(gone.day, gone.start, gone.end, self.zone)
        what = _titled(gone.title, gone.lawn_title if len(self.plan.lawns) > 1 else "")
        event = self.event(gone.id, times, tell("Called off: {what}", what=what), "CANCELLED")
        on = day_text(self.plan.on, self.plan.site.units)
        event.add(
            "description",
            "\n".join(
                (
                    tell("This no longer stands, by the mail of {day}.", day=on),
                    tell("If it is done already, write that into the journal, so that it is"
                         " counted."),
                )
            ),
        )  # fmt: skip
        return event

    def event(self, action_id: str, times: When, summary: str, status: str) -> Event:
        from icalendar import Event, vCalAddress

        event = Event()
        event.add("uid", uid(self.plan, action_id, self.domain))
        event.add("dtstamp", _utc(self.plan.decided_at).replace(microsecond=0))
        event.add("sequence", sequence(self.plan.decided_at))
        event.add("dtstart", times.start)
        if times.end is not None:
            event.add("dtend", times.end)
        organizer = vCalAddress(f"mailto:{quote(self.sender.addr_spec, safe=_MAILTO)}")
        organizer.params["CN"] = self.sender.display_name
        event.add("organizer", organizer)
        event.add("summary", summary)
        event.add("status", status)
        event.add("categories", [tell_as("category of a calendar", "Lawn")])
        event.add("class", "PRIVATE")
        # Its hours are those in which it may be done: nobody is busy for all of them.
        event.add("transp", "TRANSPARENT")
        return event

    def title(self, action: Action, lawn: LawnPlan) -> str:
        where = lawn.title if len(self.plan.lawns) > 1 else ""
        what = _titled(action.title, where)
        if action.dose is not None:
            return tell(
                "{task}: {amount} of {product}",
                task=what, amount=action.dose.amount_text, product=action.dose.title,
            )  # fmt: skip
        if action.water_mm is not None:
            depth = show(action.water_mm, Kind.WATER, self.plan.site.units)
            return tell("{task}: {amount}", task=what, amount=depth)
        return what

    def reminds(self, times: When) -> bool:
        """Whether its alarm lies ahead: else the mail itself is the reminder."""
        start = times.start
        if not isinstance(start, datetime):
            start = datetime.combine(start, time(), self.zone)
        return start + times.alarm > _utc(self.plan.decided_at)


def _titled(title: str, lawn: str) -> str:
    """The task without what stands in brackets, and its lawn where there are several."""
    short = title.partition(" (")[0] or title
    return tell("{task}, {lawn}", task=short, lawn=lawn) if lawn else short


def _told(action: Action, plan: Plan) -> Iterator[str]:
    """What to know when it is time: whether to go, how much, how, and with what care."""
    if action.go_line:
        yield tell("That morning: {check}", check=action.go_line)
    dose = action.dose
    steps = dose.steps if dose is not None else ()
    if dose is not None:
        product = dose.title
        if dose.analysis and dose.analysis not in product:
            product += f" ({dose.analysis})"
        yield tell(
            "{amount} of {product} on {area}; {rate}",
            amount=dose.amount_text, product=product, area=dose.area_text, rate=dose.rate_text,
        )  # fmt: skip
        if dose.carrier_text:
            yield dose.carrier_text
    if action.water_text:
        yield action.water_text
    for place, step in enumerate(steps, 1):
        yield f"{place}. {step}"
    for caution in once(action.cautions):
        if not any(caution in step for step in steps):
            yield tell("Caution: {caution}", caution=caution)
    on = day_text(plan.on, plan.site.units)
    yield tell("The digest holds: this is from the mail of {day}, and a later one may change it.",
               day=on)  # fmt: skip
    yield tell(DEFER)


def _alarm(title: str, before: timedelta) -> Alarm:
    from icalendar import Alarm

    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", title)
    alarm.add("trigger", before)
    return alarm


def _utc(moment: datetime) -> datetime:
    return moment.astimezone(UTC) if moment.tzinfo else moment.replace(tzinfo=UTC)


def _clock(text: str | None) -> time | None:
    """A time of day, or None for what is none."""
    try:
        found = time.fromisoformat(text or "")
    except ValueError:
        return None
    return time(found.hour, found.minute)

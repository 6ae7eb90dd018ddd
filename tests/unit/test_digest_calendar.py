"""The calendar: read back by the RFC's grammar and by another library, at all changes of clocks."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import vobject
from calendar_lines import Part, read_calendar
from hypothesis import example, given
from hypothesis import strategies as st
from sample_plan import barrier, sample_lawns, sample_plan, waiting, watering

from advisor.digest.calendar import LARGEST_SEQUENCE, calendar, sequence, uid, when
from advisor.digest.clean import LONGEST_NAME, clean_text
from advisor.plan.model import Action, Plan, Withdrawn

SENDER = "lawn@example.org"

ONCE = {"DTSTAMP", "DTSTART", "ORGANIZER", "SUMMARY", "UID"}
"""RFC 5546, 3.2.1, the table of a published VEVENT: presence 1 [from memory]."""

AT_MOST_ONCE = {
    "SEQUENCE", "CLASS", "CREATED", "DESCRIPTION", "DTEND", "DURATION", "GEO", "LAST-MODIFIED",
    "LOCATION", "PRIORITY", "RECURRENCE-ID", "STATUS", "TRANSP", "URL", "CONTACT",
}  # fmt: skip
"""The same: presence 0 or 1."""

ANY = {"CATEGORIES", "COMMENT", "ATTACH", "RELATED-TO", "RESOURCES", "RDATE", "RRULE", "EXDATE"}
"""The same: presence 0+. ATTENDEE and REQUEST-STATUS have 0."""

NEW_YORK, BERLIN, LORD_HOWE = (
    ZoneInfo(name) for name in ("America/New_York", "Europe/Berlin", "Australia/Lord_Howe")
)

GONE = Withdrawn(
    id="feed/front/2026-04-10", lawn_title="Front lawn", task="feed", title="Feeding",
    day=date(2026, 4, 10), start="09:00", end="12:00",
)  # fmt: skip


def of(plan: Plan) -> Part:
    return read_calendar(calendar(plan, sender=SENDER))


def only(*actions: Action, withdrawn: tuple[Withdrawn, ...] = (), **changes: Any) -> Plan:
    """The sample plan with those actions on its first lawn, and none on the other."""
    front, back = sample_lawns()
    lawns = (
        front.model_copy(update={"actions": actions}),
        back.model_copy(update={"actions": ()}),
    )
    return sample_plan(lawns=lawns, withdrawn=withdrawn, **changes)


def changed(action: Action, **changes: Any) -> Action:
    return action.model_copy(update=changes)


def assert_published(whole: Part) -> None:
    """RFC 5545, 3.6 and 3.6.1, and RFC 5546, 3.2.1."""
    assert sorted(whole.names) == ["CALSCALE", "METHOD", "PRODID", "VERSION"]
    assert (whole.one("VERSION"), whole.one("METHOD")) == ("2.0", "PUBLISH")
    assert whole.parts
    uids = [event.one("UID") for event in whole.parts]
    assert len(uids) == len(set(uids))
    for event in whole.parts:
        assert event.name == "VEVENT"
        counts = Counter(event.names)
        assert {name for name, count in counts.items() if count == 1} >= ONCE
        assert set(counts) <= ONCE | AT_MOST_ONCE | ANY
        assert all(counts[name] == 1 for name in set(counts) & AT_MOST_ONCE)
        assert event.one("STATUS") in ("CONFIRMED", "CANCELLED")
        assert event.one("DTSTAMP").endswith("Z")
        assert int(event.one("SEQUENCE")) >= 0
        if "DTEND" in counts:
            assert event.params("DTEND") == event.params("DTSTART")
            assert event.one("DTEND") > event.one("DTSTART")
        for alarm in event.parts:
            # 3.6.6: of a DISPLAY alarm these three are required, once
            assert sorted(alarm.names) == ["ACTION", "DESCRIPTION", "TRIGGER"]
            assert alarm.one("ACTION") == "DISPLAY"


def test_an_entry_for_each_action_with_a_day() -> None:
    whole = of(sample_plan(withdrawn=(GONE,)))
    assert_published(whole)
    feed, water, off = whole.parts
    assert feed.text("SUMMARY") == (
        "Spring barrier against weeds, Front lawn: 5.4 lb of Spring granules"
    )
    assert (feed.one("DTSTART"), feed.one("DTEND")) == ("20260409T120000Z", "20260409T150000Z")
    assert feed.one("DTSTAMP") == "20260408T110000Z"
    assert feed.text("LOCATION") == "Tern Hollow"
    assert feed.one("CLASS") == "PRIVATE"
    assert feed.one("ORGANIZER") == "mailto:lawn@example.org"
    told = feed.text("DESCRIPTION").split("\n")
    assert told[0].startswith("That morning: Go if the grass is dry")
    assert told[1].startswith("5.4 lb of Spring granules (24-0-6) on 3,600 ft2")
    assert told[2].startswith("1. Weigh half, 2.7 lb")
    assert "Caution: Read the label to its end before you open the bag." in told
    assert sum("until it is dry" in line for line in told) == 1, "a caution of a step is said there"
    assert any(line.startswith("The digest holds") for line in told)
    assert water.text("SUMMARY") == "Watering, Front lawn: 0.50 in"
    assert off.text("SUMMARY") == "Called off: Feeding, Front lawn"
    assert (off.one("STATUS"), off.parts) == ("CANCELLED", [])
    assert (off.one("DTSTART"), off.one("DTEND")) == ("20260410T140000Z", "20260410T170000Z")


def test_one_lawn_needs_no_name() -> None:
    whole = of(sample_plan(lawns=sample_lawns()[:1], withdrawn=(GONE,)))
    assert whole.parts[1].text("SUMMARY") == "Watering: 0.50 in"
    assert whole.parts[2].text("SUMMARY") == "Called off: Feeding"


def test_nothing_to_tell_is_no_calendar() -> None:
    assert calendar(only(waiting()), sender=SENDER) == b""


def test_the_same_arguments_give_the_same_bytes() -> None:
    plan = sample_plan(withdrawn=(GONE,))
    assert calendar(plan, sender=SENDER) == calendar(plan, sender=SENDER)


def test_another_library_reads_the_same() -> None:
    """vobject, which shares no code with the library that writes."""
    content = calendar(sample_plan(withdrawn=(GONE,)), sender='"Wiese, hinten" <a+b@example.org>')
    found = vobject.readOne(content.decode("utf-8"))
    assert found.method.value == "PUBLISH"
    mine = read_calendar(content)
    assert len(found.vevent_list) == len(mine.parts) == 3
    for theirs, ours in zip(found.vevent_list, mine.parts, strict=True):
        theirs.validate(raiseException=True)
        for name in ("summary", "description", "status", "uid", "sequence"):
            assert theirs.contents[name][0].value == ours.text(name.upper())
        start = theirs.dtstart.value
        assert start.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ") == ours.one("DTSTART")
        assert theirs.organizer.value == "mailto:a+b@example.org"
        assert theirs.organizer.params["CN"] == ["Wiese, hinten"]
    alarm = found.vevent_list[0].valarm
    assert alarm.trigger.value == timedelta(hours=-13)


def test_a_uid_is_the_action_s_for_ever() -> None:
    """Neither the day of the mail, the hours nor the words change it; the site does."""
    plan = only(barrier())
    (first,) = of(plan).parts
    later = only(
        changed(barrier(), start="11:00", end="13:00", title="Other words"),
        on=date(2026, 4, 9),
        decided_at=plan.decided_at + timedelta(days=1),
    )
    (again,) = of(later).parts
    assert first.one("UID") == again.one("UID") == uid(plan, barrier().id, "example.org")
    assert int(again.one("SEQUENCE")) > int(first.one("SEQUENCE"))
    gone = GONE.model_copy(update={"id": barrier().id})
    (off,) = of(only(withdrawn=(gone,))).parts
    assert off.one("UID") == first.one("UID")
    other = plan.site.model_copy(update={"id": "elsewhere"})
    (moved,) = of(only(barrier(), site=other)).parts
    assert moved.one("UID") != first.one("UID")


def test_the_domain_is_that_of_the_mail_s_name() -> None:
    plan = only(barrier())
    given = read_calendar(calendar(plan, sender=SENDER, message_id_domain="lawn.example.com"))
    assert given.parts[0].one("UID").endswith("@lawn.example.com")
    with pytest.raises(ValueError, match="not a mail address"):
        calendar(plan, sender="nobody")


def test_what_is_advised_is_not_called_off_too() -> None:
    gone = GONE.model_copy(update={"id": barrier().id})
    (event,) = of(only(barrier(), barrier(), withdrawn=(gone, gone))).parts
    assert event.one("STATUS") == "CONFIRMED"


@given(st.datetimes(datetime(2020, 1, 1), datetime(2087, 12, 31)), st.integers(1, 10**8))
def test_a_later_mail_has_a_higher_sequence(moment: datetime, seconds: int) -> None:
    """RFC 5545, 3.8.7.4 and 3.3.8: an INTEGER ends at 2147483647."""
    first = moment.replace(tzinfo=UTC)
    assert 0 <= sequence(first) <= sequence(first + timedelta(seconds=seconds)) <= LARGEST_SEQUENCE
    if first + timedelta(seconds=seconds) < datetime(2088, 1, 1, tzinfo=UTC):
        assert sequence(first) < sequence(first + timedelta(seconds=seconds))


def test_clocks_far_off_give_a_sequence_still() -> None:
    assert sequence(datetime(1999, 1, 1, tzinfo=UTC)) == 0
    assert sequence(datetime(2400, 1, 1, tzinfo=UTC)) == LARGEST_SEQUENCE == 2147483647


@pytest.mark.parametrize(
    ("zone", "day", "hours", "start", "end"),
    [
        # RFC 5545, 3.3.5 has the first two as its own examples [from memory]: the hour that comes
        # twice is the first, the hour that is skipped is read by the offset before the gap.
        (NEW_YORK, "2007-11-04", ("01:30", "03:30"), "2007-11-04T05:30", "2007-11-04T08:30"),
        (NEW_YORK, "2007-03-11", ("02:30", "05:30"), "2007-03-11T07:30", "2007-03-11T09:30"),
        # all of it is skipped: an entry without length, and never one that ends before it begins
        (NEW_YORK, "2007-03-11", ("02:15", "02:15"), "2007-03-11T07:15", None),
        (NEW_YORK, "2007-03-11", ("02:30", "03:00"), "2007-03-11T07:30", None),
        # over midnight and a change of clocks: 23:00 EST to 05:00 EDT is five hours
        (NEW_YORK, "2025-03-08", ("23:00", "05:00"), "2025-03-09T04:00", "2025-03-09T09:00"),
        (BERLIN, "2025-03-30", ("04:00", "09:00"), "2025-03-30T02:00", "2025-03-30T07:00"),
        (BERLIN, "2025-10-26", ("02:30", "09:00"), "2025-10-26T00:30", "2025-10-26T08:00"),
        # half an hour, in the south: +10:30 to +11 on 5 October, back on 6 April
        (LORD_HOWE, "2025-10-05", ("02:15", "09:00"), "2025-10-04T15:45", "2025-10-04T22:00"),
        (LORD_HOWE, "2025-04-06", ("01:45", "09:00"), "2025-04-05T14:45", "2025-04-05T22:30"),
        (NEW_YORK, "2025-07-01", ("09:00", None), "2025-07-01T13:00", None),
    ],
)
def test_hours_by_the_clock_of_the_place(
    zone: ZoneInfo, day: str, hours: tuple[str, str | None], start: str, end: str | None
) -> None:
    found = when(date.fromisoformat(day), *hours, zone)
    assert found.start == datetime.fromisoformat(start).replace(tzinfo=UTC)
    assert found.end == (datetime.fromisoformat(end).replace(tzinfo=UTC) if end else None)


@pytest.mark.parametrize("hours", [(None, None), ("soon", "09:00"), ("24:00", None), ("", "9")])
def test_without_hours_it_is_the_whole_day(hours: tuple[Any, Any]) -> None:
    (event,) = of(only(changed(barrier(), start=hours[0], end=hours[1]))).parts
    assert event.params("DTSTART") == event.params("DTEND") == ";VALUE=DATE"
    assert (event.one("DTSTART"), event.one("DTEND")) == ("20260409", "20260410")
    assert event.parts[0].one("TRIGGER") == "-PT6H", "18:00, from the reader's own midnight"
    (today,) = of(only(changed(barrier(), day=date(2026, 4, 8), start=None))).parts
    assert today.parts == [], "that evening is over when this mail is written"


@pytest.mark.parametrize(
    ("start", "alarm"),
    [
        ("09:00", "2025-06-12 08:00"),
        ("08:00", "2025-06-12 07:00"),
        ("07:59", "2025-06-11 18:00"),
        ("04:00", "2025-06-11 18:00"),
        ("00:00", "2025-06-11 18:00"),
        ("21:59", "2025-06-12 20:59"),
        ("22:00", "2025-06-12 18:00"),
    ],
)
def test_alarms(start: str, alarm: str) -> None:
    found = when(date(2025, 6, 12), start, None, NEW_YORK)
    assert isinstance(found.start, datetime)
    rung = (found.start + found.alarm).astimezone(NEW_YORK)
    assert rung == datetime.fromisoformat(alarm).replace(tzinfo=NEW_YORK)


@given(
    st.dates(date(2024, 1, 1), date(2030, 12, 31)),
    st.times().map(lambda one: one.strftime("%H:%M")),
    st.sampled_from([NEW_YORK, BERLIN, LORD_HOWE]),
)
@example(date(2025, 3, 9), "08:00", NEW_YORK)
@example(date(2025, 11, 2), "07:30", NEW_YORK)
@example(date(2025, 3, 30), "02:30", BERLIN)
@example(date(2025, 10, 5), "02:15", LORD_HOWE)
def test_no_alarm_rings_at_night(day: date, start: str, zone: ZoneInfo) -> None:
    found = when(day, start, None, zone)
    assert isinstance(found.start, datetime)
    rung = (found.start + found.alarm).astimezone(zone)
    assert time(7) <= rung.time() < time(21)
    assert timedelta(hours=-15, minutes=-1) < found.alarm <= timedelta(hours=-1)


def test_what_the_mail_itself_reminds_of_has_no_alarm() -> None:
    """The mail is of 06:00 at the place; the evening before is over, seven o'clock is not."""
    early, late = changed(barrier(), day=date(2026, 4, 8)), changed(barrier(), day=date(2026, 4, 8))
    early = changed(early, start="07:30", end="10:00")
    late = changed(late, start="08:30", end="10:00")
    assert [len(of(only(one)).parts[0].parts) for one in (early, late)] == [0, 1]


TEXTS = st.text(max_size=300) | st.sampled_from(
    [
        "x\r\nATTENDEE:mailto:a@example.net",
        "x\nEND:VEVENT\nBEGIN:VEVENT",
        "x\\nDTSTART:20200101\\",
        "a;b,c:d\"e^n^'f",
        "\u2028BEGIN:VALARM\u2029\x85\x0b\x0c\x1b[31m\u202e",
        "草坪" * 60,
        "\U0001f9d1\u200d\U0001f33e" * 30,
    ]
)


@given(TEXTS, TEXTS, TEXTS, TEXTS, TEXTS)
def test_no_text_gets_out_of_its_place(
    title: str, lawn: str, told: str, step: str, place: str
) -> None:
    """Whatever is written, there are as many entries, with the same properties, and the texts come
    back clean."""
    dose = barrier().dose
    assert dose is not None
    dose = dose.model_copy(update={"steps": (step, told), "title": title, "amount_text": place})
    one = changed(barrier(), title=title, go_line=told, cautions=(step,), dose=dose, id=told)
    two = changed(watering(), title=lawn, water_text=step, id=f"{told}, too")
    plan = only(one, two, withdrawn=(GONE.model_copy(update={"title": lawn, "lawn_title": title}),))
    front, back = plan.lawns
    site = plan.site.model_copy(update={"title": place})
    lawns = (front.model_copy(update={"title": lawn}), back)
    whole = of(plan.model_copy(update={"site": site, "lawns": lawns}))
    plain = of(only(barrier(), watering(), withdrawn=(GONE,)))
    distinct = len({clean_text(each, LONGEST_NAME) for each in (one.id, two.id)})
    assert len(whole.parts) == distinct + 1
    for event in whole.parts:
        assert sorted(event.names) in [sorted(each.names) for each in plain.parts]
        event.text("SUMMARY"), event.text("DESCRIPTION")
    assert whole.parts[0].text("LOCATION") == clean_text(place, LONGEST_NAME)
    if clean_text(step):
        assert f"1. {clean_text(step)}" in whole.parts[0].text("DESCRIPTION").split("\n")
    assert "ATTENDEE" not in {name for event in whole.parts for name in event.names}
    assert len(vobject.readOne(calendar(plan, sender=SENDER).decode()).vevent_list) == distinct + 1


@pytest.mark.parametrize(
    "sender",
    ['"Wiese; \\"hinten\\"" <a@example.org>', "a%?#&b@example.org", "Gießen <a@b.example>"],
)
def test_senders_of_all_kinds(sender: str) -> None:
    whole = read_calendar(calendar(only(barrier()), sender=sender))
    assert_published(whole)
    value = whole.parts[0].one("ORGANIZER")
    assert value.startswith("mailto:a")
    assert not set(value) & set('?#& ";,')

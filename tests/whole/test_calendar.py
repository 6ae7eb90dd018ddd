"""The calendar over weeks: published, moved, cancelled, and never standing where nothing stands."""

from __future__ import annotations

import itertools
from collections import defaultdict
from datetime import UTC, date, datetime, timedelta
from email.message import EmailMessage
from pathlib import Path
from typing import Any

from calendars import entries, stood, uid_of
from demo_year import decide_on
from served import Served

from advisor.plan.model import Verdict
from advisor.service.send import send
from advisor.store.database import Store


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def mails(served: Served) -> list[EmailMessage]:
    """All that was mailed, in its order."""
    return sorted(served.mails(), key=lambda mail: mail["Date"].datetime)


def announced(state: Path, alerts: bool = True) -> Served:
    """The digest of 8 June, with a feeding for the 12th; the forecast then turns to soaking
    rain."""
    served = Served.by_the_lead_alone(state, alerts)
    served.take(at("2025-06-07T15:00"))
    served.live(at("2025-06-08T10:00"), at("2025-06-08T20:00"))
    return served


def test_what_a_note_takes_back_it_cancels(tmp_path: Path) -> None:
    """The feeding of the 12th is called off under its own name, the day to which the note moves
    another is published, and the next digest lets what was cancelled rest."""
    served = announced(tmp_path)
    served.live(at("2025-06-08T20:00"), at("2025-06-15T11:00"))
    digest, note, following = (entries(mail) for mail in mails(served))
    front = uid_of(served.site, served.mail, "feed/front/2025-06-12")
    moved = uid_of(served.site, served.mail, "feed/back/2025-06-09")
    assert stood(digest[front])[0] == "CONFIRMED"
    assert moved not in digest
    status, later = stood(note[front])
    assert status == "CANCELLED"
    assert later > stood(digest[front])[1]
    assert note[front].summary.value.startswith("Called off: ")
    assert note[front].dtstart.value == digest[front].dtstart.value
    assert not hasattr(note[front], "valarm")
    assert stood(note[moved])[0] == "CONFIRMED"
    assert note[moved].dtstart.value.date() == date(2025, 6, 9)
    assert front not in following


def test_where_no_note_went_out_the_next_digest_cancels(tmp_path: Path) -> None:
    """Notes are off, and the owner sends a digest in the middle of the week."""
    served = announced(tmp_path, alerts=False)
    (digest,) = (entries(mail) for mail in mails(served))
    front = uid_of(served.site, served.mail, "feed/front/2025-06-12")
    with Store(tmp_path / "swardcast.sqlite3") as store:
        decision = decide_on(date(2025, 6, 11), store, served.journal)
        send(decision, served.site, served.mail, store, tmp_path, {})
    again = entries(mails(served)[-1])
    assert {one.id for one in decision.plan.withdrawn} >= {"feed/front/2025-06-12"}
    assert stood(again[front])[0] == "CANCELLED"
    assert stood(again[front])[1] > stood(digest[front])[1]


def test_a_calendar_that_takes_all_mails_keeps_nothing_that_no_longer_stands(
    tmp_path: Path,
) -> None:
    """Seven weeks of early summer, nothing answered: after each digest, what a calendar has for a
    time to come is what that digest advises. An entry is only ever replaced by a higher one."""
    served = Served.by_the_lead_alone(tmp_path)
    served.live(at("2025-05-24T12:00"), at("2025-07-13T12:00"))
    calendar: dict[str, Any] = {}
    history: dict[str, list[int]] = defaultdict(list)
    digests = 0
    for mail in mails(served):
        told = entries(mail)
        calendar |= told
        for name, event in told.items():
            history[name].append(stood(event)[1])
        if "after all" in str(mail["Subject"]):
            continue
        digests += 1
        soon = mail["Date"].datetime + timedelta(hours=12)
        assert {
            name
            for name, event in calendar.items()
            if stood(event)[0] == "CONFIRMED" and event.dtstart.value > soon
        } <= {name for name, event in told.items() if stood(event)[0] == "CONFIRMED"}
    assert digests == 8
    assert any(len(line) > 1 for line in history.values())
    assert all(a < b for line in history.values() for a, b in itertools.pairwise(line))


def test_the_calendar_has_all_that_a_plan_advises(tmp_path: Path) -> None:
    served = announced(tmp_path)
    with Store(tmp_path / "swardcast.sqlite3") as store:
        (plan,) = store.sent_plans(served.site.id, before=at("2025-06-09T00:00"))
    ids = {
        action["id"]
        for lawn in plan["lawns"]
        for action in lawn["actions"]
        if action["verdict"] != Verdict.WAIT
    }
    (mail,) = served.mails()
    assert set(entries(mail)) == {uid_of(served.site, served.mail, each) for each in ids}

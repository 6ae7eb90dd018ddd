"""Turns of the service on the demo's year: from fetch to Maildir, woken when it asked to be."""

from __future__ import annotations

import socket
from datetime import UTC, date, datetime, timedelta
from email.message import EmailMessage
from itertools import pairwise
from pathlib import Path

import pytest
from aiosmtpd.controller import Controller
from demo_year import days_of, read_on
from served import Served

from advisor.plan.model import Verdict
from advisor.service.decide import advised_before, sent_before
from advisor.site.events import Advised
from advisor.site.place import Mail
from advisor.store.database import Store
from advisor.store.errors import StoreError

SUNDAYS = [day for day in days_of(2025) if day.weekday() == 6]


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def test_a_year_brings_every_scheduled_digest_once(tmp_path: Path) -> None:
    """The clock jumps from waking to waking; nobody answers anything."""
    served = Served.into_maildir(tmp_path)
    served.live(at("2025-01-01T15:00"), at("2025-12-31T20:00"))
    mails = served.mails()
    ids = [str(mail["Message-ID"]) for mail in mails]
    assert len(ids) == len(set(ids))
    digests = [mail for mail in mails if not _is_alert(mail)]
    dates = sorted(date.fromisoformat(str(mail["Message-ID"])[1:11]) for mail in digests)
    assert dates == SUNDAYS
    for mail in digests:
        assert str(mail["Subject"]).split(":")[0].casefold() in {v.value for v in Verdict}
        text = mail.get_body(("plain",))
        html = mail.get_body(("html",))
        assert text is not None and html is not None
        assert "The next digest comes on" in text.get_content()
    alerts = [mail for mail in mails if _is_alert(mail)]
    watering = [mail for mail in alerts if "WATER: " in text_of(mail)]
    assert _between_digests([mail for mail in alerts if mail not in watering]) <= 2
    assert 1 <= _between_digests(watering) <= 3
    assert len({str(mail["Message-ID"])[1:11] for mail in watering}) == len(watering)
    _nothing_twice(served)


def _nothing_twice(served: Served) -> None:
    """Whoever followed every digest and every alert to the letter, and never wrote a line."""
    shelf = read_on(date(2025, 12, 31)).files.shelf
    with Store(served.state / "swardcast.sqlite3") as store:
        advised = advised_before(store, served.site, at("2026-01-01T12:00"))
    by_task: dict[tuple[str, str], list[Advised]] = {}
    for advice in sorted(advised, key=lambda one: one.day):
        if advice.product is not None:
            by_task.setdefault((advice.lawn, advice.task), []).append(advice)
    assert len(by_task) >= 4
    for followed in by_task.values():
        for earlier, later in pairwise(followed):
            product = shelf.get(later.product or "")
            assert product is not None and product.interval_days is not None
            assert (later.day - earlier.day).days >= product.interval_days


def _is_alert(mail: object) -> bool:
    return "after all" in str(mail["Subject"])  # type: ignore[index]


def _between_digests(mails: list) -> int:  # type: ignore[type-arg]
    """The most alerts that came between two digests."""
    by_week: dict[int, int] = {}
    for mail in mails:
        if _is_alert(mail):
            day = date.fromisoformat(str(mail["Message-ID"])[1:11])
            week = sum(sunday <= day for sunday in SUNDAYS)
            by_week[week] = by_week.get(week, 0) + 1
    return max(by_week.values(), default=0)


def test_first_run_sends_nothing_before_its_time(tmp_path: Path) -> None:
    """On a Wednesday it fetches, and the first mail is that of the coming Sunday."""
    served = Served.into_maildir(tmp_path)
    served.take(at("2025-04-02T15:00"))
    assert served.mails() == []
    served.live(served.wake_at(), at("2025-04-06T11:00"))
    assert list(served.digests()) == [date(2025, 4, 6)]


def test_a_machine_that_slept_through_the_hour_sends_the_digest_late(tmp_path: Path) -> None:
    served = Served.into_maildir(tmp_path)
    served.take(at("2025-04-05T15:00"))
    served.take(at("2025-04-07T18:00"))
    assert list(served.digests()) == [date(2025, 4, 6)]
    served.take(at("2025-04-07T19:00"))
    assert len(served.mails()) == 1


def test_a_turn_twice_in_a_minute_does_nothing_twice(tmp_path: Path) -> None:
    served = Served.into_maildir(tmp_path)
    served.take(at("2025-04-05T15:00"))
    moment = at("2025-04-06T10:00")
    served.take(moment)
    assert served.take(moment + timedelta(seconds=20)) == []
    assert len(served.mails()) == 1


def test_what_was_delivered_counts_as_advised(tmp_path: Path) -> None:
    """The digest of the next Sunday asks whether last week's advice was done."""
    served = Served.into_maildir(tmp_path)
    served.take(at("2025-03-22T15:00"))
    served.live(at("2025-03-23T10:00"), at("2025-03-30T11:00"))
    last = served.digests()[date(2025, 3, 30)]
    body = last.get_body(("plain",))
    assert body is not None
    assert "done pre-emergent" in body.get_content()


def test_a_file_that_cannot_be_read_is_told_once(tmp_path: Path) -> None:
    served = Served.into_maildir(tmp_path)
    served.journal += "2025-03-01  front  aplied 5 lb of steady-green\n"
    served.take(at("2025-03-22T15:00"))
    served.live(at("2025-03-23T10:00"), at("2025-03-30T11:00"))
    told = ["journal.txt" in str(m.get_body(("plain",)).get_content())  # type: ignore[union-attr]
            for _, m in sorted(served.digests().items())]  # fmt: skip
    assert told == [True, False]


def test_no_forecast_waits_some_hours_and_then_says_so(tmp_path: Path) -> None:
    """With the recording gone, the digest is put off until noon, and then cannot tell."""
    served = Served.into_maildir(tmp_path)
    away = served.site.weather.model_copy(update={"recorded": "nowhere"})
    served.site = served.site.model_copy(update={"weather": away})
    served.take(at("2025-04-05T15:00"))
    served.live(at("2025-04-06T10:00"), at("2025-04-06T15:00"))
    assert served.mails() == []
    served.live(served.wake_at(), at("2025-04-06T18:00"))
    (mail,) = served.mails()
    assert "cannot tell" in str(mail["Subject"])


def test_state_remembers_what_status_tells(tmp_path: Path) -> None:
    served = Served.into_maildir(tmp_path)
    served.take(at("2025-04-05T15:00"))
    served.take(at("2025-04-06T10:00"))
    with Store(tmp_path / "swardcast.sqlite3") as store:
        for key in ("last_fetch_ok", "last_decision", "last_mail", "wake_at"):
            assert store.recall(served.site.id, key), key


def text_of(mail: EmailMessage) -> str:
    body = mail.get_body(("plain",))
    assert body is not None
    return str(body.get_content())


def test_what_a_newer_forecast_holds_is_taken_back(tmp_path: Path) -> None:
    """On 8 June a feeding is announced for the 12th; the forecast then turns to soaking rain."""
    served = Served.by_the_lead_alone(tmp_path)
    served.take(at("2025-06-07T15:00"))
    served.live(at("2025-06-08T10:00"), at("2025-06-15T11:00"))
    (alert,) = [mail for mail in served.mails() if _is_alert(mail)]
    assert "Thu Jun 12" in str(alert["Subject"])
    assert "Feeding, Front lawn" in text_of(alert)
    assert alert["Auto-Submitted"] == "auto-generated"
    later = text_of(served.digests()[date(2025, 6, 15)])
    assert "2025-06-12 front done feed" not in later, "what was taken back is not asked about"


def test_a_day_that_an_alert_names_is_advice_and_is_asked_about(tmp_path: Path) -> None:
    """The note moves the back lawn's feeding to 9 June; nobody says whether it was done, so it is
    perhaps done, and is not advised again a week later."""
    served = Served.by_the_lead_alone(tmp_path)
    served.take(at("2025-06-07T15:00"))
    served.live(at("2025-06-08T10:00"), at("2025-06-15T11:00"))
    (alert,) = [mail for mail in served.mails() if _is_alert(mail)]
    assert "It is now advised for Mon Jun 9" in " ".join(text_of(alert).split())
    later = " ".join(text_of(served.digests()[date(2025, 6, 15)]).split())
    assert "2025-06-09 back done feed" in later
    assert "10.5 lb of Steady Green (half slow-release) (24-0-6)" not in later


def test_what_too_few_members_spare_is_not_announced_in_the_first_place(tmp_path: Path) -> None:
    """The ensemble of 8 June sees the soaking rain of the 12th coming: the front lawn's feeding is
    not announced for it, and nothing has to be taken back."""
    served = Served.into_maildir(tmp_path)
    served.take(at("2025-06-07T15:00"))
    served.live(at("2025-06-08T10:00"), at("2025-06-14T11:00"))
    assert [mail for mail in served.mails() if _is_alert(mail)] == []
    assert "Thu Jun 12, " not in text_of(served.digests()[date(2025, 6, 8)])


def test_alerts_can_be_switched_off(tmp_path: Path) -> None:
    served = Served.by_the_lead_alone(tmp_path, alerts=False)
    served.take(at("2025-06-07T15:00"))
    served.live(at("2025-06-08T10:00"), at("2025-06-14T11:00"))
    assert [mail for mail in served.mails() if _is_alert(mail)] == []


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def unreachable(served: Served) -> None:
    served.mail = Mail.model_validate(
        {
            "from": "lawn@home.example",
            "to": ["ada@home.example"],
            "server": "127.0.0.1",
            "port": 9,
            "security": "none",
        }
    )


def test_an_outage_delays_the_digest_and_changes_nothing_in_it(tmp_path: Path) -> None:
    served = Served.into_maildir(tmp_path)
    maildir = served.mail
    unreachable(served)
    served.take(at("2025-04-05T15:00"))
    served.take(at("2025-04-06T10:00"))
    with Store(tmp_path / "swardcast.sqlite3") as store:
        (letter,) = store.letters(served.site.id)
    assert (letter.state, letter.tries) == ("ready", 1)
    served.mail = maildir
    served.live(served.wake_at(), at("2025-04-06T13:00"))
    (mail,) = served.mails()
    assert str(mail["Message-ID"]) == letter.message_id


def test_a_digest_that_outlived_its_use_is_replaced_and_mentioned(tmp_path: Path) -> None:
    served = Served.into_maildir(tmp_path)
    maildir = served.mail
    unreachable(served)
    served.take(at("2025-04-05T15:00"))
    served.live(at("2025-04-06T10:00"), at("2025-04-06T14:00"))
    served.mail = maildir
    served.take(at("2025-04-13T10:00"))
    (mail,) = served.mails()
    assert str(mail["Message-ID"]).startswith("<2025-04-13")
    assert "mail of 2025-04-06" in text_of(mail).replace("\n", " ").replace("  ", " ")
    with Store(tmp_path / "swardcast.sqlite3") as store:
        states = [letter.state for letter in store.letters(served.site.id)]
    assert states == ["replaced", "sent"]


def test_a_mail_that_failed_for_good_is_told_once(tmp_path: Path) -> None:
    served = Served.into_maildir(tmp_path)
    maildir = served.mail

    class Refusing:
        async def handle_RCPT(self, *_: object) -> str:  # noqa: N802 - aiosmtpd's name
            return "550 no such person"

    server = Controller(Refusing(), hostname="127.0.0.1", port=free_port())
    server.start()
    try:
        unreachable(served)
        served.mail = served.mail.model_copy(update={"port": server.port})
        served.take(at("2025-04-05T15:00"))
        served.take(at("2025-04-06T10:00"))
    finally:
        server.stop()
    served.mail = maildir
    served.live(at("2025-04-13T10:00"), at("2025-04-20T11:00"))
    told = ["did not arrive" in text_of(m).replace("\n", " ")
            for _, m in sorted(served.digests().items())]  # fmt: skip
    assert told == [True, False]


MONITOR = "https://monitor.example.org/lawn"


def monitored(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Served, list[str]]:
    """A site that names a monitor, and the addresses that were asked for."""
    asked: list[str] = []
    monkeypatch.setattr("advisor.service.turn.ping", lambda address: asked.append(address) or "")
    served = Served.into_maildir(tmp_path)
    digest = served.site.digest.model_copy(update={"ping": MONITOR})
    served.site = served.site.model_copy(update={"digest": digest})
    return served, asked


def test_the_monitor_hears_of_a_sound_service_once_an_hour(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    served, asked = monitored(tmp_path, monkeypatch)
    served.take(at("2025-04-05T15:00"))
    served.take(at("2025-04-05T15:20"))
    assert asked == [MONITOR]
    served.take(at("2025-04-05T16:10"))
    assert len(asked) == 2


def test_the_monitor_hears_nothing_while_a_digest_is_overdue(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    served, asked = monitored(tmp_path, monkeypatch)
    unreachable(served)
    served.take(at("2025-04-05T15:00"))
    served.live(at("2025-04-06T10:00"), at("2025-04-06T13:30"))
    before = len(asked)
    served.live(served.wake_at(), at("2025-04-06T18:00"))
    assert len(asked) == before


def test_a_late_digest_says_so_and_speaks_from_the_day_it_was_made(tmp_path: Path) -> None:
    """Advice for the days after it was made stands, though its name is of an earlier date."""
    served = Served.into_maildir(tmp_path)
    served.take(at("2025-04-26T15:00"))
    served.take(at("2025-04-29T12:00"))
    (mail,) = served.mails()
    assert str(mail["Message-ID"]).startswith("<2025-04-27")
    assert "This digest is late" in text_of(mail)
    with Store(tmp_path / "swardcast.sqlite3") as store:
        (sent,) = sent_before(store, served.site, at("2025-05-02T12:00"))
    assert sent.on == date(2025, 4, 29)


def test_a_digest_that_never_came_is_mentioned(tmp_path: Path) -> None:
    served = Served.into_maildir(tmp_path)
    served.take(at("2025-04-05T15:00"))
    served.take(at("2025-04-06T10:00"))
    served.take(at("2025-04-20T10:00"))
    last = text_of(served.digests()[date(2025, 4, 20)])
    assert "There was no digest between" in " ".join(last.split())


def test_a_half_saved_line_takes_nothing_back(tmp_path: Path) -> None:
    """A journal that cannot be read holds; it is no newer forecast, and alarms nobody."""
    served = Served.into_maildir(tmp_path)
    served.take(at("2025-04-26T15:00"))
    served.take(at("2025-04-27T10:00"))
    whole = served.journal
    served.journal += "2025-04-27  front  aplied 5 lb of stea\n"
    served.take(at("2025-04-28T00:06"))
    assert [mail for mail in served.mails() if _is_alert(mail)] == []
    served.journal = whole
    with Store(tmp_path / "swardcast.sqlite3") as store:
        advised = advised_before(store, served.site, at("2025-04-28T12:00"))
    assert advised, "what was announced still stands"


def test_an_alert_that_could_not_be_mailed_is_not_queued_again(tmp_path: Path) -> None:
    served = Served.into_maildir(tmp_path)
    served.take(at("2025-06-07T15:00"))
    served.take(at("2025-06-08T10:00"))
    unreachable(served)
    served.live(served.wake_at(), at("2025-06-11T23:00"))
    with Store(tmp_path / "swardcast.sqlite3") as store:
        alerts = [x for x in store.letters(served.site.id) if x.purpose.startswith("alert")]
    assert len({x.purpose for x in alerts}) == len(alerts) <= 2


def test_a_problem_is_told_again_when_the_digest_that_told_it_never_came(tmp_path: Path) -> None:
    served = Served.into_maildir(tmp_path)
    maildir = served.mail
    served.journal += "2025-03-01  front  aplied 5 lb of steady-green\n"
    unreachable(served)
    served.take(at("2025-03-22T15:00"))
    served.live(at("2025-03-23T10:00"), at("2025-03-23T12:00"))
    served.mail = maildir
    served.take(at("2025-03-30T10:00"))
    assert "journal.txt" in text_of(served.digests()[date(2025, 3, 30)])


def test_a_failing_forecast_is_asked_for_once_a_turn_and_no_sooner_than_it_may(
    tmp_path: Path,
) -> None:
    served = Served.into_maildir(tmp_path)
    away = served.site.weather.model_copy(update={"recorded": "nowhere"})
    served.site = served.site.model_copy(update={"weather": away})
    said = served.take(at("2025-04-06T09:59"))
    assert sum("no forecast" in line for line in said) == 1
    again = served.take(at("2025-04-06T10:00"))
    assert sum("no forecast" in line for line in again) <= 1


def test_a_monitor_is_pinged_hourly_by_the_service_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    served, asked = monitored(tmp_path, monkeypatch)
    served.live(at("2025-04-02T15:00"), at("2025-04-03T15:00"))
    assert len(asked) >= 24


def test_what_cannot_be_written_down_is_not_sent(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A database that can be read and not written must not mail the same again and again."""
    served = Served.into_maildir(tmp_path)
    maildir = served.mail
    unreachable(served)
    served.take(at("2025-04-05T15:00"))
    served.take(at("2025-04-06T10:00"))
    served.mail = maildir

    def refuse(*_: object, **__: object) -> bool:
        raise StoreError("The database cannot be written.")

    monkeypatch.setattr(Store, "letter_begun", refuse)
    with pytest.raises(StoreError):
        served.take(at("2025-04-06T12:00"))
    assert served.mails() == []

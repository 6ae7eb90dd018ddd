"""What is overdue and what is not, from values alone; and what kind of disk a folder lies on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.service.disk import NETWORK_DISKS, disk_kind, free_bytes, nearest
from advisor.service.health import (
    Clock,
    Remembered,
    State,
    last_scheduled,
    moment,
    overdue,
    remembered,
)

CLOCK = Clock("sunday", "06:00", ZoneInfo("America/New_York"))
SUNDAY = date(2027, 4, 4)
DUE = datetime(2027, 4, 4, 10, tzinfo=UTC)
"""06:00 of that Sunday in New York, where summer time has begun."""

HOUR = timedelta(hours=1)
WELL = Remembered(
    first_seen=DUE - timedelta(60),
    last_fetch=DUE,
    last_decision=DUE,
    last_mail=DUE,
    last_digest=SUNDAY,
    wake_at=DUE + HOUR,
)


@dataclass(frozen=True)
class Kept:
    """A mail of the outbox, as far as its health goes."""

    on: date = SUNDAY
    recipient: str = "someone@example.net"
    purpose: str = "digest"
    created: datetime = DUE
    tries: int = 1
    next_try: datetime | None = None
    state: str = "ready"
    note: str = "mail.example.org put off the mail: 451 later."


def said(seen: Remembered, now: datetime = DUE + HOUR) -> list[str]:
    return [finding.text for finding in overdue(seen, CLOCK, now)]


def test_all_well_is_silent():
    assert said(WELL) == []


def test_a_service_that_never_ran_is_told_with_its_start():
    """It is no fault yet, and nothing else is said of it."""
    (finding,) = overdue(Remembered(), CLOCK, DUE)
    assert finding.state is State.WARNING
    assert "swardcast run" in finding.mend


@pytest.mark.parametrize(("hours", "late"), [(24, False), (24.1, True)])
def test_a_day_without_a_forecast_is_overdue(hours: float, late: bool) -> None:
    now = DUE + HOUR
    seen = replace(
        WELL, last_fetch=now - timedelta(hours=hours), fetch_error="The network is down."
    )
    found = said(seen, now)
    assert bool(found) is late
    if late:
        assert found == ["No new forecast for 24 hours. The network is down."]


def test_a_service_that_never_got_a_forecast_is_overdue_after_a_day():
    seen = replace(WELL, first_seen=DUE - timedelta(hours=50), last_fetch=None)
    assert said(seen, DUE) == ["No forecast at all for 2 days."]


@pytest.mark.parametrize(("minutes", "late"), [(119, False), (121, True)])
def test_a_digest_has_two_hours(minutes: int, late: bool) -> None:
    """The Sunday's digest is missed once two hours have passed since its hour."""
    now = DUE + timedelta(minutes=minutes)
    seen = replace(WELL, last_digest=SUNDAY - timedelta(7), last_fetch=now, wake_at=now)
    assert said(seen, now) == (["The digest of Sun Apr 4 has not been sent."] if late else [])


def test_a_digest_that_was_never_sent_stays_overdue():
    """Days later too: what is no longer caught up on is still silence."""
    now = DUE + timedelta(5)
    seen = replace(WELL, last_digest=SUNDAY - timedelta(7), last_fetch=now, wake_at=now)
    assert said(seen, now) == ["The digest of Sun Apr 4 has not been sent."]


@pytest.mark.parametrize(("days", "late"), [(3, False), (4, True)])
def test_a_digest_shortly_before_stands_for_the_date(days: int, late: bool) -> None:
    """One that went less than four days before, as after a change of the weekday."""
    now = DUE + 3 * HOUR
    seen = replace(WELL, last_digest=SUNDAY - timedelta(days), last_fetch=now, wake_at=now)
    assert bool(said(seen, now)) is late


def test_nothing_is_due_from_before_the_first_run():
    now = DUE + 3 * HOUR
    seen = Remembered(first_seen=DUE + HOUR, last_fetch=now)
    assert said(seen, now) == []


@pytest.mark.parametrize(("minutes", "late"), [(60, False), (61, True)])
def test_a_service_that_does_not_wake_is_told(minutes: int, late: bool) -> None:
    now = DUE + HOUR
    found = said(replace(WELL, wake_at=now - timedelta(minutes=minutes)), now)
    assert bool(found) is late
    assert all("was to look again at Sun Apr 4, 05:59" in text for text in found)


def test_a_mail_that_waits_for_hours_is_told_with_its_reason():
    now = DUE + 3 * HOUR
    seen = replace(WELL, waiting=(Kept(),), wake_at=now)
    (text,) = said(seen, now)
    assert text == (
        "The digest of Sun Apr 4 to someone@example.net has waited since Sun Apr 4, 06:00."
        " mail.example.org put off the mail: 451 later."
    )
    assert said(seen, DUE + 2 * HOUR) == []


def test_a_mail_that_was_given_up_is_told_at_once():
    dead = Kept(state="dead", purpose="alert-1", note="mail.example.org refused the sender.")
    (text,) = said(replace(WELL, dead=(dead,)))
    assert text.startswith("The alert of Sun Apr 4 to someone@example.net could not be delivered")
    assert text.endswith("mail.example.org refused the sender.")


def recalled(facts: Mapping[str, str], *letters: Kept, last_sent: date | None = None) -> Remembered:
    return remembered(facts.get, letters, last_sent)


def test_what_is_remembered_comes_back():
    """Instants with their offset, the waking in unix seconds, and the newest digest of the two."""
    facts = {
        "first_seen": "2027-01-01T00:00:00+00:00",
        "last_fetch_ok": "2027-04-04T05:00:00-04:00",
        "fetch_error": "no route",
        "wake_at": str(int(DUE.timestamp())),
    }
    seen = recalled(facts, Kept(state="sent"), last_sent=SUNDAY - timedelta(1))
    assert seen.first_seen == datetime(2027, 1, 1, tzinfo=UTC)
    assert seen.last_fetch == DUE - HOUR
    assert seen.wake_at == DUE
    assert (seen.fetch_error, seen.last_digest, seen.last_mail) == ("no route", SUNDAY, None)
    assert recalled({}, Kept(state="sent", purpose="alert-1")).last_digest is None


def test_old_failures_are_history():
    """A mail given up counts until a later digest has been written or sent."""
    old = Kept(state="dead", on=SUNDAY - timedelta(7))
    assert recalled({}, old).dead == (old,)
    assert recalled({}, old, Kept(state="sent")).dead == ()
    assert recalled({}, old, last_sent=SUNDAY).dead == ()
    assert recalled({}, Kept(), Kept(state="replaced")).waiting == (Kept(),)


@pytest.mark.parametrize("text", [None, "", "soon", "2027-04-04T05:00:00", "9" * 30, "²"])
def test_what_is_no_instant_did_not_happen(text: str | None) -> None:
    """A text that another release or a hand wrote, one without an offset among them."""
    assert moment(text) is None


@given(st.text())
def test_any_text_is_read_without_a_fault(text: str) -> None:
    found = moment(text)
    assert found is None or found.tzinfo is not None


WEEKDAY_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@given(
    now=st.datetimes(datetime(2026, 11, 1), datetime(2031, 12, 31), timezones=st.just(UTC)),
    weekday=st.integers(0, 6),
    hour=st.integers(4, 23),
    zone=st.sampled_from(["America/New_York", "Australia/Lord_Howe", "Asia/Kathmandu", "UTC"]),
)
def test_the_newest_date_is_within_the_week(
    now: datetime, weekday: int, hour: int, zone: str
) -> None:
    """The right weekday and hour by the place's clock, not after now and no week ago."""
    place = ZoneInfo(zone)
    day, at = last_scheduled(now, Clock(WEEKDAY_NAMES[weekday], f"{hour:02d}:00", place))
    assert day.weekday() == weekday
    assert at <= now < at + timedelta(days=7, hours=1)
    assert at.astimezone(place).replace(tzinfo=None) == datetime(day.year, day.month, day.day, hour)


def test_the_disk_of_a_folder_is_read_as_the_kernel_tells_it(tmp_path: Path) -> None:
    """The example line of proc(5) on /proc/pid/mountinfo (Linux man-pages), with others of its
    form: the longest mount point counts, escapes are undone, the last of two is seen."""
    table = tmp_path / "mountinfo"
    table.write_text(
        "25 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw\n"
        "36 35 98:0 /mnt1 /mnt2 rw,noatime master:1 - ext3 /dev/root rw,errors=continue\n"
        "40 25 0:35 / /mnt\\040far rw,relatime shared:9 - nfs4 host:/export rw\n"
        "41 25 0:36 / /twice rw - ext4 /dev/sdb1 rw\n"
        "42 25 0:37 / /twice rw - fuse.sshfs somebody@host: rw\n"
        "a line of no form\n"
    )
    for folder, kind in (
        ("/mnt2/state", "ext3"),
        ("/mnt22", "ext4"),
        ("/mnt far/state", "nfs4"),
        ("/mnt far", "nfs4"),
        ("/twice/x", "fuse.sshfs"),
        ("/elsewhere", "ext4"),
    ):
        assert disk_kind(Path(folder), table) == kind, folder
    assert {"nfs4", "fuse.sshfs"} <= NETWORK_DISKS
    assert "ext4" not in NETWORK_DISKS


def test_without_a_table_the_disk_is_not_known(tmp_path: Path) -> None:
    assert disk_kind(tmp_path, tmp_path / "none") == ""


def test_the_nearest_folder_that_is_there(tmp_path: Path) -> None:
    """The folder itself, or what a new one would be made in; a file in its way is found."""
    file = tmp_path / "file"
    file.touch()
    assert nearest(tmp_path) == tmp_path
    assert nearest(tmp_path / "a" / "b") == tmp_path
    assert nearest(file / "a" / "b") == file
    assert free_bytes(tmp_path) > 0


def test_a_digest_sent_by_hand_makes_up_for_mails_that_failed() -> None:
    """The mend that a dead mail asks for counts, unless another reader's mail had arrived."""
    sunday = date(2026, 11, 22)

    @dataclass(frozen=True)
    class Mail:
        state: str
        on: date = sunday
        purpose: str = "digest"
        recipient: str = "ada@home.example"
        tries: int = 1
        next_try: datetime | None = None
        created: datetime = datetime(2026, 11, 22, 11, tzinfo=UTC)
        note: str = "550 no such person"

    failed = remembered(lambda _: None, [Mail("dead")], None)
    assert len(failed.dead) == 1
    assert remembered(lambda _: None, [Mail("dead")], sunday).dead == ()
    assert len(remembered(lambda _: None, [Mail("dead"), Mail("sent")], sunday).dead) == 1

"""From a broken rule file to the mail: the copy that stands in, and the line that is named."""

from __future__ import annotations

import json
from datetime import date
from email import message_from_bytes, policy
from pathlib import Path

import pytest
from command_line import Said, as_somebody_else, call, demo, open_ground, program, standing
from demo_year import decide_on, morning
from served import Served

from advisor.cli.exits import Exit
from advisor.digest.html import render_html
from advisor.digest.text import render_text
from advisor.plan.model import Plan, Verdict
from advisor.service.decide import decide
from advisor.service.folders import read_folder
from advisor.service.last_good import COPIES, keep
from advisor.service.turn import Turn
from advisor.service.weather import refresh
from advisor.store.database import Store

DAY = date(2025, 4, 1)
OWN = "setting barrier-soil = 52 F\n"
BROKEN = "setting barrier-soil = 52 F\noff spring-barier\n"
"""The demo's barrier is due on that day, by a warmth of 56 °F."""


class Home:
    def __init__(self, folder: Path) -> None:
        self.site, self.states = demo(folder), folder / "state"
        self.state = self.states / "tansy-hollow"
        (self.site / "rules").mkdir()
        self.state.mkdir(parents=True)

    def write(self, text: str) -> None:
        (self.site / "rules" / "mine.rules").write_text(text, encoding="utf-8")

    def decided(self) -> Plan:
        """What a turn of the service decides, with the copies that it keeps."""
        read = read_folder(self.site, self.state, today=DAY).without_future_lines()
        assert read.files.site is not None
        assert keep(read.good, self.state) is None
        with Store(":memory:") as store:
            assert refresh(read.files.site, self.site, store, morning(DAY), {}) == ""
            return decide(read, read.files.site, store, morning(DAY)).plan


@pytest.fixture
def home(tmp_path: Path) -> Home:
    return Home(tmp_path)


def _texts(plan: Plan) -> tuple[str, str]:
    return " ".join(render_text(plan).split()), " ".join(render_html(plan).split())


def test_without_a_copy_everything_is_held_and_the_line_is_named(home: Home) -> None:
    home.write(BROKEN)
    plan = home.decided()
    assert plan.headline.verdict is Verdict.WAIT
    for text in _texts(plan):
        assert "rules/mine.rules, line 2: no shipped rule is called" in text
        assert "everything that is put down is held: no good copy of rules/mine.rules" in text


def test_with_a_copy_the_barrier_is_advised_and_the_line_is_named(home: Home) -> None:
    home.write(OWN)
    with Store(":memory:") as store:
        assert decide_on(DAY, store).plan.headline.verdict is Verdict.APPLY
    assert home.decided().headline.verdict is Verdict.APPLY
    home.write(BROKEN)
    plan = home.decided()
    assert plan.headline.verdict is Verdict.APPLY
    (barrier, *_) = plan.lawns[0].actions
    assert any(line.limit == "at least 52 °F" for line in barrier.evidence), barrier.evidence
    for text in _texts(plan):
        assert "rules/mine.rules, line 2: no shipped rule is called" in text
        assert "its copy of " in text
        assert "is in force." in text


def test_check_status_and_doctor_name_it_and_write_nothing(
    home: Home, capsys: pytest.CaptureFixture[str]
) -> None:
    home.write(OWN)
    home.decided()
    home.write(BROKEN)
    before = standing(home.state), standing(home.site)

    def said(command: str) -> Said:
        return call(capsys, command, home.site, "--state", home.states)

    checked = said("check")
    assert checked.code == Exit.PROBLEMS
    assert "rules/mine.rules:2:1: no shipped rule is called “spring-barier”" in checked.err
    assert "is in force." in checked.err
    assert "last good copy of rules/mine.rules: setting barrier-soil is 52 F" in checked.out
    told = " ".join(said("status").out.split())
    assert "To mend rules/mine.rules, line 2: no shipped rule is called" in told
    assert "rules/mine.rules, line 2: no shipped rule" in " ".join(said("doctor").out.split())
    assert (standing(home.state), standing(home.site)) == before
    document = json.loads(call(capsys, "status", home.site, "--state", home.states, "--json").out)
    assert len(document["to_mend"]) == 1


def test_a_turn_of_the_service_keeps_copies(home: Home) -> None:
    home.write(OWN)
    assert program("turn", home.site, "--state", home.states).code == Exit.DONE
    assert [path.name for path in (home.state / COPIES).iterdir()] == ["mine.rules"]


def test_a_digest_keeps_copies_where_it_writes_its_store(
    home: Home, capsys: pytest.CaptureFixture[str]
) -> None:
    """A look at the demo leaves nothing behind; a digest that is sent does."""
    home.write(OWN)
    call(capsys, "digest", home.site, "--state", home.states)
    assert list(home.state.iterdir()) == []
    sent = call(capsys, "digest", home.site, "--state", home.states, "--send")
    assert sent.code == Exit.DONE
    assert (home.state / COPIES / "mine.rules").read_text() == OWN


def test_copies_that_cannot_be_kept_do_not_stop_the_digest_and_are_told(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Their folder is closed to this user; the rest of the state can be written."""
    with open_ground() as ground:
        home = Home(ground)
        home.write(OWN)
        elsewhere = ground / "elsewhere"
        first = call(capsys, "digest", home.site, "--state", elsewhere, "--send")
        assert first.code == Exit.DONE  # what is used below is loaded now
        home.state.chmod(0o777)
        (home.state / COPIES).mkdir(mode=0o555)
        with as_somebody_else():
            sent = call(capsys, "digest", home.site, "--state", home.states, "--send")
        assert sent.code == Exit.DONE
        (mail,) = home.state.glob("mail/new/*")
        text = message_from_bytes(mail.read_bytes(), policy=policy.default).get_body(("plain",))
        assert "cannot be kept here: Permission denied" in " ".join(text.get_content().split())


def test_a_broken_rule_is_told_in_every_digest(home: Home) -> None:
    """Unlike a line of the journal, told once: what is in force is not what stands there."""
    served = Served.into_maildir(home.state)
    home.write(OWN)
    home.decided()
    home.write(BROKEN)
    read = read_folder(home.site, home.state, today=DAY).without_future_lines()
    bodies = []
    for day in (date(2025, 3, 30), date(2025, 4, 6)):
        with Store(home.state / "swardcast.sqlite3") as store:
            store.remember(served.site.id, "first_seen", morning(date(2025, 3, 29)).isoformat())
            Turn(served.site, served.mail, read, store, home.state, morning(day), {}).run()
        body = served.digests()[day].get_body(("plain",))
        assert body is not None
        bodies.append(body.get_content())
    assert ["mine.rules" in body for body in bodies] == [True, True]

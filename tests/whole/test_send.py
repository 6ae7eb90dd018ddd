"""Sending the digest for real, by Maildir and by SMTP, and what is asked afterwards."""

from __future__ import annotations

import email
import email.policy
import json
import os
import sqlite3
from datetime import date
from email.message import EmailMessage
from pathlib import Path

import pytest
from command_line import by_smtp, call, change, demo, free_port, mail_server

from advisor.cli.exits import Exit
from advisor.plan.model import Plan, Verdict

SENT, WEEK_AFTER = "2025-04-01", "2025-04-06"
READER = "ada.merriweather@tansy-hollow.example"


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """The demo, whose owner has answered nothing since the end of March."""
    folder = demo(tmp_path)
    journal = folder / "journal.txt"
    kept = [line for line in journal.read_text().splitlines() if line < "2025-04" or line > "3"]
    journal.write_text("\n".join(kept) + "\n")
    return folder


@pytest.fixture
def state(tmp_path: Path) -> Path:
    return tmp_path / "state"


def _plan(capsys: pytest.CaptureFixture[str], site: Path, state: Path, day: str) -> Plan:
    said = call(capsys, "digest", site, "--json", "--on", day, "--state", state)
    assert said.code == Exit.DONE
    return Plan.model_validate_json(said.out, strict=False)


def _asked(plan: Plan) -> set[tuple[str, str]]:
    return {(ask.lawn, ask.task) for ask in plan.ask}


def _mails(state: Path) -> list[EmailMessage]:
    folder = state / "tansy-hollow" / "mail" / "new"
    if not folder.is_dir():
        return []
    read = (path.read_bytes() for path in sorted(folder.iterdir()))
    return [email.message_from_bytes(octets, policy=email.policy.default) for octets in read]


def test_the_demo_sends_into_its_maildir(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """One mail, to the one reader, in the folder that `--state` names; it holds the text shown."""
    shown = call(capsys, "digest", site, "--on", SENT, "--state", state).out
    said = call(capsys, "digest", site, "--on", SENT, "--send", "--state", state)
    assert said.code == Exit.DONE
    assert said.out == f"{READER}: The mail is in mail.\n"
    (mail,) = _mails(state)
    assert mail["To"] == READER
    plain = mail.get_body(("plain",))
    assert plain is not None
    assert plain.get_content().split() == shown.split()


def test_sending_twice_leaves_one_mail(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """The same digest has the same identity: whoever has it does not get it again."""
    for _ in range(2):
        call(capsys, "digest", site, "--on", SENT, "--send", "--state", state)
    assert len(_mails(state)) == 1


def test_what_was_sent_is_asked_about_until_it_is_answered(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """Perhaps done: the next digest asks, holds the task, and stops once the answer is logged."""
    call(capsys, "digest", site, "--on", SENT, "--send", "--state", state)
    plan = _plan(capsys, site, state, WEEK_AFTER)
    asked = {("front", "pre-emergent"), ("back", "pre-emergent")}
    assert _asked(plan) == asked
    assert not [
        action
        for lawn in plan.lawns
        for action in lawn.actions
        if action.task == "pre-emergent" and action.verdict is Verdict.APPLY
    ]
    journal = call(capsys, "journal", site, "--on", WEEK_AFTER, "--state", state)
    assert journal.out.count("perhaps done: pre-emergent") == 2
    change(site / "site.toml", "today = 2025-04-01", f"today = {WEEK_AFTER}")
    for ask in plan.ask:
        assert date.fromisoformat(ask.answers[0].split()[0]) <= date.fromisoformat(WEEK_AFTER)
        said = call(capsys, "log", site, *_words_of(ask.answers[0]), "--state", state)
        assert (said.code, said.err) == (Exit.DONE, "")
    assert _asked(_plan(capsys, site, state, WEEK_AFTER)) == set()
    assert (site / "journal.txt").read_text().count("done pre-emergent") == 2


def _words_of(answer: str) -> list[str]:
    """A line that the digest offers, as the words of `log`."""
    day, lawn, *words = answer.split()
    return [lawn, *words, "--on", day]


@pytest.mark.parametrize("answer", [0, 1, 2])
def test_each_line_that_is_offered_can_be_logged(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, answer: int
) -> None:
    """Done, skipped or not yet: the command takes what the digest offers."""
    call(capsys, "digest", site, "--on", SENT, "--send", "--state", state)
    ask = _plan(capsys, site, state, WEEK_AFTER).ask[0]
    change(site / "site.toml", "today = 2025-04-01", f"today = {WEEK_AFTER}")
    said = call(capsys, "log", site, *_words_of(ask.answers[answer]), "--state", state)
    assert (said.code, said.err) == (Exit.DONE, "")
    assert (ask.lawn, ask.task) not in _asked(_plan(capsys, site, state, WEEK_AFTER))


def test_a_look_records_nothing(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, tmp_path: Path
) -> None:
    """Only what was sent was advised: neither a look nor files make the next digest ask."""
    call(capsys, "digest", site, "--on", "2025-03-02", "--send", "--state", state)
    before = _plan(capsys, site, state, WEEK_AFTER)
    out = tmp_path / "out"
    for more in ((), ("--json",), ("--out", out)):
        said = call(capsys, "digest", site, "--on", SENT, *more, "--state", state)
        assert said.code == Exit.DONE
    assert _plan(capsys, site, state, WEEK_AFTER) == before
    assert len(_mails(state)) == 1


def test_a_mail_server_gets_one_mail_for_each_reader(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """Each in an envelope of their own, addressed to them alone."""
    other = "bo@tansy-hollow.example"
    change(site / "site.toml", f'to = ["{READER}"]', f'to = ["{READER}", "{other}"]')
    with mail_server() as (port, mails):
        by_smtp(site, port)
        said = call(capsys, "digest", site, "--on", SENT, "--send", "--state", state)
    assert said.code == Exit.DONE
    assert [people for _, people, _ in mails.taken] == [[READER], [other]]
    for _, (person,), octets in mails.taken:
        mail = email.message_from_bytes(octets, policy=email.policy.default)
        assert mail["To"] == person
    assert len({octets for _, _, octets in mails.taken}) == 2


@pytest.mark.parametrize(
    ("reply", "code"), [("451 the queue is full", Exit.LATER), ("554 no, thanks", Exit.PROBLEMS)]
)
def test_a_mail_that_was_refused_was_not_advised(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, reply: str, code: Exit
) -> None:
    """For now or for good: the code says which, and nothing is asked later."""
    with mail_server(reply) as (port, _):
        by_smtp(site, port)
        said = call(capsys, "digest", site, "--on", SENT, "--send", "--state", state)
    assert said.code == code
    assert reply in said.out
    assert _asked(_plan(capsys, site, state, WEEK_AFTER)) == set()


def test_a_second_try_after_a_refusal_is_advised(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """The same digest, put off at first, counts from when it got through."""
    with mail_server("451 later") as (port, mails):
        by_smtp(site, port)
        words = ("digest", site, "--on", SENT, "--send", "--state", state)
        assert call(capsys, *words).code == Exit.LATER
        mails.reply = "250 kept"
        assert call(capsys, *words).code == Exit.DONE
    assert _asked(_plan(capsys, site, state, WEEK_AFTER))


def test_nobody_at_the_port_is_to_be_tried_again(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """A mail server that is down is no mistake of the owner's."""
    by_smtp(site, free_port())
    said = call(capsys, "digest", site, "--on", SENT, "--send", "--state", state)
    assert said.code == Exit.LATER
    assert "refused" in said.out


def test_nothing_is_sent_that_could_not_be_remembered(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """A database that takes no digest: the mail stays here, for it would never be asked about."""
    call(capsys, "digest", site, "--on", "2025-03-23", "--send", "--state", state)
    database = state / "tansy-hollow" / "swardcast.sqlite3"
    with sqlite3.connect(database) as other:
        other.execute(
            "CREATE TRIGGER full BEFORE INSERT ON digest BEGIN SELECT RAISE(ABORT, 'x'); END"
        )
    other.close()
    with mail_server() as (port, mails):
        by_smtp(site, port)
        said = call(capsys, "digest", site, "--on", SENT, "--send", "--state", state)
    assert said.code == Exit.LATER
    assert "database" in said.err
    assert mails.taken == []


@pytest.mark.parametrize("umask", [0o000, 0o022, 0o077])
def test_state_is_for_its_user_and_group(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, umask: int
) -> None:
    """Whatever the umask lets through, others can neither read nor write it."""
    before = os.umask(umask)
    try:
        said = call(capsys, "digest", site, "--on", SENT, "--send", "--state", state / "in")
    finally:
        os.umask(before)
    assert said.code == Exit.DONE
    for folder in (state, state / "in", state / "in" / "tansy-hollow"):
        assert folder.stat().st_mode & 0o777 == 0o750 & ~umask
    database = state / "in" / "tansy-hollow" / "swardcast.sqlite3"
    assert database.stat().st_mode & 0o777 == 0o640 & ~umask
    mails = state / "in" / "tansy-hollow" / "mail" / "new"
    assert mails.stat().st_mode & 0o777 == 0o700
    assert [path.stat().st_mode & 0o777 for path in mails.iterdir()] == [0o600]


def test_what_was_sent_is_what_json_shows(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """`--json --send` prints the plan that the mail was made of."""
    said = call(capsys, "digest", site, "--on", SENT, "--json", "--send", "--state", state)
    plan = json.loads(said.out)
    (mail,) = _mails(state)
    assert plan["headline"]["subject"] in mail["Subject"]

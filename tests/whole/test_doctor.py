"""`doctor` and `status` against real servers: each thing that can be wrong, with its mend."""

# ruff: noqa: N802 - the server finds its hooks by these names

from __future__ import annotations

import argparse
import json
import os
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import trustme
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult, LoginPassword
from command_line import (
    HERE,
    Said,
    as_somebody_else,
    change,
    demo,
    free_port,
    on_a_service,
    open_ground,
    standing,
)
from weather_server import WeatherServer, right_body

from advisor.cli import doctor, status
from advisor.cli.exits import Exit
from advisor.post.smtp import SmtpConfig, try_login
from advisor.service.checkup import clock
from advisor.service.health import State
from advisor.store.database import Store

SECRET = "hidden-word"
NOW = datetime(2025, 4, 1, 10, tzinfo=UTC)
"""The demo's today at its digest's hour."""


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return demo(tmp_path)


@pytest.fixture
def state(tmp_path: Path) -> Path:
    return tmp_path / "state"


@pytest.fixture(scope="module")
def authority() -> trustme.CA:
    return trustme.CA()


@pytest.fixture
def trusted(authority: trustme.CA, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """This machine trusts the authority of the tests."""
    file = tmp_path / "authority.pem"
    authority.cert_pem.write_to_path(str(file))
    monkeypatch.setenv("SSL_CERT_FILE", str(file))


def ask(
    capsys: pytest.CaptureFixture[str],
    command: Any,
    site: Path,
    state: Path,
    *,
    as_json: bool = False,
) -> Said:
    capsys.readouterr()
    code = command.run(argparse.Namespace(site=str(site), state=str(state), json=as_json))
    printed = capsys.readouterr()
    return Said(int(code), printed.out, printed.err)


def findings(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> dict[str, dict[str, str]]:
    """The doctor's findings by name, of several of one name the last."""
    said = ask(capsys, doctor, site, state, as_json=True)
    found = json.loads(said.out)
    faults = [one for one in found["findings"] if one["state"] == "fault"]
    assert found["faults"] == len(faults)
    assert said.code == (Exit.PROBLEMS if faults else Exit.DONE)
    assert all(one["mend"] for one in found["findings"] if one["state"] != "ok")
    return {one["name"]: one for one in found["findings"]}


class Doorman:
    """Lets `lawn` in with one password, counts who tries, and keeps every mail and address."""

    def __init__(self) -> None:
        self.tries = 0
        self.heard: list[str] = []

    def __call__(self, _s: object, _e: object, _x: object, _m: object, data: Any) -> AuthResult:
        self.tries += 1
        good = LoginPassword(b"lawn", SECRET.encode())
        return AuthResult(success=data == good, handled=False)

    async def handle_MAIL(self, *_: Any) -> str:
        self.heard.append("MAIL")
        return "250 ok"

    async def handle_DATA(self, *_: Any) -> str:
        self.heard.append("DATA")
        return "250 ok"


@contextmanager
def mail_server(authority: trustme.CA, name: str = HERE) -> Iterator[tuple[int, Doorman]]:
    """A real submission server on this machine: STARTTLS, then a login."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    authority.issue_cert(name).configure_cert(context)
    doorman = Doorman()
    controller = Controller(
        doorman,
        hostname=HERE,
        port=free_port(),
        tls_context=context,
        require_starttls=True,
        authenticator=doorman,
        auth_required=True,
    )
    controller.start()
    try:
        yield controller.port, doorman
    finally:
        controller.stop()


def mails_over_tls(site: Path, port: int, password: str = SECRET) -> None:
    file = site.parent / "password"
    file.write_text(password)
    file.chmod(0o600)
    change(
        site / "site.toml",
        'maildir = "mail" ',
        f'server = "{HERE}"\nport = {port}\nsecurity = "starttls"\nuser = "lawn"\n'
        f'password_file = "{file}"\n#',
    )


def test_the_demo_is_well_and_nothing_is_left_behind(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """Every step is made, and neither the site's folder nor the state has changed."""
    before = standing(site)
    said = ask(capsys, doctor, site, state)
    assert said.code == Exit.DONE
    for name in ("Files", "Rules", "Clock", "Zone", "State folder", "Database", "Forecast",
                 "Decision", "Mail", "Delivery", "Next digest"):  # fmt: skip
        assert f"\nok       {name}  " in f"\n{said.out}"
    assert "Sun Apr 6, 06:00" in said.out
    assert said.out.endswith("\nAll is well, 1 warning.\n")  # the service has not run yet
    assert all(len(line) <= 80 or str(state) in line for line in said.out.splitlines())
    assert standing(site) == before
    assert not state.exists()


@pytest.mark.usefixtures("trusted")
def test_a_real_site_is_fetched_for_and_logged_in_for(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, authority: trustme.CA
) -> None:
    """A forecast from the service, a login over TLS; no mail, and not even a sender's name."""
    with (
        WeatherServer(right_body(datetime.now(UTC))) as weather,
        mail_server(authority) as (port, doorman),
    ):
        on_a_service(site, weather.url)
        mails_over_tls(site, port)
        found = findings(capsys, site, state)
    assert [name for name, one in found.items() if one["state"] == "fault"] == []
    assert len(weather.requests) == 2
    assert (doorman.tries, doorman.heard) == (1, [])
    assert found["Delivery"]["text"] == (
        f"{HERE}, port {port}, let lawn in over TLS, with a trusted certificate. Nothing was sent."
    )
    assert not state.exists()


@pytest.mark.usefixtures("trusted")
def test_a_wrong_password_is_tried_once_and_never_shown(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, authority: trustme.CA
) -> None:
    with mail_server(authority) as (port, doorman):
        mails_over_tls(site, port, "guessed-word")
        said = ask(capsys, doctor, site, state)
    assert said.code == Exit.PROBLEMS
    assert "FAULT    Delivery" in said.out
    assert "535" in said.out
    assert "Mend: Look at [mail] in site.toml, the password, and the server;" in " ".join(
        said.out.split()
    )
    assert doorman.tries == 1
    assert "guessed-word" not in said.out + said.err


def test_a_certificate_that_nobody_vouches_for_is_a_fault(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, authority: trustme.CA
) -> None:
    with mail_server(authority) as (port, doorman):
        mails_over_tls(site, port)
        delivery = findings(capsys, site, state)["Delivery"]
    assert delivery["state"] == "fault"
    assert "certificate" in delivery["text"]
    assert doorman.tries == 0


@pytest.mark.usefixtures("trusted")
def test_a_certificate_for_another_name_is_a_fault(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, authority: trustme.CA
) -> None:
    with mail_server(authority, "mail.example.org") as (port, doorman):
        mails_over_tls(site, port)
        delivery = findings(capsys, site, state)["Delivery"]
    assert delivery["state"] == "fault"
    assert "mismatch" in delivery["text"]
    assert doorman.tries == 0


def test_nobody_at_the_port_and_no_password_are_faults(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    mails_over_tls(site, free_port())
    assert "refused" in findings(capsys, site, state)["Delivery"]["text"]
    (site.parent / "password").chmod(0o644)
    delivery = findings(capsys, site, state)["Delivery"]
    assert delivery["state"] == "fault"
    assert "may be read by others" in delivery["text"]


def test_a_login_without_a_login() -> None:
    """A server on this machine that asks for none; one elsewhere is never asked unprotected."""
    controller = Controller(Doorman(), hostname=HERE, port=free_port())
    controller.start()
    try:
        outcome = try_login(SmtpConfig(HERE, controller.port, "none"), timeout=5)
    finally:
        controller.stop()
    assert outcome.delivered
    assert outcome.sentence.endswith("answers, and no login is asked for. Nothing was sent.")
    assert "this machine" in try_login(SmtpConfig("mail.example.org", 25, "none")).sentence


def test_a_service_that_is_down_does_not_end_the_round(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """The forecast is a fault, the decision cannot be tried, and the rest is looked at."""
    with WeatherServer(right_body(datetime.now(UTC)), mode="error 502") as weather:
        on_a_service(site, weather.url)
        found = findings(capsys, site, state)
    assert found["Forecast"]["state"] == "fault"
    assert "502" in found["Forecast"]["text"]
    assert found["Decision"] == {
        "name": "Decision", "state": "warning", "text": "Not tried: there is no forecast.",
        "mend": "The forecast first.",
    }  # fmt: skip
    assert found["Delivery"]["state"] == "ok"


def test_a_broken_rule_is_named_with_its_line(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """And what it means: everything that is put down is held."""
    (site / "rules").mkdir(exist_ok=True)
    (site / "rules" / "own.rules").write_text(
        "holds mine for feed\n  while   rian more than 1 mm\n"
    )
    said = ask(capsys, doctor, site, state)
    assert said.code == Exit.PROBLEMS
    assert "FAULT    Rules         rules/own.rules, line 2:" in said.out


def test_a_site_that_cannot_be_read_is_told_problem_by_problem(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    change(site / "site.toml", 'units = "us" ', 'units = "feet" ')
    change(site / "site.toml", 'weekday = "sunday"', 'weekday = "someday"')
    said = ask(capsys, doctor, site, state)
    assert said.code == Exit.PROBLEMS
    assert said.out.count("FAULT    Files         site.toml, line ") == 2
    assert "2 faults to mend.\n" in said.out


def test_a_folder_that_is_not_there(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, state: Path
) -> None:
    said = ask(capsys, doctor, tmp_path / "nowhere", state)
    assert (said.code, said.out) == (Exit.SITE, "")
    assert "nowhere is no folder" in said.err


def test_a_credential_is_for_the_service_alone(
    capsys: pytest.CaptureFixture[str],
    site: Path,
    state: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Outside the unit there is none: no fault, and how to try it all the same."""
    monkeypatch.delenv("CREDENTIALS_DIRECTORY", raising=False)
    mails_over_tls(site, free_port())
    change(
        site / "site.toml",
        f'password_file = "{site.parent / "password"}"',
        'password_credential = "mail-password"',
    )
    delivery = findings(capsys, site, state)["Delivery"]
    assert delivery["state"] == "warning"
    assert "LoadCredential=mail-password:FILE" in delivery["mend"]


def test_whoever_may_only_read_is_told_whom_to_ask_as(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """State of another user's is no fault; the rest is looked at, and `status` works."""
    if os.geteuid() != 0:
        pytest.skip("only root can make state of another user's")
    with open_ground() as ground:
        site, state = demo(ground), ground / "state"
        well(state).close()
        (database(state).parent / "mail").mkdir()
        for path in (ground, *ground.rglob("*")):
            path.chmod(0o755 if path.is_dir() else 0o644)
        findings(capsys, site, state)  # loads all that is used
        before = standing(ground)
        with as_somebody_else():
            found = findings(capsys, site, state)
            assert ask(capsys, status, site, state).code == Exit.DONE
        assert standing(ground) == before
    assert found["State folder"]["state"] == found["Delivery"]["state"] == "warning"
    assert "sudo -u root swardcast doctor" in found["State folder"]["mend"]
    assert found["Database"]["state"] == found["Decision"]["state"] == "ok"


def test_a_site_without_mail_cannot_send(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    text = (site / "site.toml").read_text()
    before, _, after = text.partition("[mail]\n")
    (site / "site.toml").write_text(before + after.partition("\n\n")[2])
    assert findings(capsys, site, state)["Mail"]["text"] == "site.toml names nobody to write to."


def database(state: Path) -> Path:
    return state / "tansy-hollow" / "swardcast.sqlite3"


def test_a_damaged_database_is_told_and_left_as_it_is(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    database(state).parent.mkdir(parents=True)
    database(state).write_bytes(b"no database at all" * 500)
    found = findings(capsys, site, state)
    assert found["Database"]["state"] == "fault"
    assert "damaged" in found["Database"]["text"]
    assert found["Decision"]["state"] == "ok"  # from the forecast that was fetched just now
    assert database(state).read_bytes() == b"no database at all" * 500


def test_a_state_folder_that_cannot_be_made_is_a_fault(
    capsys: pytest.CaptureFixture[str], site: Path, tmp_path: Path
) -> None:
    (tmp_path / "file").touch()
    found = findings(capsys, site, tmp_path / "file" / "state")
    assert found["State folder"]["state"] == "fault"
    assert "--state" in found["State folder"]["mend"]
    assert found["Delivery"]["state"] == "fault"  # the Maildir would lie there too


def test_a_clock_from_before_this_program_is_a_fault() -> None:
    """A machine without a battery wakes up in 1970."""
    assert clock(datetime(1970, 1, 1, tzinfo=UTC)).state is State.FAULT
    assert clock(datetime(2027, 1, 1, tzinfo=UTC)).state is State.OK


def well(state: Path) -> Store:
    """A store as a service leaves it that looked a minute ago."""
    database(state).parent.mkdir(parents=True)
    store = Store(database(state))
    facts = {
        "first_seen": NOW - timedelta(30),
        "last_fetch_ok": NOW - timedelta(hours=2),
        "last_decision": NOW - timedelta(2),
        "last_mail": NOW - timedelta(2),
    }
    for key, at in facts.items():
        store.remember("tansy-hollow", key, at.isoformat())
    store.remember("tansy-hollow", "wake_at", str(int(NOW.timestamp()) + 60))
    put(store, 2)
    return store


def put(store: Store, days_ago: int, purpose: str = "digest", outcome: str = "sent") -> None:
    """A mail in the outbox, and what became of it."""
    at = NOW - timedelta(days_ago)
    store.queue("tansy-hollow", at.date(), "ada@tansy-hollow.example", purpose, f"<{purpose}>",
                b"mail", at)  # fmt: skip
    letter = store.letters("tansy-hollow")[-1]
    if outcome == "sent":
        store.letter_sent(letter.id, at)
    elif outcome == "dead":
        store.letter_failed(letter.id, at, None, "The server refused the person: 550 gone.")
    else:
        store.letter_failed(letter.id, at, NOW + timedelta(minutes=5), "The server is not there.")


def test_status_of_a_service_that_is_well(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """Last fetch, decision and mail, the next digest, and an exit code of nothing overdue."""
    well(state).close()
    said = ask(capsys, status, site, state)
    assert said.code == Exit.DONE, said.out
    assert said.out == (
        "Tansy Hollow, Tue Apr 1, 06:00 (America/New_York)\n"
        "\n"
        "Last forecast  Tue Apr 1, 04:00 (2 hours ago)\n"
        "Last decision  Sun Mar 30, 06:00 (2 days ago)\n"
        "Last mail      Sun Mar 30, 06:00 (2 days ago); newest digest: Sun Mar 30\n"
        "Waiting mail   none\n"
        "Next digest    Sun Apr 6, 06:00\n"
        "Looks again    Tue Apr 1, 06:01\n"
        "\n"
        "Nothing is overdue.\n"
    )


def test_status_of_a_service_that_never_ran(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """Nothing is made by looking."""
    said = ask(capsys, status, site, state)
    assert said.code == Exit.PROBLEMS
    assert said.out.count("none yet") == 3
    assert "The service has not run for this site yet." in said.out
    assert not state.exists()


def test_what_waits_and_what_was_given_up(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """Both are told with their reason, by `status` and by `doctor`."""
    with well(state) as store:
        put(store, 1, "alert-1", "dead")
        put(store, 0, "alert-2", "ready")
    said = ask(capsys, status, site, state)
    assert said.code == Exit.PROBLEMS
    plain = " ".join(said.out.split())
    assert "tried once, next at Tue Apr 1, 06:05. The server is not there." in plain
    assert "OVERDUE The alert of Mon Mar 31 to ada@tansy-hollow.example could not be" in plain
    assert "550 gone" in plain
    document = json.loads(ask(capsys, status, site, state, as_json=True).out)
    assert [letter["purpose"] for letter in document["waiting"]] == ["alert-2"]
    assert [letter["purpose"] for letter in document["given_up"]] == ["alert-1"]
    assert document["next_digest"] == "2025-04-06T10:00:00+00:00"
    assert len(document["overdue"]) == 1
    assert "550 gone" in findings(capsys, site, state)["Mail"]["text"]

"""`doctor` against real servers: each thing that can be wrong, with its mend."""

# ruff: noqa: N802 - the server finds its hooks by these names

from __future__ import annotations

import os
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import trustme
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult, LoginPassword
from command_line import (
    HERE,
    as_somebody_else,
    change,
    demo,
    free_port,
    on_a_service,
    open_ground,
    standing,
)
from doctor_cases import ask, database, findings, well
from weather_server import WeatherServer, right_body

from advisor.cli import doctor, status
from advisor.cli.exits import Exit
from advisor.post.smtp import SmtpConfig, try_login
from advisor.service.checkup import clock
from advisor.service.health import State

SECRET = "hidden-word"


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

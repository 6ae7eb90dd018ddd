"""Delivery to real SMTP servers on this machine: plain, STARTTLS and TLS, kind and unkind."""

# ruff: noqa: N802 - the server finds its hooks by these names

from __future__ import annotations

import socket
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
import trustme
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword, Session

from advisor.post.outcome import Kind, Outcome
from advisor.post.smtp import SmtpConfig, send

HERE = "127.0.0.1"
MAIL = (
    b"From: lawn@example.org\r\nTo: someone@example.net\r\nMessage-ID: <1@example.org>\r\n\r\n"
    b"Hello\r\n.\r\n..two dots\r\nFrom here on\r\n"
)


class Kept:
    """A server's handler that keeps what it took."""

    def __init__(self) -> None:
        self.mails: list[bytes] = []
        self.people: list[list[str]] = []
        self.greeted: list[str | None] = []

    async def handle_DATA(self, _server: SMTP, session: Session, envelope: Envelope) -> str:
        self.mails.append(bytes(envelope.original_content or b""))
        self.people.append([str(envelope.mail_from), *envelope.rcpt_tos])
        self.greeted.append(session.host_name)
        return "250 kept"


class RefusesPerson(Kept):
    def __init__(self, answer: str) -> None:
        super().__init__()
        self.answer = answer

    async def handle_RCPT(self, *_: Any) -> str:
        return self.answer


class AnswersData(Kept):
    def __init__(self, answer: str) -> None:
        super().__init__()
        self.answer = answer

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        await super().handle_DATA(server, session, envelope)
        return self.answer


class DropsAfterMail(Kept):
    """Takes the mail, and is gone before it says so (RFC 1047)."""

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        await super().handle_DATA(server, session, envelope)
        assert server.transport is not None
        server.transport.abort()
        return "250 nobody hears this"


class UnkindAtQuit(Kept):
    async def handle_QUIT(self, *_: Any) -> str:
        return "421 going away"


def free_port() -> int:
    with socket.create_server((HERE, 0)) as server:
        return int(server.getsockname()[1])


@contextmanager
def serving(handler: Kept, **settings: Any) -> Iterator[int]:
    controller = Controller(handler, hostname=HERE, port=free_port(), **settings)
    controller.start()
    try:
        yield controller.port
    finally:
        controller.stop()


@contextmanager
def scripted(talk: Callable[[socket.socket], None]) -> Iterator[int]:
    """A server of one connection that does as `talk` says: what no decent server would."""

    def serve() -> None:
        connection, _ = server.accept()
        with connection:
            talk(connection)

    with socket.create_server((HERE, 0)) as server:
        thread = threading.Thread(target=serve)
        thread.start()
        try:
            yield int(server.getsockname()[1])
        finally:
            thread.join(5)
            assert not thread.is_alive()


def plain(port: int, **changes: Any) -> SmtpConfig:
    return SmtpConfig(server=HERE, port=port, security="none", **changes)


def post(config: SmtpConfig, **changes: Any) -> Outcome:
    settings = {"timeout": 5.0, "final_timeout": 5.0, **changes}
    return send(MAIL, "lawn@example.org", "someone@example.net", config, **settings)


@pytest.fixture(scope="module")
def authority() -> trustme.CA:
    return trustme.CA()


def server_side(authority: trustme.CA, name: str = HERE) -> ssl.SSLContext:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    authority.issue_cert(name).configure_cert(context)
    return context


def client_side(authority: trustme.CA) -> ssl.SSLContext:
    context = ssl.create_default_context()
    authority.configure_trust(context)
    return context


def test_mail_arrives_byte_for_byte() -> None:
    """Lines that begin with a dot included; the server learns nothing of this machine's name."""
    kept = Kept()
    with serving(kept) as port:
        outcome = post(plain(port))
    assert outcome.kind is Kind.DELIVERED
    assert kept.mails == [MAIL]
    assert kept.people == [["lawn@example.org", "someone@example.net"]]
    assert kept.greeted == ["[127.0.0.1]"]


def test_bare_line_ends_and_a_missing_last_one_are_mended() -> None:
    kept = Kept()
    with serving(kept) as port:
        body = MAIL.replace(b"\r\n", b"\n").rstrip(b"\n")
        send(body, "a@example.org", "b@example.org", plain(port), timeout=5)
    assert kept.mails == [MAIL]


def test_accepted_is_called_before_quit_and_only_then() -> None:
    order: list[str] = []

    class Watching(Kept):
        async def handle_QUIT(self, *_: Any) -> str:
            order.append("quit")
            return "221 bye"

    with serving(Watching()) as port:
        post(plain(port), accepted=lambda: order.append("accepted"))
    assert order == ["accepted", "quit"]
    with serving(AnswersData("554 no")) as port:
        post(plain(port), accepted=lambda: order.append("again"))
    assert "again" not in order


def test_421_at_quit_is_still_delivered() -> None:
    kept = UnkindAtQuit()
    with serving(kept) as port:
        assert post(plain(port)).kind is Kind.DELIVERED
    assert kept.mails == [MAIL]


@pytest.mark.parametrize(
    ("answer", "kind"),
    [("550 no such person", Kind.PERMANENT), ("450 mailbox busy", Kind.TRANSIENT)],
)
def test_a_refused_person(answer: str, kind: Kind) -> None:
    kept = RefusesPerson(answer)
    with serving(kept) as port:
        outcome = post(plain(port))
    assert outcome.kind is kind
    assert answer in outcome.sentence
    assert kept.mails == []


@pytest.mark.parametrize(
    ("answer", "kind"),
    [
        ("451 try later", Kind.TRANSIENT),
        ("554 looks like spam", Kind.PERMANENT),
        ("252 well", Kind.DELIVERED),
        ("354 what", Kind.AMBIGUOUS),
    ],
)
def test_the_answer_to_the_mail(answer: str, kind: Kind) -> None:
    with serving(AnswersData(answer)) as port:
        assert post(plain(port)).kind is kind


def test_a_drop_before_the_reply_is_ambiguous() -> None:
    kept = DropsAfterMail()
    with serving(kept) as port:
        outcome = post(plain(port))
    assert outcome.kind is Kind.AMBIGUOUS
    assert "may have been accepted" in outcome.sentence
    assert kept.mails == [MAIL]


def dialogue(*answers: bytes, hold: bool = False) -> Callable[[socket.socket], None]:
    """Sends the first answer as a greeting, then one for each line that comes in."""

    def talk(connection: socket.socket) -> None:
        lines = connection.makefile("rb")
        with lines:
            for index, answer in enumerate(answers):
                if index:
                    lines.readline()
                connection.sendall(answer + b"\r\n")
            while hold and lines.readline():
                pass

    return talk


def test_silence_after_the_mail_is_ambiguous() -> None:
    replies = (b"220 hi", b"250 hi", b"250 ok", b"250 ok", b"354 go")
    with scripted(dialogue(*replies, hold=True)) as port:
        outcome = post(plain(port), final_timeout=0.2)
    assert outcome.kind is Kind.AMBIGUOUS
    assert "no answer in time" in outcome.sentence or "timed out" in outcome.sentence


@pytest.mark.parametrize(
    ("replies", "kind", "said"),
    [
        ((b"421 too busy",), Kind.TRANSIENT, "421"),
        ((b"554 not you",), Kind.PERMANENT, "554"),
        ((b"HTTP/1.1 400 Bad Request",), Kind.PERMANENT, "no mail server"),
        ((b"220 hi", b"250 hi", b"550 sender unknown"), Kind.PERMANENT, "sender unknown"),
        ((b"220 hi", b"250 hi", b"250 ok", b"250 ok", b"451 no"), Kind.TRANSIENT, "451"),
        ((b"220 hi", b"250 hi", b"250 ok"), Kind.TRANSIENT, "could not be used"),
        ((), Kind.TRANSIENT, "could not be used"),
        ((b"220 " + b"x" * 20_000,), Kind.TRANSIENT, "could not be used"),
    ],
)
def test_odd_servers(replies: tuple[bytes, ...], kind: Kind, said: str) -> None:
    with scripted(dialogue(*replies)) as port:
        outcome = post(plain(port))
    assert outcome.kind is kind, outcome.sentence
    assert said in outcome.sentence


def test_a_server_s_words_are_cleaned() -> None:
    with scripted(dialogue(b"554 \x1b[31mno\x1b[0m \xe2\x80\xae way\x07")) as port:
        assert "554 no way." in post(plain(port)).sentence


def test_nobody_listening_is_transient() -> None:
    outcome = post(plain(free_port()))
    assert outcome.kind is Kind.TRANSIENT
    assert "refused" in outcome.sentence.casefold()


def test_tls_from_the_start(authority: trustme.CA) -> None:
    kept = Kept()
    with serving(kept, ssl_context=server_side(authority)) as port:
        config = SmtpConfig(HERE, port, "tls")
        assert post(config, context=client_side(authority)).kind is Kind.DELIVERED
    assert kept.mails == [MAIL]


def test_starttls(authority: trustme.CA) -> None:
    kept = Kept()
    with serving(kept, tls_context=server_side(authority), require_starttls=True) as port:
        config = SmtpConfig(HERE, port, "starttls")
        assert post(config, context=client_side(authority)).kind is Kind.DELIVERED
    assert kept.mails == [MAIL]


@pytest.mark.parametrize("security", ["tls", "starttls"])
def test_an_untrusted_certificate_is_permanent_and_says_why(
    authority: trustme.CA, security: str
) -> None:
    side = "ssl_context" if security == "tls" else "tls_context"
    kept = Kept()
    with serving(kept, **{side: server_side(authority)}) as port:
        outcome = post(SmtpConfig(HERE, port, security))  # type: ignore[arg-type]
    assert outcome.kind is Kind.PERMANENT
    assert "certificate" in outcome.sentence
    assert "unable to get local issuer" in outcome.sentence
    assert kept.mails == []


@pytest.mark.parametrize("security", ["tls", "starttls"])
def test_a_certificate_for_another_name_is_permanent(authority: trustme.CA, security: str) -> None:
    side = "ssl_context" if security == "tls" else "tls_context"
    with serving(Kept(), **{side: server_side(authority, "mail.example.org")}) as port:
        config = SmtpConfig(HERE, port, security)  # type: ignore[arg-type]
        outcome = post(config, context=client_side(authority))
    assert outcome.kind is Kind.PERMANENT
    assert "mismatch" in outcome.sentence


def test_without_starttls_nothing_is_sent() -> None:
    kept = Kept()
    with serving(kept) as port:
        outcome = post(SmtpConfig(HERE, port, "starttls", "lawn", "hidden-word"))
    assert outcome.kind is Kind.PERMANENT
    assert "does not offer STARTTLS" in outcome.sentence
    assert kept.mails == []


def test_tls_to_a_port_that_does_not_speak_it(authority: trustme.CA) -> None:
    with scripted(dialogue(b"220 hi")) as port:
        outcome = post(SmtpConfig(HERE, port, "tls"), context=client_side(authority))
    assert outcome.kind is Kind.PERMANENT
    assert "does not speak TLS" in outcome.sentence


def test_unprotected_mail_goes_to_this_machine_only() -> None:
    outcome = post(SmtpConfig("mail.example.org", 25, "none"))
    assert outcome.kind is Kind.PERMANENT
    assert "this machine" in outcome.sentence


@pytest.mark.parametrize("address", ["", "someone", "a@b\r\nDATA", "<a@b>", "é@example.org"])
def test_what_is_no_address_never_reaches_a_server(address: str) -> None:
    outcome = send(MAIL, "lawn@example.org", address, plain(1))
    assert outcome.kind is Kind.PERMANENT
    assert "not a plain mail address" in outcome.sentence


class Doorman:
    """Lets `lawn` with one password in, and counts who tries."""

    def __init__(self) -> None:
        self.tries = 0

    def __call__(self, _s: object, _e: object, _x: object, _m: object, data: Any) -> AuthResult:
        self.tries += 1
        good = LoginPassword(b"lawn", "wörd".encode())
        return AuthResult(success=data == good, handled=False)


@pytest.mark.parametrize("excluded", ["LOGIN", "PLAIN"])
def test_login_by_either_mechanism(authority: trustme.CA, excluded: str) -> None:
    kept, doorman = Kept(), Doorman()
    settings = {
        "authenticator": doorman,
        "auth_required": True,
        "auth_exclude_mechanism": [excluded],
    }
    with serving(kept, tls_context=server_side(authority), **settings) as port:
        config = SmtpConfig(HERE, port, "starttls", "lawn", "wörd")
        outcome = post(config, context=client_side(authority))
    assert outcome.kind is Kind.DELIVERED, outcome.sentence
    assert doorman.tries == 1


def test_a_wrong_password_is_tried_once_and_never_shown(authority: trustme.CA) -> None:
    """A second AUTH inside one try would count towards a lock-out."""
    doorman = Doorman()
    settings = {"authenticator": doorman, "auth_required": True}
    with serving(Kept(), tls_context=server_side(authority), **settings) as port:
        config = SmtpConfig(HERE, port, "starttls", "lawn", "hidden-word")
        outcome = post(config, context=client_side(authority))
    assert outcome.kind is Kind.PERMANENT
    assert "535" in outcome.sentence
    assert doorman.tries == 1
    assert "hidden-word" not in outcome.sentence + repr(config)


def test_454_to_a_login_is_transient() -> None:
    replies = (b"220 hi", b"250-hi\r\n250 AUTH PLAIN", b"454 not now, hidden-word")
    with scripted(dialogue(*replies)) as port:
        outcome = post(plain(port, user="lawn", password="hidden-word"))
    assert outcome.kind is Kind.TRANSIENT
    assert "hidden-word" not in outcome.sentence


def test_a_server_without_login_is_permanent() -> None:
    with serving(Kept()) as port:
        outcome = post(plain(port, user="lawn", password="word"))
    assert outcome.kind is Kind.PERMANENT
    assert "does not offer a login" in outcome.sentence


def test_a_user_without_a_password_is_told_before_any_connection() -> None:
    outcome = post(plain(1, user="lawn"))
    assert outcome.kind is Kind.PERMANENT
    assert "no password for the user lawn" in outcome.sentence


def test_a_mail_that_is_too_big_is_refused_before_it_travels() -> None:
    kept = Kept()
    with serving(kept, data_size_limit=50) as port:
        outcome = post(plain(port))
    assert outcome.kind is Kind.PERMANENT
    assert "552" in outcome.sentence
    assert kept.mails == []

"""Forged, replayed, expired, huge, encoded and malformed mail, and servers that misbehave: left
alone and counted or reported; the digest goes out all the same."""

from __future__ import annotations

import base64
import socket
import ssl
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

import pytest
import trustme
from command_line import HERE, mail_server
from imap_cases import SITE, Answered, Mailbox, imap_server
from test_answers import (
    ANSWERED,
    BARRIER,
    BEFORE,
    FED,
    NEXT,
    SUNDAY,
    digest_of,
    flat,
    link,
    part,
    written,
)

from advisor.post.inbox import opened
from advisor.site.tokens import find, sign


@pytest.fixture
def box() -> Iterator[Mailbox]:
    with imap_server() as server:
        yield server


@pytest.fixture
def site(tmp_path: Path, box: Mailbox) -> Iterator[Answered]:
    with mail_server() as (port, mails):
        made = Answered.made(tmp_path, port, mails, box.port)
        journal = made.site / "journal.txt"
        journal.write_text(journal.read_text() + BARRIER)
        made.take(BEFORE)
        yield made


def token_of(site: Answered) -> str:
    return find(link(digest_of(site), "done")[1])[0]


def key_of(site: Answered) -> bytes:
    return (site.state / "answers.key").read_bytes()


def left(site: Answered) -> dict[str, int]:
    return dict(site.untold().left)


def good(token: str) -> bytes:
    return written(f"done: feed [{token}]", "done 5.4 lb", "good")


def automatic(token: str, *headers: str) -> bytes:
    return "\r\n".join(headers).encode() + b"\r\n" + written(f"done [{token}]", "done")


def forged(_: Answered, token: str) -> bytes:
    return written(f"done [{token[:-1]}{'a' if token[-1] != 'a' else 'b'}]", "done 99 lb", "f")


def other_sites(site: Answered, _token: str) -> bytes:
    theirs = sign(key_of(site), "maple-corner", "feed/front/2025-04-23", SUNDAY.date())
    return written(f"done [{theirs}]", "done 99 lb", "o")


def expired(site: Answered, _token: str) -> bytes:
    old = sign(key_of(site), SITE, "feed/front/2025-04-23", SUNDAY.date() - timedelta(58))
    return written(f"done [{old}]", "done 99 lb", "e")


def from_the_future(site: Answered, _token: str) -> bytes:
    early = sign(key_of(site), SITE, "feed/front/2025-04-23", SUNDAY.date() + timedelta(9))
    return written(f"done [{early}]", "done 99 lb", "z")


def nested(depth: int, inner: bytes) -> bytes:
    head = b"Subject: x\r\nMessage-ID: <deep@x.example>\r\n"
    for level in range(depth):
        head += b'Content-Type: multipart/mixed; boundary="b%d"\r\n\r\n--b%d\r\n' % (level, level)
    return head + b"Content-Type: text/plain\r\n\r\n" + inner


def deep(_: Answered, token: str) -> bytes:
    return nested(100, f"done 99 lb {token}".encode())


def without_token(_: Answered, _token: str) -> bytes:
    return written("done: feed, Front lawn", "done 99 lb", "n")


HOSTILE: list[tuple[Callable[[Answered, str], bytes], str]] = [
    (forged, "forged"),
    (other_sites, "forged"),
    (expired, "expired"),
    (from_the_future, "early"),
    (deep, "malformed"),
    (without_token, "without a token"),
    (lambda _, t: automatic(t, "Auto-Submitted: auto-replied"), "automatic"),
    (lambda _, t: automatic(t, "Precedence: bulk"), "automatic"),
    (lambda _, t: automatic(t, "Return-Path: <>"), "automatic"),
    (lambda _, _t: b"\xff\xfe\x00\x00garbage\x00 with no header at all\r\n", "without a token"),
]  # fmt: skip


@pytest.mark.parametrize(("made", "why"), HOSTILE)
def test_what_bears_no_good_token_is_left_alone_and_counted(
    site: Answered, box: Mailbox, made: Callable[[Answered, str], bytes], why: str
) -> None:
    token = token_of(site)
    site.take(ANSWERED)  # what came before the first look is no news, so there is one first
    box.put(made(site, token), good(token))
    site.take(ANSWERED + timedelta(hours=1))
    assert site.answers() == [FED]
    assert left(site) == {why: 1}
    assert (box.unread(), box.all()) == (1, 2), "what is left alone stays unread, nothing is gone"
    assert box.flags() <= {r"\Seen", r"\Recent"}
    site.take(NEXT)
    told = flat(part(site.received()[-1], "plain"))
    # What was no answer, or one that is taken already, is nobody's alarm.
    quiet = why in {"without a token", "automatic", "replayed"}
    assert ("1 answer could not be taken and was left alone" in told) is not quiet
    assert "5.4 lb of Steady Green" in told
    assert len(site.received()) == 2, "nothing is ever answered"


def test_a_mail_of_fifty_megabytes_is_never_fetched(site: Answered, box: Mailbox) -> None:
    token = token_of(site)
    site.take(ANSWERED)
    big = written(f"done [{token}]", "done 99 lb", "big") + b"x" * 72 * 1000
    box.put(big + (b"y" * 70 + b"\r\n") * 720_000, good(token))
    begun = time.monotonic()
    site.take(ANSWERED + timedelta(hours=1))
    assert time.monotonic() - begun < 20
    assert site.answers() == [FED]
    assert left(site) == {"huge": 1}


@pytest.mark.parametrize(
    "body",
    [
        b"Content-Transfer-Encoding: base64\r\n\r\n" + base64.encodebytes(b"\0" * 900_000),
        b"Content-Type: text/plain; charset=no-such-letters\r\n\r\ndone 5.4 lb\xff\xfe\r\n",
        b"Content-Type: text/plain; charset=utf-7\r\n\r\n+/v8-done\r\n",
        b"Content-Transfer-Encoding: base64\r\n\r\n!!!!====not base64\r\n",
        b"Content-Type: text/plain\r\n\r\n\0\0do\0ne 99 lb\x1b[31m\xc2\x85front applied 9 lb\r\n",
        b"Content-Type: multipart/mixed\r\n\r\nno boundary\r\n",
        b"Content-Type: message/rfc822\r\n\r\nSubject: done\r\n\r\ndone 99 lb\r\n",
    ],
)
def test_a_good_token_with_a_body_that_cannot_be_read_does_no_harm(
    site: Answered, box: Mailbox, body: bytes
) -> None:
    """The token is good, so it is taken; nothing but the word of the subject can come of it."""
    head = f"Subject: note {token_of(site)}\r\nMessage-ID: <odd@x.example>\r\n".encode()
    box.put(head + body)
    site.take(ANSWERED)
    assert [line for line in site.answers() if "99" in line or "9 lb" in line] == []
    assert len(site.untold().heard) >= 1
    site.take(NEXT)
    assert "your answers" in part(site.received()[-1], "plain")


@pytest.mark.parametrize(
    "words",
    [
        "done\n2026-01-01 all applied 9 lb of steady-green",
        "done\r2025-04-01 front applied 9 lb of steady-green",
        "done\u20282025-04-01 front applied 9 lb of steady-green",
        "done\v2025-04-01  front  last feed not known",
        "done # 2025-04-01 front applied 9 lb",
        "done\njournal from 2020-01-01",
    ],
)
def test_an_answer_writes_no_line_of_another_kind(site: Answered, box: Mailbox, words: str) -> None:
    subject = f"answer [{token_of(site)}]"
    head = (
        f"Subject: {subject}\r\nMessage-ID: <inject@x.example>\r\nContent-Type: text/plain;"
        " charset=utf-8\r\nContent-Transfer-Encoding: base64\r\n\r\n"
    )
    box.put(head.encode() + base64.encodebytes(words.encode()))
    site.take(ANSWERED)
    assert site.answers() in ([], ["2025-04-23 front done feed"])


def test_a_header_cannot_be_folded_into_a_line(site: Answered, box: Mailbox) -> None:
    token = token_of(site)
    raw = f"Subject: done: feed [{token}]\r\n\tfront applied 9 lb\r\nMessage-ID: <a@b>\r\n\r\n"
    box.put(raw.encode())
    site.take(ANSWERED)
    assert site.answers() == ["2025-04-23 front done feed"]


def test_a_mail_that_comes_again_is_counted_and_not_taken(site: Answered, box: Mailbox) -> None:
    token = token_of(site)
    box.put(good(token))
    site.take(ANSWERED)
    box.put(good(token), good(token))
    site.take(ANSWERED + timedelta(hours=1))
    assert site.answers() == [FED]
    assert left(site) == {"replayed": 2}


def test_a_mailbox_that_was_made_anew_takes_nothing_twice(site: Answered, box: Mailbox) -> None:
    """The same mails under another UIDVALIDITY, as after a move to another server."""
    token = token_of(site)
    box.put(good(token))
    site.take(ANSWERED)
    place = site.recall("answers_place")
    with imap_server() as other:
        site.reads_at(other.port)
        fresh = written(f"x [{token}]", "rain 0.2 in", "fresh")
        other.put(good(token), fresh)
        site.take(ANSWERED + timedelta(hours=1))
    assert site.recall("answers_place") != place
    assert site.answers() == [FED, "2025-04-23 all rain 0.2 in"]
    assert left(site) == {}


def test_a_thousand_mails_at_once_hold_up_nothing(site: Answered, box: Mailbox) -> None:
    token = token_of(site)
    site.take(ANSWERED)
    junk = [written("buy this", "now", f"junk{n}") for n in range(1000)]
    box.put(*junk[:999], good(token), junk[999])
    begun = time.monotonic()
    site.take(NEXT)
    assert time.monotonic() - begun < 90
    assert site.answers() == [FED], "an answer among them is found"
    assert len(site.received()) == 2
    site.take(NEXT + timedelta(minutes=2))
    assert site.untold().left == {"without a token": 1}
    assert "left alone" not in flat(part(site.received()[-1], "plain")), "other mail is private"


# Servers that cannot be used.


@contextmanager
def raw_server(talk: Callable[[socket.socket], None]) -> Iterator[int]:
    """A server of one's own: `talk` is called with each connection."""
    listening = socket.create_server((HERE, 0))

    def serve() -> None:
        while True:
            try:
                connection, _ = listening.accept()
            except OSError:
                return
            with connection, suppress(OSError):
                connection.settimeout(10)
                talk(connection)

    thread = threading.Thread(target=serve)
    thread.start()
    try:
        yield int(listening.getsockname()[1])
    finally:
        listening.shutdown(socket.SHUT_RDWR)
        thread.join(15)
        listening.close()


def hangs(connection: socket.socket) -> None:
    connection.recv(1)


def closes(connection: socket.socket) -> None:
    connection.sendall(b"* OK hello\r\n")


def drips(connection: socket.socket) -> None:
    for _ in range(60):
        connection.sendall(b"*")
        time.sleep(0.1)


def garbage(connection: socket.socket) -> None:
    connection.sendall(bytes(range(256)) * 40 + b"\r\n")


def web(connection: socket.socket) -> None:
    connection.sendall(b"HTTP/1.1 400 Bad Request\r\nContent-Length: 0\r\n\r\n")


def endless(connection: socket.socket) -> None:
    for _ in range(100):
        connection.sendall(b"* OK " + b"x" * 65_536)


def lies(connection: socket.socket) -> None:
    """Says yes to everything, and then names an answer of 10 GB."""
    lines = connection.makefile("rb")
    connection.sendall(b"* OK hello\r\n")
    while line := lines.readline():
        tag, verb, *rest = [*line.split(), b""]
        said = b""
        if verb == b"CAPABILITY":
            said = b"* CAPABILITY IMAP4rev1\r\n"
        elif verb == b"SELECT":
            said = b"* 1 EXISTS\r\n* OK [UIDVALIDITY 7] x\r\n"
        elif verb == b"UID" and rest[0] == b"SEARCH":
            said = b"* SEARCH 1\r\n"
        elif verb == b"UID" and b"SIZE" in line:
            said = b"* 1 FETCH (UID 1 RFC822.SIZE 100)\r\n"
        elif verb == b"UID":
            said = b"* 1 FETCH (UID 1 BODY[]<0> {9999999999}\r\nabc"
        connection.sendall(said + tag + b" OK done\r\n")


RUDE = [hangs, closes, drips, garbage, web, endless, lies]


@pytest.fixture
def hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    """The service waits as it does, only not as long."""
    quick = partial(opened, seconds=3.0, answer=1.0)
    monkeypatch.setattr("advisor.service.answers.opened", quick)


@pytest.mark.usefixtures("hasty")
@pytest.mark.parametrize("talk", RUDE)
def test_a_server_that_misbehaves_holds_up_no_digest(
    site: Answered, talk: Callable[[socket.socket], None]
) -> None:
    with raw_server(talk) as port:
        site.reads_at(port)
        begun = time.monotonic()
        said = site.take(SUNDAY)
        assert time.monotonic() - begun < 15
    assert len(site.received()) == 1
    assert any("answers could not be read" in line for line in said)
    assert site.recall("answers_error") and site.recall("answers_failing_since")


def test_a_password_that_is_refused_is_tried_less_and_less(site: Answered) -> None:
    (site.site.parent / "password").write_text("wrong\n")
    site.take(SUNDAY)
    assert "refused the user or the password" in site.recall("answers_error")
    assert "wrong" not in site.recall("answers_error")
    waits = []
    now = SUNDAY
    for _ in range(5):
        following = datetime.fromisoformat(site.recall("answers_next"))
        waits.append(round((following - now).total_seconds() / 60))
        now = following
        site.take(now)
    assert waits == [15, 30, 60, 120, 120]


def test_a_failure_that_lasts_is_told_in_the_digest_and_ends(site: Answered, box: Mailbox) -> None:
    port = box.port
    site.reads_at(1)
    site.take(SUNDAY)
    assert "could not be read" not in flat(part(site.received()[-1], "plain"))
    site.take(NEXT)
    assert "Answers by mail could not be read since Sun Apr 20" in flat(
        part(site.received()[-1], "plain")
    )
    site.reads_at(port)
    site.take(NEXT + timedelta(days=7))
    assert "could not be read" not in flat(part(site.received()[-1], "plain"))


@pytest.mark.usefixtures("hasty")
def test_a_certificate_that_is_not_trusted_is_refused(site: Answered) -> None:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    trustme.CA().issue_cert(HERE).configure_cert(context)

    def talk(connection: socket.socket) -> None:
        with context.wrap_socket(connection, server_side=True) as safe:
            safe.sendall(b"* OK hello\r\n")
            assert not safe.recv(100), "nothing is said to it"

    with raw_server(talk) as port:
        site.reads_at(port, security="tls")
        site.take(SUNDAY)
    assert "certificate" in site.recall("answers_error")
    assert len(site.received()) == 1


def test_starttls_with_a_trusted_certificate_is_read(
    site: Answered, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    authority = trustme.CA()
    made = authority.issue_cert(HERE)
    made.cert_chain_pems[0].write_to_path(tmp_path / "cert.pem")
    made.private_key_pem.write_to_path(tmp_path / "key.pem")
    authority.cert_pem.write_to_path(tmp_path / "authority.pem")
    monkeypatch.setenv("SSL_CERT_FILE", str(tmp_path / "authority.pem"))
    options = ("--cert", str(tmp_path / "cert.pem"), "--key", str(tmp_path / "key.pem"))
    with imap_server(*options) as box:
        site.reads_at(box.port, security="starttls")
        site.take(SUNDAY)
    assert site.recall("answers_error") == ""


@pytest.mark.usefixtures("hasty")
def test_without_starttls_no_password_is_said(site: Answered, box: Mailbox) -> None:
    site.reads_at(box.port, security="starttls")
    site.take(SUNDAY)
    assert "does not offer STARTTLS" in site.recall("answers_error")


@pytest.mark.usefixtures("hasty")
def test_what_comes_in_the_open_behind_starttls_is_not_believed(site: Answered) -> None:
    heard: list[bytes] = []

    def talk(connection: socket.socket) -> None:
        lines = connection.makefile("rb")
        connection.sendall(b"* OK [CAPABILITY IMAP4rev1 STARTTLS] hello\r\n")
        while line := lines.readline():
            heard.append(line)
            tag, verb = line.split()[:2]
            said = b"* CAPABILITY IMAP4rev1 STARTTLS\r\n" if verb == b"CAPABILITY" else b""
            more = b"* OK injected\r\n" if verb == b"STARTTLS" else b""
            connection.sendall(said + tag + b" OK go\r\n" + more)

    with raw_server(talk) as port:
        site.reads_at(port, security="starttls")
        site.take(SUNDAY)
    assert heard[-1].split()[1] == b"STARTTLS"
    assert site.recall("answers_error")


def test_a_key_that_is_lost_makes_older_links_invalid_and_nothing_else(
    site: Answered, box: Mailbox
) -> None:
    token = token_of(site)
    site.take(ANSWERED)
    (site.state / "answers.key").unlink()
    box.put(good(token))
    site.take(ANSWERED + timedelta(hours=1))
    assert (site.answers(), left(site)) == ([], {"forged": 1})
    site.take(NEXT)
    fresh = find(link(site.received()[-1], "done")[1])[0]
    box.put(written(f"done [{fresh}]", "done 5.4 lb", "again", NEXT))
    site.take(NEXT + timedelta(hours=1))
    assert site.answers() == [FED]


def test_a_key_that_others_may_read_signs_nothing_and_the_digest_says_so(site: Answered) -> None:
    digest_of(site)
    (site.state / "answers.key").chmod(0o644)
    site.take(NEXT)
    told = flat(part(site.received()[-1], "plain"))
    assert "It cannot be answered by mail" in told and "sw1" not in told


def test_our_own_digest_in_the_same_mailbox_is_no_answer(site: Answered, box: Mailbox) -> None:
    digest_of(site)
    site.take(ANSWERED)
    box.put(site.mails.taken[-1][2])
    site.take(ANSWERED + timedelta(hours=1))
    assert (site.answers(), left(site), box.unread()) == ([], {}, 1)


def test_a_flood_with_good_tokens_fills_no_digest(site: Answered, box: Mailbox) -> None:
    token = token_of(site)
    box.put(*(written(f"x [{token}]", "no words that are known", f"flood{n}") for n in range(50)))
    site.take(NEXT)
    told = flat(part(site.received()[-1], "plain"))
    assert told.count("“no words that are known” was not taken") == 30
    assert "20 more things were said" in told


def test_a_site_without_a_mailbox_offers_no_answers(site: Answered) -> None:
    toml = site.site / "site.toml"
    before, _, after = toml.read_text().partition("\n[answers]")
    toml.write_text(before + "\n" + after[after.index("[demo]") :])
    site.take(datetime(2025, 4, 20, 10, 5, tzinfo=UTC))
    mail = site.received()[-1]
    assert mail["Reply-To"] is None
    assert "mailto:" not in part(mail, "html") and "Answer:" not in part(mail, "plain")

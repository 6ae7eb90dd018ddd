"""What stands in the store after a mail was handed to a server that does not behave.

How each dialogue ends is held by the tests of delivery; here it is what is kept of it: the
letter's state, its next try, its sentence, and whether what it advises counts.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from letter_cases import (
    AT,
    HOME,
    MINUTE,
    PASSWORD,
    ROBIN,
    SAM,
    bytes_for,
    counts,
    is_dead,
    is_sent,
    letter,
    postman,
    put,
    waits,
)
from rude_server import DROP, closed_port, rude

from advisor.service.postman import Postman
from advisor.store.database import Store


@pytest.fixture(autouse=True)
def trusts_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    """No list of authorities but the test's own; to read a long one for each try takes time."""
    monkeypatch.setenv("SSL_CERT_FILE", os.devnull)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "swardcast.sqlite3") as store:
        yield store


@pytest.mark.parametrize("at_quit", [b"421 going away", DROP])
def test_a_mail_taken_is_sent_whatever_comes_of_quit(store: Store, at_quit: bytes) -> None:
    put(store)
    with rude({"QUIT": at_quit}) as server:
        said = postman(store, server.port).deliver_due(AT)
        assert postman(store, server.port).deliver_due(AT + MINUTE) == []
    assert "accepted the mail" in said[0]
    is_sent(store)
    assert counts(store)
    assert store.recall(HOME, "last_mail") == AT.isoformat()
    assert server.mails == [bytes_for(ROBIN)]


def test_it_is_marked_after_the_answer_and_before_quit(store: Store) -> None:
    """Looked up in the file at each step: a kill at any of them finds it that way."""
    seen: dict[str, tuple[str, int]] = {}

    def look(step: str) -> None:
        with closing(sqlite3.connect(store.path)) as plain:
            (state,) = plain.execute("SELECT state FROM letter").fetchone()
            (sent,) = plain.execute("SELECT sent FROM digest").fetchone()
        seen[step] = (state, sent)

    put(store)
    with rude() as server:
        server.before_answer = look
        postman(store, server.port).deliver_due(AT)
    not_yet, sent = ("ready", 0), ("sent", 1)
    assert seen == {
        "EHLO": not_yet,
        "MAIL": not_yet,
        "RCPT": not_yet,
        "DATA": not_yet,
        ".": not_yet,
        "QUIT": sent,
    }


def test_a_drop_before_the_last_answer_waits_and_counts(store: Store) -> None:
    """It may have arrived, so what it advises may be done; and it is tried again."""
    put(store)
    with rude({".": DROP}) as server:
        postman(store, server.port).deliver_due(AT)
    waits(store, "may have been accepted")
    assert counts(store)


PUT_OFF = [
    ("", b"421 too busy"),
    ("EHLO", b"451 later"),
    ("MAIL", b"451 later"),
    ("RCPT", b"450 mailbox busy"),
    ("RCPT", b"451 greylisted"),
    ("DATA", b"451 later"),
    (".", b"450 later"),
    (".", b"451 later"),
]


@pytest.mark.parametrize(("step", "answer"), PUT_OFF)
def test_what_is_put_off_waits_and_does_not_count(store: Store, step: str, answer: bytes) -> None:
    put(store)
    with rude({step: answer}) as server:
        postman(store, server.port).deliver_due(AT)
    waits(store, answer.decode())
    assert not counts(store)


@pytest.mark.parametrize("step", ["MAIL", "RCPT", "DATA", "."])
@pytest.mark.parametrize("answer", [b"550 no such person", b"554 looks like spam"])
def test_what_is_refused_is_dead_and_says_why(store: Store, step: str, answer: bytes) -> None:
    put(store)
    with rude({step: answer}) as server:
        postman(store, server.port).deliver_due(AT)
        postman(store, server.port).deliver_due(AT + timedelta(hours=2))
    is_dead(store, answer.decode())
    assert not counts(store)
    assert server.connections == 1
    assert store.recall(HOME, "last_mail") is None


def test_a_wrong_password_is_tried_once(store: Store) -> None:
    """Dead at once, with what to mend; the password is nowhere in the state."""
    put(store)
    with rude({"AUTH": b"535 wrong"}) as server:
        said = postman(store, server.port, login=True).deliver_due(AT)
        postman(store, server.port, login=True).deliver_due(AT + timedelta(hours=2))
    is_dead(store, "535 wrong.*Mend the user or the password")
    assert server.verbs() == ["EHLO", "AUTH", "QUIT"]
    assert not counts(store)
    store.close()
    held = b"".join(path.read_bytes() for path in Path(store.path).parent.iterdir())
    assert PASSWORD.encode() not in held and PASSWORD not in said[0]


def test_a_password_that_is_not_there_is_told_without_a_connection(store: Store) -> None:
    put(store)
    with rude() as server:
        mail = postman(store, server.port, login=True).mail
        Postman(HOME, mail, store, Path(store.path).parent, {}).deliver_due(AT)
    is_dead(store, "LAWN_MAIL is not set")
    assert server.connections == 0


def test_nobody_listening_waits(store: Store) -> None:
    put(store)
    postman(store, closed_port()).deliver_due(AT)
    waits(store, "refused")
    assert not counts(store)


# Several readers, several tries.


@pytest.mark.parametrize("refused", [ROBIN, SAM])
def test_each_reader_has_a_letter_of_their_own(store: Store, refused: str) -> None:
    """One is refused: the other's is sent, and as it reached somebody its advice counts."""
    glad = SAM if refused == ROBIN else ROBIN
    put(store, ROBIN, SAM)
    with rude({f"RCPT TO:<{refused}>".upper(): b"550 no such person"}) as server:
        said = postman(store, server.port).deliver_due(AT)
    assert len(said) == 2 and server.connections == 2
    is_dead(store, "550 no such person", refused)
    is_sent(store, glad)
    assert server.mails == [bytes_for(glad)]
    assert counts(store)


def test_only_the_letter_that_waits_is_tried_again(store: Store) -> None:
    put(store, ROBIN, SAM)
    with rude({f"RCPT TO:<{SAM}>".upper(): b"450 mailbox busy"}) as server:
        post = postman(store, server.port)
        post.deliver_due(AT)
        assert letter(store, SAM).state == "ready"
        server.answers.clear()
        assert len(post.deliver_due(AT + 2 * MINUTE)) == 1
    is_sent(store, ROBIN)
    is_sent(store, SAM, tries=2)
    assert server.mails == [bytes_for(ROBIN), bytes_for(SAM)]


def test_every_try_has_the_same_bytes_and_the_same_id(store: Store) -> None:
    put(store)
    with rude() as server:
        post, now = postman(store, server.port), AT
        for answer in (b"451 later", DROP, b"354 what", b"250 taken"):
            server.answers["."] = answer
            assert len(post.deliver_due(now)) == 1
            assert post.deliver_due(now) == []
            now = letter(store).next_try or now
    is_sent(store, tries=4)
    assert server.mails == [bytes_for(ROBIN)] * 4
    assert letter(store).message_id.encode() in server.mails[0]


def test_five_days_of_failures_end_dead(store: Store) -> None:
    """Tried at each time that was set, from a minute up to an hour and a half apart, and given up
    on the fifth day with the sentence of the last try."""
    put(store)
    post, times = postman(store, closed_port()), [AT]
    while letter(store).state == "ready":
        assert len(post.deliver_due(times[-1])) == 1
        following = letter(store).next_try
        if following is not None:
            times.append(following)
    end = letter(store)
    assert (end.state, end.next_try, end.tries) == ("dead", None, len(times))
    assert "refused" in end.note
    assert not counts(store)
    # RFC 5321, 4.5.4.1: to give up takes at least 4 to 5 days.
    assert timedelta(days=5) - timedelta(minutes=90) <= times[-1] - AT <= timedelta(days=5)
    apart = [later - earlier for earlier, later in pairwise(times)]
    assert 100 <= len(times) <= 200  # soon an hour apart, give or take a half
    assert min(apart) >= MINUTE / 2 and max(apart) <= 90 * MINUTE
    assert post.deliver_due(AT + timedelta(days=6)) == []

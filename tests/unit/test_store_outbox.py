"""The outbox and the memory: made once, moved only forward, nothing acknowledged lost to a kill."""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.store.database import Store
from advisor.store.errors import StoreError
from advisor.store.outbox import BYTES_KEPT, Draft, Letter
from advisor.store.schema import MIGRATIONS

AT = datetime(2027, 4, 11, 10, 0, tzinfo=UTC)
ON = date(2027, 4, 11)
MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)
ROBIN, SAM = "robin@example.org", "sam@example.org"


def put(store: Store, message_id: str = "<1@x>", to: str = ROBIN, purpose: str = "digest") -> bool:
    return store.queue("home", ON, to, purpose, message_id, b"bytes of " + message_id.encode(), AT)


def only(store: Store) -> Letter:
    (letter,) = store.letters("home")
    return letter


def test_a_mail_comes_back_as_it_was_put_in() -> None:
    """Whatever its bytes, to the microsecond."""
    raw = bytes(range(256)) + b"\r\n.\r\n"
    made = AT + timedelta(microseconds=1)
    with Store(":memory:") as store:
        assert store.queue("home", ON, ROBIN, "digest", "<1@x>", raw, made)
        letter = only(store)
        assert letter == Letter(
            letter.id,
            "home",
            ON,
            ROBIN,
            "digest",
            "<1@x>",
            raw,
            made,
            tries=0,
            next_try=None,
            state="ready",
            note="",
        )
        assert store.letters_due("home", AT) == [letter]


def test_a_name_is_given_once() -> None:
    """Asked again with another Message-ID and other bytes, the first ones stay, in every state."""
    with Store(":memory:") as store:
        assert put(store)
        first = only(store)
        assert not put(store, "<2@x>")
        assert only(store) == first
        assert store.letter_sent(first.id, AT)
        assert not put(store, "<3@x>")
        assert only(store).message_id == "<1@x>" and only(store).state == "sent"


def test_names_differ_in_each_of_their_four_parts() -> None:
    with Store(":memory:") as store:
        assert put(store)
        assert put(store, to=SAM)
        assert put(store, purpose="alert-1")
        assert store.queue("other", ON, ROBIN, "digest", "<1@x>", b"", AT)
        assert store.queue("home", ON + DAY, ROBIN, "digest", "<1@x>", b"", AT)
        assert len(store.letters("home")) == 4 and len(store.letters("other")) == 1


def test_mails_to_several_are_put_in_all_or_none() -> None:
    """One that cannot be stored leaves none behind; one that is there already is no hindrance."""
    with Store(":memory:") as store:
        wrong = Draft(SAM, "<2@x>", None)  # type: ignore[arg-type]
        with pytest.raises(StoreError, match="NOT NULL"):
            store.queue_all("home", ON, "digest", [Draft(ROBIN, "<1@x>", b"1"), wrong], AT)
        assert store.letters("home") == []
        assert put(store)
        drafts = [Draft(ROBIN, "<3@x>", b"3"), Draft(SAM, "<4@x>", b"4")]
        assert store.queue_all("home", ON, "digest", drafts, AT) == 1
        assert [x.message_id for x in store.letters("home")] == ["<1@x>", "<4@x>"]


def test_a_failure_waits_for_its_next_try() -> None:
    with Store(":memory:") as store:
        put(store)
        assert store.letter_failed(only(store).id, AT, AT + MINUTE, "450: later.")
        letter = only(store)
        assert (letter.tries, letter.next_try, letter.note) == (1, AT + MINUTE, "450: later.")
        assert letter.state == "ready"
        assert store.letters_due("home", AT + MINUTE - timedelta(microseconds=1)) == []
        assert store.letters_due("home", AT + MINUTE) == [letter]


def test_a_next_try_of_a_clock_that_was_ahead_does_not_hold_a_mail_back() -> None:
    with Store(":memory:") as store:
        put(store)
        ahead = AT + 21 * DAY
        store.letter_failed(only(store).id, ahead, ahead + MINUTE, "451: later.")
        assert store.letters_due("home", AT) == [only(store)]


def test_without_a_next_try_it_is_dead_and_says_why() -> None:
    with Store(":memory:") as store:
        put(store)
        assert store.letter_failed(only(store).id, AT, None, "550: no such mailbox.")
        assert store.letters_due("home", AT + DAY) == []
        (dead,) = store.letters("home", "dead")
        assert (dead.note, dead.next_try, dead.tries) == ("550: no such mailbox.", None, 1)


def test_one_that_is_replaced_is_not_tried_again() -> None:
    with Store(":memory:") as store:
        put(store)
        assert store.letter_replaced(only(store).id, "Replaced by the digest of 18 April.")
        assert store.letters_due("home", AT + DAY) == []
        assert only(store).note == "Replaced by the digest of 18 April."
        assert not store.letter_failed(only(store).id, AT, AT, "x")
        assert only(store).state == "replaced"


MOVES = st.sampled_from(["sent", "failed", "dead", "replaced", "again"])


@given(moves=st.lists(MOVES, max_size=12))
def test_sent_is_for_good_and_the_name_keeps_its_message(moves: list[str]) -> None:
    """Whatever comes in whatever order; only an acceptance by the server revives a mail."""
    with Store(":memory:") as store:
        put(store)
        expected = "ready"
        for n, move in enumerate(moves):
            before = only(store)
            if move == "sent":
                assert store.letter_sent(before.id, AT) == (expected != "sent")
                expected = "sent"
            elif move == "again":
                assert not put(store, f"<again-{n}@x>")
            elif move == "failed":
                changed = store.letter_failed(before.id, AT, AT + MINUTE, "later")
                assert changed == (expected == "ready")
            else:
                changed = (
                    store.letter_failed(before.id, AT, None, "no")
                    if move == "dead"
                    else store.letter_replaced(before.id, "old")
                )
                assert changed == (expected == "ready")
                expected = move if expected == "ready" else expected
            letter = only(store)
            assert letter.state == expected
            assert (letter.message_id, letter.message) == ("<1@x>", b"bytes of <1@x>")
            assert bool(store.letters_due("home", AT + DAY)) == (expected == "ready")


def test_bytes_of_old_mails_are_let_go_but_never_of_one_that_waits() -> None:
    with Store(":memory:") as store:
        put(store)
        put(store, "<2@x>", SAM)
        store.letter_sent(store.letters("home")[0].id, AT)
        for later, kept in ((BYTES_KEPT, True), (BYTES_KEPT + MINUTE, False)):
            day = AT + later
            store.queue("home", day.date(), ROBIN, f"{kept}", "<3@x>", b"new", day)
            sent, ready = store.letters("home")[:2]
            assert (sent.message == b"bytes of <1@x>") == kept and sent.message_id == "<1@x>"
            assert ready.message == b"bytes of <2@x>"


def test_a_letter_that_is_not_there_changes_nothing() -> None:
    with Store(":memory:") as store:
        assert not store.letter_sent(7, AT)
        assert not store.letter_failed(7, AT, None, "")
        assert not store.letter_replaced(7, "")
        assert store.letters("home") == []


def test_the_newest_fact_is_remembered_by_site_and_key(tmp_path: Path) -> None:
    path = tmp_path / "state.db"
    with Store(path) as store:
        assert store.recall("home", "wake_at") is None
        store.remember("home", "wake_at", "1")
        store.remember("home", "wake_at", "2")
        store.remember("home", "odd \udcff", "odd \udcff")
        assert store.recall("other", "wake_at") is None
        assert store.recall("home", "odd \udcff") == "odd \\udcff"
    plain = sqlite3.connect(f"file:{path}?mode=ro", uri=True)  # as the daemon reads it
    row = plain.execute("SELECT value FROM memory WHERE site = 'home' AND key = 'wake_at'")
    assert row.fetchone() == ("2",)
    plain.close()


RELEASED = "1c05e3e528a00fd66a844151a36150f4d050a2d7685e014cf15c66c41840ef3f"
"""SHA-256 of the first step as it was released: databases of it are out there."""


def test_a_database_of_the_first_schema_is_taken_forward(tmp_path: Path) -> None:
    """With the step as it was released, and a digest in it."""
    step = "".join(MIGRATIONS[0])
    assert hashlib.sha256(step.encode()).hexdigest() == RELEASED
    path = tmp_path / "state.db"
    plain = sqlite3.connect(path)
    for statement in MIGRATIONS[0]:
        plain.execute(statement)
    plain.execute("INSERT INTO digest VALUES ('home', '2027-04-11', 1, '{}', 1)")
    plain.execute("PRAGMA user_version = 1")
    plain.commit()
    plain.close()
    with Store(path) as store:
        assert store.last_sent("home") == ON
        assert put(store) and only(store).state == "ready"
        assert store.recall("home", "wake_at") is None
    with Store(path) as store, store.reading() as database:
        assert only(store).message_id == "<1@x>"
        assert database.execute("PRAGMA user_version").fetchone()[0] == len(MIGRATIONS)
        assert database.execute("PRAGMA integrity_check").fetchone()[0] == "ok"


KILLS = 20
LOOP = """
import json, os, random, signal, sys, time
from datetime import UTC, date, datetime, timedelta
import sqlite_utils
from advisor.store.database import Store

path, kills = sys.argv[1], int(sys.argv[2])
AT = datetime(2027, 1, 1, tzinfo=UTC)

def write(turn, first, out):
    def said(*words):
        os.write(out, (json.dumps(words) + chr(10)).encode())
    with Store(path) as store:
        for n in range(first, first + 100_000):
            mark = f"<{turn}.{n}@x>"
            new = store.queue("home", date(2027, 1, 1) + timedelta(n), "r@example.org", "digest",
                              mark, mark.encode() * 500, AT + timedelta(seconds=n))
            said("queued", n, turn, new)
            due = store.letters_due("home", AT)
            if not due:
                continue
            letter = due[-1]
            if n % 3 == 0:
                store.letter_failed(letter.id, AT, AT, "later")
                said("failed", letter.message_id)
            else:
                store.letter_sent(letter.id, AT)
                said("sent", letter.message_id)
            store.remember("home", "count", str(n))
            said("count", n)

chance = random.Random(4)
with Store(path) as store:
    store.letters("home")
newest = 0
for turn in range(kills):
    inlet, outlet = os.pipe()
    child = os.fork()
    if not child:
        os.close(inlet)
        try:
            write(turn, max(0, newest - 2), outlet)  # ask for the last names again
        finally:
            os._exit(1)
    os.close(outlet)
    heard = b""
    while b"true" not in heard:  # a new name is in; now let chance choose the moment
        piece = os.read(inlet, 65536)
        assert piece, heard
        heard += piece
    time.sleep(chance.uniform(0, 0.04))
    os.kill(child, signal.SIGKILL)
    while more := os.read(inlet, 65536):
        heard += more
    os.close(inlet)
    assert os.waitpid(child, 0)[1] == signal.SIGKILL
    lines = [line for line in heard.decode().splitlines(keepends=True) if line.endswith(chr(10))]
    for line in lines:
        print(line, end="")
        word = json.loads(line)
        if word[0] == "queued":
            newest = max(newest, word[1])
"""


def test_a_kill_in_the_middle_of_writing_loses_nothing_acknowledged(tmp_path: Path) -> None:
    """SIGKILL at chance moments: each name keeps the first Message-ID and whole bytes, what was
    marked stays marked, and the file is sound."""
    path = tmp_path / "state.db"
    ran = subprocess.run(
        [sys.executable, "-c", LOOP, str(path), str(KILLS)],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
    )
    heard = [json.loads(line) for line in ran.stdout.splitlines()]
    with Store(path) as store:
        letters = {(letter.on - date(2027, 1, 1)).days: letter for letter in store.letters("home")}
        marks = {letter.message_id: letter for letter in letters.values()}
        counted = int(store.recall("home", "count") or -1)
        with store.reading() as database:
            rows = database.execute("SELECT count(*) FROM letter").fetchone()[0]
            assert database.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert len(letters) == len(marks) == rows >= KILLS
    for word, *about in heard:
        if word == "queued":
            n, turn, new = about
            assert new == (letters[n].message_id == f"<{turn}.{n}@x>")
        elif word == "sent":
            assert marks[about[0]].state == "sent"
        elif word == "failed":
            assert marks[about[0]].tries >= 1
    assert counted >= max(n for word, n, *_ in heard if word == "count") - 3
    for letter in letters.values():
        assert letter.message == letter.message_id.encode() * 500
    assert sum(word == "queued" and not about[2] for word, *about in heard) >= KILLS // 2

"""Delivery into a Maildir, read back by the standard library's own reader."""

from __future__ import annotations

import errno
import mailbox
from pathlib import Path

import pytest

from advisor.post.maildir import deliver
from advisor.post.outcome import Kind

MAIL = b"From: a@example.org\r\nMessage-ID: <1.x@example.org>\r\nSubject: hi\r\n\r\n.body\r\n"


def test_mail_arrives_and_a_mail_reader_finds_it(tmp_path: Path) -> None:
    folder = tmp_path / "deep" / "mail"
    assert deliver(folder, MAIL).kind is Kind.DELIVERED
    box = mailbox.Maildir(folder, create=False)
    (message,) = list(box)
    assert message["Message-ID"] == "<1.x@example.org>"
    assert message.get_payload() == ".body\n"
    assert message.get_subdir() == "new"
    assert not list((folder / "tmp").iterdir())


def test_same_message_id_is_delivered_once(tmp_path: Path) -> None:
    deliver(tmp_path, MAIL)
    again = deliver(tmp_path, MAIL + b"other body")
    assert again.delivered
    assert "already" in again.sentence
    assert len(mailbox.Maildir(tmp_path)) == 1


def test_a_mail_that_was_read_is_found_too(tmp_path: Path) -> None:
    deliver(tmp_path, MAIL)
    box = mailbox.Maildir(tmp_path, create=False)
    ((key, message),) = list(box.items())
    message.set_subdir("cur")
    message.set_flags("RS")
    box[key] = message
    assert [path.name for path in (tmp_path / "new").iterdir()] == []
    assert deliver(tmp_path, MAIL).delivered
    assert len(mailbox.Maildir(tmp_path)) == 1


def test_other_message_ids_are_other_mails(tmp_path: Path) -> None:
    deliver(tmp_path, MAIL)
    deliver(tmp_path, MAIL.replace(b"<1.x", b"<2.x"))
    assert len(mailbox.Maildir(tmp_path)) == 2


def test_a_mail_without_a_message_id_goes_by_its_bytes(tmp_path: Path) -> None:
    bare = MAIL.replace(b"Message-ID: <1.x@example.org>\r\n", b"")
    deliver(tmp_path, bare)
    deliver(tmp_path, bare)
    deliver(tmp_path, bare + b"more\r\n")
    assert len(mailbox.Maildir(tmp_path)) == 2


def test_only_the_owner_may_read(tmp_path: Path) -> None:
    deliver(tmp_path / "mail", MAIL)
    (path,) = (tmp_path / "mail" / "new").iterdir()
    assert path.stat().st_mode & 0o777 == 0o600
    assert (tmp_path / "mail" / "new").stat().st_mode & 0o777 == 0o700


def test_a_file_in_the_way_is_permanent_and_named(tmp_path: Path) -> None:
    (tmp_path / "mail").write_text("")
    outcome = deliver(tmp_path / "mail", MAIL)
    assert outcome.kind is Kind.PERMANENT
    assert "The Maildir mail cannot be written" in outcome.sentence
    assert str(tmp_path) not in outcome.sentence


def test_a_full_disk_is_transient_and_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("advisor.post.maildir.os.fsync", full)
    outcome = deliver(tmp_path, MAIL)
    assert outcome.kind is Kind.TRANSIENT
    assert "No space left" in outcome.sentence
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []

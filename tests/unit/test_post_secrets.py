"""Where a password may come from, and how each fault is told without telling the password."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest

from advisor.post import secrets
from advisor.post.secrets import SecretError, read_password


def private(path: Path, content: bytes) -> Path:
    path.write_bytes(content)
    path.chmod(0o600)
    return path


def test_from_a_file_without_its_line_end(tmp_path: Path) -> None:
    assert read_password(file=private(tmp_path / "p", "pässwörd 1\n".encode())) == "pässwörd 1"


def test_from_a_credential_even_if_group_bits_show(tmp_path: Path) -> None:
    """systemd shows an access list as group bits, so those do not count there."""
    (tmp_path / "mail").write_text("word")
    (tmp_path / "mail").chmod(0o440)
    environ = {"CREDENTIALS_DIRECTORY": str(tmp_path)}
    assert read_password(credential="mail", environ=environ) == "word"


def test_from_a_variable() -> None:
    assert read_password(env="LAWN_MAIL", environ={"LAWN_MAIL": "word"}) == "word"


def test_from_a_command_without_a_shell() -> None:
    line = [sys.executable, "-c", "print('$HOME; word')"]
    assert read_password(command=line) == "$HOME; word"
    assert read_password(command="printf 'two words'") == "two words"


@pytest.mark.parametrize("mode", [0o640, 0o604, 0o660])
def test_a_file_that_others_may_read_is_refused(tmp_path: Path, mode: int) -> None:
    path = private(tmp_path / "p", b"hidden-word")
    path.chmod(mode)
    with pytest.raises(SecretError, match="chmod 600") as caught:
        read_password(file=path)
    assert "hidden-word" not in str(caught.value)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b"\n", "is empty"),
        (b"a\nb\n", "alone, on one line"),
        (b"a\x00b", "alone, on one line"),
        (b"\xff\xfe", "UTF-8"),
        (b"x" * 5000, "longer than"),
    ],
)
def test_what_is_no_password(tmp_path: Path, content: bytes, said: str) -> None:
    with pytest.raises(SecretError, match=said):
        read_password(file=private(tmp_path / "p", content))


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, "0 are named"),
        ({"env": "A", "file": "/b"}, "2 are named"),
        ({"file": "/nowhere/at-all"}, "password file at-all cannot be read: No such file"),
        ({"env": "A"}, "variable A is not set"),
        ({"credential": "../etc/passwd"}, "not a name of a credential"),
        ({"credential": "mail"}, "not run by a systemd unit"),
        ({"command": "false"}, "ended with 1"),
        ({"command": ["/nowhere/at-all"]}, "cannot be run"),
        ({"command": "echo 'open"}, "cannot be read"),
    ],
)
def test_faults_are_told(given: dict[str, Any], said: str) -> None:
    with pytest.raises(SecretError, match=said):
        read_password(**given, environ={})


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(SecretError, match="cannot be read"):
        read_password(file=tmp_path)


def test_a_command_that_never_ends_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(secrets, "COMMAND_SECONDS", 0.05)
    with pytest.raises(SecretError, match="gave no answer"):
        read_password(command="sleep 5")


def test_a_failing_command_shows_nothing_it_printed() -> None:
    line = [sys.executable, "-c", "print('hidden-word'); raise SystemExit(3)"]
    with pytest.raises(SecretError) as caught:
        read_password(command=line)
    assert "hidden-word" not in str(caught.value)


def test_a_key_of_our_own_is_made_once_and_for_this_user_alone(tmp_path: Path) -> None:
    path = tmp_path / "answers.key"
    key = secrets.own_key(path)
    assert len(key) == secrets.KEY_BYTES and secrets.own_key(path) == key
    assert path.stat().st_mode & 0o777 == 0o600
    assert [one.name for one in tmp_path.iterdir()] == ["answers.key"], "nothing is left over"
    path.unlink()
    assert secrets.own_key(path) != key


def test_all_that_make_a_key_at_the_same_time_have_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody else is quicker, between the look and the link."""
    path, there = tmp_path / "answers.key", bytes(range(32))
    link = secrets.os.link

    def slower(fresh: Path, target: Path) -> None:
        private(path, there)
        link(fresh, target)

    monkeypatch.setattr(secrets.os, "link", slower)
    assert secrets.own_key(path) == there


@pytest.mark.parametrize("content", [b"", b"x" * 31, b"x" * 33])
def test_a_damaged_key_signs_nothing(tmp_path: Path, content: bytes) -> None:
    with pytest.raises(SecretError, match="damaged"):
        secrets.own_key(private(tmp_path / "answers.key", content))


def test_a_key_that_others_may_read_or_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    path = private(tmp_path / "answers.key", bytes(32))
    path.chmod(0o640)
    with pytest.raises(SecretError, match="may be read by others"):
        secrets.own_key(path)
    with pytest.raises(SecretError, match="cannot be made"):
        secrets.own_key(tmp_path / "nowhere" / "answers.key")

"""The owner's folder and the state folder on disk: read whole, written whole or not at all."""

from __future__ import annotations

import errno
import resource
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.service.folders import (
    LARGEST,
    FolderError,
    append_line,
    make_state,
    read_files,
    read_folder,
    state_folder,
)
from advisor.shipped import shipped

DEMO = shipped("demo_site")
WORDS = st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1, max_size=20)


@contextmanager
def files_of_at_most(octets: int) -> Iterator[None]:
    """This process may write no file beyond that size, as on a disk that is full."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (octets, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@given(lines=st.lists(WORDS, max_size=6), ended=st.booleans(), added=st.lists(WORDS, max_size=6))
def test_lines_come_back_as_they_were_added(
    tmp_path_factory: pytest.TempPathFactory, lines: list[str], ended: bool, added: list[str]
) -> None:
    """Whatever stood there, and whether or not its last line was ended."""
    path = tmp_path_factory.mktemp("journal") / "journal.txt"
    before = "\n".join(lines) + ("\n" if ended and lines else "")
    path.write_text(before, encoding="utf-8")
    for line in added:
        append_line(path, line)
    text = path.read_text(encoding="utf-8")
    assert text.startswith(before)
    assert text.split("\n")[: len(lines) + len(added)] == [*lines, *added]
    if added:
        assert text.endswith("\n")


def test_many_that_append_at_once_lose_nothing(tmp_path: Path) -> None:
    """Eight threads, each with a file of its own: the lock is between open files."""
    path = tmp_path / "journal.txt"
    path.write_text("no end of line")

    def write(who: int) -> None:
        for n in range(25):
            append_line(path, f"{who} {n} " + "x" * 300)

    threads = [threading.Thread(target=write, args=(who,)) for who in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    lines = path.read_text().splitlines()
    assert lines[0] == "no end of line"
    assert sorted(lines[1:]) == sorted(f"{w} {n} " + "x" * 300 for w in range(8) for n in range(25))


def test_a_disk_that_fills_midway_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    """Half of the line fits: it is taken back, and the message says that nothing was added."""
    path = tmp_path / "journal.txt"
    path.write_text("2025-03-22  front  mowed at 3 in\n")
    before = path.read_bytes()
    with files_of_at_most(len(before) + 20), pytest.raises(FolderError) as told:
        append_line(path, "2025-03-29  all  watered 0.5 in, and it took all morning")
    assert str(told.value).endswith("File too large; nothing was added")
    assert isinstance(told.value.__cause__, OSError)
    assert told.value.__cause__.errno == errno.EFBIG
    assert path.read_bytes() == before


def test_a_file_with_a_strange_byte_is_read(tmp_path: Path) -> None:
    """Bytes that are no UTF-8 are a problem with a place, not an end."""
    (tmp_path / "site.toml").write_bytes((DEMO / "site.toml").read_bytes())
    (tmp_path / "journal.txt").write_bytes(
        b"journal from 2025-01-01\n2025-03-01 all se\xffen frost\n"
    )
    read = read_files(tmp_path, None, today=date(2025, 4, 1))
    assert read.site is not None
    assert [problem.line for problem in read.problems if problem.file == "journal.txt"] == [2]


def test_a_huge_file_is_refused(tmp_path: Path) -> None:
    """A wrong file is told from a journal by its size, before it is read."""
    (tmp_path / "site.toml").write_bytes(b"#" * (LARGEST + 1))
    with pytest.raises(FolderError, match="is larger than 2 MB; is it the right file"):
        read_files(tmp_path, None, today=None)


@pytest.mark.parametrize("name", ["journal.txt", "rules"])
def test_a_thing_of_the_wrong_kind_is_refused(tmp_path: Path, name: str) -> None:
    """A folder where a file should be, or the other way round, is not taken for nothing."""
    path = tmp_path / name
    if name == "rules":
        path.write_text("")
    else:
        path.mkdir()
    with pytest.raises(FolderError, match=f"{path} cannot be read: .*directory"):
        read_folder(tmp_path, None, today=None)


def test_answers_from_mail_belong_to_the_journal(tmp_path: Path) -> None:
    """Both files are read as one; only the state folder's `answers.txt` counts."""
    (tmp_path / "answers.txt").write_text("2025-03-30  front  seen frost\n")
    read = read_files(DEMO, tmp_path, today=date(2025, 4, 1))
    assert [e.text for e in read.journal.entries if e.file == "answers.txt"] == ["seen frost"]
    without = read_files(DEMO, None, today=date(2025, 4, 1))
    assert len(without.journal.entries) == len(read.journal.entries) - 1


def test_own_rules_are_read_beside_the_shipped_ones(tmp_path: Path) -> None:
    """Only files that end in .rules, by name; theirs are marked as the owner's."""
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "own.rules").write_text("setting barrier-soil = 52 F\n")
    (tmp_path / "rules" / "own.rules~").write_text("nonsense\n")
    book = read_folder(tmp_path, None, today=None).book
    assert book.settings["barrier-soil"].own
    assert not [problem for problem in book.problems if not problem.warning]


def test_lines_of_later_days_leave_no_trace(tmp_path: Path) -> None:
    """Looking back, what was written later is neither a fact nor a question."""
    (tmp_path / "journal.txt").write_text(
        "journal from 2025-01-01\n2025-03-30  front  seen frost\n2025-05-01  front  seen wilting\n"
        "2025-05-02  front  fed lots\n2025-03-31  front  fed a little\n"
    )
    (tmp_path / "site.toml").write_bytes((DEMO / "site.toml").read_bytes())
    read = read_folder(tmp_path, None, today=date(2025, 4, 1))
    assert any("still to come" in problem.what for problem in read.problems)
    back = read.without_future_lines()
    for problems in (back.problems, back.files.journal.problems):
        assert not any("still to come" in problem.what for problem in problems)
    assert [entry.text for entry in back.files.journal.entries] == ["seen frost"]
    assert back.files.journal.questions == ()
    assert [line.text for line in back.files.journal.unreadable] == ["fed a little"]
    assert [problem.line for problem in back.files.journal.problems if problem.line] == [5]


@pytest.mark.parametrize(
    ("given_words", "environment", "expected"),
    [
        ("/there", {"STATE_DIRECTORY": "/var/lib/x", "XDG_STATE_HOME": "/home/a"}, "/there/s"),
        (None, {"STATE_DIRECTORY": "/var/lib/x:/other", "XDG_STATE_HOME": "/h"}, "/var/lib/x/s"),
        (None, {"XDG_STATE_HOME": "/home/a"}, "/home/a/swardcast/s"),
    ],
)
def test_where_state_is_kept(
    given_words: str | None, environment: dict[str, str], expected: str
) -> None:
    """What is said goes before systemd's folder, and that before the user's (XDG base folders)."""
    assert state_folder("s", given_words, environment) == Path(expected)


def test_without_anything_said_state_is_in_the_home(monkeypatch: pytest.MonkeyPatch) -> None:
    """`~/.local/state`, as the XDG base directory specification has it."""
    monkeypatch.setenv("HOME", "/home/ada")
    assert state_folder("s", None, {}) == Path("/home/ada/.local/state/swardcast/s")


def test_a_state_that_is_there_keeps_its_rights(tmp_path: Path) -> None:
    """What the operator set is left as it is."""
    state = tmp_path / "state"
    state.mkdir()
    state.chmod(0o700)
    (state / "swardcast.sqlite3").touch()
    (state / "swardcast.sqlite3").chmod(0o600)
    assert make_state(state) == state / "swardcast.sqlite3"
    assert state.stat().st_mode & 0o777 == 0o700
    assert (state / "swardcast.sqlite3").stat().st_mode & 0o777 == 0o600


def test_a_state_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    """A file in the way: its name, why, and the word that helps."""
    (tmp_path / "file").touch()
    with pytest.raises(FolderError, match=r"file.* cannot be made: .*--state"):
        make_state(tmp_path / "file" / "site")

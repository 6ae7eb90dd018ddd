"""Last good copies of rule files on disk: kept whole or not at all, used while a file is broken."""

from __future__ import annotations

import fcntl
import os
import shutil
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from advisor.service.disk import STATE_FILE_MODE, STATE_MODE
from advisor.service.folders import FolderError, Read, read_folder, unread_rule_files
from advisor.service.last_good import COPIES, Good, keep
from advisor.shipped import shipped

GALE = b"holds gale for feed\n while wind more than 9 mph\n says x\n source y\n"
SQUALL = GALE.replace(b"gale", b"squall").replace(b"wind", b"gust")
BROKEN = GALE.replace(b"wind", b"wnid")
TODAY = date(2025, 4, 20)


class Home:
    """A site with rules of its own, and a state folder."""

    def __init__(self, folder: Path) -> None:
        self.site, self.state = folder / "site", folder / "state"
        self.rules, self.copies = self.site / "rules", self.state / COPIES
        self.rules.mkdir(parents=True)
        self.state.mkdir()
        shutil.copy(shipped("demo_site") / "site.toml", self.site)

    def write(self, name: str, text: bytes) -> None:
        (self.rules / name).write_bytes(text)

    def read(self) -> Read:
        return read_folder(self.site, self.state, today=TODAY)

    def turn(self) -> Read:
        """What the service does each time: read, and keep what is good."""
        read = self.read()
        assert keep(read.good, self.state) is None
        return read

    def kept(self) -> dict[str, bytes]:
        return {path.name: path.read_bytes() for path in self.copies.iterdir()}


@pytest.fixture
def home(tmp_path: Path) -> Home:
    return Home(tmp_path)


def test_good_files_are_kept_byte_for_byte(home: Home) -> None:
    """A byte order mark, foreign line ends and a byte that is no UTF-8 in a comment included."""
    odd = b"\xef\xbb\xbf" + GALE.replace(b"\n", b"\r\n") + b"# caf\xe9\r\n"
    home.write("a.rules", odd)
    home.write("b.rules", SQUALL)
    home.turn()
    assert home.kept() == {"a.rules": odd, "b.rules": SQUALL}


def test_copies_are_private(home: Home) -> None:
    """Others may not read them, whatever the umask lets through."""
    home.write("a.rules", GALE)
    old = os.umask(0)
    try:
        home.turn()
    finally:
        os.umask(old)
    assert home.copies.stat().st_mode & 0o777 == STATE_MODE
    assert (home.copies / "a.rules").stat().st_mode & 0o777 == STATE_FILE_MODE


def test_what_is_as_it_was_is_not_written_again(home: Home) -> None:
    """The copy's date is that of the day on which the text was first good."""
    home.write("a.rules", GALE)
    home.turn()
    before = (home.copies / "a.rules").stat()
    folder = home.copies.stat().st_mtime_ns
    home.turn()
    after = (home.copies / "a.rules").stat()
    assert (before.st_ino, before.st_mtime_ns) == (after.st_ino, after.st_mtime_ns)
    assert home.copies.stat().st_mtime_ns == folder


def test_reading_alone_writes_nothing(home: Home) -> None:
    home.write("a.rules", GALE)
    home.read()
    assert list(home.state.iterdir()) == []


def test_a_site_without_rules_of_its_own_gets_no_folder(home: Home) -> None:
    home.turn()
    assert list(home.state.iterdir()) == []


def test_a_broken_file_is_replaced_and_its_copy_stays(home: Home) -> None:
    """The day is that of the copy by the site's clock: 03:30 in Greenwich is the evening before
    in New York. The good file beside it goes on being kept."""
    home.write("a.rules", GALE)
    home.turn()
    moment = datetime(2025, 4, 13, 3, 30, tzinfo=UTC).timestamp()
    os.utime(home.copies / "a.rules", (moment, moment))
    home.write("a.rules", BROKEN)
    home.write("b.rules", SQUALL)
    book = home.turn().book
    assert not book.holds_everything
    assert not book.rules["gale"].broken
    (problem,) = book.problems
    assert (problem.file, problem.line) == ("rules/a.rules", 2)
    assert problem.hint.startswith("Until the file is mended, its copy of Sat Apr 12 is in force.")
    assert home.kept() == {"a.rules": GALE, "b.rules": SQUALL}


def test_a_copy_of_another_year_tells_its_year(home: Home) -> None:
    home.write("a.rules", GALE)
    home.turn()
    moment = datetime(2024, 7, 3, 12, tzinfo=UTC).timestamp()
    os.utime(home.copies / "a.rules", (moment, moment))
    home.write("a.rules", BROKEN)
    assert "its copy of Wed Jul 3 2024 is in force" in home.read().book.problems[0].hint


def test_mending_the_file_ends_it(home: Home) -> None:
    for text in (GALE, BROKEN, SQUALL):
        home.write("a.rules", text)
        read = home.turn()
    assert read.book.problems == ()
    assert "squall" in read.book.rules
    assert home.kept() == {"a.rules": SQUALL}


def test_the_copy_of_a_deleted_file_is_forgotten_once_all_is_well(home: Home) -> None:
    """Not before: the file that is broken may be the one that is being renamed."""
    home.write("a.rules", GALE)
    home.write("b.rules", SQUALL)
    home.turn()
    (home.rules / "a.rules").unlink()
    home.write("b.rules", BROKEN)
    assert "gale" not in home.turn().book.rules
    assert home.kept() == {"a.rules": GALE, "b.rules": SQUALL}
    home.write("b.rules", SQUALL)
    home.turn()
    assert home.kept() == {"b.rules": SQUALL}
    (home.rules / "b.rules").unlink()
    home.turn()
    assert home.kept() == {}


def test_a_file_renamed_and_broken_at_once_holds_everything(home: Home) -> None:
    home.write("a.rules", GALE)
    home.turn()
    (home.rules / "a.rules").unlink()
    home.write("z.rules", BROKEN)
    read = home.turn()
    assert read.book.holds_everything
    assert home.kept() == {"a.rules": GALE}


@pytest.mark.parametrize("how", ["folder", "link", "large"])
def test_a_file_that_cannot_be_read_is_replaced(home: Home, how: str) -> None:
    """It is there, so it is not deleted; and it is named."""
    path = home.rules / "a.rules"
    home.write("a.rules", GALE)
    home.turn()
    path.unlink()
    if how == "folder":
        path.mkdir()
    elif how == "link":
        path.symlink_to(home.site / "not-mounted" / "a.rules")
    else:
        path.write_bytes(b"#" * 2_000_001)
    read = home.turn()
    (problem,) = read.book.problems
    assert problem.file == "rules/a.rules"
    assert not problem.warning
    assert "gale" in read.book.rules
    assert home.kept() == {"a.rules": GALE}


def test_the_lock_of_an_editor_is_no_rule_file(home: Home) -> None:
    """`.#a.rules`, a link to nowhere, lies beside a file that is open in one."""
    home.write("a.rules", GALE)
    (home.rules / ".#a.rules").symlink_to("ada@home.1234:567")
    assert home.turn().book.problems == ()


def test_what_a_killed_program_left_half_written_is_no_copy(home: Home) -> None:
    """It has another name until it is whole; the next write goes over it."""
    home.write("a.rules", GALE)
    home.turn()
    (home.copies / ".unfinished").write_bytes(SQUALL[:20])
    home.write("a.rules", BROKEN)
    assert "gale" in home.read().book.rules
    home.write("a.rules", SQUALL)
    home.turn()
    assert home.kept() == {"a.rules": SQUALL}


def test_a_kill_before_the_rename_leaves_the_older_copy(
    home: Home, monkeypatch: pytest.MonkeyPatch
) -> None:
    home.write("a.rules", GALE)
    home.turn()

    def killed(_self: Path, _target: Path) -> None:
        raise KeyboardInterrupt

    home.write("a.rules", SQUALL)
    with monkeypatch.context() as patch, pytest.raises(KeyboardInterrupt):
        patch.setattr(Path, "replace", killed)
        keep(home.read().good, home.state)
    assert home.kept()["a.rules"] == GALE
    home.turn()
    assert home.kept() == {"a.rules": SQUALL}


def test_a_copy_is_on_the_disk_before_it_has_its_name(
    home: Home, monkeypatch: pytest.MonkeyPatch
) -> None:
    """File, then name, then folder: in this order a loss of power leaves the old copy or the
    new."""
    steps: list[str] = []
    sync, replace = os.fsync, Path.replace

    def synced(handle: int) -> None:
        steps.append("sync " + Path(f"/proc/self/fd/{handle}").readlink().name)
        sync(handle)

    def renamed(path: Path, target: Path) -> Path:
        steps.append("rename")
        return replace(path, target)

    monkeypatch.setattr(os, "fsync", synced)
    monkeypatch.setattr(Path, "replace", renamed)
    home.write("a.rules", GALE)
    home.turn()
    assert steps == ["sync .unfinished", "rename", f"sync {COPIES}"]


def test_a_copy_that_was_tampered_with_holds_everything(home: Home) -> None:
    home.write("a.rules", GALE)
    home.turn()
    (home.copies / "a.rules").write_bytes(b"\x00\xff" * 40)
    home.write("a.rules", BROKEN)
    book = home.turn().book
    assert book.holds_everything
    assert "the last good copies do not read well either" in book.problems[0].hint
    home.write("a.rules", GALE)
    home.turn()
    assert home.kept() == {"a.rules": GALE}


def test_a_copy_that_cannot_be_read_is_told(home: Home) -> None:
    home.write("a.rules", GALE)
    home.turn()
    (home.copies / "a.rules").unlink()
    (home.copies / "a.rules").mkdir()
    home.write("a.rules", BROKEN)
    mistake, told = home.read().book.problems
    assert "no good copy of rules/a.rules was kept" in mistake.hint
    assert told.warning
    assert told.what == "this last good copy cannot be read: Is a directory"


def test_another_program_at_the_same_work_is_not_waited_for(home: Home) -> None:
    home.write("a.rules", GALE)
    home.turn()
    home.write("a.rules", SQUALL)
    handle = os.open(home.copies, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        assert keep(home.read().good, home.state) is None
        assert home.kept() == {"a.rules": GALE}
    finally:
        os.close(handle)
    home.turn()
    assert home.kept() == {"a.rules": SQUALL}


def test_many_that_keep_at_once_leave_a_whole_copy(home: Home) -> None:
    """Each has read the folder at another moment; whoever looks meanwhile sees one text or the
    other, and never a part."""
    texts = [GALE, SQUALL + b"# " + b"x" * 50_000 + b"\n"]
    home.turn()
    seen: set[bytes] = set()

    def work(text: bytes) -> None:
        for _ in range(40):
            assert keep(Good({"a.rules": text}, whole=True), home.state) is None
            path = home.copies / "a.rules"
            if path.exists():
                seen.add(path.read_bytes())

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(work, texts * 2))
    assert seen
    assert seen <= set(texts)
    assert home.kept().keys() == {"a.rules"}


def test_a_copy_that_cannot_be_kept_is_told(home: Home) -> None:
    """Something else in its place; the reading itself is not touched by it."""
    home.copies.write_text("a file where a folder should be")
    problem = keep(Good({"a.rules": GALE}), home.state)
    assert problem is not None
    assert problem.warning
    assert problem.file == str(home.copies)
    assert problem.what == "the last good copies of your rules cannot be kept here: File exists"


def test_without_a_state_folder_there_are_no_copies(home: Home) -> None:
    home.write("a.rules", BROKEN)
    assert read_folder(home.site, None, today=TODAY).book.holds_everything


def test_what_is_told_once_leaves_mistakes_in_rules(home: Home) -> None:
    """A warning that was told is left out; a mistake stays for as long as it decides."""
    home.write("a.rules", b"off downpour\noff downpour\n" + BROKEN)
    read = home.read()
    assert [problem.warning for problem in read.book.problems] == [True, False]
    left = read.without(set(read.problems))
    assert [problem.warning for problem in left.problems] == [False]


def test_a_rules_folder_that_is_a_link_to_nowhere_is_no_empty_one(home: Home) -> None:
    """Its rules are not dropped in silence, and the copies stay."""
    home.write("a.rules", GALE)
    home.turn()
    shutil.rmtree(home.rules)
    home.rules.symlink_to("/nowhere")
    with pytest.raises(FolderError, match="a link that leads nowhere"):
        home.read()
    assert home.kept() == {"a.rules": GALE}


def test_a_rules_folder_that_is_gone_is_told_and_its_copies_stay(home: Home) -> None:
    home.write("a.rules", GALE)
    home.turn()
    shutil.rmtree(home.rules)
    read = home.turn()
    assert "gale" not in read.book.rules
    (told,) = read.book.problems
    assert told.warning
    assert "the folder of your own rules is gone" in told.what
    assert home.kept() == {"a.rules": GALE}
    home.rules.mkdir()
    home.write("b.rules", SQUALL)
    assert home.turn().book.problems == ()
    assert home.kept() == {"b.rules": SQUALL}


@pytest.mark.parametrize("nothing", [b"", b" \n\n"])
def test_a_file_with_nothing_in_it_that_held_rules_is_a_save_that_failed(
    home: Home, nothing: bytes
) -> None:
    home.write("a.rules", GALE)
    home.turn()
    home.write("a.rules", nothing)
    read = home.turn()
    assert "gale" in read.book.rules
    (told,) = read.book.problems
    assert "is empty, and held rules before" in told.what
    assert home.kept() == {"a.rules": GALE}
    home.write("a.rules", b"# nothing any more\n")
    assert home.turn().book.problems == ()


def test_an_empty_file_that_never_held_anything_is_none_to_mend(home: Home) -> None:
    home.write("a.rules", b"")
    assert home.turn().book.problems == ()


def test_a_pipe_is_no_file_and_nobody_waits_for_it(home: Home) -> None:
    os.mkfifo(home.rules / "a.rules")
    read = home.read()
    assert read.book.holds_everything
    assert "it is no file" in read.book.problems[0].what


def test_what_looks_like_rules_and_is_not_read_is_found(home: Home) -> None:
    for name in ("a.rules", "b.rules.txt", "c.RULES", ".d.swp", "e.rules~"):
        home.write(name, GALE)
    (home.rules / "more").mkdir()
    (home.site / "f.rules").write_bytes(GALE)
    assert unread_rule_files(home.site) == [
        "f.rules", "rules/b.rules.txt", "rules/c.RULES", "rules/more"
    ]  # fmt: skip

"""`swardcast log`: one line, checked, locked and synced; or nothing at all."""

from __future__ import annotations

import subprocess
import sys
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from command_line import (
    as_somebody_else,
    call,
    demo,
    on_a_service,
    open_ground,
    program,
    surroundings,
)

from advisor.cli.exits import Exit


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return demo(tmp_path)


def test_a_line_is_added_at_the_end(capsys: pytest.CaptureFixture[str], site: Path) -> None:
    """The line is shown as it was written; what stood there stays, byte for byte."""
    before = (site / "journal.txt").read_bytes()
    said = call(capsys, "log", site, "front", "applied", "5.4 lb", "of", "steady-green")
    assert (said.code, said.err) == (Exit.DONE, "")
    assert said.out == "2025-04-01  front   applied 5.4 lb of steady-green\n"
    assert (site / "journal.txt").read_bytes() == before + said.out.encode()
    assert call(capsys, "check", site).code == Exit.DONE


def test_as_a_program_too(site: Path) -> None:
    """The same through the program, for another day."""
    said = program("log", site, "all", "rain", "0.42", "in", "--on", "2025-03-30")
    assert (said.code, said.err) == (Exit.DONE, "")
    assert (site / "journal.txt").read_text().endswith("\n2025-03-30  all     rain 0.42 in\n")


def test_a_real_site_logs_for_today(capsys: pytest.CaptureFixture[str], site: Path) -> None:
    """Without the demo's own today the day is the site's."""
    on_a_service(site, "http://127.0.0.1:9")
    zone = ZoneInfo("America/New_York")
    days = {datetime.now(zone).date().isoformat()}
    said = call(capsys, "log", site, "front", "seen", "wilting")
    days.add(datetime.now(zone).date().isoformat())
    assert said.code == Exit.DONE
    assert said.out[:10] in days


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("front", "fed", "lots"), "a line cannot say “fed”"),
        (("fron", "mowed", "at", "3", "in"), "Did you mean “front”?"),
        (("front", "applied", "5", "lb", "of", "stedy-green"), "steady-green"),
        (("front", "applied", "5", "pounds", "of", "steady-green"), "pounds"),
        (("front", "mowed", "at", "3", "in", "--on", "2025-04-02"), "still to come"),
        (("front", "mowed", "at", "3", "in", "--on", "2025-03-22"), "the same line stands above"),
        (("front", "undo", "2025-03-22", "watered"), "no line of 2025-03-22 for front"),
        (("front", "seen\n2025-03-01", "all", "rain", "1", "in"), "expected"),
        (("front",), ""),
    ],
)
def test_a_bad_line_is_refused_and_nothing_is_written(
    capsys: pytest.CaptureFixture[str], site: Path, words: tuple[str, ...], told: str
) -> None:
    """What is wrong is told, with the place; the journal keeps its bytes and its time."""
    journal = site / "journal.txt"
    before = (journal.read_bytes(), journal.stat().st_mtime_ns)
    said = call(capsys, "log", site, *words)
    assert said.code == (Exit.PROBLEMS if told else Exit.WORDS)
    assert said.out == ""
    assert told in said.err
    assert "Traceback" not in said.err
    assert (journal.read_bytes(), journal.stat().st_mtime_ns) == before


def test_the_caret_stands_below_its_word(capsys: pytest.CaptureFixture[str], site: Path) -> None:
    """In the terminal the sign of the place is where the word is."""
    said = call(capsys, "log", site, "front", "fed", "lots")
    lines = said.err.splitlines()
    caret = next(n for n, line in enumerate(lines) if set(line.strip()) == {"^"})
    assert lines[caret].index("^") == lines[caret - 1].index("fed")
    assert lines[caret].count("^") == len("fed")


@pytest.mark.parametrize(
    "end", ["2025-03-31  all  rain 1 in", "# a remark", "2025-03-31  all  rai"]
)
def test_a_file_without_a_last_line_break_stays_sound(
    capsys: pytest.CaptureFixture[str], site: Path, end: str
) -> None:
    """The new line begins a line of its own."""
    journal = site / "journal.txt"
    journal.write_bytes(journal.read_bytes() + end.encode())
    before = journal.read_bytes()
    said = call(capsys, "log", site, "front", "seen", "wilting")
    assert said.code == Exit.DONE
    assert journal.read_bytes() == before + b"\n" + said.out.encode()


def test_a_site_without_a_journal_gets_one(capsys: pytest.CaptureFixture[str], site: Path) -> None:
    """The first line makes the file."""
    (site / "journal.txt").unlink()
    said = call(capsys, "log", site, "front", "seen", "wilting")
    assert said.code == Exit.DONE
    assert (site / "journal.txt").read_text() == said.out


def test_two_that_log_at_once_lose_nothing(site: Path) -> None:
    """Two programs, sixteen lines each, at the same time: all lines are there, whole."""
    code = (
        "import sys; from advisor.cli.main import main\n"
        "for n in range(25, 29):\n"
        "    for tenth in range(1, 5):\n"
        "        assert main(['log', sys.argv[1], sys.argv[2], 'watered', f'0.{tenth}', 'in',\n"
        "                     '--on', f'2025-03-{n}']) == 0\n"
    )
    before = (site / "journal.txt").read_text()
    running = [
        subprocess.Popen(
            [sys.executable, "-c", code, str(site), lawn],
            env=surroundings(),
            stdout=subprocess.DEVNULL,
        )
        for lawn in ("front", "back")
    ]
    assert [process.wait(60) for process in running] == [0, 0]
    after = (site / "journal.txt").read_text()
    assert after.startswith(before)
    added = after.removeprefix(before).splitlines()
    assert sorted(added) == sorted(
        f"2025-03-{n}  {lawn:<6}  watered 0.{tenth} in"
        for n in range(25, 29)
        for tenth in range(1, 5)
        for lawn in ("front", "back")
    )


def test_a_journal_that_may_only_be_read_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """One sentence that names the file and why; nothing is added."""
    with open_ground() as ground:
        site = demo(ground)
        journal = site / "journal.txt"
        call(capsys, "log", site, "front", "seen", "wilting")
        journal.chmod(0o444)
        before = journal.read_bytes()
        with as_somebody_else():
            said = call(capsys, "log", site, "front", "seen", "frost")
        assert said.code == Exit.LATER
        assert said.err == (f"{journal} cannot be written: Permission denied; nothing was added.\n")
        assert said.out == ""
        assert journal.read_bytes() == before

"""The command line itself: words, help, exit codes, pipes, and how little it loads."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest
from command_line import Said, call, demo, on_a_service, program, surroundings

from advisor.cli.exits import Exit

COMMANDS = (
    "init", "check", "digest", "explain", "facts", "log", "journal", "dose", "run", "turn",
    "status", "doctor",
)  # fmt: skip
SLOW = (
    "babel", "httpx", "icalendar", "imap_tools", "jinja2", "lark", "numpy", "pydantic", "resvg_py",
    "sqlite_utils",
)  # fmt: skip


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo(tmp_path_factory.mktemp("words"))


@pytest.fixture(scope="module")
def piped(site: Path) -> Said:
    """A look in a pipe, with the list of all that it loaded."""
    return program("digest", site, python=["-X", "importtime"], NO_COLOR="1")


def _loaded(said_err: str) -> set[str]:
    """The slow packages among what `-X importtime` lists."""
    names = {line.rpartition("|")[2].strip() for line in said_err.splitlines()}
    return names & set(SLOW)


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_its_help(capsys: pytest.CaptureFixture[str], command: str) -> None:
    """The help says what the command does and names its words."""
    said = call(capsys, command, "--help")
    assert said.code == Exit.DONE
    assert said.out.startswith(f"usage: swardcast {command}")
    flags = [line for line in said.out.splitlines() if line.startswith("  -")]
    assert all(len(line.split("  ")) > 2 or line.endswith("DIR") for line in flags)


def test_the_help_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    """`--help` lists the commands, each with a line of its own."""
    said = call(capsys, "--help")
    assert said.code == Exit.DONE
    listed = [line.split(maxsplit=1) for line in said.out.splitlines() if line.startswith("    ")]
    assert {words[0] for words in listed if len(words) == 2} >= set(COMMANDS)


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("mow",),
        ("digest",),
        ("digest", "site", "--on", "2025-02-30"),
        ("digest", "site", "--on", "soon"),
        ("digest", "site", "--loud"),
        ("explain", "site", "thirst", "downpour"),
        ("explain", "site", "--loud", "thirst"),
        ("facts", "site", "grass"),
        ("log", "site", "front"),
        ("init", "new"),
    ],
)
def test_wrong_words_end_with_2(capsys: pytest.CaptureFixture[str], words: tuple[str, ...]) -> None:
    """Words that the command line does not know are told on the error stream, with the usage."""
    said = call(capsys, *words)
    assert said.code == Exit.WORDS
    assert said.out == ""
    assert said.err.startswith("usage: swardcast")


def test_an_unknown_date_is_told_with_a_right_one(capsys: pytest.CaptureFixture[str]) -> None:
    """A date that the calendar does not have is named, and one is shown."""
    said = call(capsys, "digest", "site", "--on", "2025-02-30")
    assert "“2025-02-30” is no date; write it like 2025-04-01" in said.err


@pytest.mark.parametrize("command", ["check", "digest", "journal"])
def test_a_folder_that_is_not_there_ends_with_78(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str
) -> None:
    """One sentence, which names the way to a first site."""
    said = call(capsys, command, tmp_path / "nowhere")
    assert said.code == Exit.SITE
    assert said.out == ""
    assert "nowhere is no folder" in said.err
    assert "swardcast init DIR --demo`.\n" in said.err


def test_help_loads_nothing_slow() -> None:
    """`--help` is a matter of argparse alone."""
    said = program("--help", python=["-X", "importtime"])
    assert said.code == Exit.DONE
    assert _loaded(said.err) == set()


@pytest.mark.parametrize("words", [["facts"], ["facts", "--json"]])
def test_the_vocabulary_loads_nothing_slow(words: list[str]) -> None:
    """Without a site `facts` needs no arrays, no parser and no schema."""
    said = program(*words, python=["-X", "importtime"])
    assert said.code == Exit.DONE
    assert _loaded(said.err) == set()


def test_check_loads_no_network_database_or_templates(site: Path, tmp_path: Path) -> None:
    """`check` reads and tries rules: pydantic, the parser and, for the trials, arrays."""
    own = demo(tmp_path)
    on_a_service(own, "http://127.0.0.1:9")
    said = program("check", own, python=["-X", "importtime"])
    assert said.code == Exit.DONE
    assert _loaded(said.err) == {"lark", "numpy", "pydantic"}
    said = program("check", site, python=["-X", "importtime"])
    assert "jinja2" not in _loaded(said.err), "recorded weather takes the client, no templates"


def test_a_look_loads_no_templates(piped: Said) -> None:
    """Pages are made for mail and files; the terminal needs none."""
    assert piped.code == Exit.DONE
    assert "jinja2" not in _loaded(piped.err)


def test_a_reader_that_stops_reading_is_no_error(site: Path) -> None:
    """`swardcast digest | head -1` prints a line and complains of nothing."""
    shell = 'exec 3>&1; { "$0" -m advisor.cli.main digest "$1"; echo "code $?" >&3; } | head -c 1'
    done = subprocess.run(
        ["bash", "-c", shell, sys.executable, str(site)],
        capture_output=True,
        env=surroundings(),
        timeout=60,
        check=False,
    )
    assert done.stderr == b""
    assert b"code 0\n" in done.stdout


def test_a_reader_that_is_gone_is_no_error(site: Path) -> None:
    """Even when nobody reads from the start, there is no traceback and no complaint at the end."""
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(
        [sys.executable, "-m", "advisor.cli.main", "journal", str(site)],
        stdout=writer,
        stderr=subprocess.PIPE,
        env=surroundings(),
        timeout=60,
        check=False,
    )
    os.close(writer)
    assert (done.returncode, done.stderr) == (0, b"")


def test_an_encoding_that_lacks_signs_is_no_error(site: Path) -> None:
    """Where a sign cannot be shown another stands in its place."""
    said = program("journal", site, PYTHONIOENCODING="ascii")
    assert said.code == Exit.DONE
    assert "nitrogen: 0.00 lb/1000 ft?" in said.out
    assert said.err == ""


def test_no_escape_sequences_even_on_a_terminal(site: Path, piped: Said) -> None:
    """On a terminal, under NO_COLOR and in a pipe the words are the same."""
    assert piped.out
    assert "\x1b" not in piped.out
    front, back = pty.openpty()
    words = [sys.executable, "-m", "advisor.cli.main", "digest", str(site)]
    environment = {**surroundings(), "TERM": "xterm-256color"}
    seen = b""
    with subprocess.Popen(words, stdout=back, env=environment) as running:
        os.close(back)
        while True:
            try:
                part = os.read(front, 65536)
            except OSError:  # how Linux tells that the other end is closed
                break
            if not part:
                break
            seen += part
        assert running.wait(60) == 0
    os.close(front)
    assert seen.decode().replace("\r\n", "\n") == piped.out


def test_exit_codes_are_distinct_and_have_a_meaning() -> None:
    """What scripts rely on."""
    assert [int(code) for code in Exit] == [0, 1, 2, 69, 75, 78, 130]
    assert len({code.meaning for code in Exit}) == len(Exit)

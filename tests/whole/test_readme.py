"""The README tells the truth: its sample, its table of exit codes, its rule."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from command_line import demo

from advisor.cli.exits import Exit
from advisor.cli.main import main, parser
from advisor.rulebook.book import RuleFile
from advisor.rulebook.read import read_rulebook

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


FENCED = re.findall(r"^```(\w*)\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
"""Each block with the word behind its fence."""

CHANGES = [(text, FENCED[i + 1][1]) for i, (word, text) in enumerate(FENCED) if word == "rules"]
"""Rules to write down, and what `check` answers."""


def _blocks() -> list[str]:
    return [text for word, text in FENCED if not word]


def test_the_sample_is_what_the_demo_prints(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(ROOT)
    assert main(["digest", "demo_site", "--state", str(tmp_path)]) == 0
    printed = capsys.readouterr().out
    sample = _blocks()[0].rstrip("\n")
    assert len(sample.splitlines()) > 8
    assert printed.startswith(sample)


def _block(begins: str) -> str:
    (block,) = [block for block in _blocks() if block.startswith(begins)]
    return block


SESSIONS = [text for word, text in FENCED if word == "console"]
"""What a command prints: below it the answer, with `…` where lines are left out."""


@pytest.mark.parametrize("session", SESSIONS, ids=[text.split()[2] for text in SESSIONS])
def test_what_a_command_prints_is_what_it_shows(
    session: str,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("STATE_DIRECTORY", str(tmp_path))
    command, _, shown = session.partition("\n")
    words = shlex.split(command.removeprefix("$ swardcast "))
    assert main(words) == 0
    printed = capsys.readouterr().out
    pieces = re.split(r"^…\n", shown, flags=re.MULTILINE)
    assert printed.startswith(pieces[0])
    assert any(pieces)
    for piece in filter(None, pieces):
        _, found, printed = printed.partition(piece)
        assert found == piece


def test_the_explanation_is_the_demos(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(ROOT)
    assert main(["explain", "demo_site", "spring-barrier", "--state", str(tmp_path)]) == 0
    sample = _block("spring-barrier (window for weed barrier): open")
    assert len(sample.splitlines()) > 8
    assert sample in capsys.readouterr().out


def test_the_change_that_it_shows_is_what_the_demo_would_see(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    site = demo(tmp_path)
    (setting,) = re.findall(r"^With `(setting .+?)`", README, re.MULTILINE)
    (site / "rules").mkdir()
    (site / "rules" / "mine.rules").write_text(f"{setting}\n", encoding="utf-8")
    assert main(["explain", str(site), "--differs", "--state", str(tmp_path / "state")]) == 0
    assert _block("spring-barrier (window for weed barrier): uses") in capsys.readouterr().out


@pytest.mark.parametrize(("rules", "answer"), CHANGES, ids=[text.split()[1] for text, _ in CHANGES])
def test_check_answers_a_changed_rule_with_just_these_words(
    rules: str, answer: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    site = demo(tmp_path)
    (site / "rules").mkdir()
    (site / "rules" / "mine.rules").write_text(rules, encoding="utf-8")
    code = main(["check", str(site), "--state", str(tmp_path / "state")])
    said = capsys.readouterr()
    assert said.err + said.out == answer
    assert code == (Exit.PROBLEMS if said.err else Exit.DONE)


def test_the_changes_are_those_that_an_owner_would_try() -> None:
    """A number, a unit, a fact, a difference, a trial that fails and one that does not, a rule off
    and a name that is none."""
    assert len(CHANGES) == 8


def test_the_table_of_exit_codes_is_the_programs() -> None:
    rows = re.findall(r"^\| (\d+) \| (.+?) \|$", README, re.MULTILINE)
    assert [(int(code), meaning) for code, meaning in rows] == [
        (int(code), code.meaning) for code in Exit
    ]


def test_the_rule_in_it_can_be_read() -> None:
    (block,) = [block for block in _blocks() if "opens spring-barrier" in block]
    book = read_rulebook([RuleFile("README.md", block)])
    assert not book.problems
    assert list(book.rules) == ["spring-barrier"]


def test_every_command_it_shows_is_one_of_the_programs() -> None:
    shown = set(re.findall(r"swardcast ([a-z]+) ", README))
    known = set(parser()._subparsers._group_actions[0].choices)  # type: ignore[union-attr,arg-type]
    assert shown <= known
    assert shown >= {"init", "check", "digest", "explain", "facts", "log", "journal"}

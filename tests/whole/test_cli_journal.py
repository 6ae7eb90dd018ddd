"""`swardcast journal`: what was written, and what each lawn has had."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command_line import as_somebody_else, call, demo, open_ground

from advisor.cli.exits import Exit

POUND_PER_1000_FT2 = 453.59237 / 92.90304
"""g/m²: the pound and the foot by their definitions (NIST Handbook 44, appendix C)."""


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return demo(tmp_path)


def test_lines_stand_in_columns(capsys: pytest.CaptureFixture[str], site: Path) -> None:
    """Day, lawn and what was done, each below the other; nothing of later days."""
    said = call(capsys, "journal", site, "--on", "2025-04-03")
    assert said.code == Exit.DONE
    assert "2025-03-22  front   mowed at 3 in\n" in said.out
    assert "2025-04-03  back    applied 8.5 lb of barrier-granules\n" in said.out
    assert "2025-05-03" not in said.out + said.err
    assert said.err == ""


def test_sums_are_those_of_the_label(capsys: pytest.CaptureFixture[str], site: Path) -> None:
    """15.5 lb of 24-0-6 on 4200 ft2 are 15.5 x 0.24 / 4.2 lb of nitrogen per 1000 ft2."""
    said = call(capsys, "journal", site, "--on", "2025-05-04", "--json")
    lawns = {lawn["name"]: lawn["g_per_m2"] for lawn in json.loads(said.out)["lawns"]}
    expected = 15.5 * 0.24 / 4.2 * POUND_PER_1000_FT2
    assert lawns["front"]["nitrogen"]["least"] == pytest.approx(expected, abs=0.001)
    assert lawns["front"]["nitrogen"]["most"] == pytest.approx(expected, abs=0.001)
    assert lawns["back"]["nitrogen"] == {"least": 0, "most": 0}
    shown = call(capsys, "journal", site, "--on", "2025-05-04").out
    assert "nitrogen: 0.89 lb/1000 ft²" in shown


def test_json_has_every_entry_with_its_line(capsys: pytest.CaptureFixture[str], site: Path) -> None:
    """Entries name their line in the file; a line that cannot be read is listed."""
    with (site / "journal.txt").open("a", encoding="utf-8") as file:
        file.write("2025-03-30  front  fed lots\n")
    document = json.loads(call(capsys, "journal", site, "--json").out)
    lines = (site / "journal.txt").read_text().splitlines()
    for entry in document["entries"]:
        assert lines[entry["line"] - 1].split() == [
            entry["date"], entry["lawn"], *entry["text"].split(),
        ]  # fmt: skip
    assert len(document["unreadable"]) == 1
    assert "“fed”" in document["unreadable"][0]


def test_a_state_that_may_not_be_entered_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """Mail's answers may lie in there: without them the journal would not be whole."""
    with open_ground() as ground:
        site = demo(ground)
        state = ground / "state"
        assert call(capsys, "digest", site, "--send", "--state", state).code == Exit.DONE
        assert call(capsys, "journal", site, "--state", state).code == Exit.DONE
        state.chmod(0o700)
        with as_somebody_else():
            said = call(capsys, "journal", site, "--state", state)
            looked = call(capsys, "digest", site, "--state", state)
        for one in (said, looked):
            assert one.code == Exit.SITE
            assert one.err.endswith("answers.txt cannot be read: Permission denied.\n")


def test_who_may_only_read_the_state_can_look(capsys: pytest.CaptureFixture[str]) -> None:
    """The owner's commands read what the service keeps, and never need to write there."""
    with open_ground() as ground:
        site = demo(ground)
        state = ground / "state"
        words = ("--on", "2025-04-01", "--state", state)
        assert call(capsys, "digest", site, "--send", *words).code == Exit.DONE
        before = call(capsys, "digest", site, *words)
        for path in (state, *state.rglob("*")):
            path.chmod(0o755 if path.is_dir() else 0o644)
        with as_somebody_else():
            looked = call(capsys, "digest", site, *words)
            journal = call(capsys, "journal", site, "--on", "2025-04-02", "--state", state)
        assert looked == before
        assert journal.code == Exit.DONE
        assert "perhaps done" in journal.out

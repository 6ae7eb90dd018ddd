"""The digest's files: whole, readable, and nothing left behind."""

from __future__ import annotations

from pathlib import Path

import pytest
from sample_plan import sample_plan

from advisor.digest import files
from advisor.plan.model import Plan


def test_four_files_with_what_was_given(tmp_path: Path) -> None:
    folder = tmp_path / "out" / "week"
    paths = files.write_files(folder, sample_plan(), text="t é\n", html="<p>", mail=b"m\r\n")
    assert sorted(path.name for path in folder.iterdir()) == sorted(path.name for path in paths)
    assert (folder / "digest.txt").read_text("utf-8") == "t é\n"
    assert (folder / "digest.html").read_text("utf-8") == "<p>"
    assert (folder / "digest.eml").read_bytes() == b"m\r\n"


def test_a_calendar_only_where_there_is_one(tmp_path: Path) -> None:
    """An older digest's does not stay beside a digest that has none."""
    given = {"text": "", "html": ""}
    paths = files.write_files(tmp_path, sample_plan(), mail=b"", calendar=b"BEGIN:\r\n", **given)
    assert tmp_path / "digest.ics" in paths
    assert (tmp_path / "digest.ics").read_bytes() == b"BEGIN:\r\n"
    assert tmp_path / "digest.ics" not in files.write_files(
        tmp_path, sample_plan(), mail=b"", **given
    )
    assert not (tmp_path / "digest.ics").exists()


def test_plan_json_reads_back_as_the_plan(tmp_path: Path) -> None:
    files.write_files(tmp_path, sample_plan(), text="", html="", mail=b"")
    written = (tmp_path / "plan.json").read_text("utf-8")
    assert Plan.model_validate_json(written) == files.cleaned(sample_plan())
    assert '"from": "07:00"' in written


def test_failure_leaves_the_old_file_and_no_draft(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that fails at fsync: what was there stays whole."""
    files.write_files(tmp_path, sample_plan(), text="old\n", html="", mail=b"")

    def failing(_handle: int) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr("advisor.digest.files.os.fsync", failing)
    with pytest.raises(OSError, match="Input/output"):
        files.write_files(tmp_path, sample_plan(), text="new\n", html="", mail=b"")
    assert (tmp_path / "digest.txt").read_text() == "old\n"
    assert len(list(tmp_path.iterdir())) == 4

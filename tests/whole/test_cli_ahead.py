"""`swardcast ahead` as its owner calls it: on the demo, without past years, with a picture."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from command_line import call, demo

from advisor.cli.exits import Exit
from advisor.plan.ahead_model import Ahead
from advisor.store.errors import StoreError


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return demo(tmp_path)


@pytest.fixture
def state(tmp_path: Path) -> Path:
    return tmp_path / "state"


def test_the_demo_needs_nothing(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """No network and no state; both lawns, and what to buy."""
    said = call(capsys, "ahead", site, "--state", state)
    assert (said.code, said.err) == (Exit.DONE, "")
    assert "Front lawn (tall fescue)" in said.out and "Back lawn by the pond" in said.out
    assert "What to buy" in said.out
    assert not state.exists()


def test_json_is_the_document(capsys: pytest.CaptureFixture[str], site: Path, state: Path) -> None:
    said = call(
        capsys, "ahead", site, "--json", "--lawn", "front", "--on", "2025-06-10", "--state", state
    )
    ahead = Ahead.model_validate(json.loads(said.out))
    assert [lawn.name for lawn in ahead.lawns] == ["front"]
    assert ahead.on == date(2025, 6, 10) and ahead.years == 10
    likely = [window.opens.likely for window in ahead.lawns[0].windows]
    assert likely == sorted(likely) and likely


def test_out_writes_a_page_and_a_picture(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "pages"
    said = call(capsys, "ahead", site, "--out", folder, "--state", state)
    assert said.code == Exit.DONE
    assert said.out.split() == [str(folder / "ahead.html"), str(folder / "ahead.svg")]
    assert (folder / "ahead.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    assert (folder / "ahead.svg").read_text(encoding="utf-8").startswith("<svg")


def test_a_folder_that_cannot_be_is_said(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("")
    said = call(capsys, "ahead", site, "--out", tmp_path / "file" / "under", "--state", state)
    assert said.code == Exit.LATER and "cannot be written" in said.err


def test_without_past_years_it_says_how_they_come(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    (site / "recorded" / "past_years.json.gz").unlink()
    said = call(capsys, "ahead", site, "--state", state)
    assert said.code == Exit.NO_FORECAST
    assert said.out == "" and "past_years.json.gz" in said.err


def test_a_lawn_that_is_not_there_is_named_with_the_nearest(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    said = call(capsys, "ahead", site, "--lawn", "frnt", "--state", state)
    assert said.code == Exit.WORDS and "front" in said.err


def test_what_was_done_this_spring_is_next_years(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """The demo's journal puts a barrier down on 3 April and feeds on 3 May."""
    said = call(capsys, "ahead", site, "--json", "--on", "2025-05-20", "--state", state)
    front = Ahead.model_validate(json.loads(said.out)).lawns[0]
    barrier = next(window for window in front.windows if window.rule == "spring-barrier")
    assert barrier.opens.earliest.year == 2026 and barrier.last_done == date(2025, 4, 3)


def test_a_digest_has_it_once_a_day(
    capsys: pytest.CaptureFixture[str],
    site: Path,
    state: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The second digest of a day takes what the first has kept; a line in the journal ends that."""
    words = ("digest", site, "--json", "--on", "2025-04-01", "--state", state)
    state.mkdir()
    call(capsys, "digest", site, "--send", "--on", "2025-03-23", "--state", state)
    first = json.loads(call(capsys, *words).out)["next"]
    assert [one["task"] for one in first] == ["feed", "feed"]

    from advisor.service import coming

    made: list[object] = []
    monkeypatch.setattr(coming, "look_at_season", lambda *given: made.append(given))
    assert json.loads(call(capsys, *words).out)["next"] == first
    assert made == []
    with (site / "journal.txt").open("a") as journal:
        journal.write("2025-03-30  front  seen pale\n")
    assert json.loads(call(capsys, *words).out)["next"] == []
    assert len(made) == 1


def test_who_may_only_read_the_state_is_told_it_too(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What cannot be kept for the day is worked out for this one digest."""
    state.mkdir()
    call(capsys, "digest", site, "--send", "--on", "2025-03-23", "--state", state)

    def refused(*_: object) -> None:
        raise StoreError("The database is read-only for this user.")

    monkeypatch.setattr("advisor.cli.looking.may_only_read", lambda _: True)
    monkeypatch.setattr("advisor.store.database.Store.remember", refused)
    said = call(capsys, "digest", site, "--json", "--on", "2025-03-24", "--state", state)
    assert (said.code, said.err) == (Exit.DONE, "")
    assert [one["task"] for one in json.loads(said.out)["next"]]

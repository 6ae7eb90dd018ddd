"""`swardcast dose`: from the site's folder to what is weighed, and back through the journal."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command_line import call, change, demo, on_a_service, program, standing

from advisor.cli.exits import Exit


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return demo(tmp_path)


def test_the_dose_of_every_lawn(capsys: pytest.CaptureFixture[str], site: Path) -> None:
    """3.7 lb/1000 ft2 are 15.5 lb on 4200 ft2 and 10.5 on 2840, one bag of 40."""
    said = call(capsys, "dose", site, "steady-green")
    assert (said.code, said.err) == (Exit.DONE, "")
    assert "Weigh out    15.5 lb on 4,200 ft²" in said.out
    assert "Weigh out    10.5 lb on 2,840 ft²" in said.out
    assert "1 bag of 40 lb; 14.0 lb left over" in said.out


def test_it_needs_no_network_and_no_weather(site: Path) -> None:
    """A real site whose service is not there; nothing is written either."""
    on_a_service(site, "http://127.0.0.1:9")
    before = standing(site)
    said = program("dose", site, "steady-green", "--lawn", "back", "--on", "2025-05-01",
                   python=["-X", "importtime"])  # fmt: skip
    assert said.code == Exit.DONE
    assert "Back lawn by the pond" in said.out and "Front lawn" not in said.out
    loaded = {line.rpartition("|")[2].strip() for line in said.err.splitlines()}
    assert not {"httpx", "jinja2"} & loaded
    assert standing(site) == before


def test_as_json(capsys: pytest.CaptureFixture[str], site: Path) -> None:
    said = call(capsys, "dose", site, "steady-green", "--lawn", "front", "--json")
    sheet = json.loads(said.out)
    (lawn,) = sheet["lawns"]
    assert sheet["version"] == 1
    assert lawn["dose"]["amount_text"] == "15.5 lb"
    assert lawn["dose"]["bags"] == 1
    assert [one["text"] for one in lawn["passes"]] == ["7.75 lb", "7.75 lb"]
    assert lawn["year"][0]["after"] <= lawn["year"][0]["limit"]


def test_the_year_is_as_of_a_day(capsys: pytest.CaptureFixture[str], site: Path) -> None:
    """Spring's feeding counts in autumn, and the interval is told."""
    said = call(capsys, "dose", site, "steady-green", "--lawn", "front", "--on", "2025-09-20")
    assert "nitrogen: 1.77 lb/1000 ft² before it" in said.out
    assert "Not now      The label wants 42 days after the last feed, and it is 4 days." in said.out


def test_a_refusal_ends_with_1(capsys: pytest.CaptureFixture[str], site: Path) -> None:
    """Restricted use and a missing figure are told in words, and nothing is measured out."""
    change(site / "shelf.toml", "restricted_use = false", "restricted_use = true")
    said = call(capsys, "dose", site, "barrier-granules")
    assert said.code == Exit.PROBLEMS
    assert "licensed people only" in said.out
    assert "Weigh out" not in said.out
    change(site / "shelf.toml", "restricted_use = true\n", "")
    said = call(capsys, "dose", site, "barrier-granules")
    assert said.code == Exit.PROBLEMS
    assert "whether it is for licensed people only" in " ".join(said.out.split())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("steady-gren",), "No product on the shelf is called “steady-gren”. Did you mean"),
        (("steady-green", "--lawn", "frnt"), "No lawn is called “frnt”. Did you mean “front”?"),
        (("steady-green", "--task", "iron"), "steady-green does not serve “iron”, but feed."),
        (("steady-green", "--spreader", "blue"), "There is red-drum."),
        (("steady-green", "--rate", "3 F"), "--rate: 3 F is a"),
        (("steady-green", "--rate", "-3 lb/1000 ft2"), "--rate: "),
        (("steady-green", "--nitrogen", "much"), "--nitrogen: a number was expected"),
        (("steady-green", "--catch", "1.5 lb"), "write it like 1.5 lb on 100 ft2"),
        (("steady-green", "--catch", "1.5 lb on the drive"), "--catch: a number was expected"),
        (("barrier-granules", "--nitrogen", "1 lb/1000 ft2"), "has no nitrogen"),
    ],
)
def test_words_that_cannot_stand_end_with_2(
    capsys: pytest.CaptureFixture[str], site: Path, words: tuple[str, ...], told: str
) -> None:
    said = call(capsys, "dose", site, *words)
    assert said.code == Exit.WORDS
    assert told in said.err
    assert said.out == ""
    assert len(said.err.splitlines()) == 1


def test_rate_and_nitrogen_do_not_go_together(
    capsys: pytest.CaptureFixture[str], site: Path
) -> None:
    said = call(capsys, "dose", site, "steady-green", "--rate", "2 lb/1000 ft2", "--nitrogen",
                "0.5 lb/1000 ft2")  # fmt: skip
    assert said.code == Exit.WORDS


def test_a_catch_on_a_tarp(capsys: pytest.CaptureFixture[str], site: Path) -> None:
    """1.5 lb on 100 ft2 are 15 lb/1000 ft2, as a guide to calibration has it."""
    said = call(capsys, "dose", site, "steady-green", "--lawn", "front", "--catch",
                "1.5 lb on 100 ft2")  # fmt: skip
    assert said.code == Exit.DONE
    assert "The catch is 15.0 lb/1000 ft²" in said.out


def test_what_is_logged_mends_the_next_dose_and_undone_does_not(
    capsys: pytest.CaptureFixture[str], site: Path
) -> None:
    """The line that the sheet proposes is one that `log` takes; its undo takes its effect back."""

    def steps() -> str:
        return " ".join(call(capsys, "dose", site, "steady-green", "--lawn", "front").out.split())

    fresh = steps()
    words = "applied 14 lb of steady-green 24-0-6 with red-drum at 12, 1.75 lb left"
    said = call(capsys, "log", site, "front", *words.split(), "--on", "2025-01-20")
    assert (said.code, said.err) == (Exit.DONE, "")
    assert said.out == f"2025-01-20  front   {words}\n"
    mended = steps()
    assert "Red drum spreader at mark 12 put down 11 % too little the last time: open" in mended
    assert "Weigh out 15.5 lb" in mended
    undo = call(capsys, "log", site, "front", "undo", "2025-01-20", "applied", "14", "lb")
    assert undo.code == Exit.DONE
    assert steps() == fresh


def test_log_refuses_a_spreader_that_is_not_there(
    capsys: pytest.CaptureFixture[str], site: Path
) -> None:
    before = (site / "journal.txt").read_bytes()
    words = "applied 14 lb of steady-green with red-drom, 1 lb left"
    said = call(capsys, "log", site, "front", *words.split())
    assert said.code == Exit.PROBLEMS
    assert "no spreader or sprayer is called “red-drom”" in said.err
    assert (site / "journal.txt").read_bytes() == before


def test_perhaps_done_counts_in_the_dose(capsys: pytest.CaptureFixture[str], site: Path) -> None:
    """What a sent digest advised and nobody answered is off the year."""
    state = site.parent / "state"
    journal = (site / "journal.txt").read_text(encoding="utf-8")
    (site / "journal.txt").write_text(journal.partition("2025-05-03")[0], encoding="utf-8")
    sent = call(capsys, "digest", site, "--send", "--on", "2025-05-02", "--state", state)
    assert sent.code == Exit.DONE
    call_on = ("dose", site, "steady-green", "--lawn", "front", "--on", "2025-06-20")
    told = call(capsys, *call_on, "--state", state).out
    silent = call(capsys, *call_on).out
    assert "nitrogen: none before it" in silent
    assert "nitrogen: 0." in told and "nitrogen: none" not in told

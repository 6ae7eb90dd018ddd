"""`swardcast catchcan`: a test worked out, its lines for site.toml, words that cannot be used."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from command_line import call, demo

from advisor.cli.exits import Exit
from advisor.plan.zone_runs import zone_runs
from advisor.site.load import read_site

FIFTEEN = ["47", "42", "45", "24", "13", "26", "33", "34", "27", "30", "40", "44", "32", "12", "12"]
"""A published case: 49.62 % by its lowest four cans (NC State)."""

RAN = ("--minutes", "15", "--diameter", "3 in")


def test_without_a_site(capsys: pytest.CaptureFixture[str]) -> None:
    said = call(capsys, "catchcan", *RAN, *FIFTEEN)
    assert (said.code, said.err) == (Exit.DONE, "")
    assert "Low-quarter uniformity   50% (driest 4 cans)" in said.out
    assert "15/4 to the nearest whole number" in said.out


def test_one_can_is_no_cans(capsys: pytest.CaptureFixture[str]) -> None:
    said = call(capsys, "catchcan", *RAN, *FIFTEEN[:5])
    assert "(driest can)" in said.out and "was taken as 1 can, 5/4" in said.out
    assert " 1 cans" not in said.out


@pytest.mark.parametrize("units", ["us", "metric"])
def test_its_lines_are_read_back(capsys: pytest.CaptureFixture[str], units: str) -> None:
    """What is to be pasted is a right table, and holds what was measured."""
    said = call(capsys, "catchcan", *RAN, "--zone", "east", "--units", units, "--json", *FIFTEEN)
    found = json.loads(said.out)
    site = (
        'id = "x"\ntitle = "X"\nunits = "us"\n[place]\nlatitude = 40.0\nlongitude = -79.0\n'
        'elevation = "1 ft"\nzone = "America/New_York"\n[[lawn]]\nname = "front"\n'
        'grass = "tall-fescue"\narea = "4200 ft2"\nsoil = "loam"\n'
    )
    read = read_site({"site.toml": site + found["site_toml"], "shelf.toml": "", "journal.txt": ""})
    assert read.site is not None, read.problems
    (zone,) = read.site.zones
    assert zone.rate_mm_h == pytest.approx(found["rate_mm_h"], rel=5e-3)
    assert zone.uniformity == pytest.approx(found["uniformity"], abs=0.005)


def test_with_a_site_it_says_how_to_run_the_zone(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Clay loam takes 0.2 in/h and lets 0.26 in stand, so 0.5 in at twice 1.06 in/h is parted."""
    site = demo(tmp_path)
    said = call(
        capsys, "catchcan", site, "--lawn", "front", "--zone", "new", "--minutes", "7.5",
        "--diameter", "3in", "--wind", "2 mph", "--depth", "12 mm", *FIFTEEN,
    )  # fmt: skip
    assert said.code == Exit.DONE
    assert "on clay loam 3 runs of 6 minutes, 78 minutes apart." in said.out
    assert "wind" not in said.out
    assert 'lawn = "front"\nname = "new"' in said.out


def test_catches_from_a_file_and_from_what_is_piped(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Units, comments, and any way of setting the numbers apart."""
    text = "47, 42, 45 mL\n# the far corner\n24;13\n26\t33 34 27 30 40 44 32 0.012 L  12\n"
    (tmp_path / "cans.txt").write_text(text, encoding="utf-8")
    wanted = call(capsys, "catchcan", *RAN, *FIFTEEN).out
    assert call(capsys, "catchcan", *RAN, "--file", tmp_path / "cans.txt").out == wanted
    monkeypatch.setattr("sys.stdin", io.StringIO(text))
    assert call(capsys, "catchcan", *RAN, "--file", "-").out == wanted


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([*RAN], "no catches"),
        ([*RAN, "3", "4", "5"], "at least four cans"),
        ([*RAN, "0", "0", "0", "0"], "all cans are empty"),
        ([*RAN, "4", "4", "4", "fuor"], "a number was expected"),
        ([*RAN, "4", "4", "4", "4 in"], "here a volume is wanted"),
        ([*RAN, "4", "4", "4", "4,5"], "two ways"),
        ([*RAN, "4", "4", "4", "9999999"], "no sprinklers bring"),
        ([*RAN, "--wind", "3 in", *FIFTEEN], "--wind"),
        ([*RAN, "--zone", "East side", *FIFTEEN], "--zone east"),
        ([*RAN, "--file", "/nonexistent", "4"], "not in both"),
        ([*RAN, "--file", "/nonexistent"], "cannot be read"),
        (["--minutes", "0", "--diameter", "3in", *FIFTEEN], "--minutes"),
        (["--minutes", "15", "--diameter", "3 ft", *FIFTEEN], "no sprinklers bring"),
        (["--minutes", "15", "--diameter", "3 lb", *FIFTEEN], "a length is wanted"),
        (["--minutes", "15", "--area", "16 ft", *FIFTEEN], "16.5 in2"),
        (["--minutes", "15", *FIFTEEN], "--diameter"),
        ([*RAN, "--", "4", "4", "4", "-4"], "a catch must be 0 or more"),
    ],
)
def test_words_that_cannot_be_used(
    capsys: pytest.CaptureFixture[str], words: list[str], told: str
) -> None:
    said = call(capsys, "catchcan", *words)
    assert (said.code, said.out) == (Exit.WORDS, "")
    assert told in said.err


def test_of_several_lawns_one_is_named(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    site = demo(tmp_path)
    said = call(capsys, "catchcan", site, *RAN, *FIFTEEN)
    assert (said.code, said.out) == (Exit.WORDS, "")
    assert "name one with --lawn" in said.err
    said = call(capsys, "catchcan", site, "--lawn", "frnt", *RAN, *FIFTEEN)
    assert "front" in said.err


def test_area_and_diameter_agree(capsys: pytest.CaptureFixture[str]) -> None:
    """A can of 3 in across has 7.0686 square inches."""
    across = call(capsys, "catchcan", *RAN, *FIFTEEN).out
    area = call(capsys, "catchcan", "--minutes", "15", "--area", "7.0686 in2", *FIFTEEN).out
    assert across == area


def test_a_very_uneven_zone_runs_as_long_as_the_plan_will_let_it(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The minutes that a test tells are those that the plan makes of the zone it wrote."""
    site = str(demo(tmp_path))
    catches = [str(each) for each in (*range(60, 84), 1, 2, 1, 3, 2, 1, 2, 3)]
    words = ("--lawn", "back", "--zone", "pond", *RAN, "--depth", "0.5 in", "--json", *catches)
    told = json.loads(call(capsys, "catchcan", site, *words).out)
    assert told["uniformity"] < 0.4
    text = (tmp_path / "site" / "site.toml").read_text(encoding="utf-8")
    read = read_site({"site.toml": text, "shelf.toml": "", "journal.txt": ""}).site
    assert read is not None
    (zone,) = read.zones
    measured = zone.model_copy(
        update={"rate_mm_h": told["rate_mm_h"], "uniformity": told["uniformity"]}
    )
    (planned,) = zone_runs(read.model_copy(update={"zones": (measured,)}), read.lawn("back"), 12.7)
    assert told["minutes"] == round(planned.minutes, 2)
    assert told["runs"]["runs"] == planned.cycles.runs

"""`swardcast init --demo` and `swardcast check`: a site that works, and every mistake in one."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from command_line import (
    HERE,
    as_somebody_else,
    call,
    change,
    demo,
    free_port,
    on_a_service,
    open_ground,
    program,
    standing,
)
from demo_year import demo_site, morning

from advisor.cli.exits import Exit
from advisor.service.folders import make_state
from advisor.service.weather import refresh
from advisor.shipped import shipped
from advisor.store.database import Store


def test_the_demo_is_laid_down_and_works(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """From nothing to a first digest: init, check, digest."""
    site = tmp_path / "not" / "yet" / "there"
    said = call(capsys, "init", site, "--demo")
    assert (said.code, said.err) == (Exit.DONE, "")
    assert f"swardcast digest {site}" in said.out
    assert {path.name for path in site.iterdir()} == {
        "site.toml", "shelf.toml", "journal.txt", "recorded",
    }  # fmt: skip
    assert not list(site.rglob("*.py"))
    checked = call(capsys, "check", site)
    assert checked.code == Exit.DONE
    warned = [part for part in checked.err.split("\n\n") if part]
    assert all(part.startswith("facts: warning: ") for part in warned), "the files are sound"
    assert checked.out.startswith("Nothing to mend")
    state = tmp_path / "state"
    assert call(capsys, "digest", site, "--state", state).code == Exit.DONE
    assert call(capsys, "log", site, "front", "seen", "wilting").code == Exit.DONE


def test_the_demo_as_shipped_is_laid_down_byte_for_byte(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Weather and words are those of the program, and the copy can be written."""
    call(capsys, "init", tmp_path / "site", "--demo")
    for path in (tmp_path / "site").rglob("*"):
        assert path.stat().st_mode & 0o200
        if path.is_file():
            original = shipped("demo_site") / path.relative_to(tmp_path / "site")
            assert path.read_bytes() == original.read_bytes()


@pytest.mark.parametrize("what", ["folder", "empty folder", "file", "link to nowhere"])
def test_what_is_there_already_is_left_alone(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, what: str
) -> None:
    """Nothing is overwritten, and nothing is left beside it."""
    target = tmp_path / "mine" / "site"
    target.parent.mkdir()
    if what == "file":
        target.write_text("mine")
    elif what == "link to nowhere":
        target.symlink_to(tmp_path / "gone")
    else:
        target.mkdir()
        if what == "folder":
            (target / "site.toml").write_text("mine")
    before = {path: path.lstat().st_mtime_ns for path in tmp_path.rglob("*")}
    said = call(capsys, "init", target, "--demo")
    assert said.code == Exit.PROBLEMS
    assert said.out == ""
    assert str(target) in said.err
    after = {path: path.lstat().st_mtime_ns for path in tmp_path.rglob("*")}
    if what == "link to nowhere":  # the draft beside it was made, and taken away
        del before[target.parent], after[target.parent]
    assert after == before


def test_where_nothing_may_be_written_nothing_is_left(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """One sentence, and no half of a site."""
    with open_ground() as ground:
        call(capsys, "init", ground / "first", "--demo")
        with as_somebody_else():
            said = call(capsys, "init", ground / "second", "--demo")
            if said.code == Exit.DONE:
                pytest.skip("this user may write everywhere")
        assert said.code == Exit.PROBLEMS
        assert said.err == f"{ground / 'second'} cannot be written: Permission denied.\n"
        assert [path.name for path in ground.iterdir()] == ["first"]


def test_check_shows_every_problem_at_once_and_ends_with_1(tmp_path: Path) -> None:
    """Site, shelf, journal, own rules and own trials: one call names them all, with their lines."""
    site = demo(tmp_path)
    change(site / "site.toml", 'grass = "tall-fescue"', 'grass = "tall-fescu"')
    change(site / "shelf.toml", 'analysis = "24-0-6"', 'analysis = "24-0"')
    with (site / "journal.txt").open("a", encoding="utf-8") as file:
        file.write("2025-03-30  back  fed lots\n")
    (site / "rules").mkdir()
    (site / "rules" / "own.rules").write_text(
        "holds my-frost for feed\n"
        "  while   air_temp_low at most 1 C\n"
        "  says    It may freeze.\n"
        "  source  common practice, no source\n",
        encoding="utf-8",
    )
    said = program("check", site, "--state", tmp_path / "state")
    assert said.code == Exit.PROBLEMS
    for place in (r"site\.toml:\d+:\d+", r"shelf\.toml:\d+:\d+", r"journal\.txt:42:\d+",
                  r"rules/own\.rules:2:\d+"):  # fmt: skip
        assert re.search(f"^{place}: ", said.err, re.MULTILINE), place
    assert "Did you mean “tall-fescue”?" in said.err
    assert re.match(r"\d+ problems to mend; ", said.out)
    assert "Traceback" not in said.err


def test_an_own_trial_that_fails_is_a_problem(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The owner's trials are run as the shipped ones; file and line are the trial's."""
    site = demo(tmp_path)
    (site / "rules").mkdir()
    own = site / "rules" / "own.rules"
    own.write_text(
        "trial spring-barrier\n  take    daylight = shortening\n  answer  yes\n", encoding="utf-8"
    )
    said = call(capsys, "check", site)
    assert said.code == Exit.PROBLEMS
    assert "rules/own.rules:1:1: the trial of “spring-barrier” wants “yes”" in said.err
    assert said.out.startswith("1 problem to mend; ")
    change(own, "answer  yes", "answer  no")
    assert call(capsys, "check", site).code == Exit.DONE


def test_a_warning_alone_is_no_failure(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """A site without a shelf works: it is said, and the code is 0."""
    site = demo(tmp_path)
    (site / "shelf.toml").unlink()
    (site / "journal.txt").write_text("journal from 2025-01-01\n")
    said = call(capsys, "check", site)
    assert said.code == Exit.DONE
    assert "warning" in said.err
    assert "shelf.toml: warning: the file is missing" in said.err
    assert re.match(r"Nothing to mend, \d+ warnings?; ", said.out)


def test_what_the_owner_changes_is_listed(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A setting with the shipped value beside it, a rule, and one that is off; a line each."""
    site = demo(tmp_path)
    (site / "rules").mkdir()
    (site / "rules" / "mine.rules").write_text(
        "setting barrier-soil = 52 F\n"
        "off unfit-soil\n"
        "holds gale for feed\n  while   wind more than 9 mph\n  says    x\n  source  y\n",
        encoding="utf-8",
    )
    said = call(capsys, "check", site)
    assert said.code == Exit.DONE
    first, *changes = said.out.splitlines()
    assert first.startswith("Nothing to mend")
    assert changes == [
        "  rules/mine.rules: setting barrier-soil is 52 F, shipped 50 F",
        "  rules/mine.rules: rule unfit-soil is switched off",
        "  rules/mine.rules: rule gale is yours",
    ]


def test_a_rule_that_leans_on_what_the_site_lacks_is_named(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Nobody mowed the back lawn in the demo's journal. It is no mistake, and nothing is kept."""
    site = demo(tmp_path)
    (site / "rules").mkdir()
    (site / "rules" / "mine.rules").write_text(
        "opens tall for iron\n  while   grass_height more than 3 in\n  says    x\n  source  y\n",
        encoding="utf-8",
    )
    said = call(capsys, "check", site, "--state", tmp_path / "state")
    assert said.code == Exit.DONE
    assert (
        "facts: warning: grass_height is not known here on any day (lawn: back)\n"
        "  Windows that stay shut: tall.\n"
    ) in said.err
    assert not (tmp_path / "state").exists()


def test_stored_weather_is_looked_at_and_nobody_is_asked(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Before a real site has any, one line says so; the address is one at which nobody answers."""
    site = demo(tmp_path)
    state = tmp_path / "state"
    day = date(2025, 4, 1)
    with Store(make_state(state / "tansy-hollow")) as store:
        assert refresh(demo_site(), site, store, morning(day), {}) == ""
    journal = site / "journal.txt"
    lines = [line for line in journal.read_text().splitlines() if "tested lime" not in line]
    journal.write_text("\n".join(lines) + "\n")
    on_a_service(site, f"http://{HERE}:{free_port()}")
    none = call(capsys, "check", site)
    assert none.code == Exit.DONE
    assert none.out.splitlines()[-1] == (
        "  There is no weather yet to tell which facts this site has for its rules."
    )
    assert "facts:" not in none.err
    said = call(capsys, "check", site, "--state", state)
    assert "There is no weather yet" not in said.out
    assert "facts: warning: lime_test is not known here on any day" in said.err


def test_check_writes_nothing(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Neither into the site nor into a state folder, which is not even made."""
    site = demo(tmp_path)
    before = standing(site)
    call(capsys, "check", site, "--state", tmp_path / "state")
    assert standing(site) == before
    assert not (tmp_path / "state").exists()


def test_files_that_may_not_be_read_end_with_78(capsys: pytest.CaptureFixture[str]) -> None:
    """A file that is there and closed is never taken for one that is not: nothing is assumed."""
    with open_ground() as ground:
        site = demo(ground)
        (site / "rules").mkdir()
        assert call(capsys, "digest", site).code == Exit.DONE
        for closed in ("rules", "journal.txt", "shelf.toml", "site.toml"):
            (site / closed).chmod(0)
            with as_somebody_else():
                said = call(capsys, "digest", site)
            (site / closed).chmod(0o755)
            assert said.code == Exit.SITE, closed
            assert said.err == f"{site / closed} cannot be read: Permission denied.\n"

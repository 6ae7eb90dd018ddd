"""`swardcast explain`: what the rules say of the demo on a day, and what an owner's own change."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command_line import Said, call, change, demo, free_port, on_a_service, program, standing

from advisor.cli.exits import Exit
from advisor.digest.words import columns
from advisor.plan.asked_model import Asked, Says
from advisor.plan.differing import Differs
from advisor.plan.model import Plan, Verdict


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return demo(tmp_path)


@pytest.fixture
def state(tmp_path: Path) -> Path:
    return tmp_path / "state"


@pytest.fixture(scope="module")
def spring(tmp_path_factory: pytest.TempPathFactory) -> Said:
    """All that is said of the demo on its own first of April, in a pipe."""
    return program("explain", demo(tmp_path_factory.mktemp("explain")))


def own(site: Path, text: str) -> None:
    """Rules of the owner's."""
    (site / "rules").mkdir()
    (site / "rules" / "mine.rules").write_text(text, encoding="utf-8")


def test_a_stranger_reads_what_is_open_and_why(spring: Said) -> None:
    assert (spring.code, spring.err) == (Exit.DONE, "")
    assert spring.out.startswith("Tansy Hollow, Tue Apr 1: what the rules say")
    assert "\nFront lawn, tall fescue (cool-season)\n=====" in spring.out
    assert "\nspring-barrier (window for weed barrier): open\n" in spring.out
    assert "\n  Memory: opened on " in spring.out
    assert max(columns(line) for line in spring.out.splitlines()) <= 80


def test_both_lawns_are_told_in_their_order(spring: Said) -> None:
    heads = [line for line in spring.out.splitlines() if line.endswith("-season)")]
    assert heads == [
        "Front lawn, tall fescue (cool-season)",
        "Back lawn by the pond, bermudagrass (warm-season)",
    ]


@pytest.mark.parametrize("day", ["2025-03-20", "2025-07-15", "2025-12-01"])
def test_what_it_says_is_what_the_digest_decides_by(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, day: str
) -> None:
    """A rule that the digest acts on today is open, a window that it waits for is not."""
    said = call(capsys, "explain", site, "--state", state, "--on", day, "--json")
    asked = Asked.model_validate_json(said.out)
    decided = call(capsys, "digest", site, "--state", state, "--on", day, "--json")
    plan = Plan.model_validate_json(decided.out)
    for lawn, told in zip(plan.lawns, asked.lawns, strict=True):
        rules = {rule.name: rule for rule in told.rules}
        for action in lawn.actions:
            rule = rules.get(action.rule)
            if action.verdict is not Verdict.WAIT and action.day == plan.on:
                assert rule is not None
                assert rule.says in (Says.OPEN, Says.ASKS)
            elif action.verdict is Verdict.WAIT and rule is not None and rule.kind != "holds":
                assert rule.says not in (Says.OPEN, Says.ASKS)


def test_one_rule_of_one_lawn(capsys: pytest.CaptureFixture[str], site: Path, state: Path) -> None:
    """Also where the rule is named behind an option."""
    words = ("--lawn", "back", "--on", "2025-07-15", "--state", state)
    said = call(capsys, "explain", site, "thirst", *words)
    assert said.code == Exit.DONE
    assert "thirst (asks for water)" in said.out
    assert "Front lawn" not in said.out
    assert "Source: FAO-56" in said.out
    assert call(capsys, "explain", site, *words, "thirst") == said


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("thurst",), "No rule is called “thurst”. Did you mean “thirst”?\n"),
        (("quux",), "No rule is called “quux”. `swardcast explain SITE` names them all.\n"),
        (("--lawn", "frond"), "No lawn is called “frond”. Did you mean “front”?\n"),
        (("--lawn", "quux"), "No lawn is called “quux”. There is front, back.\n"),
        (("unfit-soil",), "“unfit-soil” is switched off in your own rules.\n"),
    ],
)
def test_a_name_that_is_not_there_is_told_with_the_nearest(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, words: tuple[str, ...], told: str
) -> None:
    own(site, "off unfit-soil\n")
    said = call(capsys, "explain", site, *words, "--state", state)
    assert (said.code, said.out, said.err) == (Exit.WORDS, "", told)


def test_a_look_leaves_nothing_behind(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    before = standing(site)
    for words in (("explain", site), ("explain", site, "--differs"), ("facts", site)):
        assert call(capsys, *words, "--state", state).code == Exit.DONE
    assert standing(site) == before
    assert not state.exists()


def test_a_number_that_is_changed_shows_before_the_next_digest(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """The window opens when five days' soil has reached the owner's 54 F, not 50 F: later."""
    own(site, "setting barrier-soil = 54 F\n")
    said = call(capsys, "explain", site, "spring-barrier", "--differs", "--state", state)
    assert said.code == Exit.DONE
    assert "  setting barrier-soil = 54 F, shipped 50 F\n" in said.out
    assert "With your files “spring-barrier” opens 3 days later: Mar 17 to Apr 12;" in said.out
    assert max(columns(line) for line in said.out.splitlines()) <= 80


def test_the_same_as_a_document(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    own(site, "off downpour\n")
    said = call(capsys, "explain", site, "downpour", "--differs", "--json", "--state", state)
    assert json.loads(said.out)["version"] == 1
    found = Differs.model_validate_json(said.out)
    assert {rule.name for lawn in found.lawns for rule in lawn.rules} == {"downpour"}
    assert all(rule.own is None for lawn in found.lawns for rule in lawn.rules)


def test_without_own_rules_nothing_differs(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    said = call(capsys, "explain", site, "--differs", "--state", state)
    assert said.out.endswith("Nothing: the rules in force are the shipped ones.\n")


def test_what_an_owner_wrote_reaches_the_terminal_clean(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    own(
        site,
        "notes loud for feed\n  while   daylight is lengthening\n"
        "  says    \x1b[31mRed\x07 \u202ealert.\n  source  judgement\n",
    )
    for words in ((), ("--json",)):
        said = call(capsys, "explain", site, "loud", *words, "--state", state)
        assert "Red alert." in said.out
        assert not {"\x1b", "\x07", "\u202e"} & set(said.out)


def test_without_a_forecast_it_says_so(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """Nothing answers at the service's address, and nothing is stored."""
    on_a_service(site, f"http://127.0.0.1:{free_port()}")
    said = call(capsys, "explain", site, "--state", state)
    assert said.code == Exit.NO_FORECAST
    assert said.out.endswith("There is no forecast: none could be fetched yet.\n")
    assert said.err.startswith("The newest forecast could not be had: ")


def test_a_site_that_cannot_be_read_ends_with_78(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    change(site / "site.toml", "latitude = 36.55", "latitude = 136.55")
    for command in ("explain", "facts"):
        said = call(capsys, command, site, "--state", state)
        assert (said.code, said.out) == (Exit.SITE, "")
        assert "cannot be used until this is mended" in said.err

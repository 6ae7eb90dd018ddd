"""Which texts of an owner's rule files are in force, given the texts and their last good copies."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.rulebook.book import RuleFile
from advisor.rulebook.changes import changes
from advisor.rulebook.layers import Copy, Layers, OwnFile, layered
from advisor.rulebook.read import read_rulebook

SHIPPED = [
    RuleFile(
        "shipped.rules",
        """\
setting much = 1 in
setting cooler = 5 F apart

holds downpour for feed, iron
  while rain more than $much
  says  Rain.
  source common practice, no source

notes cut for mowing
  while growth more than 0.2
  and   air_max minus air_min more than $cooler
  says  Mow.
  source common practice, no source
""",
    )
]

GALE = "holds gale for feed\n while wind more than 9 mph\n says x\n source y\n"
BROKEN = GALE.replace("wind", "wnid")
GUST = GALE.replace("gale", "squall").replace("wind", "gust")


def nothing() -> Mapping[str, Copy]:
    return {}


def never() -> Mapping[str, Copy]:
    raise AssertionError("copies are for broken files")


def read(texts: dict[str, str | None], copies: dict[str, str]) -> Layers:
    own = [
        OwnFile(name, text, "" if text is not None else "cannot be read: No such device")
        for name, text in texts.items()
    ]
    kept = {name: Copy(text, "Sat Apr 12") for name, text in copies.items()}
    return layered(SHIPPED, own, lambda: kept)


def test_files_that_read_well_are_in_force_and_no_copy_is_looked_at() -> None:
    found = layered(SHIPPED, [OwnFile("a", GALE)], never)
    assert found == Layers(
        read_rulebook(SHIPPED, own=[RuleFile("a", GALE)]), frozenset(), sound=True
    )


def test_a_broken_file_is_replaced_by_its_copy() -> None:
    found = read({"a": BROKEN, "b": GUST}, {"a": GALE, "b": "nonsense"})
    assert found.replaced == {"a"}
    assert found.sound
    assert not found.book.holds_everything
    assert not found.book.rules["gale"].broken
    assert found.book.rules["squall"].file == "b"


def test_the_mistake_is_told_with_its_line_and_the_copy_s_day_once() -> None:
    """Of two mistakes in a file the first tells what is in force."""
    (first, second) = read(
        {"a": BROKEN + BROKEN.replace("gale", "storm")}, {"a": GALE}
    ).book.problems
    assert (first.file, first.line, first.warning) == ("a", 2, False)
    end = "Until the file is mended, its copy of Sat Apr 12 is in force."
    assert first.hint == f"{end}\n{second.hint}"
    assert second.line == 6
    assert "Did you mean “wind”?" in second.hint.splitlines()


def test_without_a_copy_everything_is_held() -> None:
    found = read({"a": BROKEN}, {})
    assert found.book.holds_everything
    assert not found.sound
    assert found.book.problems[0].hint.startswith(
        "Until this is mended, everything that is put down is held: no good copy of a was kept."
    )


def test_a_file_that_never_read_well_is_not_made_up_for_by_copies_of_others() -> None:
    """Whatever it meant to hold stands in no copy."""
    assert read({"a": GALE, "b": BROKEN}, {"a": GALE}).book.holds_everything
    assert read({"a": BROKEN, "b": BROKEN}, {"a": GALE}).book.holds_everything


def test_a_file_that_cannot_be_opened_is_a_mistake_of_the_file_as_a_whole() -> None:
    (problem,) = read({"a": None}, {"a": GALE}).book.problems
    assert (problem.file, problem.line, problem.column) == ("a", 0, 0)
    assert problem.what == "the file cannot be read: No such device"
    assert "its copy of Sat Apr 12" in problem.hint
    assert read({"a": None}, {}).book.holds_everything


def test_a_file_that_is_too_large_is_replaced_too() -> None:
    found = read({"a": "#" * 200_001}, {"a": GALE})
    assert found.replaced == {"a"}
    assert list(found.book.rules) == ["downpour", "cut", "gale"]


def test_a_rule_that_leans_on_a_setting_of_a_closed_file_is_no_mistake() -> None:
    """The copy of the closed file stands in before the others are read."""
    leaning = "notes n for x\n while rain more than $drizzle\n says x\n source y\n"
    found = read({"a": None, "b": leaning}, {"a": "setting drizzle = 0.1 in"})
    assert [problem.file for problem in found.book.problems] == ["a"]
    assert found.replaced == {"a"}


def test_a_file_that_does_not_go_with_the_other_s_copy_is_replaced_as_well() -> None:
    """A setting moved from the file that is broken now to another: with the old copy beside it,
    it would be there twice. So both are as they last read well."""
    found = read(
        {"a": "setting drizle == 0.1 in", "b": "setting drizzle = 0.1 in"},
        {"a": "setting drizzle = 0.2 in", "b": "setting other = 3 F"},
    )
    assert found.replaced == {"a", "b"}
    assert str(found.book.settings["drizzle"].written) == "0.2 in"
    (problem,) = found.book.problems
    assert problem.file == "a"
    assert problem.hint.startswith(
        "Until this is mended, the last good copies of all your rule files are in force:"
        " a of Sat Apr 12, b of Sat Apr 12."
    )


def test_a_new_file_that_does_not_go_with_an_old_copy_holds_everything() -> None:
    """It reads well by itself, and may hold something, so it is not left out."""
    found = read(
        {"a": "setting drizle == 0.1 in", "b": "setting drizzle = 0.1 in"},
        {"a": "setting drizzle = 0.2 in"},
    )
    assert found.book.holds_everything
    assert "a second setting “drizzle”" in found.book.problems[0].hint


def test_copies_that_do_not_read_well_hold_everything_and_say_why() -> None:
    """Tampered with, or from before an upgrade that took a rule away."""
    found = read({"a": BROKEN}, {"a": "off thirst-of-old"})
    assert found.book.holds_everything
    assert found.book.problems[0].hint.startswith(
        "Until this is mended, everything that is put down is held: the last good copies do not"
        " read well either (last good copy of a, line 1: no shipped"
        " rule is called “thirst-of-old”)."
    )


def test_a_copy_of_a_file_that_is_gone_is_not_used() -> None:
    found = read({"b": BROKEN}, {"a": GUST, "b": GALE})
    assert "squall" not in found.book.rules
    assert "gale" in found.book.rules


def test_a_broken_shipped_file_has_no_copy() -> None:
    found = layered([RuleFile("s", BROKEN)], [OwnFile("a", GUST)], nothing)
    assert found.book.holds_everything
    assert [problem.file for problem in found.book.problems] == ["s"]


TEXTS = st.sampled_from([GALE, GUST, BROKEN, "off downpour", "off dawnpour", "setting much = 2 in",
                         "setting much = 2 F", "setting few = 1 mm", "hodls x", ""])  # fmt: skip
NAMES = st.sampled_from(["a", "b", "c"])


@given(
    texts=st.dictionaries(NAMES, st.none() | TEXTS, max_size=3),
    copies=st.dictionaries(NAMES, TEXTS, max_size=3),
)
def test_what_is_in_force_reads_well_or_everything_is_held(
    texts: dict[str, str | None], copies: dict[str, str]
) -> None:
    """Whatever stands in files and copies. No mistake is lost, and none is made up."""
    found = read(texts, copies)
    mistakes = [p for p in found.book.problems if not p.warning]
    assert found.sound is not found.book.holds_everything
    assert bool(mistakes) is (bool(found.replaced) or found.book.holds_everything)
    assert found.replaced <= texts.keys() & copies.keys()
    used = [
        RuleFile(name, copies[name] if name in found.replaced else text or "")
        for name, text in texts.items()
    ]
    again = read_rulebook(SHIPPED, own=used)
    if found.sound:
        assert not [p for p in again.problems if not p.warning]
        assert list(found.book.rules) == list(again.rules)
    standing = [RuleFile(name, text) for name, text in texts.items() if text is not None]
    for problem in read_rulebook(SHIPPED, own=standing).problems:
        if not any(text is None for text in texts.values()):
            assert problem in [replace(p, hint=problem.hint) for p in found.book.problems]


# What is told of an owner's changes


@pytest.mark.parametrize(
    ("own", "said"),
    [
        ("setting much = 2 in", "setting much is 2 in, shipped 1 in"),
        ("setting cooler = 4 C apart", "setting cooler is 4 C apart, shipped 5 F apart"),
        ("setting mine = 3 F", "setting mine is 3 F, of yours"),
        ("off downpour  # no need", "rule downpour is switched off"),
        (GALE, "rule gale is yours"),
        (GALE.replace("gale", "cut"), "rule cut is yours, in place of the shipped one"),
        (
            GALE.replace("gale", "downpour"),
            "rule downpour is yours, in place of the shipped one, and no longer holds iron",
        ),
    ],
)
def test_each_change_is_told(own: str, said: str) -> None:
    book = read_rulebook(SHIPPED, own=[RuleFile("rules/mine.rules", own)])
    assert changes(book, read_rulebook(SHIPPED)) == (f"rules/mine.rules: {said}",)


def test_changes_stand_in_the_order_of_files_and_lines() -> None:
    own = [RuleFile("b", "off cut\nsetting much = 2 in"), RuleFile("a", "\n" + GALE)]
    found = changes(read_rulebook(SHIPPED, own=own), read_rulebook(SHIPPED))
    assert [line.split(" is ")[0] for line in found] == [
        "a: rule gale",
        "b: rule cut",
        "b: setting much",
    ]


def test_a_value_that_is_refused_is_no_change() -> None:
    book = read_rulebook(SHIPPED, own=[RuleFile("a", "setting much = 2 F")])
    assert changes(book, read_rulebook(SHIPPED)) == ()


@pytest.mark.parametrize(
    ("own", "lost"),
    [
        ("holds downpour for feed, iron", ""),
        ("holds downpour for feed", "and no longer holds iron"),
        ("holds downpour for feed, iron\n on cool-season", "anything on 9 grasses"),
        ("notes downpour for feed", "and holds nothing"),
        ("holds cut for feed", "the shipped remark cut, and is none"),
    ],
)
def test_a_safety_that_an_owner_s_rule_takes_away_is_told(own: str, lost: str) -> None:
    text = f"{own}\n while rain more than 1 in\n says x\n source y\n"
    found = read_rulebook(SHIPPED, own=[RuleFile("a", text)]).problems
    told = [problem for problem in found if "takes the place" in problem.what]
    assert [lost in problem.what and problem.warning for problem in told] == [True] * bool(lost)

"""The journal: what a line says, what it cannot say, and that nothing is lost on the way."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from site_samples import SHELF, read

from advisor.series.quantity import Written
from advisor.site.facts import (
    SEEN,
    Aerated,
    Applied,
    Dethatched,
    Done,
    Entry,
    Laid,
    Last,
    Mowed,
    NotYet,
    Rain,
    Seeded,
    Seen,
    Skipped,
    Soil,
    SoilTest,
    StormWatch,
    Watered,
    What,
)
from advisor.site.journal import check_line, read_journal, write_line
from advisor.site.load import read_site
from advisor.site.problem import Problem
from advisor.site.shelf import Shelf
from advisor.site.words import DEEDS, SIGHTINGS, TASKS, TESTS

LAWNS = ("front", "back")
TODAY = date(2026, 8, 1)
ON_SHELF = read("").shelf

SAMPLE = """\
# what was done at Maple Corner
journal from 2026-03-01

2026-03-01  all     last feed 2025-10-12
2026-03-01  all     last pre-emergent not known
2026-04-09  front   applied 5.4 lb of spring-granules 25-4-8   # windy at first
2026-04-10  all     rain 0.42 in
2026-04-12\tback\tsoil 54 F at 2 in, 08:00
2026-04-12  front   mowed at 3 in
2026-07-03  front   seen wilting
2026-07-04  front   undo 2026-04-12 mowed
"""


def journal(text: str, today: date | None = TODAY):  # type: ignore[no-untyped-def]
    return read_journal({"journal.txt": text}, lawns=LAWNS, shelf=ON_SHELF, today=today)


def test_a_journal_is_read_fact_by_fact() -> None:
    """1 lb = 0.45359237 kg and 1 in = 25.4 mm (NIST SP 811)."""
    found = journal(SAMPLE)
    assert found.problems == ()
    assert found.start == date(2026, 3, 1)
    assert [entry.what for entry in found.entries] == [
        Last("feed", date(2025, 10, 12)),
        Last("pre-emergent", None),
        Applied(Written(5.4, "lb"), "spring-granules", "25-4-8"),
        Rain(Written(0.42, "in")),
        Soil(Written(54, "F"), Written(2, "in"), 480),
        Seen("wilting"),
    ]
    soil = found.entries[4].what
    rain = found.entries[3].what
    assert isinstance(soil, Soil) and isinstance(rain, Rain)
    assert soil.celsius == pytest.approx(22 / 1.8)
    assert soil.depth_m == pytest.approx(0.0508)
    assert rain.mm == pytest.approx(10.668)
    assert found.entries[0].lawns == LAWNS
    assert found.entries[4].line == 8


@pytest.mark.parametrize(
    ("line", "what", "hint"),
    [
        ("2026-04-31 front mowed", "not in the calendar", "unknown"),
        ("20260430 front mowed", "is no date", ""),
        ("2026-4-3 front mowed", "is no date", ""),
        ("2026-04-12", "a lawn was expected", ""),
        ("2026-04-12 frnt mowed", "no lawn is called “frnt”", "front"),
        ("2026-04-12 front", "what was done or seen", ""),
        ("2026-04-12 front moved", "cannot say “moved”", "mowed"),
        ("2026-04-12 front mowed 3 in", "“3 in” is left over", ""),
        ("2026-04-12 front mowed at 3 ft", "cannot be right", "6 in"),
        ("2026-04-12 front mowed at 3", "is not a length", "6 in"),
        ("2026-04-12 front rain 0.4 F", "is not a depth of water", "0.5 in"),
        ("2026-04-12 front rain -1 in", "cannot be right", ""),
        ("2026-04-12 front rain 0,4 in", "two ways", ""),
        ("2026-04-12 front soil 54 F", "“at” was expected", ""),
        ("2026-04-12 front soil 54 F at 2 in, 8", "a time of day", ""),
        ("2026-04-12 front seen wiltng", "nothing to be seen", "wilting"),
        ("2026-04-12 front aerated twice", "“twice” is left over", ""),
        ("2026-04-12 front dethached", "cannot say “dethached”", "dethatched"),
        ("2026-04-12 front tested", "what was tested was expected", ""),
        ("2026-04-12 front tested phosphorous low", "not of “phosphorous”", "“phosphorus”"),
        ("2026-04-12 front tested pH 6.1", "not of “pH”", "Right: tested phosphorus low"),
        ("2026-04-12 front tested lime", "“needed” or “not-needed” was expected", ""),
        ("2026-04-12 front tested lime neded", "does not say “neded”", "“needed”"),
        ("2026-04-12 front tested lime no", "does not say “no”", "Right: tested lime needed"),
        ("2026-04-12 front tested lime needed now", "“now” is left over", ""),
        ("2026-04-12 all watch", "“until” was expected", "watch over"),
        ("2026-04-12 all watch till 2026-04-13", "“until” was expected", "watch over"),
        ("2026-04-12 all watch until", "the last day of the watch", ""),
        ("2026-04-12 all watch until friday", "is no date", ""),
        ("2026-04-12 all watch until 2026-04-11", "before the line's own day", ""),
        ("2026-04-12 all watch over now", "“now” is left over", ""),
        ("2026-04-12 all wach over", "cannot say “wach”", "watch"),
        ("2026-04-12 front done fed", "no task is called “fed”", "feed"),
        ("2026-04-12 front not now feed", "“yet” was expected", ""),
        ("2026-04-12 front last feed 2026-04-13", "after the line's own day", ""),
        ("2026-04-12 front last feed never", "is no date", ""),
        ("2026-04-12 front applied 5 lbb of spring-granules", "no unit is called “lbb”", "lb"),
        ("2026-04-12 front applied 5 lb spring-granules", "left over", ""),
        ("2026-04-12 front applied 5 lb of spring-granuls", "no product", "spring-granules"),
        ("2026-04-12 front applied 5 lb of spring-granules 24-0-6", "the shelf says 25-4-8", ""),
        ("2026-04-12 front applied 1 gal of spring-granules", "is weighed", ""),
        ("2026-04-12 front applied 0 lb of spring-granules", "cannot be right", ""),
        ("2026-04-12 front applied 5 lb of spring-granules with", "a spreader or sprayer", ""),
        ("2026-04-12 front applied 5 lb of spring-granules with Red!", "no name of a", "red-drum"),
        ("2026-04-12 front applied 5 lb of spring-granules with red-drum 1 lb left",
         "left over", ""),
        ("2026-04-12 front applied 5 lb of spring-granules with red-drum,", "a quantity", ""),
        ("2026-04-12 front applied 5 lb of spring-granules with red-drum, 1 lb", "“left”", ""),
        ("2026-04-12 front applied 5 lb of spring-granules with red-drum, 1 gal left",
         "is not a mass", ""),
        ("2026-04-12 front applied 5 lb of spring-granules with red-drum, 1 lb short",
         "1 lb is not an area", ""),
        ("2026-04-12 front applied 5 lb of spring-granules with red-drum, 200 short",
         "200 is not an area: it has no unit", ""),
        ("2026-04-12 front applied 5 lb of spring-granules with red-drum at %, 1 lb left",
         "no mark", "at 12"),
        ("2026-04-12 all applied 5 lb of spring-granules", "an amount is of one lawn", "each lawn"),
        ("2026-04-12 front undo 2026-04-11 mowed", "begins with these words", "undoes nothing"),
        ("2026-04-12 front mowed\x00", "cannot be read", "UTF-8"),
        ("2026-04-12 front seeded with \udce9", "cannot be read", "UTF-8"),
        ("journal since 2026-03-01", "“journal from”", "journal from 2026-03-01"),
        ("x" * 1000, "longer than", ""),
    ],
)  # fmt: skip
def test_a_line_that_cannot_be_read_says_why(line: str, what: str, hint: str) -> None:
    found = journal(f"journal from 2026-01-01\n{line}\n")
    assert found.entries == ()
    (problem,) = found.problems
    assert what in problem.what
    assert hint in problem.hint
    assert problem.line in (0, 2)
    assert not problem.warning
    str(problem).encode("utf-8")


def test_what_can_be_told_of_an_unreadable_line_is_kept() -> None:
    lines = [
        "2026-04-12 frnt applied 5 lb of spring-granules",
        "2026-04-xx front applied 5 lb of spring-granules",
        "2026-04-12 back rain much",
        "2026-04-12 back skipped fed",
        "2026-04-12 back last feed long ago",
        "2026-04-12 back what",
        "2027-04-12 back what",
        "2026-04-12 back mowed twice",
        "2026-04-12 back seen moss",
        "2026-04-12 back tested pH 6.1",
        "2026-04-12 back watch untill 2026-04-13",
    ]
    found = journal("journal from 2026-01-01\n" + "\n".join(lines)).unreadable
    day = date(2026, 4, 12)
    assert [(one.day, one.lawns, one.tells, one.application) for one in found] == [
        (day, LAWNS, None, True),
        (None, ("front",), frozenset(TASKS), True),
        (day, ("back",), frozenset(), False),
        (day, ("back",), frozenset(), False),
        (day, ("back",), frozenset({"feed"}), False),
        (day, ("back",), None, True),
        (None, ("back",), None, True),
        (day, ("back",), frozenset(DEEDS), False),
        (day, ("back",), frozenset(SIGHTINGS), False),
        (day, ("back",), frozenset({"phosphorus-test", "lime-test"}), False),
        (day, ("back",), frozenset({"storm-watch"}), False),
    ]


def test_days_to_come_and_exact_repeats_are_questions_and_no_facts() -> None:
    text = (
        "journal from 2026-01-01\n"
        "2026-04-09  front  applied 5 lb of spring-granules\n"
        "2026-04-09 front   applied 5 lb of  spring-granules\n"
        "2026-08-02 front mowed\n"
    )
    found = journal(text)
    assert [entry.line for entry in found.entries] == [2]
    assert [(one.entry.line, one.future) for one in found.questions] == [(3, False), (4, True)]
    assert all(problem.warning for problem in found.problems)
    assert [entry.line for entry in journal(text, None).entries] == [2, 4]


def test_an_answer_that_repeats_the_journal_is_asked_about() -> None:
    files = read_site(
        {
            "site.toml": "",
            "shelf.toml": SHELF,
            "journal.txt": "journal from 2026-01-01\n2026-04-12 front done feed\n",
            "answers.txt": "2026-04-12 front done feed\njournal from 2020-01-01\n",
        }
    )
    assert [one.entry.file for one in files.journal.questions] == ["answers.txt"]
    assert files.journal.start == date(2026, 1, 1)
    assert any("an answer cannot say" in problem.what for problem in files.errors)


def test_an_undo_cancels_one_line_of_its_day_and_lawn() -> None:
    text = (
        "journal from 2026-01-01\n"
        "2026-04-12 front mowed at 3 in\n"
        "2026-04-12 back mowed at 3 in\n"
        "2026-04-12 front mowed at 2 in\n"
        "2026-04-13 front undo 2026-04-12 mowed at 3 in\n"
    )
    assert [entry.line for entry in journal(text).entries] == [3, 4]
    vague = journal(text.replace("mowed at 3 in\n", "mowed at 3 in\n").replace(
        "undo 2026-04-12 mowed at 3 in", "undo 2026-04-12 mowed"))  # fmt: skip
    assert [entry.line for entry in vague.entries] == [2, 3, 4]
    assert "more than one line" in vague.problems[0].what


def test_an_undo_also_mends_a_line_that_cannot_be_read() -> None:
    text = (
        "journal from 2026-01-01\n"
        "2026-04-12 front applied five pounds\n"
        "2026-04-13 front undo 2026-04-12 applied five\n"
    )
    found = journal(text)
    assert found.unreadable == ()
    assert found.problems == ()


def test_without_a_beginning_the_journal_says_so() -> None:
    found = journal("2026-04-12 front mowed\n")
    assert found.start is None
    assert found.problems[0].warning
    assert "journal from" in found.problems[0].hint


def test_of_two_beginnings_the_later_holds_and_is_named() -> None:
    found = journal("journal from 2026-03-01\njournal from 2025-03-01\n")
    assert found.start == date(2026, 3, 1)
    assert [problem.line for problem in found.problems] == [2]


numbers = st.decimals("0.01", "9.99", places=2).map(float)
tasks = st.sampled_from(sorted(TASKS))
days = st.dates(date(2024, 1, 1), TODAY)
words = st.lists(st.from_regex(r"[A-Za-z0-9.,()-]{1,8}", fullmatch=True), min_size=1, max_size=4)
masses = st.builds(Written, numbers, st.sampled_from(["lb", "kg", "oz", "g"]))
whats = st.one_of(
    st.builds(Applied, masses, st.just("spring-granules"), st.sampled_from([None, "25-4-8"])),
    st.builds(
        Applied, st.builds(Written, numbers, st.just("fl oz")), st.just("barrier-spray"), st.none()
    ),
    st.builds(
        Applied,
        masses,
        st.just("spring-granules"),
        st.sampled_from([None, "25-4-8"]),
        st.just("red-drum"),
        st.sampled_from([None, "12", "M.5"]),
    ),
    st.builds(
        Applied,
        masses,
        st.just("spring-granules"),
        st.none(),
        st.just("red-drum"),
        st.sampled_from([None, "12"]),
        st.builds(Written, st.just(0.0) | numbers, st.just("lb")),
    ),
    st.builds(
        Applied,
        masses,
        st.just("spring-granules"),
        st.none(),
        st.just("red-drum"),
        st.sampled_from([None, "12"]),
        st.none(),
        st.builds(Written, numbers, st.just("ft2")),
    ),
    st.builds(Done, tasks),
    st.builds(Done, tasks, masses, st.just("barrier-feed")),
    st.builds(Skipped, tasks),
    st.builds(NotYet, tasks),
    st.builds(Last, tasks, st.one_of(st.none(), st.dates(date(2020, 1, 1), date(2023, 12, 31)))),
    st.builds(Rain, st.builds(Written, numbers, st.sampled_from(["in", "mm"]))),
    st.builds(Watered, st.builds(Written, numbers, st.just("mm"))),
    st.builds(
        Soil,
        st.builds(Written, numbers, st.sampled_from(["C"])),
        st.builds(Written, st.floats(1, 30), st.just("cm")),
        st.one_of(st.none(), st.integers(0, 1439)),
    ),
    st.builds(Mowed, st.one_of(st.none(), st.builds(Written, st.floats(1, 5), st.just("in")))),
    st.builds(Seeded, st.one_of(st.just(""), words.map(" ".join))),
    st.builds(Laid, st.one_of(st.just(""), words.map(" ".join))),
    st.builds(Seen, st.sampled_from(SEEN)),
    st.sampled_from([Aerated(), Dethatched()]),
    st.builds(StormWatch, st.one_of(st.none(), st.dates(TODAY, date(2027, 12, 31)))),
    st.sampled_from([SoilTest(of, result) for of, said in TESTS.items() for result in said]),
)


@given(days, whats)
def test_what_is_written_reads_back_as_the_same(day: date, what: What) -> None:
    line = write_line(day, "front", what)
    read_back = check_line(line, lawns=LAWNS, shelf=ON_SHELF, today=TODAY)
    assert isinstance(read_back, Entry), read_back
    assert (read_back.day, read_back.lawns, read_back.what) == (day, ("front",), what)


@given(st.lists(st.tuples(days, st.sampled_from(LAWNS), whats), max_size=8))
def test_every_line_becomes_a_fact_a_question_or_an_unreadable_line(
    lines: list[tuple[date, str, What]],
) -> None:
    found = journal("\n".join(write_line(*line) for line in lines))
    assert len(found.entries) + len(found.questions) == len(lines)
    assert found.unreadable == ()


@given(st.lists(st.text(st.characters(exclude_characters="\n"), max_size=60), max_size=6))
def test_no_line_of_any_text_is_lost(lines: list[str]) -> None:
    """Each line is empty, a comment, or told of."""
    assume(not any(line.lstrip("\ufeff").lstrip().startswith("journal") for line in lines))
    found = journal("\n".join(lines))
    told = {one.line for one in (*found.entries, *found.unreadable)}
    told |= {one.entry.line for one in found.questions}
    for number, line in enumerate(lines, start=1):
        bare = line.removeprefix("\ufeff") if number == 1 else line
        says = bool(bare.split()) and not bare.split()[0].startswith("#")
        assert (number in told) == says


@pytest.mark.parametrize("seed", ["#4 mix", "a\nb", "a\x07"])
def test_what_a_line_cannot_carry_is_not_written(seed: str) -> None:
    with pytest.raises(ValueError, match="cannot carry"):
        write_line(TODAY, "front", Seeded(seed))


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ("", "says nothing"),
        ("# only a comment", "says nothing"),
        ("2026-04-12 front mowed\n2026-04-13 front mowed", "one line"),
        (f"{TODAY + timedelta(1)} front mowed", "still to come"),
        ("2026-04-12 front moved", "cannot say"),
    ],
)
def test_a_line_is_checked_before_it_is_written(line: str, what: str) -> None:
    found = check_line(line, lawns=LAWNS, shelf=Shelf(), today=TODAY)
    assert isinstance(found, Problem)
    assert what in found.what


def test_an_undo_line_can_be_checked_by_itself() -> None:
    line = "2026-04-13 front undo 2026-04-12 mowed"
    assert isinstance(check_line(line, lawns=LAWNS, shelf=Shelf(), today=TODAY), Entry)

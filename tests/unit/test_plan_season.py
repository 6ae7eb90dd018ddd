"""The season as a document: sums with what is left, rules that speak, the journal by weeks."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st
from plan_cases import (
    GENEROUS,
    NOW,
    TODAY,
    advice,
    book,
    files,
    given,
    granules,
    holds,
    lawn,
    opens,
    waters,
    weather,
)

from advisor.plan.compose import Given, make_plan
from advisor.plan.season import KINDS, look_over_season, weeks
from advisor.plan.season_model import JournalLine, Season

POUND_PER_1000_FT2 = 453.59237 / 92.90304
"""g/m²: the pound and the foot by their definitions (NIST Handbook 44, appendix C)."""

JOURNAL = """\
journal from 2026-01-01
2026-01-01  all    last feed 2025-10-02
2026-03-01  front  mowed at 3 in
2026-03-07  front  applied 6 lb of granules
2026-03-08  back   seen frost
2026-03-08  back   seen crabgrass
2025-12-31  all    last feed not known
"""


def season(made: Given) -> Season:
    return look_over_season(made, make_plan(made, NOW), None, NOW)


def two_lawns(journal: str = JOURNAL, units: str = "us", more: str = "") -> Given:
    read = files(
        lawn(more=GENEROUS), lawn("back", more='title = "Back lawn"\n' + GENEROUS),
        journal=journal, units=units, shelf=granules(more=more),
    )  # fmt: skip
    return given(read, book(opens(), holds(), opens("iron"), holds("iron"), waters()), weather())


def told(found: Season) -> list[tuple[date | None, str, str]]:
    return [(one.day, one.kind, one.text) for week in found.journal for one in week.lines]


def test_the_journal_of_this_year_stands_newest_first() -> None:
    """Of one day the later line of the file is the newer; last year's lines are left out."""
    assert told(season(two_lawns())) == [
        (date(2026, 3, 8), "told", "seen crabgrass"),
        (date(2026, 3, 8), "told", "seen frost"),
        (date(2026, 3, 7), "told", "applied 6 lb of granules"),
        (date(2026, 3, 1), "told", "mowed at 3 in"),
        (date(2026, 1, 1), "told", "last feed 2025-10-02"),
    ]


def test_lines_name_their_lawn_and_none_where_they_are_of_all() -> None:
    titles = [one.lawn_title for week in season(two_lawns()).journal for one in week.lines]
    assert titles == ["Back lawn", "Back lawn", "front", "front", ""]


@pytest.mark.parametrize(
    ("units", "firsts"),
    [
        # 8 March 2026 is a Sunday: a week of its own where weeks begin on Sunday
        ("us", [date(2026, 3, 8), date(2026, 3, 1), date(2025, 12, 28)]),
        ("metric", [date(2026, 3, 2), date(2026, 2, 23), date(2025, 12, 29)]),
    ],
)
def test_weeks_are_the_readers(units: str, firsts: list[date]) -> None:
    assert [week.first for week in season(two_lawns(units=units)).journal] == firsts


@drawn(st.lists(st.dates(date(1990, 1, 1), date(2060, 12, 31)), max_size=12), st.booleans())
def test_every_line_is_in_the_week_that_holds_its_day(days: list[date], us: bool) -> None:
    """Weeks begin on Sunday in the United States (CLDR weekData) and on Monday by ISO 8601."""
    lines = [JournalLine(day=day, lawn_title="", kind="told", text="-") for day in days]
    found = weeks(lines, "us" if us else "metric")
    assert sum(len(week.lines) for week in found) == len(lines)
    for week in found:
        assert week.first is not None
        assert week.first.isoweekday() == (7 if us else 1)
        for line in week.lines:
            assert line.day is not None and week.first <= line.day < week.first + timedelta(7)
            if not us:
                year, number, _ = line.day.isocalendar()
                assert week.first == date.fromisocalendar(year, number, 1)


def test_what_does_not_simply_count_is_marked_and_explained() -> None:
    read = files(
        journal="journal from 2026-01-01\n2026-04-01 front mowed\n2026-04-01 front mowed\n"
        "2026-06-01 front mowed\n2026-04-02 front fed lots\nsometime front mowed\n"
    )
    made = given(read, book(opens()), weather(), [advice(TODAY - timedelta(9))])
    found = season(made)
    (undated, *dated) = found.journal
    assert undated.first is None
    assert [(one.kind, one.text) for one in undated.lines] == [
        ("unreadable", "sometime front mowed")
    ]
    kinds = [(one.day, one.kind) for week in dated for one in week.lines]
    assert kinds == [
        (date(2026, 6, 1), "question"),
        (TODAY - timedelta(9), "perhaps"),
        (date(2026, 4, 2), "unreadable"),
        (date(2026, 4, 1), "question"),
        (date(2026, 4, 1), "told"),
    ]
    notes = {one.kind: one.note for week in dated for one in week.lines}
    assert notes["told"] == ""
    assert all(notes[kind].endswith(".") for kind in ("question", "unreadable"))
    # each of the lines that would answer stands there, to be copied
    (ask,) = found.plan.ask
    assert all(answer in notes["perhaps"] for answer in ask.answers)


def test_sums_tell_what_was_done_what_perhaps_and_what_is_left() -> None:
    """6 lb of 28-3-6 on 6000 ft² are 0.28 lb of nitrogen per 1000 ft². Perhaps 9 kg more, which are
    3.307 lb per 1000 ft²: left is what is left even then."""
    made = two_lawns()
    done = 6 * 0.28 / 6 * POUND_PER_1000_FT2
    perhaps = 9000 / (6 * 92.90304) * 0.28
    limit = 4 * POUND_PER_1000_FT2
    found = season(made).lawns[0].had[0]
    assert (found.substance, found.limit) == ("nitrogen", pytest.approx(limit))
    assert found.least == found.most == pytest.approx(done)
    assert found.left == pytest.approx(limit - done)
    unanswered = replace(made, advised=(advice(TODAY - timedelta(9)),))
    found = season(unanswered).lawns[0].had[0]
    assert found.least == pytest.approx(done)
    assert found.most == pytest.approx(done + perhaps)
    assert found.left == pytest.approx(limit - done - perhaps)
    assert found.text == "0.28 lb/1000 ft², perhaps 1.21 lb/1000 ft²"


def test_what_was_perhaps_put_down_alone_is_told_too() -> None:
    made = two_lawns("journal from 2026-01-01\n")
    names = [one.substance for one in season(made).lawns[0].had]
    assert names == ["nitrogen"]
    unanswered = replace(made, advised=(advice(TODAY - timedelta(9)),))
    names = [one.substance for one in season(unanswered).lawns[0].had]
    assert names == ["nitrogen", "phosphorus", "potassium"]


def test_a_sum_that_nobody_knows_leaves_nothing_that_is_known() -> None:
    found = season(two_lawns("journal from 2026-04-01\n")).lawns[0].had[0]
    assert (found.most, found.left) == (None, None)
    assert found.left_text == "cannot be told" and "cannot be told" in found.text


def test_who_speaks_is_told_in_full_and_the_silent_by_name() -> None:
    made = two_lawns()
    made = replace(made, series=weather(humidity=[0.95]))
    for lawn_ in season(made).lawns:
        names = [(rule.name, rule.kind) for rule in lawn_.speaking]
        assert [kind for _, kind in names] == sorted((kind for _, kind in names), key=KINDS.index)
        assert {"open-feed", "open-iron", "hold-feed", "hold-iron"} <= {name for name, _ in names}
        assert all(rule.conditions and rule.sentence for rule in lawn_.speaking)
        assert not {name for name, _ in names} & set(lawn_.silent)
    quiet = season(two_lawns())
    assert {"hold-feed", "hold-iron"} <= set(quiet.lawns[0].silent)
    assert [one.source for one in quiet.sources] == ["made up"]


def test_without_weather_the_year_so_far_is_told_all_the_same() -> None:
    made = replace(two_lawns(), series=None)
    found = season(made)
    assert "no forecast" in found.cannot_tell
    assert [one.name for one in found.lawns] == ["front", "back"]
    assert all(one.speaking == () and one.had for one in found.lawns)
    assert told(found) == told(season(two_lawns()))


def test_the_same_gives_the_same() -> None:
    assert season(two_lawns()) == season(two_lawns())

"""Spreaders: what the journal tells of how they spread, and what follows for their opening."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_cases import GENEROUS, TODAY, files, granules, lawn

from advisor.site.load import SiteFiles, read_site
from advisor.site.spreaders import (
    ACCEPTED,
    Check,
    Correction,
    checks,
    correction,
    mismatches,
    usual_spreader,
)
from advisor.site.sums import sums

DRUM = '[[spreader]]\nname = "red-drum"\nkind = "broadcast"\n'
DROP = '[[spreader]]\nname = "drop-box"\nkind = "drop"\n'
START = "journal from 2026-01-01\n"


def site_with(*lines: str, more: str = DRUM, shelf: str = "") -> SiteFiles:
    return files(journal=START + "\n".join(lines) + "\n", more=more, shelf=shelf)


def told(*lines: str, more: str = DRUM) -> tuple[Check, ...]:
    read = site_with(*lines, more=more)
    assert read.site is not None
    return checks(read.site, read.journal, TODAY)


def mended(*lines: str) -> Correction | None:
    return correction(told(*lines), "red-drum", "granules")


def test_what_was_left_over_what_was_weighed_out() -> None:
    """18 lb went down and 2 were left of 20: a tenth too little."""
    (check,) = told("2026-04-01 front applied 18 lb of granules with red-drum at 12, 2 lb left")
    assert check.ratio == pytest.approx(0.9)
    assert (check.mark, check.lawn, check.day) == ("12", "front", date(2026, 4, 1))


def test_ground_that_was_not_reached() -> None:
    """All of it lay on 5400 of 6000 ft2: a ninth too much, as 6000/5400 says."""
    (check,) = told("2026-04-01 front applied 20 lb of granules with red-drum, 600 ft2 short")
    assert check.ratio == pytest.approx(10 / 9)


@pytest.mark.parametrize(
    "line",
    [
        "2026-04-01 front applied 18 lb of granules",
        "2026-04-01 front applied 18 lb of granules with red-drum",
        "2026-04-01 front applied 18 lb of granules with red-drum, 9000 ft2 short",
        "2026-06-01 front applied 18 lb of granules with red-drum, 2 lb left",
    ],
)
def test_lines_that_tell_nothing_of_it(line: str) -> None:
    """No spreader, no remainder, more ground than there is, a day to come."""
    assert told(line) == ()


def short(day: str, area: int, mark: str = "") -> str:
    at = f" at {mark}" if mark else ""
    return f"2026-{day} front applied 20 lb of granules with red-drum{at}, {area} ft2 short"


def left(day: str, pounds: float, mark: str = "") -> str:
    at = f" at {mark}" if mark else ""
    return f"2026-{day} front applied 20 lb of granules with red-drum{at}, {pounds} lb left"


def test_a_run_to_one_side_is_its_median() -> None:
    """Three that were off to the same side; an older fourth and one to the other side are past."""
    found = mended(
        left("01-10", 4), short("02-01", 2000), short("03-01", 600), short("04-01", 600),
        short("05-01", 1000),
    )  # fmt: skip
    assert found is not None
    assert (found.times, found.in_order) == (3, False)
    assert found.ratio == pytest.approx(10 / 9)


def test_one_that_came_out_right_ends_what_was_before() -> None:
    found = mended(short("03-01", 600), short("04-01", 600), left("05-01", 0))
    assert found == Correction("red-drum", "granules", None, 1.0, 1)
    assert found.in_order


def test_a_run_does_not_reach_past_one_that_came_out_right() -> None:
    """What stood before it stood with another opening, be it off to the same side."""
    found = mended(short("03-01", 2000), short("04-01", 150), short("05-01", 600))
    assert found is not None
    assert found.times == 1
    assert found.ratio == pytest.approx(10 / 9)


def test_another_mark_begins_a_run_of_its_own() -> None:
    found = mended(short("03-01", 1500, "14"), short("04-01", 600, "12"))
    assert found is not None
    assert (found.times, found.mark) == (1, "12")
    assert found.ratio == pytest.approx(10 / 9)


def test_five_percent_is_accepted() -> None:
    """Massachusetts extension accepts a rate within 5 % of the one that is wanted."""
    at_edge = mended(left("05-01", 20 / 0.95 - 20))
    beyond = mended(left("05-01", 20 / 0.94 - 20))
    assert at_edge is not None and at_edge.in_order
    assert beyond is not None and not beyond.in_order


def test_another_product_or_spreader_says_nothing() -> None:
    found = told(short("04-01", 600))
    assert correction(found, "red-drum", "others") is None
    assert correction(found, "drop-box", "granules") is None


def test_an_undone_line_has_no_effect() -> None:
    """Nothing is kept beside the journal."""
    line = short("04-01", 600)
    undo = "2026-04-02 front undo 2026-04-01 applied 20 lb"
    assert mended(line, undo) is None
    with_other = mended(left("03-01", 4), line, undo)
    assert with_other == mended(left("03-01", 4))


@given(gain=st.floats(0.4, 2.5), extra=st.integers(0, 3))
def test_a_correction_that_is_followed_is_followed_by_none(gain: float, extra: int) -> None:
    """A spreader that gives `gain` times what it is set for: once set as told, it is in order, and
    however often it is read again it stays so; the opening does not go to and fro."""
    setting, day, found = 1.0, date(2026, 1, 1), []
    for _ in range(2 + extra):
        found.append(Check(day, "front", "red-drum", "granules", None, gain * setting))
        now = correction(found, "red-drum", "granules")
        assert now == correction(list(found), "red-drum", "granules")
        assert now is not None
        if not now.in_order:
            setting /= now.ratio
        day += timedelta(40)
    assert abs(gain * setting - 1) <= ACCEPTED + 1e-6


@given(st.lists(st.floats(0.5, 2.0), min_size=1, max_size=8))
def test_a_correction_lies_among_the_checks(ratios: list[float]) -> None:
    """It is never more than the worst that was seen, and points where the newest points."""
    found = [
        Check(date(2026, 1, 1) + timedelta(n), "front", "red-drum", "granules", None, ratio)
        for n, ratio in enumerate(ratios)
    ]
    now = correction(found, "red-drum", "granules")
    assert now is not None
    assert min(ratios) <= now.ratio <= max(ratios)
    assert 1 <= now.times <= 3
    assert now.in_order == (abs(ratios[-1] - 1) <= ACCEPTED + 1e-9)
    if not now.in_order:
        assert (now.ratio > 1) == (ratios[-1] > 1)


def test_ground_that_went_without_makes_the_sums_larger() -> None:
    """20 lb of 28-3-6 on 5000 of 6000 ft2 are 1.12 lb N/1000 ft2 where it lies, not 0.93."""
    plain = "2026-04-01 front applied 20 lb of granules"
    read = site_with(f"{plain} with red-drum, 1000 ft2 short")
    assert read.site is not None
    pound = 453.59237 / 92.90304
    _, high = sums(read.site, read.shelf, read.journal, (), TODAY).total("front", "nitrogen", 2026)
    assert high == pytest.approx(20 * 0.28 / 5 * pound)
    whole = site_with(f"{plain} with red-drum, 1 lb left")
    assert whole.site is not None
    total = sums(whole.site, whole.shelf, whole.journal, (), TODAY).total("front", "nitrogen", 2026)
    assert total[1] == pytest.approx(20 * 0.28 / 6 * pound)


def test_more_ground_than_there_is_makes_the_year_unknown_and_is_told() -> None:
    read = site_with("2026-04-01 front applied 20 lb of granules with red-drum, 6000 ft2 short")
    assert read.site is not None
    total = sums(read.site, read.shelf, read.journal, (), TODAY).total("front", "nitrogen", 2026)
    assert total[1] == float("inf")
    (problem,) = [p for p in read.problems if "short" in p.what]
    assert problem.warning and problem.line == 2


def test_an_unknown_spreader_is_told_and_its_line_counts() -> None:
    read = site_with("2026-04-01 front applied 20 lb of granules with red-drom, 1 lb left")
    assert read.site is not None
    (problem,) = mismatches(read.site, read.journal, read.shelf)
    assert "no spreader or sprayer is called “red-drom”" in problem.what
    assert "red-drum" in problem.hint
    assert problem in read.problems
    assert len(read.journal.entries) == 1
    assert read.journal.unreadable == ()


SPRAYER = '[[sprayer]]\nname = "back-pack"\ntank = "4 gal"\n'
LIQUID = (
    granules()
    + """
[[product]]
name = "green-liquid"
serves = ["feed"]
form = "liquid"
analysis = "12-0-0"
rate = "0.5 gal/1000 ft2"
density = "10 lb/gal"
"""
)


@pytest.mark.parametrize(
    ("words", "what", "hint"),
    [
        (
            "2 gal of green-liquid with red-drum",
            "red-drum is a spreader, and green-liquid is a liquid",
            "Name the sprayer (back-pack)",
        ),
        (
            "20 lb of granules with back-pack",
            "back-pack is a sprayer, and granules is granular",
            "Name the spreader (red-drum)",
        ),
    ],
)
def test_what_cannot_have_put_it_down_is_told(words: str, what: str, hint: str) -> None:
    """Dry granules go through no nozzle, and a liquid lies in no hopper; the line counts."""
    read = site_with(f"2026-04-01 front applied {words}", more=DRUM + SPRAYER, shelf=LIQUID)
    (problem,) = read.problems
    assert (problem.what, problem.line, problem.warning) == (what, 2, True)
    assert problem.hint.startswith(hint)
    assert len(read.journal.entries) == 1


def test_the_tool_that_fits_is_not_told() -> None:
    read = site_with(
        "2026-04-01 front applied 2 gal of green-liquid with back-pack",
        "2026-04-02 front applied 20 lb of granules with red-drum",
        more=DRUM + SPRAYER,
        shelf=LIQUID,
    )
    assert read.problems == ()


def test_the_usual_spreader() -> None:
    """The only one; of two the one that it went down with last; else none."""
    one, two = site_with(), site_with(more=DRUM + DROP)
    used = site_with("2026-04-01 front applied 20 lb of granules with drop-box", more=DRUM + DROP)
    names = []
    for read in (one, two, used):
        assert read.site is not None
        spreader = usual_spreader(read.site, read.journal, "granules", TODAY)
        names.append(spreader.name if spreader else None)
    assert names == ["red-drum", None, "drop-box"]


@pytest.mark.parametrize(
    ("more", "what"),
    [
        ('[[spreader]]\nname = "a"\n', "“kind” is missing in [[spreader]]"),
        ('[[spreader]]\nname = "a"\nkind = "thrower"\n', "no word that is known here"),
        ('[spreader]\nname = "a"\nkind = "drop"\n', "[spreader] stands for one of several"),
        ('[[sprayer]]\nname = "a"\n', "“tank” is missing in [[sprayer]]"),
        ('[[sprayer]]\nname = "a"\ntank = "4 lb"\n', "tank: 4 lb is a mass"),
        (DRUM + DRUM, "two spreaders are called “red-drum”"),
        (DRUM + '[[sprayer]]\nname = "red-drum"\ntank = "4 gal"\n', "a spreader is called"),
        (DRUM.replace("kind", "width"), "no key is called “width”"),
    ],
)
def test_a_mistake_in_the_table_is_told(more: str, what: str) -> None:
    """Where it stands, what is wrong with it; and no site comes of it."""
    text = (
        'id = "made-up"\ntitle = "Made-up place"\nunits = "us"\n[place]\nlatitude = 40.0\n'
        'longitude = -79.0\nelevation = "500 ft"\nzone = "America/New_York"\n'
        + lawn(more=GENEROUS)
        + more
    )
    read = read_site({"site.toml": text, "shelf.toml": granules(), "journal.txt": START})
    assert read.site is None
    found = [problem for problem in read.errors if what in problem.what]
    assert found, read.errors
    assert found[0].file == "site.toml" and found[0].line


def test_granules_take_no_carrier() -> None:
    """The label's spray volume is of a spray."""
    shelf = granules(more='carrier = "1 gal/1000 ft2"')
    read = read_site({"shelf.toml": shelf})
    assert any("granules take no water" in problem.what for problem in read.problems)
